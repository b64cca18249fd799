"""The Python face: one pipeline, the same results as the command line, each stage when it is asked for."""

from __future__ import annotations

import json
import os
import pickle
import subprocess
import sys
from dataclasses import replace
from pathlib import Path

import pytest

import furnigen
from furnigen import (
    Draft,
    InputError,
    OutputError,
    Pose,
    build,
    check,
    find_recipe,
    find_stock,
    to_cadquery,
    to_trimesh,
)
from furnigen.cli.main import main
from furnigen.core.threads import one_blas_thread
from furnigen.formats.report import finding_row, rounded_for_report

SAGGING = {"shelf_joint": "housing", "width": "2.4 m", "dividers": (0,)}


def command_line(capsys, *words: str) -> dict:
    main([*words, "--json"])
    return json.loads(capsys.readouterr().out)


@pytest.mark.parametrize("name", ["divided_case", "leaning_shelf"])
def test_findings_are_those_of_the_command_line(name, capsys):
    told = command_line(capsys, "check", name)
    rows = [rounded_for_report(finding_row(f)) for f in check(find_recipe(name)())]
    assert json.loads(json.dumps(rows)) == told["checks"]


def test_a_piece_knows_its_recipe_so_remedies_are_found(capsys):
    piece = find_recipe("divided_case")(**SAGGING)
    told = command_line(
        capsys, "check", "divided_case", "width=2.4 m", "dividers=0", "--load", "books", "--only", "sag"
    )
    found = check(piece, loads={"all": "books"}, only="sag")
    assert [f.remedy for f in found] == [row["remedy"] for row in told["checks"]]
    assert any("shorter: width=" in f.remedy for f in found)


def test_what_was_changed_since_its_recipe_made_it_gets_no_remedy_of_that_recipe():
    piece = find_recipe("divided_case")(**SAGGING)
    moved = replace(piece, openings=piece.openings[:-1])
    for other in (moved, pickle.loads(pickle.dumps(piece))):
        found = check(other, loads={"all": "books"}, only="sag")
        assert any(f.status == "fail" for f in found)
        assert not any("shorter: width=" in f.remedy for f in found)


def test_a_piece_pickles_and_hashes():
    piece = find_recipe("divided_case")()
    other = pickle.loads(pickle.dumps(piece))
    assert other == piece
    assert hash(other) == hash(piece)


def test_files_are_those_of_the_command_line(tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    told = command_line(
        capsys, "make", "crate_wall", "width=900", "--formats", "step,glb,cutlist", "--out", "a"
    )
    written = build(find_recipe("crate_wall")(width=900)).write("b/deep", formats=("step", "glb", "cutlist"))
    assert written.folder == Path("b/deep")
    assert written.files == ("cutlist.csv", "model.glb", "model.step", "report.json")
    assert written.report["checks"] == told["checks"]
    for name in written.files:
        assert (tmp_path / "a" / name).read_bytes() == (tmp_path / "b/deep" / name).read_bytes(), name
    (tmp_path / "b/deep/cutlist.csv").write_text("mine", encoding="utf-8")
    again = build(find_recipe("crate_wall")(width=800)).write("b/deep", formats="cutlist")
    assert [name for name, _ in again.kept] == ["cutlist.csv"]
    assert set(again.earlier) == {"model.glb", "model.step"}


def test_each_stage_waits_until_it_is_asked_for():
    script = (
        "import sys\n"
        "from furnigen import build, find_recipe\n"
        "def heavy(): return [m for m in ('numpy', 'OCP', 'trimesh', 'cadquery') if m in sys.modules]\n"
        "piece = find_recipe('crate_wall')()\n"
        "print(heavy())\n"
        "built = build(piece)\n"
        "built.findings_of(['fit', 'sag'])\n"
        "print(heavy())\n"
        "built.make(['step'])\n"
        "print(heavy())\n"
    )
    done = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)
    first, second, third = done.stdout.splitlines()
    assert first == "[]"
    assert "OCP" not in second
    assert "cadquery" not in second
    assert "OCP" in third
    assert "cadquery" not in third


def test_steps_are_told():
    said: list[str] = []
    build(find_recipe("crate_wall")(), on_step=said.append).make(["step"])
    assert {"loading the kernel", "checking 13 placements", "writing step"} <= set(said)


THREADS = """
import numpy, threading
from threadpoolctl import ThreadpoolController
from furnigen import check, find_recipe
from furnigen.core.threads import one_blas_thread
pool = ThreadpoolController()
def now(): return {i["num_threads"] for i in pool.info() if i["user_api"] == "blas"}
before = now()
inside = []
from furnigen.checks import strength
real = strength.assess
strength.assess = lambda *a, **k: (inside.append(now()), real(*a, **k))[1]
check(find_recipe("crate_wall")(), only=["strength"])
first, second = one_blas_thread(), one_blas_thread()
first.__enter__(); second.__enter__()
first.__exit__(None, None, None)
inside.append(now())
second.__exit__(None, None, None)
print(before, inside, now())
"""


def test_linear_algebra_runs_in_one_thread_and_the_setting_comes_back():
    env = {k: v for k, v in os.environ.items() if k != "OPENBLAS_NUM_THREADS"} | {"OPENBLAS_NUM_THREADS": "2"}
    done = subprocess.run(
        [sys.executable, "-c", THREADS], capture_output=True, text=True, check=True, env=env
    )
    assert done.stdout.strip() == "{2} [{1}, {1}] {2}"


