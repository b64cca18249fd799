"""A small part of the cutting benchmark against published values; cutting.py beside it is the whole."""

from __future__ import annotations

import sys
from itertools import islice
from pathlib import Path
from time import process_time

import pytest

sys.path.insert(0, str(Path(__file__).parent))

import cutting as table
import cutting_problems as problems

from furnigen.cutting.proof import check_sheets
from furnigen.cutting.solve import cut_sheets, most_valuable


@pytest.fixture(scope="module", autouse=True)
def _compiled() -> None:
    table.warm_up()


@pytest.mark.benchmark
@pytest.mark.parametrize(("turnable", "over"), [(False, 1), (True, 2)])
def test_every_twentieth_of_the_500_near_the_best_known(turnable: bool, over: int) -> None:
    ours = known = 0
    for p in islice(problems.sheets_500(turnable), 3, None, 20):
        solution = cut_sheets(p.problem)
        assert check_sheets(p.problem, solution) == []
        # no bound of ours may pass a layout that is known
        assert solution.sheets_bound <= p.best
        assert solution.sheets >= p.bound
        ours += solution.sheets
        known += p.best
    assert ours <= known + over


@pytest.mark.benchmark
def test_single_sheets_with_proven_optima() -> None:
    matched = count = 0
    for p in islice(problems.single_sheets(), 0, None, 12):
        start = process_time()
        _, value = most_valuable(p.problem, p.values)
        assert process_time() - start < 2.0
        assert 0.99 * p.best <= value <= p.best
        matched += value == p.best
        count += 1
    assert 3 * matched >= 2 * count


@pytest.mark.benchmark
def test_three_sheet_sizes_within_two_percent() -> None:
    for p in islice(problems.several_sizes(), 0, None, 8):
        solution = cut_sheets(p.problem)
        assert check_sheets(p.problem, solution) == []
        assert solution.cost <= 1.02 * p.best


@pytest.mark.benchmark
def test_bars_are_solved_with_proof() -> None:
    assert table.bars(1.0, 9)


@pytest.mark.benchmark
def test_workshop_jobs_are_proven_or_within_one_sheet() -> None:
    assert table.workshop(1.0, 3)
