"""The commands as a user runs them."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from pathlib import Path

import pytest
from bench_recipe import BENCH

from furnigen.cli.main import main


@pytest.fixture
def bench(tmp_path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "bench.py"
    path.write_text(BENCH)
    return path


def output(capsys, *words: str, status: int = 0) -> str:
    assert main(words) == status
    return capsys.readouterr().out


def seen(folder: Path) -> list[str]:
    """What a person sees in a folder."""
    return sorted(p.name for p in folder.iterdir() if not p.name.startswith("."))


def python(code: str) -> str:
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    return done.stdout.strip()


def test_make_writes_what_it_lists(bench, capsys):
    report = json.loads(output(capsys, "make", "bench.py", "--json", "--formats", "step,stl,3mf,glb,cutlist"))
    folder = Path("out/bench")
    assert seen(folder) == sorted([*report["files"], "report.json"])
    assert json.loads((folder / "report.json").read_text()) == report
    assert report["recipe"] == "bench"
    assert report["params"] == {"width": 900.0, "board": "birch-ply-18-2440", "seats": 1}
    assert report["bounds_mm"] == {"min": [0, 0, 0], "max": [900, 300, 437.6]}
    side, seat = report["parts"]
    assert (side["quantity"], side["length"], side["width"], side["thickness"]) == (2, 420, 300, 17.6)
    # mass = volume x density of the material, by hand
    assert seat["mass_kg"] == pytest.approx(0.9 * 0.3 * 0.0176 * seat["density_kg_m3"])
    checks = {c["name"]: c["status"] for c in report["checks"]}
    proven = {
        "part-fits-stock",
        "interference",
        "floating-parts",
        "below-floor",
        "load-path",
        "assembly-order",
    }
    assert proven <= checks.keys()
    assert {checks[name] for name in proven} == {"pass"}
    contact = {(c["a"], c["b"]): c["area_mm2"] for c in report["contacts"]}
    assert contact == pytest.approx(
        {("side.left", "seat.1"): 17.6 * 300, ("side.right", "seat.1"): 17.6 * 300}
    )


def test_a_second_make_writes_the_same_bytes_here_and_in_a_new_process(bench, capsys):
    words = ["make", "bench.py", "--formats", "step,stl,3mf,glb,cutlist,part-stl"]
    assert main([*words, "--out", "a"]) == 0
    assert main([*words, "--out", "b"]) == 0
    subprocess.run([sys.executable, "-m", "furnigen", *words, "--out", "c"], check=True, capture_output=True)
    files = [p.relative_to("a") for p in Path("a").rglob("*") if p.is_file()]
    assert len(files) == 9  # .furnigen.json among them
    for file in files:
        assert Path("a", file).read_bytes() == Path("b", file).read_bytes() == Path("c", file).read_bytes(), (
            file
        )


def test_a_failed_check_exits_1_and_still_writes(bench, capsys):
    out = output(capsys, "make", "bench.py", "--limit", "max_width=800 mm", "--formats", "cutlist", status=1)
    assert "FAIL  max-width" in out
    assert "lower the overall width by 100.0 mm" in out
    assert Path("out/bench/report.json").exists()


def test_overlap_is_found_and_fails(bench, capsys):
    bench.write_text(
        BENCH.replace("(0, 0, 420 + n * t)", "(0, 0, 420 + n * t - 5)").replace(
            "(width, 300, 420 + (n + 1) * t)", "(width, 300, 415 + (n + 1) * t)"
        )
    )
    report = json.loads(output(capsys, "check", "bench.py", "--json", status=1))
    overlaps = {(o["a"], o["b"]): o["volume_mm3"] for o in report["overlaps"]}
    each = 17.6 * 300 * 5
    assert overlaps == pytest.approx({("side.left", "seat.1"): each, ("side.right", "seat.1"): each})


def test_check_reads_our_own_step_back(bench, capsys):
    main(["make", "bench.py", "--formats", "step"])
    capsys.readouterr()
    report = json.loads(output(capsys, "check", "out/bench/model.step", "--json"))
    assert [p["label"] for p in report["placements"]] == ["side.left", "side.right", "seat.1"]
    volumes = [p["volume_mm3"] for p in report["placements"]]
    assert volumes == pytest.approx([420 * 300 * 17.6] * 2 + [900 * 300 * 17.6])


def test_parts_list_in_feet_and_inches(bench, capsys):
    output(capsys, "make", "bench.py", "width=36", "--units", "in", "--formats", "cutlist")
    rows = list(csv.DictReader(Path("out/bench/cutlist.csv").read_text().splitlines()))
    seat = next(r for r in rows if r["part"] == "top")
    assert (seat["length"], seat["width"]) == ("3'-0\"", '~11 13/16"')


def test_files_a_person_added_stay(bench, capsys):
    main(["make", "bench.py", "--formats", "cutlist"])
    Path("out/bench/notes.txt").write_text("ask about the wall")
    main(["make", "bench.py", "--formats", "stl"])
    assert seen(Path("out/bench")) == ["cutlist.csv", "model.stl", "notes.txt", "report.json"]


def test_parameter_file_and_words_together(bench, capsys):
    Path("p.toml").write_text(
        'title = "Bench by the kiln"\nunits = "in"\n[parameters]\nwidth = 40\nseats = 2\n'
    )
    report = json.loads(output(capsys, "check", "bench.py", "seats=1", "--params", "p.toml", "--json"))
    assert report["title"] == "Bench by the kiln"
    assert report["params"]["width"] == 1016.0
    assert report["params"]["seats"] == 1


@pytest.mark.parametrize(
    "words",
    [
        ("make", "--formats", "cutlist", "bench.py", "--out", "here", "width=600"),
        ("make", "bench.py", "width=600", "--formats", "cutlist", "--out", "here", "seats=1"),
        ("check", "bench.py", "--only", "fit", "width=600"),
        ("mockup", "bench.py", "--scale", "1:12", "--way", "whole", "--formats", "stl", "width=600"),
    ],
    ids=" ".join,
)
def test_parameters_may_follow_options(bench, capsys, words):
    assert json.loads(output(capsys, *words, "--json"))["params"]["width"] == 600


def test_describe_names_everything(bench, capsys):
    out = output(capsys, "describe", "bench.py")
    for word in ("width", "900.0 mm", "from 300.0 mm to 2000.0 mm", "overall width", "birch-ply-18-2440"):
        assert word in out
    rows = json.loads(output(capsys, "describe", "bench.py", "--json"))["parameters"]
    assert [(r["name"], r["unit"], r["default"]) for r in rows] == [
        ("width", "mm", 900.0),
        ("board", "", "birch-ply-18-2440"),
        ("seats", "", 1),
    ]


@pytest.mark.parametrize(
    "words", [["--help"], ["describe", "bench.py"], ["recipes"], ["make", "bench.py", "width=1"]]
)
def test_light_commands_load_no_kernel(bench, words):
    heavy = "{'numpy', 'cadquery', 'OCP', 'trimesh', 'scipy', 'vtk', 'manifold3d'}"
    code = (
        f"import sys; from furnigen.cli.main import main; main({words!r}); print({heavy} & set(sys.modules))"
    )
    assert python(code).splitlines()[-1] == "set()"


def test_module_runs_as_the_command(bench):
    done = subprocess.run(
        [sys.executable, "-m", "furnigen", "--version"], capture_output=True, text=True, check=True
    )
    assert done.stdout.startswith("furnigen ")


def test_a_reader_that_leaves_is_no_error(bench):
    shown = subprocess.run(
        ["bash", "-c", f"{sys.executable} -m furnigen describe bench.py | head -1"],
        check=True,
        capture_output=True,
        text=True,
    )
    assert shown.stderr == ""
    assert shown.stdout.startswith("bench")


@pytest.mark.parametrize("words", ["panel_bookcase --only sag --json", "--uses"])
def test_what_was_not_read_is_not_said_to_be_well(words):
    """A shell says 128 + SIGPIPE of a program whose reader left (common practice)."""
    unread = subprocess.Popen(
        [sys.executable, "-u", "-m", "furnigen", "check", *words.split()],
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
    )
    unread.stdout.close()
    with unread.stderr as complaint:
        assert complaint.read() == b""
    assert unread.wait() == 141


def test_hardware_as_solids_is_asked_for(bench, capsys):
    words = ("crate_wall", "--json", "--formats", "glb")
    output(capsys, "make", *words, "--out", "plain")
    report = json.loads(output(capsys, "make", *words, "--out", "with", "--with-hardware"))
    # those that hold its rails under the boards, and those into the wall
    row = next(r for r in report["hardware"] if r["quantity"] == 8)
    label = row["places"][0]["label"].encode()
    assert len(row["places"]) == row["quantity"]
    assert label not in (bench.parent / "plain" / "model.glb").read_bytes()
    assert label in (bench.parent / "with" / "model.glb").read_bytes()
    room = [c for c in report["checks"] if c["name"] == "hardware-room"]
    assert [c["status"] for c in room] == ["pass"]
    assert "hardware-room" in output(
        capsys, "check", "crate_wall", "--with-hardware", "--only", "solid", "--all"
    )
    assert main(("check", str(bench.parent / "some.step"), "--with-hardware")) == 2
