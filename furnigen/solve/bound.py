"""A bound for grids that are too large: the least value of the goal over all candidates, whatever the checks.

That the goal runs one way along a parameter is tested at places drawn at random; a parameter along which it
turns is looked at value by value. The least then lies where all parameters stand at their lower end for the
goal, or, where the recipe refuses that, at the border of what it refuses, which is walked along; that a
parameter has no say in a refusal is tested at its ends. A value seen below the bound goes over it.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise, product
from math import inf, prod
from random import Random

from furnigen.solve.demands import Goal
from furnigen.solve.grid import Grid, Steps
from furnigen.solve.known import Known
from furnigen.solve.setup import FIT

PLACES = 12
"""Places at which the goal is tested along every parameter."""
TESTED = 8
"""Values of each line that is tested."""
MOST_CORNERS = 256
MOST_ENDS = 6
MOST_DESCRIBED = 6000
"""Candidates that the walk along the border may describe, most of them refused, which is quick; with more no
bound is stated."""


def drawn(grid: Grid, chance: Random, many: int) -> list[int]:
    """Candidates drawn at random, none twice, none that is left out."""
    found = dict.fromkeys(chance.randrange(grid.count) for _ in range(many * 4))
    return [n for n in found if grid.candidate(n) is not None][:many]


def least_floor(known: Known, goal: Goal) -> float:
    """What no candidate is below; -inf where that can not be said.

    Raises: StoppedError.
    """
    return _Bound(known, goal).least()


class _Bound:
    def __init__(self, known: Known, goal: Goal) -> None:
        self._known, self._goal, self._grid = known, goal, known.grid
        self._begun = known.worked_out[FIT]
        self._starts: list[int] = []
        self._turning: list[int] = []

    def least(self) -> float:
        places = [self._grid.steps(n) for n in drawn(self._grid, Random(0), PLACES)]
        for axis, size in enumerate(self._grid.sizes):
            ways = {self._way(steps, axis) for steps in places} - {0}
            if len(ways) > 1 or 2 in ways:
                self._turning.append(axis)
            self._starts.append(size - 1 if ways == {-1} else 0)
        if not places or prod(self._grid.sizes[a] for a in self._turning) > MOST_CORNERS:
            return -inf
        # parameters of few values first: there are fewer ways along the border
        walked = sorted((a for a in range(len(self._starts)) if a not in self._turning), key=self._size)
        found = inf
        for values in product(*(range(self._grid.sizes[a]) for a in self._turning)):
            corner = list(self._starts)
            for axis, value in zip(self._turning, values, strict=True):
                corner[axis] = value
            for floor in self._border(tuple(corner), walked):
                found = min(found, floor)
            if self._known.worked_out[FIT] - self._begun > MOST_DESCRIBED:
                return -inf
        return found if found < inf else -inf

    def _size(self, axis: int) -> int:
        return self._grid.sizes[axis]

    def _border(self, at: Steps, walked: list[int]) -> Iterator[float]:
        """Floors of the first candidates that the recipe takes, on every way up from a corner.

        Each candidate is reached from the corner along one parameter after the other; the first one taken on
        that way is no higher than it.
        """
        if self._taken([at])[0] is not None:
            yield self._floor(at)
            return
        if not walked or self._known.worked_out[FIT] - self._begun > MOST_DESCRIBED:
            return
        if not any(n is not None for n in self._taken(self._ends(at, walked))):
            return
        axis, *rest = walked
        up = range(self._grid.sizes[axis])
        ordered = up if self._starts[axis] == 0 else reversed(up)
        line = [(*at[:axis], value, *at[axis + 1 :]) for value in ordered]
        for steps, taken in zip(line, self._taken(line), strict=True):
            if taken is not None:
                yield self._floor(steps)
                return
            yield from self._border(steps, rest)

    def _ends(self, at: Steps, walked: list[int]) -> list[Steps]:
        """Where the parameters still to be walked stand at one of their ends.

        If the recipe refuses all of these, none of them makes it take what is between.
        """
        found = []
        for ends in product(*({0, self._grid.sizes[a] - 1} for a in walked[:MOST_ENDS])):
            steps = list(at)
            for axis, value in zip(walked, ends, strict=False):
                steps[axis] = value
            found.append(tuple(steps))
        return found

    def _taken(self, line: list[Steps]) -> list[int | None]:
        """The candidates that stand there; None for one that is left out, or that the recipe refuses."""
        numbers = [self._grid.number(steps) for steps in line]
        self._known.need([n for n in numbers if self._grid.candidate(n) is not None], FIT)
        return [
            None if self._grid.candidate(n) is None or self._known.facts(n).refusal else n for n in numbers
        ]

    def _floor(self, steps: Steps) -> float:
        return self._goal.floor(self._known.facts(self._grid.number(steps)))

    def _way(self, steps: Steps, axis: int) -> int:
        """How the goal runs along one parameter: 1 up, -1 down, 0 not at all; 2 where it turns."""
        line = self._grid.line(steps, axis, TESTED)
        self._known.need(line, FIT)
        floors = [self._goal.floor(f) for n in line if not (f := self._known.facts(n)).refusal]
        if -inf in floors:
            return 2
        rises = {(b > a) - (b < a) for a, b in pairwise(floors)} - {0}
        return rises.pop() if len(rises) == 1 else 2 if rises else 0
