"""Bars: sound by the independent check, proven optimal on cases known by hand."""

from __future__ import annotations

from hypothesis import given, settings
from hypothesis import strategies as st

from furnigen.cutting.bars import cut_bars
from furnigen.cutting.effort import Effort
from furnigen.cutting.layout import BarSolution
from furnigen.cutting.problem import Bar, BarProblem, Piece, um
from furnigen.cutting.proof import check_bars

SHORT = Effort(level=0.05)


def solved(problem: BarProblem) -> BarSolution:
    solution = cut_bars(problem, SHORT)
    assert check_bars(problem, solution) == []
    return solution


@settings(max_examples=40, deadline=None)
@given(
    pieces=st.lists(st.tuples(st.integers(40, 2600), st.integers(1, 6)), min_size=1, max_size=8),
    kerf=st.sampled_from([0, 3000, 3201]),
    defects=st.lists(st.tuples(st.integers(0, 2900), st.integers(1, 90)), max_size=3),
    trims=st.tuples(st.sampled_from([0, 5000]), st.sampled_from([0, 7000])),
    copies=st.sampled_from([None, 1, 3]),
)
def test_every_layout_is_sound(pieces, kerf, defects, trims, copies):
    bars = (
        Bar("long", um(4000), price=900, copies=copies, trim_start_um=trims[0], trim_end_um=trims[1]),
        Bar("board", um(3000), price=500, copies=2, defects=tuple((um(a), um(a + b)) for a, b in defects)),
    )
    problem = BarProblem(bars, tuple(Piece(f"p{k}", um(x), q) for k, (x, q) in enumerate(pieces)), kerf)
    solution = solved(problem)
    assert solution.cost_bound <= solution.cost
    assert (
        not solution.unfitted
        or not solution.proven
        or all("fits no bar" in r for r in solution.reasons.values())
    )


def test_n_pieces_need_one_kerf_less_or_as_many():
    pieces = (Piece("p", um(500), 4),)
    exact = solved(BarProblem((Bar("b", um(2000) + 3 * um(3)),), pieces, um(3)))
    assert (exact.bars, exact.proven, len(exact.layouts[0].cuts)) == (1, True, 3)
    longer = solved(BarProblem((Bar("b", um(2100)),), pieces, um(3)))
    assert (longer.bars, len(longer.layouts[0].cuts)) == (1, 4)
    short = solved(BarProblem((Bar("b", um(2000) + 3 * um(3) - 1),), pieces, um(3)))
    assert (short.bars, short.proven) == (2, True)


def test_a_defect_parts_a_board():
    board = Bar("b", um(2000), price=1, copies=1, defects=((um(990), um(1010)),))
    whole = solved(BarProblem((board,), (Piece("p", um(1100)),), um(3)))
    assert whole.unfitted == {"p": 1}
    assert "990" in whole.reasons["p"]
    halves = solved(BarProblem((board,), (Piece("p", um(990), 2),), um(3)))
    assert (halves.bars, halves.proven) == (1, True)
    assert sorted(p.x_um for p in halves.layouts[0].placed) == [0, um(1010)]


def test_the_cheapest_lengths():
    # 3 + 3 of 6 m at 10 or 2 of 3 m at 4 each: two short bars cost less
    bars = (Bar("six", um(6000), price=1000), Bar("three", um(3000), price=400))
    solution = solved(BarProblem(bars, (Piece("p", um(2900), 4),), 0))
    assert solution.used == {"three": 4}
    assert (solution.cost, solution.proven) == (1600, True)


def test_an_offcut_goes_first():
    bars = (Bar("six", um(6000), price=1000), Bar("rest", um(1500), price=0, copies=1, offcut=True))
    solution = solved(BarProblem(bars, (Piece("p", um(1400)), Piece("q", um(5800))), um(3)))
    assert solution.used == {"six": 1, "rest": 1}
    assert (solution.cost, solution.proven) == (1000, True)


def test_triplets_that_fill_bars_exactly():
    # each bar takes exactly three; built from the answer, so four bars are the optimum
    triples = [(495, 254, 251), (474, 271, 255), (472, 273, 255), (450, 298, 252)]
    pieces = tuple(Piece(f"{k}.{j}", x) for k, t in enumerate(triples) for j, x in enumerate(t))
    solution = solved(BarProblem((Bar("b", 1000, price=1),), pieces))
    assert (solution.bars, solution.proven) == (4, True)


def test_same_input_same_result():
    problem = BarProblem(
        (Bar("b", um(2440)),), tuple(Piece(f"p{k}", um(200 + 61 * k), 5) for k in range(12)), um(3)
    )
    assert cut_bars(problem, SHORT) == cut_bars(problem, SHORT)
