"""What an answer says: what binds, limits relaxed, conflicts, units, the chart, as a maker reads it."""

from __future__ import annotations

import csv
import json

import pytest
from solving import GRID, STACK, place, solved

from furnigen.cli.main import main
from furnigen.solve.chart import BEST, FAILS, HOLDS, Chart, Dot, chart_lines, chart_page

MASS = '[goal]\nminimise = "mass"\n'
FEW = GRID.replace("to = 1300", "to = 1000").replace("to = 8", "to = 3").replace("[2, 3, 4]", "[2, 3]")
"""24 candidates."""


def told_of(file, capsys, status=0):
    """What the command prints, in one line."""
    out = file.parent / f"{file.stem}-out"
    assert main(["solve", str(file), "--workers", "0", "--out", str(out)]) == status
    return " ".join(capsys.readouterr().out.split())


def test_a_share_of_a_limit_names_its_check(tmp_path, capsys):
    """61 % alone says nothing: of what?"""
    told = told_of(place(tmp_path, f"{FEW}{MASS}[hold]\nutilisation = 0.5\n"), capsys)
    assert "at most 50%: sag of shelf.1, shelf.2" in told


def test_both_ends_of_a_limit_are_relaxed(tmp_path, capsys):
    file = place(tmp_path, f"{FEW}{MASS}[hold]\nparts = {{ at_least = 9, at_most = 12 }}\n")
    answer = solved(file)
    assert [r["to"] for r in answer["relaxing"]] == [
        {"at_most": 13.0, "at_least": 9.0},
        {"at_most": 12.0, "at_least": 8.0},
    ]
    assert [r["saves"] > 0 for r in answer["relaxing"]] == [False, True]
    capsys.readouterr()
    told = told_of(file, capsys)
    assert "parts at most 13 instead of at most 12: saves nothing" in told
    assert "parts at least 8 instead of at least 9: saves" in told


def test_a_conflict_names_limits_with_their_values(tmp_path, capsys):
    told = told_of(place(tmp_path, f"{FEW}{MASS}[hold]\nmass = 5\n"), capsys, status=1)
    assert "no candidate meets mass at most 5 kg it would hold with mass" in told
    text = f"{FEW}{MASS}[hold]\nmass = 8\nparts = {{ at_least = 9 }}\n"
    told = told_of(place(tmp_path, text, "two"), capsys, status=1)
    assert "no candidate meets together: mass at most 8 kg and parts at least 9" in told
    # what was worked out to say so is counted
    assert "to explain the answer" in told


def test_a_limit_on_sheets_binds_though_few_are_laid_out(tmp_path):
    """What sheets the others take at least is known before their layouts."""
    text = FEW.replace('checks = ["fit", "sag"]', 'checks = ["fit"]').replace(
        'depth = "300 mm"', 'depth = "900 mm"'
    )
    answer = solved(
        place(tmp_path, f'{text}[goal]\nminimise = "cost"\n[hold]\nstock = "stock.toml"\nsheets = 2\n')
    )
    assert answer["worked_out"]["layout"] < 24
    assert any(b["what"] == "sheets 2, at most 2" for b in answer["binding"])


STRIPS = STACK.replace(
    "    return draft.done()",
    """    from furnigen import find_stock
    strip = find_stock("beech-strip-18")
    for n in range(shelves):
        z = n * (200 + t) + 200 + t
        draft.board(f"lip.{n + 1}", strip, (0, 0, z), (width, 18, z + 18), grain="x")
    return draft.done()""",
)


