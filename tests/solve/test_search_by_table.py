"""The search against brute force on made-up grids: same best, same ties, sound bounds."""

from __future__ import annotations

from math import inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from made_up import COST, GOALS, MASS, SAGS, MadeUp, MadeUpGrid, all_demands

from furnigen.solve.best_first import BestFirst
from furnigen.solve.bound import least_floor
from furnigen.solve.conflict import find_conflict, nearest_that_would
from furnigen.solve.demands import Goal, Hold
from furnigen.solve.descent import descend
from furnigen.solve.setup import STRENGTH
from furnigen.solve.trade_off import trade_off

SIZES = st.lists(st.integers(1, 6), min_size=1, max_size=4).map(tuple)
GOAL = st.sampled_from(
    [
        *GOALS.values(),
        Goal(((MASS, 1.0), (COST, 0.5))),
        Goal(((MASS, 1.0),), True),
        Goal(((SAGS, 1.0),), True),
    ]
)
LIMITS = st.sampled_from([(), (Hold(COST, most=9.0),), (Hold(SAGS, most=3.0), Hold(MASS, most=8.0))])


def brute(table: MadeUp, goal: Goal, limits: tuple[Hold, ...]) -> None:
    known = table.known()
    found = BestFirst(known, goal, all_demands(limits), follow=True).run(table.grid.members())
    score, best = table.best(goal, limits)
    assert found.score == score
    assert found.best == best
    assert found.proven or score is None
    assert found.floor <= (inf if score is None else score)
    if found.following is not None:
        later, number = found.following
        assert table.holds(number, limits)
        assert later > score
    assert len(table.asked) == len(set(table.asked)), "nothing is worked out twice"


@settings(max_examples=40, deadline=None)
@given(SIZES, GOAL, LIMITS, st.integers(0, 10**6), st.sampled_from([1.0, 0.7, 0.3]))
def test_brute_force_gives_the_same_best_and_the_same_ties(sizes, goal, limits, seed, strict):
    brute(MadeUp(MadeUpGrid(sizes), seed, strict=strict), goal, limits)


@settings(max_examples=12, deadline=None)
@given(SIZES, st.integers(0, 10**6), st.sampled_from([1.0, 0.7, 0.3]))
def test_where_checks_are_monotone_what_is_set_aside_loses_nothing(sizes, seed, strict):
    brute(MadeUp(MadeUpGrid(sizes), seed, monotone=True, strict=strict), GOALS["mass"], ())


@pytest.mark.parametrize(
    ("sizes", "seed"), [((10, 10, 20), 1), ((2000,), 2), ((5, 4, 10, 10), 3), ((40, 50), 4)]
)
@pytest.mark.parametrize("monotone", [True, False])
def test_large_grids(sizes, seed, monotone):
    brute(MadeUp(MadeUpGrid(sizes), seed, monotone=monotone), GOALS["mass"], ())


@pytest.mark.slow
def test_a_monotone_grid_takes_a_fraction_of_the_evaluations():
    table = MadeUp(MadeUpGrid((16, 18, 18)), 5, monotone=True)
    work = {}
    for skip in (True, False):
        known = table.known()
        found = BestFirst(known, GOALS["mass"], all_demands(), skip=skip).run(table.grid.members())
        assert found.proven
        # strength costs some five times what sag does
        work[skip] = known.worked_out["sag"] + 5 * known.worked_out[STRENGTH]
        assert found.score == table.best(GOALS["mass"])[0]
    assert work[True] < work[False] / 2


def test_left_out_candidates_are_never_tried():
    grid = MadeUpGrid((6, 6), frozenset({0, 7, 8, 20}))
    table = MadeUp(grid, 11, strict=0.5)
    brute(table, GOALS["mass"], ())
    assert not {n for n, _ in table.asked} & {0, 7, 8, 20}


def test_a_pair_against_the_direction_ends_it():
    """Stronger from step to step, but for one candidate in the middle that fails: nothing is lost by it."""
    table = MadeUp(MadeUpGrid((12, 12)), 3, monotone=True, strict=1.0)
    odd = table.grid.number((1, 0))  # heavy, so searched late; all weaker ones would be set aside for it
    plain = MadeUp.used
    table.used = lambda n, stage: 1.4 if n == odd else plain(table, n, stage)  # type: ignore[method-assign]
    brute(table, Goal(((MASS, 1.0),), True), ())
    table.asked.clear()
    brute(table, GOALS["mass"], ())


