"""What furnigen runs of what lies about: nothing of the current folder that nobody asked for."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

from furnigen import Draft, InputError, Piece, butt, find_stock
from furnigen.cli.main import main
from furnigen.cutting.cut_table import piece_cutlist_csv
from furnigen.family.contact_sheet import Sheet, contact_sheet
from furnigen.family.family_file import read_family
from furnigen.family.table import columns, csv_chunks
from furnigen.family.task import setup_of
from furnigen.family.worker import READY, answer, start_apart
from furnigen.formats.hardware_list import hardware_csv

TRAPPED = (
    "pickle", "struct", "signal", "selectors", "socket", "random", "numpy", "trimesh", "OCP", "vtk",
    "furnigen", "vtkmodules", "multiprocessing", "subprocess", "hashlib", "tempfile", "csv",
)  # fmt: skip
FAMILY = """
recipe = "leaning_shelf"
checks = ["fit"]
[vary]
shelves = [3, 4]
"""


@pytest.fixture
def trapped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The current folder, full of modules that leave a mark when they are run."""
    for name in TRAPPED:
        text = f"open({str(tmp_path / 'sprung')!r}, 'a').write({name!r} + ' ')\nraise SystemExit(9)\n"
        (tmp_path / f"{name}.py").write_text(text, encoding="utf-8")
    (tmp_path / "racks.toml").write_text(FAMILY, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("PYTHONSAFEPATH", raising=False)
    return tmp_path


def sprung(folder: Path) -> str:
    mark = folder / "sprung"
    return mark.read_text(encoding="utf-8") if mark.exists() else ""


@pytest.mark.parametrize("path", [None, "", os.pathsep], ids=["no path", "empty path", "path of nothing"])
def test_the_drawing_process_runs_nothing_of_the_current_folder(
    trapped: Path, path: str | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    if path is None:
        monkeypatch.delenv("PYTHONPATH", raising=False)
    else:
        monkeypatch.setenv("PYTHONPATH", path)
    assert main(["make", "leaning_shelf", "--formats", "picture"]) in (0, 1)
    assert sprung(trapped) == ""
    assert (trapped / "out" / "leaning_shelf" / "preview.png").is_file()


@pytest.mark.parametrize(
    "start", [["furnigen"], ["python", "-P", "-m", "furnigen"]], ids=["command", "module"]
)
def test_workers_of_a_family_run_nothing_of_the_current_folder(trapped: Path, start: list[str]) -> None:
    """In a process of its own: a fork server lives on, and this one may have one already."""
    program = Path(sys.executable).with_name(start[0])
    command = [program, *start[1:], "family", "racks.toml", "--workers", "2"]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=300)
    assert sprung(trapped) == ""
    assert (done.returncode, done.stderr) == (0, "")


def test_workers_of_a_cluster_run_nothing_of_the_current_folder(trapped: Path) -> None:
    hand = start_apart(setup_of(read_family(trapped / "racks.toml")))
    try:
        assert answer(hand) == READY
    finally:
        hand.end()
    assert sprung(trapped) == ""


def test_furnigen_as_a_module_stops_importing_from_the_current_folder(trapped: Path) -> None:
    (
        trapped / "furnigen.py"
    ).unlink()  # Python takes what it is asked for, and what it needs itself, from here
    for name in ("signal", "struct", "random", "selectors", "subprocess"):
        (trapped / f"{name}.py").unlink()
    command = [sys.executable, "-m", "furnigen", "make", "leaning_shelf", "--formats", "cutlist"]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=300)
    assert sprung(trapped) == ""
    assert done.returncode == 0, done.stderr


PLANK = """
from furnigen import Draft, from_stock, length, recipe

@recipe("A plank")
def {name}(long=length("900 mm", "300 mm", "2 m", "length"), board=from_stock("birch-ply-18", "it")):
    {does}
    draft = Draft("plank", "Plank")
    draft.board("plank", board, (0, 0, 0), (long, 100, board.thickness_mm))
    return draft.done()
"""


