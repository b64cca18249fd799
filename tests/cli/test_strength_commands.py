"""Loads and strength on the command line: what is asked, where it comes from, what is refused."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path

import pytest
from bench_recipe import BENCH

from furnigen.catalogue.loads import list_uses
from furnigen.catalogue.sag_limits import list_limits
from furnigen.cli.main import main


@pytest.fixture
def bench(tmp_path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "bench.py"
    path.write_text(BENCH)
    return path


CHECK = ("check", "bench.py", "--only", "strength")


def report(capsys, *words: str, status: int = 0) -> dict:
    assert main([*words, "--json"]) == status
    return json.loads(capsys.readouterr().out)


def refused(capsys, *words: str) -> str:
    assert main(words) == 2
    out, err = capsys.readouterr()
    assert out == ""
    (line,) = err.strip().splitlines()
    return line


def test_loads_from_file_and_command_line(bench, capsys) -> None:
    Path("p.toml").write_text(
        '[load]\nall = "books"\n"seat.1" = "dishes"\n[strength]\nsag_limit = "L/300"\nclimate = 2\n'
    )
    words = (*CHECK, "--params", "p.toml")
    told = report(capsys, *words, status=1)["strength"]
    assert [(row["board"], row["load"]) for row in told["loads"]] == [("seat.1", "dishes")]
    assert (told["demands"]["sag_limit"], told["demands"]["climate"]) == ("L/300", 2)
    # the command line goes over the file, whatever it names
    told = report(capsys, *words, "--load", "empty", "--sag-limit", "L/200", "--climate", "1")["strength"]
    assert told["loads"][0]["load"] == "empty"
    assert (told["demands"]["sag_limit"], told["demands"]["climate"]) == ("L/200", 1)
    words = ("--load", "seat.1=5 kg at 300 mm", "--load", "books")
    told = report(capsys, *CHECK, *words)["strength"]
    assert told["loads"][0]["load"] == "5 kg at 300 mm"


def test_a_label_in_a_table_of_toml_may_go_without_quotes(bench, capsys) -> None:
    Path("p.toml").write_text('[load]\nall = "books"\nseat.1 = "empty"\n')
    told = report(capsys, *CHECK, "--params", "p.toml")["strength"]
    assert told["loads"][0]["load"] == "empty"


def test_a_load_decides_over_pass_and_fail(bench, capsys) -> None:
    def check(width: int, *load: str) -> int:
        return main(["check", "bench.py", f"width={width}", "--only", "sag", *load])

    assert check(1400, "--load", "decoration") == 1
    assert check(700, "--load", "decoration") == 0
    capsys.readouterr()
    assert check(1400) == 0  # a load no one stated can only warn
    assert "warn  sag" in capsys.readouterr().out


def test_tip_tests_are_chosen_by_name(bench, capsys) -> None:
    words = ("check", "panel_bookcase", "depth=150", "--only", "standing")
    out = report(capsys, *words, "--tip-test", "pull-top", status=1)
    assert [c["where"].split(":")[0] for c in out["checks"] if c["name"] == "tip-test"] == ["pull-top"]
    every = report(capsys, *words, "--tip-test", "all", status=1)
    assert len([c for c in every["checks"] if c["name"] == "tip-test"]) == 4
    assert any(t["tips"] for t in every["strength"]["standing"]["tests"])
    assert any(c["name"] == "anchor" and c["status"] == "warn" for c in every["checks"])


def test_the_safety_note_is_always_shown(bench, capsys) -> None:
    main([*CHECK])
    out = " ".join(capsys.readouterr().out.split())  # lines end where the terminal does
    for words in ("estimates, not certification", "Anchor tall", "Local codes and licensed practice decide"):
        assert words in out
    assert "estimates, not certification" in report(capsys, *CHECK)["safety"]


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--load", "bookz"), "load = bookz: must be a known use"),
        (("--load", "seat.1=-3 kg/m"), "load on seat.1 = -3 kg/m: must not be negative"),
        (("--load", "40 mm"), "can not be in mm"),
        (("--load", "40"), "needs a unit"),
        (("--load", "40 lb"), "write 40 lb spread, 40 lb at middle, 40 lb at 300 mm"),
        (("--load", "40 kg/m3"), "can not be in kg/m3"),
        (("--load", "9000 kg/m"), "must be at most 3000 kg/m"),
        (("--load", "seet=books"), "did you mean seat"),
        (("--load", "side.left=books"), "is not a board that things are put on"),
        (("--sag-limit", "invisble"), "did you mean visible?"),
        (("--sag-limit", "L/2"), "must be from L/20 to L/10000"),
        (("--climate", "7"), "climate = 7: must be 1 heated rooms"),
        (("--climate", "3"), "it may stand in"),
        (("--climate", "damp"), "invalid int value"),
        (("--tip-test", "earthquake"), "tipping test = earthquake"),
        (("--tip-test", "xyz"), "there are child, pull-top, carpet, early"),
        (("--load", "9 kg at 2 m"), "the shelf is only"),
        (("--only", "sagg"), "checks = sagg: must be one of fit, solid, building, sag, strength, standing"),
    ],
    ids=lambda v: " ".join(v) if isinstance(v, tuple) else None,
)
def test_bad_words(bench, capsys, words, says) -> None:
    only = () if "--only" in words else ("--only", "strength")
    assert says in refused(capsys, "check", "bench.py", *only, *words)


def test_a_piece_that_touches_no_floor(bench, capsys) -> None:
    """Bad furniture, not bad input: a finding, exit 1, and no strength that would mean nothing."""
    Path("air.py").write_text(
        """