@settings(max_examples=12, deadline=None)
@given(SIZES, st.integers(0, 10**6), st.sampled_from([1.0, 0.5]))
def test_every_point_of_a_trade_off_is_best_in_something(sizes, seed, strict):
    table = MadeUp(MadeUpGrid(sizes), seed, strict=strict)
    goals = GOALS["mass"], GOALS["sag"]
    known = table.known()
    members = table.grid.members()
    curve = trade_off(known, goals, all_demands(), lambda g, d: BestFirst(known, g, d).run(members))
    holding = {(table.mass(n), table.value(n, goals[1])) for n in members if table.holds(n)}
    pareto = {p for p in holding if not any(q != p and q[0] <= p[0] and q[1] <= p[1] for q in holding)}
    assert {p.scores for p in curve.points} == pareto
    assert curve.proven


@settings(max_examples=12, deadline=None)
@given(SIZES, st.integers(0, 10**6))
def test_a_conflict_is_one_and_nothing_smaller_is(sizes, seed):
    table = MadeUp(MadeUpGrid(sizes), seed, strict=0.6)
    limits = (Hold(MASS, most=1.0), Hold(SAGS, most=1.5), Hold(COST, most=3.0))
    known, demands, members = table.known(), all_demands(limits), table.grid.members()
    found = BestFirst(known, GOALS["mass"], demands).run(members)
    there = [n for n in members if not table.refused(n)]
    if found.score is not None or not there:
        return
    conflict = find_conflict(known, demands, members)
    assert conflict is not None

    def met(names: frozenset[str], n: int) -> bool:
        values = {"mass": table.mass(n), "sag": table.value(n, GOALS["sag"]), "cost": table.cost(n)}
        for limit in limits:
            if limit.name in names and values[limit.name] > limit.most:
                return False
        shares = {"check sag": table.used(n, "sag"), "check strength": table.used(n, STRENGTH)}
        if any(shares[c] > 1 for c in shares if c in names):
            return False
        return not ("check overlap" in names and table.whole_fails(n))

    names = frozenset(d.name for d in conflict.demands)
    assert not any(met(names, n) for n in there), "they do not contradict each other"
    if conflict.smallest:
        for name in names:
            assert any(met(names - {name}, n) for n in there), f"{names} without {name} is a conflict too"
    for would in nearest_that_would(known, demands, conflict, members, True):
        others = tuple(h for h in limits if h != would.hold)
        values = [table.value(n, GOALS[would.hold.name]) for n in members if table.holds(n, others)]
        assert would.value == min(values)


@pytest.mark.parametrize("seed", range(3))
def test_descent_finds_what_holds_and_its_bound_is_never_above(seed):
    """Monotone grids, as pieces mostly are; brute force says what the best is."""
    table = MadeUp(MadeUpGrid((9, 8, 7, 3)), seed, monotone=True, strict=1.0)
    goal = GOALS["mass"]
    found = descend(table.known(), goal, all_demands())
    score, _ = table.best(goal)
    assert found.score is not None
    assert table.holds(found.best[0])
    assert found.floor <= score <= found.score
    assert found.score <= score + 1.0, "a step or so from the best"


@pytest.mark.parametrize("seed", range(2))
def test_the_bound_where_the_recipe_refuses_the_least_corner(seed):
    grid = MadeUpGrid((7, 6, 5))
    table = MadeUp(grid, seed, monotone=True)
    least = [sum(s - 1 for s in grid.sizes) - sum(grid.steps(n)) for n in range(grid.count)]
    table.refused = lambda n: least[n] + grid.steps(n)[2] < 5  # type: ignore[method-assign]
    found = least_floor(table.known(), GOALS["mass"])
    assert found == min(table.mass(n) for n in grid.members() if not table.refused(n))


def test_no_bound_where_the_goal_turns_along_every_parameter():
    table = MadeUp(MadeUpGrid((40, 40, 40)), 2)
    assert least_floor(table.known(), GOALS["mass"]) == -inf


def test_descent_on_a_grid_that_brute_force_can_not_look_at():
    table = MadeUp(MadeUpGrid((60, 60, 60, 60)), 1, monotone=True, strict=0.9)
    found = descend(table.known(), GOALS["mass"], all_demands(), restarts=3)
    assert found.score is not None
    assert table.holds(found.best[0])
    assert found.floor <= found.score
    assert len(table.asked) < 20_000


def test_descent_gives_the_same_each_time():
    results = []
    for _ in range(2):
        table = MadeUp(MadeUpGrid((9, 8, 7, 3)), 4, strict=0.7)
        found = descend(table.known(), GOALS["mass"], all_demands())
        results.append((found.best, found.score, found.floor, table.asked))
    assert results[0] == results[1]