def test_a_host_that_says_one_thread_is_left_alone(monkeypatch):
    monkeypatch.setenv("OPENBLAS_NUM_THREADS", "1")
    monkeypatch.setattr("furnigen.core.threads._controller", None)
    with one_blas_thread():
        pass


# -- bad input -------------------------------------------------------------------------------------


def test_a_file_is_no_folder_to_write_in(tmp_path):
    (tmp_path / "taken").write_text("mine", encoding="utf-8")
    with pytest.raises(OutputError, match="is a file, not a folder"):
        build(find_recipe("crate_wall")()).write(tmp_path / "taken")
    assert (tmp_path / "taken").read_text(encoding="utf-8") == "mine"
    assert [p.name for p in tmp_path.iterdir()] == ["taken"]


@pytest.mark.parametrize("call", [build, check, to_trimesh, to_cadquery])
@pytest.mark.parametrize("given", ["divided_case", None, 3, find_recipe("crate_wall")])
def test_what_is_no_piece_is_refused_by_kind(call, given):
    with pytest.raises(InputError, match=r"^piece = .*must be a Piece"):
        call(given)


@pytest.mark.parametrize(
    ("named", "message"),
    [
        ({"units": "cm"}, "units = cm"),
        ({"tolerance_mm": "fine"}, "tolerance = fine"),
        ({"tolerance_mm": 0.0}, "tolerance"),
        ({"loads": {"shelf": "heavy"}}, "load on shelf = heavy"),
        ({"limits": {"max_w": 3}}, "did you mean max_width"),
        ({"climate": 9}, "climate = 9"),
        ({"tip_tests": "elephant"}, "elephant"),
        ({"picture_px": 800}, "picture size = 800"),
    ],
)
def test_wrong_options_are_refused_before_any_work(named, message):
    with pytest.raises(InputError, match=message):
        build(find_recipe("crate_wall")(), **named)


@pytest.mark.parametrize(("formats", "message"), [("stp", "format = stp"), (("glb", "x"), "format = x")])
def test_unknown_formats_write_nothing(tmp_path, formats, message):
    with pytest.raises(InputError, match=message):
        build(find_recipe("crate_wall")()).write(tmp_path / "out", formats)
    assert not (tmp_path / "out").exists()


@pytest.mark.parametrize(
    ("name", "value", "message"),
    [
        ("width", [1200], r"width = \[1200\]: must be a length from 300.0 mm to 2400.0 mm; not a list"),
        ("width", None, "width = None: must be a length from .*; not None"),
        ("width", True, "width = true: must be a length"),
        ("width", float("nan"), "width = nan"),
        ("shelves", 2.5, "shelves = 2.5: must be a whole number from 0 to 12"),
        ("dividers", (1.5,), r"dividers = \(1.5,\): must be 1 to 13 whole numbers"),
        ("legs", 4, "legs = 4: must be one of turned, square, none; not an int|legs = 4: must be one of"),
        ("board", 18, "board = 18: must be a stock name"),
    ],
)
def test_parameters_of_the_wrong_type_are_named(name, value, message):
    with pytest.raises(InputError, match=message):
        find_recipe("divided_case")(**{name: value})


BOARD = find_stock("birch-ply-18")


@pytest.mark.parametrize(
    ("work", "message"),
    [
        (
            lambda d: d.board("a", "birch-ply-18", (0, 0, 0), (300, 17.6, 200)),
            r'find_stock\("birch-ply-18"\)',
        ),
        (lambda d: d.board("a", 18, (0, 0, 0), (300, 17.6, 200)), "stock of a = an int: must be a Stock"),
        (lambda d: d.board("a", BOARD, (0, 0), (300, 17.6, 200)), r"corner of a = \(0, 0\): must be three"),
        (lambda d: d.board("a", BOARD, ("0", 0, 0), (300, 17.6, 200)), "corner of a"),
        (lambda d: d.board(3, BOARD, (0, 0, 0), (300, 17.6, 200)), "label = an int: must be text"),
        (lambda d: d.place("a", "box", BOARD, Pose()), "a = 'box': must be a form, or a CadQuery"),
        (lambda d: d.place("a", None, BOARD, Pose()), "a = None: must be a form"),
        (lambda d: d.place("a", furnigen.rectangle(9, 9, 9), BOARD, (0, 0, 0)), "pose of a = a tuple"),
        (lambda d: d.join("x", "y", "housing"), r"joint of y to x = 'housing': must be a joint; housing\(\)"),
        (lambda d: d.join("x", "y", furnigen.housing), r"must be a joint; housing\(\) would fit"),
        (lambda d: d.opening("o", (0, 0, 0), 3), "corner of o = 3"),
        (lambda d: Draft("t", fit_mm="wide"), "fit allowance = wide"),
        (lambda d: Draft(3), "name = an int"),
    ],
)
def test_what_a_draft_can_not_use_is_refused_at_once(work, message):
    with pytest.raises(InputError, match=message):
        work(Draft("trial"))


def test_two_placements_of_one_label_are_refused():
    draft = Draft("trial")
    draft.board("shelf", BOARD, (0, 0, 0), (300, 200, 17.6))
    with pytest.raises(InputError, match="label = shelf: is taken by another placement"):
        draft.board("shelf", BOARD, (0, 0, 100), (300, 200, 117.6))
