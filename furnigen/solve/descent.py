"""Coordinate descent with restarts, where a grid is too large to describe every candidate.

Each step searches one line of the grid, along one parameter, for its best candidate that holds; at the end of
a descent pairs of parameters are moved a step together. Every start is drawn anew from a fixed seed, so the
same file gives the same answer.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from itertools import combinations, product
from math import inf
from random import Random

from furnigen.solve.best_first import BestFirst, Found
from furnigen.solve.bound import drawn, least_floor
from furnigen.solve.demands import Demands, Goal
from furnigen.solve.grid import Steps
from furnigen.solve.known import Known, StoppedError
from furnigen.solve.setup import FIT, STRENGTH, WHOLE

RESTARTS = 12
STRENGTHS = 600
"""Strength evaluations of all descents together. Coordinate descent with restarts found the optimum of every
grid it was measured on with 300."""
DRAWN = 48
"""Candidates drawn at random to start from; the best few are checked."""
CHECKED = 8
LINE = 64
"""The most candidates of one line; of a longer one those nearby and some far off."""


def descend(
    known: Known,
    goal: Goal,
    demands: Demands,
    tell: Callable[[float, float], None] = lambda score, floor: None,
    restarts: int = RESTARTS,
) -> Found:
    """The best candidate found, and a bound."""
    return _Descent(known, goal, demands, tell).run(restarts)


@dataclass(frozen=True)
class _Point:
    """A candidate that holds, with its score."""

    score: float
    number: int


class _Descent:
    def __init__(
        self, known: Known, goal: Goal, demands: Demands, tell: Callable[[float, float], None]
    ) -> None:
        self._known, self._goal, self._tell = known, goal, tell
        self._demands = demands
        # the dearest stage only for what would be the answer
        self._light = replace(demands, stages=tuple(s for s in demands.stages if s != WHOLE))
        self._grid = known.grid
        self._begun = known.worked_out[STRENGTH]
        self._ends: dict[int, float] = {}
        self._rejected: set[int] = set()

    def run(self, restarts: int) -> Found:
        stopped = False
        floor = -inf
        try:
            for turn in range(restarts):
                if self._known.worked_out[STRENGTH] - self._begun >= STRENGTHS:
                    break
                self._one(Random(turn))
                if not turn:  # first a candidate that holds, then a bound
                    floor = least_floor(self._known, self._goal)
                best = self._best()
                if best is not None and best.score <= floor:
                    break
            self._settle()
        except StoppedError:
            stopped = True
        return self._found(floor, stopped)

    # -- descents ------------------------------------------------------------------------------

    def _one(self, chance: Random) -> None:
        """One descent from a start drawn at random."""
        start = self._start(chance)
        if start is None:
            return
        at = start
        moved = True
        while moved:
            moved = False
            axes = [a for a, size in enumerate(self._grid.sizes) if size > 1]
            chance.shuffle(axes)
            for axis in axes:
                better = self._search(self._grid.line(self._grid.steps(at.number), axis, LINE), at.score)
                if better is not None:
                    at, moved = better, True
            if not moved:
                better = self._search(self._pairs(self._grid.steps(at.number)), at.score)
                if better is not None:
                    at, moved = better, True
        self._note(at)

    def _note(self, at: _Point) -> None:
        self._ends[at.number] = at.score
        best = self._best()
        if best is not None:
            self._tell(best.score, -inf)

    def _search(self, numbers: list[int], below: float) -> _Point | None:
        """The best of some candidates that holds, if it is better than what there is."""
        numbers = [n for n in numbers if n not in self._rejected]
        search = BestFirst(self._known, self._goal, self._light, skip=False, cutoff=below)
        found = search.run(numbers)
        if found.score is not None:
            self._ends[found.best[0]] = found.score  # an end that a stop must not lose
        if found.stopped:
            raise StoppedError
        return None if found.score is None else _Point(found.score, found.best[0])

    def _pairs(self, steps: Steps) -> list[int]:
        """Candidates one step off in two parameters at once."""
        moved = []
        for (a, p), (b, q) in combinations(enumerate(steps), 2):
            for i, j in product((-1, 1), repeat=2):
                if 0 <= p + i < self._grid.sizes[a] and 0 <= q + j < self._grid.sizes[b]:
                    at = list(steps)
                    at[a], at[b] = p + i, q + j
                    moved.append(self._grid.number(tuple(at)))
        return [n for n in moved if self._grid.candidate(n) is not None]

    def _start(self, chance: Random) -> _Point | None:
        """A candidate that holds; where none of those drawn does, the way from the nearest is searched."""
        some = drawn(self._grid, chance, DRAWN)
        self._known.need(some, FIT)
        alive = [n for n in some if self._demands.broken(self._known.facts(n)) is None]
        some = alive[:CHECKED] or sorted(some, key=self._excess)[:CHECKED]
        found = self._search(some, inf)
        if found is not None:
            return found
        return self._repair(min(some, key=self._excess, default=None))

    def _excess(self, number: int) -> float:
        facts = self._known.facts(number)
        # what is not worked out further may fail there too
        return self._demands.excess(facts) + 10.0 * (len(self._demands.stages) - facts.depth)

    def _repair(self, number: int | None) -> _Point | None:
        """Move a candidate that fails along one parameter after the other to where it fails least."""
        while number is not None:
            before = self._whole_excess(number)
            at = number
            for axis, size in enumerate(self._grid.sizes):
                if size == 1:
                    continue
                line = self._grid.line(self._grid.steps(at), axis, CHECKED)
                at = min(line, key=lambda n: (self._whole_excess(n), n))
                if self._whole_excess(at) <= 0.0:
                    return self._search([at], inf)
            if self._whole_excess(at) >= before:
                return None
            number = at
        return None

    def _whole_excess(self, number: int) -> float:
        for stage in self._light.stages:
            self._known.need([number], stage)
        facts = self._known.facts(number)
        return 1e3 * bool(facts.refusal) + self._light.excess(facts)

    # -- the end -------------------------------------------------------------------------------

    def _best(self) -> _Point | None:
        ends = [(s, n) for n, s in self._ends.items() if n not in self._rejected]
        return _Point(*min(ends)) if ends else None

    def _settle(self) -> None:
        """Have the best worked out wholly; around one that fails then the search is made again."""
        while WHOLE in self._demands.stages and (best := self._best()) is not None:
            self._known.need([best.number], WHOLE)
            if self._demands.broken(self._known.facts(best.number)) is None:
                return
            self._rejected.add(best.number)
            at = self._grid.steps(best.number)
            near = [n for axis in range(len(at)) for n in self._grid.line(at, axis, LINE)]
            self._search(near, inf)

    def _found(self, floor: float, stopped: bool) -> Found:
        found = Found(stopped=stopped)
        sure = [
            (s, n)
            for n, s in self._ends.items()
            if n not in self._rejected and self._demands.next_stage(self._known.facts(n)) is None
        ]
        if sure:
            found.score = min(sure)[0]
            found.best = sorted(n for s, n in sure if s == found.score)
            later = [(s, n) for s, n in sure if s > found.score]
            found.following = min(later, default=None)
        seen = [self._goal.floor(f) for f in self._known.all if f.fails]
        found.floor = min([floor, *seen, *([found.score] if found.score is not None else [])])
        found.proven = found.score is not None and found.floor >= found.score
        if not found.proven:
            found.doubts.append(f"{self._grid.count:,} candidates are too many to try: searched by descent")
        if stopped:
            found.doubts.append("the search was ended before its time")
        return found
