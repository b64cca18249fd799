"""The curve between two goals: every point is a candidate that holds, and none is better in both."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from math import inf

from furnigen.solve.best_first import Found
from furnigen.solve.demands import Demand, Demands, Goal, in_order
from furnigen.solve.facts import Facts
from furnigen.solve.known import Known

MOST_POINTS = 60


@dataclass(frozen=True)
class Below:
    """A score must be below some value: one point of the curve must beat the last."""

    goal: Goal
    score: float

    @property
    def name(self) -> str:
        """What answers call it."""
        return self.goal.name

    @property
    def stage(self) -> str:
        """After which it is known."""
        return self.goal.stage

    def excess(self, facts: Facts) -> float | None:
        """As `Demand.excess`."""
        score = self.goal.score(facts)
        if score is None:
            if facts.has(self.stage):
                return 1.0
            return 1.0 if self.goal.floor(facts) >= self.score else None
        return 0.0 if score < self.score else 1.0

    def proven(self, facts: Facts) -> bool:
        """As `Demand.proven`."""
        return self.goal.floor(facts) >= self.score

    def why(self, facts: Facts, units: str) -> str:
        """How it fails, in words."""
        return f"{self.goal.name} is no better than that of another point"


@dataclass
class Point:
    """One point of the curve.

    Attributes:
        number: the candidate.
        scores: of both goals.
        found: the search that gave it.
    """

    number: int
    scores: tuple[float, float]
    found: Found


@dataclass
class Curve:
    """The trade-off of two goals.

    Attributes:
        points: from the best in the first goal to the best in the second.
        last: the search that ended it.
        whole: whether all points are there.
    """

    points: list[Point] = field(default_factory=list)
    last: Found | None = None
    whole: bool = False

    @property
    def proven(self) -> bool:
        """Whether no candidate is better in one goal and no worse in the other than a point."""
        of_end = self.last is None or not self.last.stopped
        return self.whole and of_end and all(p.found.proven for p in self.points)


Search = Callable[[Goal, Demands], Found]


def trade_off(known: Known, goals: tuple[Goal, Goal], demands: Demands, search: Search) -> Curve:
    """The curve: the best in the first goal, then the best in it that beats the last in the second ...

    Args:
        search: finds the best candidates of one goal.
    """
    first, second = goals
    curve = Curve()
    below = inf
    while len(curve.points) < MOST_POINTS:
        extra: list[Demand] = [] if below == inf else [Below(second, below)]
        found = search(first, in_order([*demands.all, *extra], set(demands.stages)))
        curve.last = found
        scored = [(s, n) for n in found.best if (s := second.score(known.facts(n))) is not None]
        if found.score is None or not scored:
            curve.whole = not found.stopped
            break
        below, number = min(scored)
        curve.points.append(Point(number, (found.score, below), found))
        if found.stopped:
            break
    return curve
