"""Hundreds of parts: sound, close to the bound, the same twice, and a stop keeps the best so far."""

from __future__ import annotations

from dataclasses import replace

import pytest

from furnigen.cutting.effort import Effort
from furnigen.cutting.instance import make_instance
from furnigen.cutting.problem import FirstCut, Item, MatchedRow, Rules, Sheet, SheetProblem, Trims, um
from furnigen.cutting.proof import check_sheets
from furnigen.cutting.search.run import Search
from furnigen.cutting.solve import cut_sheets

SHORT = Effort(level=0.05)
SIZES = [(1900, 420), (1640, 380), (980, 460), (760, 350), (640, 135), (520, 400), (455, 90), (410, 300)]
FULL = Sheet("full", um(2800), um(2070), price=9000, trims=Trims(um(10), um(10), um(10), um(10)))
ITEMS = tuple(Item(f"part {k}", um(w), um(h), 35, k % 2 == 0) for k, (w, h) in enumerate(SIZES))


@pytest.mark.parametrize(
    "rules",
    [
        Rules(um(4)),
        Rules(um(4), stages=3, first_cut=FirstCut.RIP),
        Rules(um(4), stages=2),
        Rules(um(4), largest_strip_um=um(1300)),
    ],
)
def test_280_parts_are_laid_out_soundly_and_close_to_the_bound(rules):
    problem = SheetProblem((FULL,), ITEMS, rules)
    solution = cut_sheets(problem, SHORT)
    assert check_sheets(problem, solution) == []
    assert solution.unfitted == {}
    assert solution.sheets_bound <= solution.sheets <= 1.12 * solution.sheets_bound
    assert cut_sheets(problem, SHORT) == solution


def test_matched_rows_among_many_parts():
    row = MatchedRow("fronts", ("part 4", "part 6"), quantity=10)
    problem = SheetProblem((FULL,), ITEMS, Rules(um(4)), (row,))
    solution = cut_sheets(problem, SHORT)
    assert check_sheets(problem, solution) == []
    assert solution.unfitted == {}


def test_few_sheets_there_are():
    problem = SheetProblem((replace(FULL, copies=3),), ITEMS, Rules(um(4)))
    solution = cut_sheets(problem, SHORT)
    assert check_sheets(problem, solution) == []
    assert solution.unfitted
    assert solution.sheets == 3


def test_a_stop_gives_the_best_so_far():
    solution = cut_sheets(SheetProblem((FULL,), ITEMS, Rules(um(4))), Effort(stop=lambda: True))
    assert check_sheets(SheetProblem((FULL,), ITEMS, Rules(um(4))), solution) == []
    assert solution.cut_short


def test_a_search_goes_on_from_sheets_that_are_laid():
    problem = SheetProblem((FULL,), tuple(replace(i, quantity=4) for i in ITEMS), Rules(um(4)))
    instance = make_instance(problem)
    first = Search(instance)
    first.run(100_000, 0, SHORT)
    laid = first.best()
    again = Search(instance)
    *kept, last = laid.sheets
    again.start(kept, last[1].shapes())
    assert again.left_out == len(last[1].shapes())
    assert again.best().sheets == tuple(kept)
    again.run(400_000, 0, SHORT)
    found = again.best()
    assert not found.left_out
    assert found.cost <= laid.cost
    whole = sorted(i for _, t in found.sheets for i in t.shapes())
    assert whole == sorted(i for _, t in laid.sheets for i in t.shapes())
