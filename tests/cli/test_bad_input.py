"""Bad input: one clear message on standard error, exit 2, nothing half-written, earlier results untouched."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from bench_recipe import BENCH

from furnigen.catalogue.stock import list_stock
from furnigen.cli.main import main


@pytest.fixture
def bench(tmp_path, monkeypatch) -> Path:
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "bench.py"
    path.write_text(BENCH)
    return path


def refused(capsys, *words: str) -> str:
    """Run a command that must be refused; its one message."""
    assert main(words) == 2
    out, err = capsys.readouterr()
    assert out == ""
    lines = err.strip().splitlines()
    assert len(lines) == 1, err
    assert "Traceback" not in err
    return lines[0]


MAKE = ("make", "bench.py")


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("make", "bensh"), "there is no recipe bensh"),
        (("make", "nowhere.py"), "there is no recipe file nowhere.py"),
        ((*MAKE, "widht=900"), "did you mean width?"),
        ((*MAKE, "width=900", "width=800"), "width: is given twice"),
        ((*MAKE, "width"), "must be NAME=VALUE"),
        ((*MAKE, "width=wide"), "width = wide"),
        ((*MAKE, "width=900 kg"), "kg"),
        ((*MAKE, "width=0"), "must be from 300.0 mm to 2000.0 mm"),
        ((*MAKE, "width=-900"), "must be from 300.0 mm to 2000.0 mm"),
        ((*MAKE, "width=nan"), "width = nan"),
        ((*MAKE, "width=10000 m"), "no furniture is longer"),
        ((*MAKE, "seats=1.5"), "seats = 1.5: must be a whole number from 1 to 3; 1 or 2 would be one"),
        ((*MAKE, "seats=3.5"), "seats = 3.5: must be a whole number from 1 to 3; 3 would be one"),
        ((*MAKE, "seats=two"), "seats = two: must be a whole number from 1 to 3"),
        ((*MAKE, "seats=1,2"), "seats = 1,2: must be a whole number from 1 to 3; not a list"),
        ((*MAKE, "width=[1,2]"), "width = [1,2]: must be a length from 300.0 mm to 2000.0 mm; not a list"),
        ((*MAKE, "width=9 yards"), "the unit yards is not known; units are mm, cm, m, in and ft"),
        (
            (*MAKE, "board=nothing-like-it"),
            f"there are {len(list_stock())} to choose from: furnigen stock lists them",
        ),
        (("check", "divided_case", "dividers=[1,2]"), "each from 0 to 12; write 1,2, without brackets"),
        (("check", "divided_case", "dividers=1,2.5"), "dividers = 1,2.5: must be 1 to 13 whole numbers"),
        (("check", "bench.py", "--load", "book"), "did you mean books, art-books, or an amount such as 40"),
        ((*MAKE, "seats=9"), "must be from 1 to 3"),
        ((*MAKE, "board=birch-ply-81"), "board"),
        ((*MAKE, "board=beech-blank-50"), "it must be a sheet"),
        ((*MAKE, "--formats", "step,stp"), "format = stp"),
        ((*MAKE, "--tolerance", "0"), "tolerance"),
        ((*MAKE, "--tolerance", "1 m"), "must be from 0.005 mm to 5 mm"),
        ((*MAKE, "--limit", "max_widht=900"), "did you mean max_width?"),
        ((*MAKE, "--limit", "max_width=-3"), "must be more than zero"),
        ((*MAKE, "--units", "furlong"), "invalid choice"),
        (("check", "bench.py", "--time-limit", "5"), "is a limit of a STEP file, and bench.py is a recipe"),
        (("check", "bench.py", "--copy-limit", "x"), "is a limit of a STEP file"),
        ((*MAKE, "--params", "none.toml"), "can not be read"),
        ((*MAKE, "--out", "there", "widht=900"), "did you mean width?"),
        ((*MAKE, "--out", "/"), "/ is the root of the file system; choose a folder in it"),
        (("mockup", "bench.py", "--scale", "1:10", "--out=/"), "/ is the root of the file system"),
        ((*MAKE, "--thick", "width=900"), "unrecognized arguments: --thick"),
        (("describe", "bench.py", "width=900"), "unrecognized arguments: width=900; see furnigen describe"),
        (("recipes", "a\nb"), "unrecognized arguments: a\\nb; see furnigen recipes"),
        (("make",), "required: RECIPE|FILE.toml; see furnigen make"),
        (("mkae", "bench.py"), "invalid choice"),
        ((), "COMMAND"),
    ],
    ids=lambda v: " ".join(v)[:40] if isinstance(v, tuple) else None,
)
def test_words(bench, capsys, words, says):
    assert says in refused(capsys, *words)
    assert not Path("out").exists()


@pytest.mark.parametrize(
    ("content", "says"),
    [
        ("width = ", "is not TOML"),
        ("[parameters]\nwidht = 900", "did you mean width?"),
        (
            "[parameters]\nwidth = true",
            "width = true: must be a length from 300.0 mm to 2000.0 mm; not",
        ),
        ("[parameters]\nwidth = [1, 2]", "must be a length from 300.0 mm to 2000.0 mm; not a list"),
        ("[parameters]\nwidth = 2026-05-01", "width = 2026-05-01: must be a length from 300.0 mm to 2000"),
        ("[parameters]\nwidth = 2026-05-01", "; not a date"),
        ("[parameters]\nwidth = 2026-05-01T12:00:00", "; not a date and a time"),
        ("[parameters]\nseats = 2.5", "seats = 2.5: must be a whole number from 1 to 3; 2 or 3 would be one"),
        (
            "[parameters]\nseats = 07:32:00",
            "seats = 07:32:00: must be a whole number from 1 to 3; not a",
        ),
        ("[parameters]\nboard = 2026-05-01", "must be a stock name (sheet)"),
        ("parameters = 3", "must be a table"),
        ("colour = 'red'", "is not known"),
        ("units = 'cm'", "must be mm or in"),
        ("recipe = 'ring_rack'", "is for ring_rack, not for bench"),
        ("[brief]\nmax_width = 'much'", "max_width"),
    ],
)
def test_parameter_files(bench, capsys, content, says):
    Path("p.toml").write_text(content)
    assert says in refused(capsys, *MAKE, "--params", "p.toml")


@pytest.mark.parametrize(
    ("body", "says"),
    [
        ("raise ValueError('no oak left')", "failed at line 4: ValueError: no oak left"),
        ("return None", "must return a piece"),
        ("return 3", "not a int"),
        ("pass", "must return a piece"),
        ("import os; os.missing", "AttributeError"),
    ],
)
def test_recipes_that_fail(tmp_path, capsys, monkeypatch, body, says):
    monkeypatch.chdir(tmp_path)
    Path("odd.py").write_text(f'from furnigen import recipe\n@recipe("odd")\ndef odd():\n    {body}\n')
    assert says in refused(capsys, "make", "odd.py")


def test_recipe_files_that_can_not_be_read(tmp_path, capsys, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("broken.py").write_text("def f(:\n")
    assert "failed at line 1: SyntaxError" in refused(capsys, "make", "broken.py")
    Path("empty.py").write_text("x = 1\n")
    assert "declares no recipes" in refused(capsys, "make", "empty.py")
    Path("binary.py").write_bytes(b"\x00\xff\xfe")
    assert "binary.py" in refused(capsys, "describe", "binary.py")


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"solid nothing", "STEP"),
        (b"", "STEP"),
        (
            b"ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\nFILE_NAME('','',(''),(''),'','','');\n"
            b"FILE_SCHEMA(('AUTOMOTIVE_DESIGN'));\nENDSEC;\nDATA;\nENDSEC;\nEND-ISO-10303-21;\n",
            "holds no shape",
        ),
    ],
    ids=["not step", "empty file", "no solid"],
)
def test_step_files(tmp_path, capsys, monkeypatch, content, says):
    monkeypatch.chdir(tmp_path)
    Path("model.step").write_bytes(content)
    assert says in refused(capsys, "check", "model.step")
    assert "missing.step" in refused(capsys, "check", "missing.step")
    assert "takes no parameters" in refused(capsys, "check", "model.step", "width=3")


def test_a_folder_that_is_not_ours_is_left_alone(bench, capsys):
    Path("letters").mkdir()
    Path("letters/letter.txt").write_text("dear client")
    assert "did not make" in refused(capsys, *MAKE, "--out", "letters")
    assert [p.name for p in Path("letters").iterdir()] == ["letter.txt"]
    Path("plain").write_text("a file")
    assert "is a file, not a folder" in refused(capsys, *MAKE, "--out", "plain")


def test_an_unwritable_place_keeps_the_earlier_result(bench, capsys, monkeypatch):
    assert main([*MAKE, "--formats", "cutlist", "--out", "result"]) == 0
    before = {p.name: p.read_bytes() for p in Path("result").iterdir()}
    capsys.readouterr()

    def full(self: Path, data: bytes) -> int:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    said = refused(capsys, *MAKE, "width=800", "--formats", "cutlist", "--out", "result")
    monkeypatch.undo()
    assert "No space left on device" in said
    result = bench.parent / "result"
    assert {p.name: p.read_bytes() for p in result.iterdir()} == before
    assert [p.name for p in bench.parent.iterdir() if p.name.startswith(".result")] == []


def test_a_parent_that_is_a_file(bench, capsys):
    assert "can not be written" in refused(capsys, *MAKE, "--out", "bench.py/below")


def test_units_are_spelled_either_way(bench, capsys) -> None:
    for text in ("1.2 meters", "1.2 metres", "120 centimeters", "1200 millimeters", "1.2 m"):
        assert main(["check", "bench.py", f"width={text}", "--only", "fit"]) == 0
        assert capsys.readouterr().out.startswith("bench: 1200.0 mm")


@pytest.mark.parametrize(
    "words",
    [
        ("check", "divided_case", "board=birch"),
        ("check", "divided_case", "legs=blok"),
        ("check", "divided_case", "--load", "book"),
        ("check", "divided_case", "--load", "shelf.9=books"),
        ("check", "divided_case", "--load", "nonsense"),
        ("check", "divided_case", "shelve=3"),
        ("check", "divided_case", "--tip-test", "chill"),
        ("check", "divided_case", "--sag-limit", "visble"),
        ("describe", "divided"),
    ],
    ids=" ".join,
)
def test_no_name_is_listed_twice(bench, capsys, words) -> None:
    message = refused(capsys, *words).partition(": ")[2]
    names = [name.strip(" ?;.") for name in re.split(r",| or |;", message)]
    twice = {name for name in names if name and names.count(name) > 1}
    assert not twice
