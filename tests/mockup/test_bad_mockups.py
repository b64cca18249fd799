"""Bad input to a mockup: one clear message, exit 2, nothing written."""

from __future__ import annotations

from pathlib import Path

import pytest

from furnigen.cli.main import main

BOOKCASE = ("mockup", "panel_bookcase")


def refused(capsys, *words: str) -> str:
    assert main(words) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert "Traceback" not in err
    lines = err.strip().splitlines()
    assert len(lines) == 1, err
    return lines[0]


@pytest.fixture(autouse=True)
def _elsewhere(tmp_path, monkeypatch) -> None:
    monkeypatch.chdir(tmp_path)


@pytest.mark.parametrize(
    ("words", "says"),
    [
        (("--scale", "0"), "scale = 0: must be two numbers and a colon"),
        (("--scale", "12:1"), "would make the model larger than the piece; did you mean 1:12?"),
        (("--scale", "1:12", "--bed", "220"), "must be two or three lengths"),
        (("--scale", "1:12", "--bed", "5x5x5"), "bed = 5 mm: must be from 20 mm"),
        # the smallest part, a plinth board, is 147 mm long at 1:12
        (("--scale", "1:12", "--bed", "30x30x30", "--way", "kit"), "is too small for every part"),
        # 2 m fit 25 mm at 1:82, but 18 mm boards are thinner than a line of 0.4 mm beyond 1:44
        (
            ("--scale", "1:12", "--bed", "25x25x25", "--way", "kit"),
            "a larger bed would do; at every scale that",
        ),
        (("--scale", "1:12", "--bed", "25x25x25", "--way", "whole"), "a larger bed would do; at every"),
        # 18 mm at 1:60 is 0.3 mm: no wall is as wide as a line
        (("--scale", "1:60"), "nozzle = 0.4 mm: is wider than every part at 1:60"),
        # the brief is about the piece, so make and check hold it to that
        (("--scale", "1:12", "--limit", "max_width=1m"), "unrecognized arguments: --limit max_width=1m"),
        (("--scale", "-1:12"), "scale = -1:12: must be of two numbers above zero"),
        (("--scale", "one to twelve"), "scale = one to twelve: must be two numbers and a colon"),
        (("--scale", "1:12", "--bed", "-220x220"), "bed = -220 mm: must be more than zero"),
        (("--scale", "1:6", "--nozzle", "0"), "nozzle"),
        (("--scale", "1:6", "--nozzle", "-0.4mm"), "nozzle = -0.4 mm: must be more than zero"),
        # a tab of 0.8 mm holds nothing in a slot of 2 mm
        (("--scale", "1:12", "--clearance", "0.6", "--way", "kit"), "half the thickness of the thinnest tab"),
        (("--scale", "1:12", "--clearance", "-1"), "clearance"),
        (("--scale", "1:12", "--formats", "obj"), "format = obj"),
        (("--scale", "1:12", "--margin", "120"), "margin = 120 mm: must be from 0 mm to 107.5 mm"),
        (("--scale", "1:12", "--margin", "-1"), "margin"),
        (("--scale", "1:12", "--spacing", "1 m"), "spacing = 1000 mm: must be from 0 mm to 100 mm"),
        (("--scale", "1:12", "--names", "all"), "invalid choice"),
        (("shelves=99", "--scale", "1:12"), "must be from 0 to 16"),
        ((), "--scale"),
        (("--scale", "1:12", "--way", "half"), "invalid choice"),
    ],
)
def test_bad_words_are_refused(capsys, words: tuple[str, ...], says: str) -> None:
    assert says in refused(capsys, *BOOKCASE, *words)
    assert list(Path.cwd().iterdir()) == []


def test_a_file_in_the_way_is_refused(capsys) -> None:
    Path("taken").write_text("mine")
    said = refused(capsys, *BOOKCASE, "--scale", "1:12", "--out", "taken")
    assert "is a file, not a folder" in said
    assert Path("taken").read_text() == "mine"


def test_of_two_ways_an_impossible_one_is_told_and_the_other_made(capsys) -> None:
    words = ("--scale", "1:6", "--bed", "180x180x180", "--formats", "3mf", "--out", "made")
    assert main((*BOOKCASE, *words)) == 1
    out, _ = capsys.readouterr()
    assert "would fit" in out
    assert "whole: 6 pieces on " in out
    assert "on its back" in out
    assert list(Path("made/whole").glob("*.3mf")) != []
    assert not Path("made/kit").exists()
