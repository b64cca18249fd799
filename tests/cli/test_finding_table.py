"""The table of findings: worst first, within the terminal, the remedy under what is amiss."""

from __future__ import annotations

import os
import subprocess
import sys
from json import loads

import pytest

from furnigen.cli.finding_table import carried_lines, findings_table
from furnigen.cli.main import main
from furnigen.core.finding import FAIL, PASS, WARN, Finding, name_labels

FINDINGS = [
    Finding("fine", PASS, 12.0, None, "parts", "everything that there is to be named here, " * 4),
    Finding("near", PASS, 1.2, 1.5, "N/mm2", "shelf.1", "a source", used=0.8),
    Finding("safety", WARN, 1.25, 2.0, "times", "joints", "a reckoning", "brace it", 1.6, least=True),
    Finding("sag", FAIL, 7.64, 3.66, "mm", "shelf.1", "a load " * 30, "thicker\nshorter " + "x " * 60, 2.08),
    Finding("sag", FAIL, 17.0, 3.66, "mm", "shelf.2", "a load", "thicker", 4.64),
    Finding("none", PASS, 0.0, 0, "mm3"),
    Finding("unsaid", PASS, 0.0, None, "", "does not apply"),
]


@pytest.mark.parametrize("width", [60, 80, 100, 120])
def test_within_the_terminal_and_worst_first(width: int) -> None:
    lines = findings_table(FINDINGS, "mm", width)
    assert max(map(len, lines)) <= width
    assert lines[0] == "Checks: 2 fail, 1 to look at, 4 pass"
    rows = [line for line in lines if line[:4] in ("FAIL", "warn", "pass")]
    assert [row[:4] for row in rows] == ["FAIL", "FAIL", "warn", "pass", "pass", "pass", "pass"]
    assert [row.split()[1] for row in rows] == ["sag", "sag", "safety", "near", "fine", "none", "unsaid"]
    assert rows[0].split()[2:] == ["17.0", "mm", "max", "3.66", "464%"]
    assert rows[2].split()[2:] == ["1.25", "times", "min", "2", "160%"]
    # the numbers stand in columns
    assert len({row.index("max") for row in rows if " max " in row}) == 1
    assert len({row.rindex("%") for row in rows if "%" in row}) == 1


def test_what_is_amiss_is_told_whole_and_its_remedy_before_the_reckoning() -> None:
    text = findings_table(FINDINGS, "mm", 80)
    at = [i for i, line in enumerate(text) if line.startswith("FAIL")][1]
    assert text[at + 1].split() == ["where", "shelf.1"]
    assert text[at + 2].split() == ["remedy", "thicker"]
    assert text[at + 3].split()[:2] == ["shorter", "x"]
    told = " ".join(" ".join(text[at:]).split())
    assert ("shorter " + "x " * 60).strip() in told
    assert "why a load" in told


def test_what_was_said_of_the_first_is_not_said_again() -> None:
    alike = [
        Finding(
            "sag",
            FAIL,
            value,
            3.0,
            "mm",
            f"shelf.{value:g}",
            f"{value:g} mm at once. Limit L/240. Books",
            used=value,
        )
        for value in (9.0, 8.0)
    ]
    alike.append(Finding("bending", FAIL, 9.0, 8.0, "mm", "shelf", "Limit L/240", used=1.1))
    whys = [line.split("why", 1)[1].strip() for line in findings_table(alike, "mm", 100) if " why " in line]
    assert whys == ["9 mm at once. Limit L/240. Books", "8 mm at once", "Limit L/240"]


def test_what_passes_takes_one_line_and_says_where_it_is_cut() -> None:
    line = next(line for line in findings_table(FINDINGS, "mm", 80) if " fine " in line)
    assert line.endswith(" ...")
    assert "0 mm³" in next(line for line in findings_table(FINDINGS, "mm", 80) if " none " in line)
    unsaid = next(line for line in findings_table(FINDINGS, "mm", 80) if " unsaid " in line)
    assert unsaid.split() == ["pass", "unsaid", "does", "not", "apply"]


@pytest.mark.parametrize(
    ("used", "shown"),
    [(0.996, "100%"), (1.0, "100%"), (1.00001, "100.1%"), (1.003, "100.3%"), (1.02, "102%")],
)
def test_just_over_a_limit_does_not_read_as_at_it(used: float, shown: str) -> None:
    (row,) = [
        x
        for x in findings_table([Finding("sag", FAIL, 3.0 * used, 3.0, "mm", "", "", "", used)], "mm", 80)
        if x.startswith("FAIL")
    ]
    assert row.split()[-1] == shown


def test_lengths_in_feet_and_inches() -> None:
    row = next(line for line in findings_table(FINDINGS, "in", 80) if line.startswith("FAIL"))
    assert '"' in row.split("max")[1]


def test_labels_that_count_up_are_told_by_their_ends() -> None:
    assert name_labels(["a.1", "a.2", "a.3", "a.5", "b", "c.1", "c.2"]) == "a.1 to .3, a.5, b, c.1, c.2"
    assert name_labels(["2", "3", "4"]) == "2 to 4"
    assert name_labels([f"part.{2 * n}" for n in range(20)]).endswith("part.22 and 8 more")
    assert name_labels([]) == ""


@pytest.mark.parametrize("json", [False, True])
def test_a_terminal_without_our_signs_gets_others_for_them(json: bool, tmp_path) -> None:
    """N/mm² on a terminal that knows ASCII alone: no traceback, and JSON stays JSON."""
    words = [sys.executable, "-m", "furnigen", "check", "divided_case", "--only", "strength"]
    env = os.environ | {"PYTHONIOENCODING": "ascii", "COLUMNS": "80"}
    done = subprocess.run([*words, *["--json"][: int(json)]], capture_output=True, env=env, check=False)
    assert (done.returncode, done.stderr) == (0, b"")
    text = done.stdout.decode("ascii")
    if json:
        assert loads(text)["recipe"] == "divided_case"
    else:
        assert "N/mm?" in text


def test_what_it_carries_is_said_first(monkeypatch, capsys) -> None:
    monkeypatch.setenv("COLUMNS", "80")
    words = ["check", "panel_bookcase", "--only", "sag", "--load", "shelf=vinyl records"]
    main([*words, "--climate", "2"])
    out = capsys.readouterr().out.splitlines()
    assert max(map(len, out[1:])) <= 80
    told = " ".join(" ".join(out[1:5]).split())
    assert told.startswith("Carries: ")
    # 40 lb/ft
    assert "vinyl-records (59.5 kg/m) on shelf.1.1 to .4" in told
    assert "Held to: sag in the long run at most L/240" in told
    assert "unheated" in told


def _row(board: str, load: str, line: float, area: float, source: str, *, assumed: bool) -> dict:
    amounts = {"kg_per_m": line, "kg_per_m2": area}
    return {"board": board, "load": load, "assumed": assumed, "source": source} | amounts


def test_an_assumed_load_is_said_to_be_assumed() -> None:
    strength = {
        "demands": {"sag_limit": "L/240", "climate_words": "heated rooms"},
        "loads": [
            _row("shelf.1", "40 kg/m", 40.0, 0.0, "given", assumed=False),
            _row("top", "shelving-standard", 0.0, 195.3, "a standard: 40 psf", assumed=True),
        ],
    }
    (text,) = [" ".join(carried_lines(strength, 200))]
    assert "40 kg/m on shelf.1;" in text
    assert "shelving-standard (195 kg/m²) on top (assumed, as nothing is said: a standard: 40 psf)" in text
    assert carried_lines({}, 80) == []
