"""Dimension facts of the trade and of standards, beside what furnigen holds and makes."""

import csv
from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import pytest

from furnigen import InputError, find_recipe, find_stock
from furnigen.checks.fit import check_fit, read_limits
from furnigen.core.quantities import parse_length
from furnigen.parts.cuts import Bore

with (Path(__file__).parent / "facts" / "dimensions.csv").open(encoding="utf-8") as file:
    FACTS = {row["id"]: row for row in csv.DictReader(file)}


def mm(fact: str) -> float:
    return parse_length(FACTS[fact]["value"])


def test_sheets_are_as_sold():
    sheet = find_stock("birch-ply-18-2440")
    assert (sheet.width_mm, sheet.length_mm) == (mm("SHEET-1"), mm("SHEET-2"))
    square = find_stock("birch-ply-18")
    assert square.width_mm == square.length_mm == mm("SHEET-3")
    assert find_stock("fir-ply-3-4in").thickness_mm == pytest.approx(mm("PLY-23"))


def test_shelf_pins_stand_on_the_32_mm_pattern():
    piece = find_recipe("panel_bookcase")(shelf_joint="pins")
    side = next(p for p in piece.parts if p.name == "side left")
    holes = [c for c in side.cuts if isinstance(c, Bore) and c.name == "pin hole"]
    assert {(h.diameter, h.depth) for h in holes} == {(mm("SYS32-2"), mm("SYS32-4"))}
    # length of the side runs along x, its width along y from one edge
    heights = sorted({round(h.start[0], 6) for h in holes})
    assert {round(b - a, 6) for a, b in pairwise(heights)} == {mm("SYS32-1")}
    rows = {round(h.start[1], 6) for h in holes}
    # the side is 320 mm wide; whichever edge is the front, a row stands 37 mm in from it
    assert mm("SYS32-3") in rows or round(320 - mm("SYS32-3"), 6) in rows


def test_a_housing_deeper_than_half_its_board_is_refused():
    from furnigen import Draft, housing

    board = find_stock("birch-ply-18-2440")
    t = board.thickness_mm
    draft = Draft("deep")
    side = draft.board("side", board, (0, 0, 0), (t, 300, 800), grain="z")
    shelf = draft.board("shelf", board, (t, 0, 300), (500, 300, 300 + t), grain="x")
    most = float(FACTS["HOUSING-1"]["value"]) * t
    with pytest.raises(InputError, match="depth"):
        draft.join(side, shelf, housing(most + 0.5))


def test_forward_reach_of_the_accessibility_standard_is_a_limit_of_a_brief():
    recipe = find_recipe("panel_bookcase")
    limits = read_limits({"reach": FACTS["REACH-1"]["value"]}, "mm")
    low, high = recipe(height=1400, shelves=3), recipe(height=2000, shelves=3)
    found = [next(f for f in check_fit(replace(p, limits=limits)) if f.name == "reach") for p in (low, high)]
    assert [f.status for f in found] == ["pass", "fail"]
    assert found[0].value <= mm("REACH-1") < found[1].value
