"""When nothing holds: a smallest set of limits that can not hold together, and the nearest that would."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import combinations

from furnigen.solve.best_first import BestFirst
from furnigen.solve.demands import ChecksPass, Demand, Demands, Goal, Hold, NamedCheck, in_order
from furnigen.solve.facts import Facts
from furnigen.solve.known import Known, StoppedError
from furnigen.solve.setup import FIT, STAGES, STRENGTH

LARGEST = 3
"""Limits of a set: with more, nobody sees which to loosen."""
ROUND = 16
MOST_STRENGTHS = 600
"""Strength evaluations that the search for the smallest set may take."""


@dataclass(frozen=True)
class Conflict:
    """Demands that no candidate meets together.

    Attributes:
        demands: the set; none smaller can not hold, where `smallest`.
        smallest: whether every smaller set was seen to hold for some candidate.
    """

    demands: tuple[Demand, ...]
    smallest: bool


@dataclass(frozen=True)
class WouldHold:
    """What one limit would have to be for something to hold.

    Attributes:
        hold: the limit as it is.
        value: what it would have to be.
        number: the candidate that then holds.
        by: by what share of the limit it is exceeded.
        proven: whether no smaller change would do.
    """

    hold: Hold
    value: float
    number: int
    by: float
    proven: bool


def atoms_of(demands: Demands, known: Known) -> tuple[Demand, ...]:
    """Each demand by itself: limits, and every kind of check that has failed; limits first."""
    found: list[Demand] = [d for d in demands.all if not isinstance(d, ChecksPass)]
    named: dict[str, NamedCheck] = {}
    for facts in known.all:
        for stage in STAGES:
            for check in facts.checks.get(stage, ()):
                if check["status"] == "fail" and stage in demands.stages:
                    named.setdefault(check["name"], NamedCheck(check["name"], stage))
    return (*found, *(named[n] for n in sorted(named)))


def find_conflict(known: Known, demands: Demands, numbers: Sequence[int]) -> Conflict | None:
    """A smallest set of demands that no candidate meets; None where the recipe refuses them all.

    A set is refuted by one candidate that meets all of it; stages are worked out only as far as that takes.
    """
    there = [n for n in numbers if not known.facts(n).refusal]
    if not there:
        return None
    atoms = atoms_of(demands, known)
    begun = known.worked_out[STRENGTH]
    for size in range(1, LARGEST + 1):
        for chosen in combinations(atoms, size):
            try:
                if known.worked_out[STRENGTH] - begun > MOST_STRENGTHS:
                    raise StoppedError
                if not _met_by_some(known, chosen, there):
                    return Conflict(chosen, smallest=True)
            except StoppedError:
                return _from_what_is_known(known, atoms, there)
            # a kind of check that was not known to fail may have turned up
            atoms = (*atoms, *(a for a in atoms_of(demands, known) if a not in atoms))
    return _from_what_is_known(known, atoms, there)


def _met_by_some(known: Known, chosen: tuple[Demand, ...], numbers: Sequence[int]) -> bool:
    """Whether some candidate meets all of a set. Raises: StoppedError."""
    open_ = []
    for number in numbers:
        state = _state(chosen, known.facts(number))
        if state is True:
            return True
        if state is None:
            open_.append(number)
    open_.sort(key=lambda n: -known.facts(n).depth)
    stages = sorted({d.stage for d in chosen}, key=STAGES.index)
    while open_:
        some, open_ = open_[:ROUND], open_[ROUND:]
        for stage in (FIT, *stages):
            alive = [n for n in some if _state(chosen, known.facts(n)) is None]
            known.need(alive, stage)
        if any(_state(chosen, known.facts(n)) is True for n in some):
            return True
    return False


def _state(chosen: tuple[Demand, ...], facts: Facts) -> bool | None:
    """Whether a candidate meets a set; None while that is not known."""
    known = [d.excess(facts) for d in chosen]
    if any(e is not None and e > 0 for e in known):
        return False
    return None if None in known else True


def _from_what_is_known(known: Known, atoms: Sequence[Demand], numbers: Sequence[int]) -> Conflict | None:
    """A set of which all candidates are known to fail one; perhaps not the smallest."""
    left = [known.facts(n) for n in numbers]
    chosen: list[Demand] = []
    while left:
        counts = [sum((d.excess(f) or 0.0) > 0 for f in left) for d in atoms]
        if not counts or not max(counts):
            return None  # some candidate is not known to fail
        chosen.append(atoms[counts.index(max(counts))])
        left = [f for f in left if not (chosen[-1].excess(f) or 0.0) > 0]
    return Conflict(tuple(chosen), smallest=len(chosen) == 1)


def nearest_that_would(
    known: Known, demands: Demands, conflict: Conflict, numbers: Sequence[int], skip: bool
) -> list[WouldHold]:
    """For each limit of a conflict, what it would have to be; the smallest change first."""
    found = []
    for hold in conflict.demands:
        if not isinstance(hold, Hold) or (hold.most is not None and hold.least is not None):
            continue
        others = in_order([d for d in demands.all if d != hold], set(demands.stages))
        goal = Goal(((hold.measure, 1.0),), largest=hold.least is not None)
        search = BestFirst(known, goal, others, skip=skip, strengths=MOST_STRENGTHS)
        best = search.run(numbers)
        if best.score is None:
            continue
        value, limit = goal.value(best.score), hold.least if hold.most is None else hold.most
        assert limit is not None
        by = abs(value - limit) / (abs(limit) or 1.0)
        found.append(WouldHold(hold, value, best.best[0], by, best.proven))
    return sorted(found, key=lambda w: w.by)
