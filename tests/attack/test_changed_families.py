"""Families whose rows or files were changed since: noticed, told, made anew, and nothing of a person lost."""

from __future__ import annotations

import contextlib
import io
import json
import shutil
from pathlib import Path

import pytest

from furnigen.cli.main import main

FAMILY = """
recipe = "leaning_shelf"
checks = ["fit"]
outputs = ["cutlist"]
[vary]
width = [600, 700, 800, 900]
"""


def run(folder: Path) -> tuple[int, int, str]:
    """Run the family here; how many were finished before, how many were made, what was said aside."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        assert main(["family", str(folder / "few.toml"), "--workers", "0", "--json",
                     "--out", str(folder / "few")]) == 0  # fmt: skip
    told = json.loads(out.getvalue().splitlines()[-1])
    return told["before"], told["made"], err.getvalue()


def everything(folder: Path) -> dict[str, bytes]:
    """All but the order that rows came in."""
    return {
        str(p.relative_to(folder)): p.read_bytes()
        for p in sorted(folder.rglob("*"))
        if p.is_file() and ".family" not in p.parts
    }


@pytest.fixture
def folder(tmp_path) -> Path:
    (tmp_path / "few.toml").write_text(FAMILY)
    assert run(tmp_path) == (0, 4, "")
    return tmp_path


ROWS = Path("few", ".family", "rows.jsonl")


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ('"status":"pass"', '"status":"warn"'),
        ('"number":1,', '"number":3,'),
        ('"mass_kg":', '"mass_kg":1'),
        ('"reason":""', '"reason":"odd"'),
        ('{"number":2,', '{"number":2 ,'),
        ('"number":0,', '"nummer":0,'),
        ('{"number":3', "{[[["),
    ],
)
def test_changed_rows_are_made_anew(folder, old, new):
    before = everything(folder / "few")
    rows = (folder / ROWS).read_text()
    assert old in rows
    changed = sum(old in line for line in rows.splitlines())
    (folder / ROWS).write_text(rows.replace(old, new))
    finished, made, err = run(folder)
    assert (finished, made) == (4 - changed, changed)
    assert "rows.jsonl had been changed" in err
    assert (folder / ROWS).with_name("rows.edited.jsonl").read_text() == rows.replace(old, new)
    assert everything(folder / "few") == before
    assert run(folder) == (4, 0, "")


def test_rows_taken_out_or_gone_are_told(folder):
    before = everything(folder / "few")
    lines = (folder / ROWS).read_text().splitlines(keepends=True)
    (folder / ROWS).write_text("".join(lines[1:]))
    finished, made, err = run(folder)
    assert (finished, made) == (3, 1)
    assert "their rows are missing: width=600" in err
    (folder / ROWS).unlink()
    finished, made, err = run(folder)
    assert (finished, made) == (0, 4)
    assert "width=600, width=700, width=800, width=900" in err
    assert everything(folder / "few") == before


def test_family_json_that_is_gone(folder):
    before = everything(folder / "few")
    (folder / "few" / "family.json").unlink()
    finished, made, err = run(folder)
    assert (finished, made) == (4, 0)
    assert "family.json was gone" in err
    assert everything(folder / "few") == before
    # rows of another family do not count for this one
    (folder / "few" / "family.json").unlink()
    (folder / "few.toml").write_text(FAMILY.replace("700", "750"))
    finished, made, err = run(folder)
    assert (finished, made) == (0, 4)
    assert "is of another family" in err


def test_changed_files_of_variants(folder):
    before = everything(folder / "few")
    one, two, three = (folder / "few" / f"width={w}" for w in (600, 700, 800))
    mine = (one / "cutlist.csv").read_text().replace("6", "9", 1)  # of the same length
    (one / "cutlist.csv").write_text(mine)
    shutil.rmtree(two)
    (three / "report.json").unlink()
    (three / "notes.txt").write_text("mine")
    finished, made, err = run(folder)
    assert (finished, made) == (1, 3)
    for told in (
        "width=600 (cutlist.csv was changed)",
        "width=700 (its files are gone)",
        "width=800 (report.json is gone)",
        "width=600/cutlist.csv had been changed: that version is kept as cutlist.edited.csv",
    ):
        assert told in err
    after = everything(folder / "few")
    assert after.pop("width=600/cutlist.edited.csv").decode() == mine
    assert after.pop("width=800/notes.txt") == b"mine"
    assert after == before


def test_a_changed_table_is_kept_and_told(folder):
    before = everything(folder / "few")
    for name, mine in (("family.edited.csv", "mine"), ("family.edited-2.csv", "mine too")):
        (folder / "few" / "family.csv").write_text(mine)
        _, _, err = run(folder)
        assert f"family.csv had been changed: that version is kept as {name}" in err
        assert (folder / "few" / name).read_text() == mine
    assert {n: d for n, d in everything(folder / "few").items() if "edited" not in n} == before


def test_a_start_deletes_nothing_it_did_not_make(folder):
    own = {".letters.new-12": "a", ".old.old-3/x": "b", "width=600/.draft.new-1": "c", "notes": "d"}
    for name, text in own.items():
        path = folder / "few" / name
        path.parent.mkdir(exist_ok=True)
        path.write_text(text)
    assert run(folder) == (4, 0, "")
    assert {n: (folder / "few" / n).read_text() for n in own} == own


def test_a_refused_start_leaves_a_folder_as_it_was(folder):
    state = folder / "few" / ".family"
    (folder / "few" / "family.json").write_text("{")
    before = {p: p.read_bytes() for p in state.rglob("*") if p.is_file() and p.name != "lock"}
    err = io.StringIO()
    with contextlib.redirect_stderr(err):
        words = ["family", str(folder / "few.toml"), "--workers", "0", "--out", str(folder / "few")]
        assert main(words) == 2
    assert "can not be read" in err.getvalue()
    assert {p: p.read_bytes() for p in state.rglob("*") if p.is_file() and p.name != "lock"} == before
