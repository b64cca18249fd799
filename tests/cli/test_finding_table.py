"""The table of findings: worst first, within the terminal, the remedy under what is amiss."""

from __future__ import annotations

import os
import pickle
import re
import subprocess
import sys
from dataclasses import replace
from json import loads

import pytest

from furnigen.cli.finding_table import MOST_LINES, carried_lines, findings_table
from furnigen.cli.main import main
from furnigen.core.errors import InputError
from furnigen.core.finding import FAIL, PASS, WARN, Finding, name_labels
from furnigen.core.wording import in_words
from furnigen.formats.amounts import amount

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
    lines = findings_table(FINDINGS, "mm", width, whole=True)
    assert max(map(len, lines)) <= width
    assert lines[0] == "Checks: 2 fail, 1 to look at, 4 pass"
    assert lines[2].split() == ["check", "found", "limit", "used", "where"]
    rows = [line for line in lines if line[:4] in ("FAIL", "warn", "pass")]
    assert [row[:4] for row in rows] == ["FAIL", "FAIL", "warn", "pass", "pass", "pass", "pass"]
    assert [row.split()[1] for row in rows] == ["sag", "sag", "safety", "near", "fine", "none", "unsaid"]
    assert rows[0].split()[2:7] == ["17.0", "mm", "max", "3.66", "464%"]
    assert rows[2].split()[2:7] == ["1.25", "x", "min", "2", "160%"]
    # the numbers stand in columns, below their heading
    assert len({row.index("max") for row in rows if " max " in row}) == 1
    assert {row.index("%") + 1 for row in rows if "%" in row} == {lines[2].index("used") + 4}


def test_passes_are_one_line_and_findings_alike_are_one_row() -> None:
    lines = findings_table(FINDINGS, "mm", 100)
    rows = [line.split()[1] for line in lines if line[:4] in ("FAIL", "warn", "pass")]
    assert rows == ["sag", "safety"]
    assert lines[-1] == "4 pass; --all shows them"
    assert "2 of them, the worst: shelf.2" in "\n".join(lines)
    assert "--all shows what each of the others needs" in " ".join(" ".join(lines).split())
    good = [f for f in FINDINGS if f.status == PASS]
    assert findings_table(good, "mm", 100) == ["Checks: 4 pass; --all shows them"]


def test_boards_that_fail_alike_are_counted_and_named() -> None:
    many = [
        Finding(
            "sag",
            FAIL,
            5.0 + n,
            3.0,
            "mm",
            f"shelf.{n}: a span",
            "",
            "thicker",
            2 + n,
            labels=(f"shelf.{n}",),
        )
        for n in range(1, 25)
    ]
    told = " ".join(" ".join(findings_table(many, "mm", 100)).split())
    assert "24 boards: shelf.24" in told
    assert "the worst: shelf.24: a span" in told
    # one remedy for all of them needs no word about others
    assert "others" not in told


@pytest.mark.parametrize("width", [60, 100])
def test_any_case_takes_a_screen_by_default(width: int) -> None:
    """Thirty checks that fail, each with remedies of many lines: the worst says most, the rest is counted."""
    many = [
        Finding(f"check-{n}", FAIL, 2.0, 1.0, "mm", "shelf " * 40, "why " * 90, "do this\n" * 9, 2.0 + n)
        for n in range(30)
    ]
    for count in (1, 3, 8, 12, 30):
        lines = findings_table(many[:count], "mm", width)
        assert len(lines) <= MOST_LINES
        assert max(map(len, lines)) <= width
        assert f"check-{count - 1}" in lines[3]
    assert "more checks to look at; --all shows them" in findings_table(many, "mm", width)[-1]
    assert len(findings_table(many, "mm", width, whole=True)) > 300


def test_what_is_amiss_is_told_whole_and_its_remedy_before_the_reckoning() -> None:
    text = findings_table(FINDINGS, "mm", 80, whole=True, why=True)
    at = [i for i, line in enumerate(text) if line.startswith("FAIL")][1]
    assert text[at].split()[-1] == "shelf.1"
    assert text[at + 1].split() == ["remedy", "thicker"]
    assert text[at + 2].split()[:2] == ["shorter", "x"]
    told = " ".join(" ".join(text[at:]).split())
    assert ("shorter " + "x " * 60).strip() in told
    assert "why a load" in told
    assert not [line for line in findings_table(FINDINGS, "mm", 80, whole=True) if "why " in line]


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
    lines = findings_table(alike, "mm", 100, whole=True, why=True)
    whys = [line.split("why", 1)[1].strip() for line in lines if " why " in line]
    assert whys == ["9 mm at once. Limit L/240. Books", "8 mm at once", "Limit L/240"]