@pytest.fixture
def recipes(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """The folder of recipes in the current folder; what it gives is forgotten afterwards."""
    monkeypatch.chdir(tmp_path)
    before = set(sys.modules)
    (tmp_path / "recipes").mkdir()
    yield tmp_path / "recipes"
    for name in set(sys.modules) - before:
        if name.startswith("furnigen_recipe_"):
            del sys.modules[name]


def plank(path: Path, does: str = "pass", top: str = "") -> str:
    path.write_text(top + PLANK.format(name=path.stem, does=does), encoding="utf-8")
    return str(path)


@pytest.mark.parametrize(
    "words", [["recipes"], ["describe", "crate_wall"], ["make", "crate_wall", "--formats", "cutlist"]]
)
def test_a_recipe_that_goes_before_a_built_in_one_is_told(
    words: list[str], recipes: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    plank(recipes / "crate_wall.py")
    assert main(words) == 0
    said = "furnigen: crate_wall is recipes/crate_wall.py here, not the built-in recipe of that name\n"
    assert capsys.readouterr().err == said
    assert main(["describe", "divided_case"]) == 0
    assert capsys.readouterr().err == ""


def test_one_broken_recipe_does_not_break_the_list(recipes: Path, capsys: pytest.CaptureFixture[str]) -> None:
    plank(recipes / "aboard.py")
    plank(recipes / "bad.py", top="raise ZeroDivisionError('no')\n")
    assert main(["recipes"]) == 0
    said = capsys.readouterr()
    assert "aboard " in said.out
    assert "ring_rack " in said.out
    assert said.err == "furnigen: recipe file bad.py failed at line 1: ZeroDivisionError: no\n"
    assert main(["recipes", "--json"]) == 0
    rows = {row["name"]: row for row in json.loads(capsys.readouterr().out)}
    assert {"aboard", "ring_rack", "bad"} <= rows.keys()
    assert rows["bad"]["error"] == "recipe file bad.py failed at line 1: ZeroDivisionError: no"
    assert "error" not in rows["aboard"]


@pytest.mark.parametrize("command", ["make", "check", "describe"])
def test_what_a_recipe_prints_does_not_spoil_json(
    command: str, recipes: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = plank(recipes / "loud.py", does="print('made')", top="print('read')\n")
    formats = ["--formats", "cutlist"] if command == "make" else []
    assert main([command, path, "--json", *formats]) == 0
    said = capsys.readouterr()
    json.loads(said.out)
    assert "read\n" in said.err


TEXTLESS = """
class Textless(ValueError):
    def __str__(self):
        raise TypeError("no text")
class Foreign(BaseException):
    pass
"""


@pytest.mark.parametrize(
    ("raised", "told"),
    [
        ("Foreign('why')", "Foreign: why"),
        ("Textless()", "Textless, whose text fails too"),
        ("SystemExit(3)", "SystemExit: 3"),
        ("GeneratorExit()", "GeneratorExit: "),
        ("StopIteration('over')", "StopIteration: over"),
        ("BrokenPipeError('who')", "BrokenPipeError: who"),
        ("ValueError('a\\nb\\x1b[2J' + 'x' * 5000)", "ValueError: a b\N{REPLACEMENT CHARACTER}[2Jxxx"),
        ("__import__('furnigen').RecipeError(Textless())", "RecipeError, whose text fails too"),
    ],
)
@pytest.mark.parametrize("when", ["read", "made"])
def test_whatever_a_recipe_raises_is_one_message(
    raised: str, told: str, when: str, recipes: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    if when == "read":
        path = plank(recipes / "bad.py", top=f"{TEXTLESS}\nraise {raised}\n")
    else:
        path = plank(recipes / "bad.py", does=f"raise {raised}", top=TEXTLESS)
    assert main(["make", path, "--formats", "cutlist"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith("furnigen: recipe ")
    assert told in said.err
    assert said.err.count("\n") == 1
    assert len(said.err) < 600


def test_a_recipe_that_raises_what_it_may_not_is_one_refused_variant(recipes: Path) -> None:
    """A person interrupts the family, never a worker: there, the recipe itself raised it."""
    path = plank(recipes / "bad.py", does="if long > 1000: raise KeyboardInterrupt")
    family = recipes.parent / "planks.toml"
    family.write_text(f"recipe = {path!r}\n[vary]\nlong = [900, 1200]\n", encoding="utf-8")
    done = subprocess.run(
        [Path(sys.executable).with_name("furnigen"), "family", family, "--workers", "1", "--json"],
        capture_output=True, text=True, check=False, timeout=300,
    )  # fmt: skip
    assert done.stderr == ""
    rows = [json.loads(line) for line in done.stdout.splitlines()]
    assert {r["status"]: r.get("reason") for r in rows if "status" in r} == {
        "pass": "", "refused": "recipe bad failed at line 6: KeyboardInterrupt: "
    }  # fmt: skip


FORMULAS = ["=1+1", "+1", "-1", "@SUM(A1)", "\tx", "\rx", " =1+1", "a\r=1", "\uff1d1"]


@pytest.mark.parametrize("formula", FORMULAS)
def test_no_text_in_a_list_can_become_a_formula(formula: str) -> None:
    blanks = formula.strip() != formula
    if blanks:  # refused as a label; a table's own texts may still begin so
        with pytest.raises(InputError, match="without blanks at its ends"):
            small_piece(formula)
    piece = small_piece("side" if blanks else formula)
    told = [
        list(csv.reader(io.StringIO(text.decode(), newline="")))
        for text in (
            piece_cutlist_csv(piece),
            hardware_csv(piece),
            b"".join(csv_chunks(lambda: [LINE | {"name": formula}], columns([LINE | {"name": formula}]))),
        )
    ]
    text = "a\n=1" if formula == "a\r=1" else "'" + formula.replace("\r", "\n")
    assert sum(cell == text for table in told for row in table for cell in row) >= (1 if blanks else 2)
    for cell in (cell for table in told for row in table for cell in row):
        assert re.fullmatch(r"-?[0-9.]+", cell) or not cell.lstrip(" ").startswith(
            ("=", "+", "-", "@", "\t", "\r", "\uff1d")
        )
    assert told[-1][1][-1] == "-2.5"  # a number stays one


LINE = {"name": "a", "status": "pass", "reason": "", "row": {"size.lean": -2.5}}


def small_piece(label: str) -> Piece:
    stock = find_stock("birch-ply-18")
    t = stock.thickness_mm
    draft = Draft("case")
    side = draft.board(label, stock, (0, 0, 0), (t, 200, 400))
    shelf = draft.board("shelf", stock, (t, 0, 100), (400, 200, 100 + t))
    draft.join(side, shelf, butt(screws=2))
    return draft.done()


def test_a_title_that_holds_marks_of_the_page_stays_text() -> None:
    title = "@LINES@ @NOTE@ @STYLE@ @SCRIPT@ @DATA@ @TITLE@ <b>"
    sheet = Sheet(title, (title,), (), title, ())
    page = b"".join(contact_sheet(sheet, [])).decode()
    shown = title.replace("<b>", "&lt;b&gt;")
    assert page.count(shown) == 4  # head, heading, line, foot
    assert f"<title>{shown}</title>" in page