def test_boards_of_timber_are_no_sheets(tmp_path):
    """`furnigen cut` calls them boards: a limit of two sheets does not count them."""
    text = FEW.replace('checks = ["fit", "sag"]', 'checks = ["fit"]').replace("stack.py", "strips.py")
    file = place(tmp_path, f'{text}[goal]\nminimise = "sheets"\n[hold]\nstock = "stock.toml"\n')
    (tmp_path / "strips.py").write_text(STRIPS)
    with (tmp_path / "stock.toml").open("a") as stock:
        stock.write('[[board]]\nstock = "beech-strip-18"\nprice = 9\n')
    answer = solved(file)
    assert (answer["value"], answer["bound"], answer["proven"]) == (1.0, 1.0, True)


def test_lengths_of_an_inch_file_are_inches(tmp_path, capsys):
    """Sag is asked for, limited and shown in the unit of the file; JSON stays in mm."""
    text = FEW.replace("recipe =", 'units = "in"\nrecipe =').replace(
        "width = { from = 900, to = 1000, step = 100 }", 'width = ["36", "40"]'
    )
    limit = place(tmp_path, f"{text}{MASS}[hold]\nsag = 0.02\n")
    answer = solved(limit)
    assert answer["relaxing"][0]["from"] == {"at_most": pytest.approx(0.508)}
    same = solved(place(tmp_path, f'{text}{MASS}[hold]\nsag = "0.508 mm"\n', "same"))
    assert same["params"] == answer["params"]
    capsys.readouterr()
    assert "sag at most 0.021 in instead of at most 0.020 in" in told_of(limit, capsys)


def test_a_warning_is_no_share_of_a_limit_that_decides(tmp_path):
    """A rack that holds is not drawn, or listed, beyond a limit because of a check that only warns."""
    text = (
        'recipe = "ladder_rack"\nchecks = ["fit", "sag", "strength"]\n[fixed]\nladders = 3\n'
        '[vary]\nrung = ["40 mm", "50 mm"]\n[load]\nall = "60 kg/m2"\n'
    )
    solved(place(tmp_path, text + MASS))
    rows = list(csv.DictReader((tmp_path / "ask-out" / "candidates.csv").read_text().splitlines()))
    holding = [r for r in rows if r["status"] == "holds"]
    assert holding
    assert all(float(r["largest share of a limit"]) <= 1.0 for r in holding)


def test_points_of_a_trade_off_are_numbered_and_say_what_binds(tmp_path, capsys):
    file = place(tmp_path, f'{FEW}[goal]\nminimise = ["mass", "sag"]\n')
    told = told_of(file, capsys)
    answer = json.loads((tmp_path / "ask-out" / "answer.json").read_text())
    assert "01 7.344 kg" in told
    assert f"{len(answer['points']):02} " in told
    assert answer["binding"] == [p["binding"] for p in answer["points"]]
    assert all(b["what"] for some in answer["binding"] for b in some)


DOTS = (Dot(231.2, 167.4, FAILS), Dot(267.3, 95.0, BEST), Dot(394.7, 72.1, HOLDS))


def test_the_chart_has_round_ends_and_shows_its_limit():
    lines = chart_lines(Chart("t", "cost (EUR)", "share (%)", DOTS, limit=100.0))
    assert lines[-1].split() == ["200", "400"]
    assert lines[1].startswith("180 |")
    limit = next(line for line in lines if line.startswith("100 |"))
    assert limit.count("*") + limit.count(".") == 56


@pytest.mark.parametrize("limit", [None, 100.0])
@pytest.mark.parametrize(
    "dots", [DOTS, (Dot(3.0, 0.0, BEST), Dot(3.0, 0.0, HOLDS)), (Dot(-9.0, 5e6, BEST),) * 2]
)
def test_everything_lies_on_the_page(dots, limit):
    page = chart_page(Chart("t", "across", "up", dots, line=True, limit=limit))
    places = [p for item in page.items for p in getattr(item, "points", ())]
    assert places
    assert all(0 <= x <= page.width and 0 <= y <= page.height for x, y in places)
    words = [item.text for item in page.items if hasattr(item, "text")]
    assert {BEST, HOLDS, FAILS, "01"} <= set(words)  # what the marks mean; which point is which file