def test_what_passes_takes_one_line_and_says_where_it_is_cut() -> None:
    lines = findings_table(FINDINGS, "mm", 80, whole=True)
    assert next(line for line in lines if " fine " in line).endswith(" ...")
    assert "0 mm³" in next(line for line in lines if " none " in line)
    unsaid = next(line for line in lines if " unsaid " in line)
    assert unsaid.split() == ["pass", "unsaid", "does", "not", "apply"]


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (1, "grooves", "1 groove"),
        (2, "grooves", "2 grooves"),
        (0, "parts", "0 parts"),
        (1, "meshes", "1 mesh"),
        (1, "times", "1 x"),
        (1, "N/mm2", "1 N/mm²"),
    ],
)
def test_counts_agree_with_what_is_counted(value: float, unit: str, shown: str) -> None:
    assert amount(value, unit, "mm") == shown


def test_lengths_within_texts_are_in_the_units_asked_for() -> None:
    place, remedy = f"span of {in_words(571.5)}", f"strips {in_words(19.05)} high"
    f = Finding("sag", FAIL, 7.0, 3.0, "mm", place, f"{in_words(0.63, digits=2)} at once", remedy, 2.0)
    # a program and a report read millimetres
    assert (f.where, f.remedy, f.source) == ("span of 571.5 mm", "strips 19.1 mm high", "0.63 mm at once")
    inches = " ".join(findings_table([f], "in", 120, why=True))
    for text in ("span of 1'-10 1/2\"", 'strips 3/4" high', "0.025 in at once"):
        assert text in inches
    assert " mm" not in inches
    for copied in (pickle.loads(pickle.dumps(f)), replace(f, status=WARN)):
        assert "span of 1'-10 1/2\"" in " ".join(findings_table([copied], "in", 120))


@pytest.mark.parametrize("units", ["mm", "in"])
def test_a_check_in_inches_says_no_millimetres(units: str, monkeypatch, capsys) -> None:
    """Every text of a check that fails in many ways, reasons included."""
    monkeypatch.setenv("COLUMNS", "140")
    words = ["check", "divided_case", "width=2 m", "--load", "100 kg/m", "--tip-test", "all"]
    assert main([*words, "--units", units, "--all", "--why"]) == 1
    text = capsys.readouterr().out
    numbers = re.findall(r"\d mm\b(?!²)", text)
    assert bool(numbers) == (units == "mm"), numbers
    assert "racking left-right" in text
    assert re.search(r"the back holds \d+ x the load \(2 needed\)", " ".join(text.split()))


@pytest.mark.parametrize(("units", "size"), [("mm", "120.0 mm"), ("in", '~4 23/32"')])
def test_a_refusal_from_deep_down_is_in_the_units_asked_for(units: str, size: str, capsys) -> None:
    """A block wider than twice the inset of its leg: said where the block is placed, not by its range."""
    words = ["check", "divided_case", "leg_top=90 mm", "--only", "fit", "--units", units]
    assert main(words) == 2
    said = capsys.readouterr().err
    assert f"at most {size}" in said
    assert ("mm" in said) == (units == "mm")


@pytest.mark.parametrize(("units", "value"), [("mm", r"width=\d+;"), ("in", r"width=\d+mm;")])
def test_a_remedy_can_be_typed_as_it_stands(units: str, value: str, capsys) -> None:
    """Among inches a bare number would be inches: the remedy says its unit, and passes when it is typed."""
    words = ["check", "panel_bookcase", "width=2 m", "--load", "60 kg/m", "--only", "sag", "--units", units]
    assert main(words) == 1
    found = re.search(value, " ".join(capsys.readouterr().out.split()))
    assert found
    words[2] = found[0].rstrip(";")
    assert main(words) == 0


def test_an_error_with_lengths_crosses_processes() -> None:
    error = pickle.loads(pickle.dumps(InputError("depth", in_words(300.0), f"at most {in_words(254.0)}")))
    assert str(error) == "depth = 300.0 mm: at most 254.0 mm"
    assert error.shown("in") == 'depth = ~11 13/16": at most 10"'


@pytest.mark.parametrize("name", ["panel_bookcase", "ladder_rack", "divided_case"])
def test_a_whole_check_fits_a_screen(name: str, monkeypatch, capsys) -> None:
    monkeypatch.setenv("COLUMNS", "60")
    main(["check", name, "--load", "150 kg/m", "--tip-test", "all", "--only", "fit,sag,strength,standing"])
    lines = capsys.readouterr().out.splitlines()
    assert len(lines) <= 40
    assert any(line.startswith("FAIL") for line in lines)


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
    """Fractions as on a rule, decimals for what is less than its parts."""
    rows = ((635.0, 600.0, "2'-1\"  max ~1'-11 5/8\""), (0.63, 3.66, "0.025 in  max 0.144 in"))
    for value, limit, row in rows:
        text = findings_table([Finding("sag", FAIL, value, limit, "mm", used=1.1)], "in", 80)
        assert row in text[3]


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
    done = subprocess.run([*words, "--json" if json else "--all"], capture_output=True, env=env, check=False)
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
