"""What is printed after a make: the sizes that matter, the order of assembly, what to open next."""

from __future__ import annotations

import json
from math import atan, degrees, hypot, radians, tan
from pathlib import Path

import pytest

from furnigen.cli.main import main


@pytest.fixture
def here(tmp_path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "140")
    return tmp_path


def made(capsys, *words: str) -> str:
    main(["make", *words])
    return capsys.readouterr().out


def test_sizes_that_matter_are_shown(here, capsys) -> None:
    out = made(capsys, "divided_case", "rake=6", "splay=10", "--formats", "cutlist")
    report = json.loads(Path("out/divided_case/report.json").read_text())
    assert f"1200.0 mm x 350.0 mm x 1000.0 mm (width x depth x height), {report['mass_kg']:.1f} kg" in out
    low = min(o["clear_mm"][0] for o in report["openings"])
    assert f"4 of {low:.1f} mm wide" in out
    # the angles by chair-makers' geometry: tan r = hypot of both tangents, tan s = their ratio
    lean = degrees(atan(hypot(tan(radians(6)), tan(radians(10)))))
    sight = degrees(atan(tan(radians(10)) / tan(radians(6))))
    assert f"bore at {90 - lean:.1f}° to the face, {lean:.1f}° off square" in out
    assert f"sightline {sight:.1f}° from the front-to-back line" in " ".join(out.split())
    assert "Shelf tops" in out


def test_pitch_of_shelves_agrees_with_the_report(here, capsys) -> None:
    out = made(capsys, "ring_rack", "--formats", "cutlist")
    (pitch,) = [
        p for p in json.loads(Path("out/ring_rack/report.json").read_text())["pitches"] if p["axis"] == "z"
    ]
    assert f"{pitch['step_mm']:.10g} mm, underside to underside, {pitch['count']} of them" in out


def test_sizes_in_inches(here, capsys) -> None:
    out = made(capsys, "panel_bookcase", "width=6' 0\"", "--units", "in", "--formats", "cutlist")
    sizes = out.split("part  ")[0]
    assert "6'-0\"" in sizes
    assert " mm" not in sizes


def test_what_to_open_next_is_what_was_written(here, capsys) -> None:
    out = made(capsys, "panel_bookcase", "--formats", "cutlist,glb")
    assert "out/panel_bookcase/model.glb" in out
    assert "cut and buy by: out/panel_bookcase/cutlist.csv\n" in out
    assert "preview.png" not in out
    assert "model.step" not in out


def test_a_long_list_of_parts_is_cut_and_shown_on_request(here, capsys) -> None:
    Path("many.py").write_text(
        "from furnigen import Draft, find_stock, recipe\n"
        "@recipe('boards, each longer than the last')\ndef many():\n"
        "    draft, ply = Draft('many'), find_stock('birch-ply-18')\n"
        "    for n in range(26):\n"
        "        draft.board(f'board.{n}', ply, (0, 0, n * 17.6), (300 + n, 200, (n + 1) * 17.6))\n"
        "    return draft.done()\n"
    )
    words = ("many.py", "--formats", "cutlist")
    assert "and 6 more parts; --all shows them" in made(capsys, *words)
    whole = made(capsys, *words, "--all")
    assert "more parts" not in whole
    assert sum(line.startswith("board") for line in whole.splitlines()) == 26


@pytest.mark.parametrize("command", ["make", "check"])
def test_the_order_of_assembly_is_printed_when_asked(here, capsys, command) -> None:
    words = [command, "divided_case", *(["--formats", "cutlist"] if command == "make" else [])]
    assert main([*words, "--steps"]) == 0
    out = capsys.readouterr().out
    assert "   1  start with " in out
    assert "up along the leg's slope onto block." in out
    assert "(0." not in out
    assert main(words) == 0
    assert "Order of assembly:" not in capsys.readouterr().out


def test_the_order_needs_its_checks(here, capsys) -> None:
    assert main(["check", "divided_case", "--only", "sag", "--steps"]) == 2
    assert "must hold building for --steps" in capsys.readouterr().err