from furnigen import Draft, from_stock, recipe

@recipe("A board in the air")
def air(board=from_stock("birch-ply-18-2440", "board", ("sheet",))):
    draft = Draft("air")
    draft.board("shelf", board, (0, 0, 300), (800, 300, 300 + board.thickness_mm), role="shelf")
    return draft.done()
"""
    )
    for group in ("sag", "strength", "standing"):
        assert main(["check", "air.py", "--only", group]) == 1
        out = capsys.readouterr().out
        assert "FAIL  carried" in out
        assert "touches neither the floor (z = 0) nor a declared wall" in " ".join(out.split())
        assert "lower it" in out
    told = report(capsys, "check", "air.py", "--only", "strength", status=1)
    assert [c["name"] for c in told["checks"]] == ["carried"]


def test_a_material_without_a_modulus(bench, capsys, monkeypatch) -> None:
    from dataclasses import replace

    from furnigen.strength.model import members

    real = members.graded_stock
    monkeypatch.setattr(members, "graded_stock", lambda stock: replace(real(stock), moe_mpa=0.0))
    line = refused(capsys, *CHECK)
    assert "modulus of plywood-birch-18 = 0 N/mm²: must be more than zero" in line
    assert "choose another stock" in line


@pytest.mark.parametrize("command", ["check", "make"])
def test_uses_and_sag_limits_are_listed(bench, capsys, monkeypatch, command: str) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    for option, rows in (("--uses", list_uses()), ("--sag-limits", list_limits())):
        assert main([command, option]) == 0
        out = capsys.readouterr().out
        lines = out.splitlines()
        assert max(map(len, lines)) <= 80
        begun = [line.split()[0] for line in lines if not line.startswith(" ")]
        assert begun == [getattr(row, "name", "") or row.text for row in rows]
    assert "visible" in out
    assert "L/240" in out
    assert main([command, "--uses"]) == 0
    out = " ".join(capsys.readouterr().out.split())
    assert "vinyl-records 40 lb/ft Vinyl records, 12 in, upright; common practice, no source" in out


def test_a_wall_is_not_tipped(bench, capsys) -> None:
    out = report(capsys, "check", "crate_wall", "--only", "standing", "--tip-test", "all")
    tests = [c for c in out["checks"] if c["name"] == "tip-test"]
    assert len(tests) == 4
    assert all("does not apply, a wall holds it" in c["where"] for c in tests)


def test_limits_say_which_way_they_go(bench, capsys) -> None:
    out = report(capsys, "check", "ladder_rack", "--only", "strength")
    ways = {c["name"]: c["limit_is"] for c in out["checks"]}
    assert (ways["sag"], ways["sideways"], ways["foot-pressure"]) == ("most", "least", None)


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("[load]\nall = 40", "load = 40: must be a load"),
        ("[load]\nshelf = 'books'", "is not a board that things are put on"),
        ("load = 'books'", "must be a table"),
        ("[strength]\nsag_limt = 'L/300'", "did you mean sag_limit?"),
        ("[strength]\nsag_limit = 300", "must be text such as visible or L/300"),
        ("[strength]\nclimate = 'damp'", "climate = damp"),
        ("[strength]\ntip_test = [1]", "must be a name or a list of names"),
    ],
    ids=lambda v: v[:30],
)
def test_bad_tables(bench, capsys, content, says) -> None:
    Path("p.toml").write_text(content)
    assert says in refused(capsys, *CHECK, "--params", "p.toml")


def test_a_step_file_takes_no_loads(bench, capsys) -> None:
    Path("x.step").write_text("")
    assert "takes no parameters, limits, loads or steps" in refused(
        capsys, "check", "x.step", "--load", "books"
    )


@pytest.mark.parametrize("group", ["sag", "strength", "standing", "fit"])
def test_checks_of_strength_load_no_kernel(bench, group) -> None:
    heavy = "{'cadquery', 'OCP', 'trimesh', 'scipy', 'vtk'}"
    code = (
        f"import sys; from furnigen.cli.main import main; main(['check', 'bench.py', '--only', {group!r}]);"
        f" print({heavy} & set(sys.modules))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.splitlines()[-1] == "set()"


def test_light_and_whole_checks_agree(bench, capsys) -> None:
    """Drawn from the description or meshed by the kernel: the same strength."""
    light = report(capsys, "check", "divided_case", "--only", "strength,standing")
    whole = report(capsys, "check", "divided_case")
    names = {c["name"] for c in light["checks"]}
    same = [c for c in whole["checks"] if c["name"] in names]
    for a, b in zip(light["checks"], same, strict=True):
        assert (a["name"], a["status"]) == (b["name"], b["status"])
        # round tenons bear on facets that differ a little
        assert (a["value"] is None) == (b["value"] is None)
        if a["value"] is not None:
            assert a["value"] == pytest.approx(b["value"], rel=0.05, abs=0.05)
