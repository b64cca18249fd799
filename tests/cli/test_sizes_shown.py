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
    there = "turn model.glb over in a viewer or a CAD program; cut and buy by cutlist.csv"
    assert f"in out/panel_bookcase: {there}\n" in out
    assert "preview.png" not in out
    assert "model.step" not in out


MANY = """
from furnigen import Draft, find_stock, recipe
@recipe('deep shelves too long to carry what they hold, in openings of many sizes')
def many():
    draft, ply = Draft('many'), find_stock('birch-ply-12-2440')
    t, low = ply.thickness_mm, 0
    left = draft.board('side.left', ply, (0, 0, 0), (t, 300, 2200), grain='z')
    right = draft.board('side.right', ply, (2000, 0, 0), (2000 + t, 300, 2200), grain='z')
    for n, label in enumerate('abcdefghijklmnopqrstuvwx'):
        draft.board(label, ply, (t, 0, low), (2000, 300 - n, low + t), role='shelf')
        draft.load(label, '400 kg/m')
        low += 60 + n
    return draft.done()
"""


@pytest.mark.parametrize("columns", [60, 80, 100])
def test_what_make_prints_fits_a_screen(here, capsys, monkeypatch, columns: int) -> None:
    """A piece of many parts with a lot wrong in it; all of it is there when asked for."""
    monkeypatch.setenv("COLUMNS", str(columns))
    Path("many.py").write_text(MANY)
    lines = made(capsys, "many.py", "--formats", "cutlist").splitlines()
    assert len(lines) <= 40
    assert any(line.startswith("FAIL") for line in lines)
    assert any(line.startswith("part ") for line in lines)
    assert "more parts; --all shows all" in "\n".join(lines)


@pytest.mark.parametrize("name", ["divided_case", "ring_rack", "crate_wall"])
def test_what_make_prints_of_a_recipe_fits_a_screen(here, capsys, monkeypatch, name: str) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    assert len(made(capsys, name, "--formats", "cutlist").splitlines()) <= 40


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
    assert "more parts; --all shows all" in made(capsys, *words)
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


def test_a_file_of_parameters_names_the_piece_of_every_command(here, capsys) -> None:
    Path("low shelf.toml").write_text(
        'recipe = "leaning_shelf"\n[parameters]\nheight = "1.8 m"\nshelves = 3\n', encoding="utf-8"
    )
    out = made(capsys, "low shelf.toml", "width=700", "--formats", "cutlist")
    report = json.loads(Path("out/low shelf/report.json").read_text(encoding="utf-8"))
    assert [report["params"][name] for name in ("height", "width", "shelves")] == [1800, 700, 3]
    asked = "leaning_shelf --params 'low shelf.toml' width=700"
    assert f"furnigen make {asked} --steps" in out
    assert f"furnigen mockup {asked} --scale 1:12" in out
    assert main(["check", "low shelf.toml", "--only", "fit", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["params"]["height"] == 1800
    assert main(["mockup", "low shelf.toml", "--scale", "1:12", "--way", "whole", "--formats", "stl"]) == 0
    assert Path("out/low shelf-mockup/mockup.json").exists()


@pytest.mark.parametrize("words", [("make",), ("check",), ("mockup", "--scale", "1:12"), ("serve",)])
def test_a_file_of_parameters_is_given_once_and_names_a_recipe(here, capsys, words) -> None:
    Path("one.toml").write_text('recipe = "ring_rack"\n', encoding="utf-8")
    Path("none.toml").write_text("[parameters]\nwidth = 900\n", encoding="utf-8")
    command, *rest = words
    assert main([command, "one.toml", "--params", "one.toml", *rest]) == 2
    assert "--params = one.toml: is one file of parameters too many" in capsys.readouterr().err
    assert main([command, "none.toml", *rest]) == 2
    assert "none.toml: names no recipe" in capsys.readouterr().err
    assert main([command, "lacking.toml", *rest]) == 2
    assert "can not be read" in capsys.readouterr().err
    assert not Path("out").exists()
