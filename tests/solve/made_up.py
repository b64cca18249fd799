"""Made-up grids: numbers and checks come from a table, so a search can be held against all of it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from math import inf, prod
from random import Random

from furnigen.family.task import FAIL, PASS, REFUSED, Outcome
from furnigen.family.variants import Variant
from furnigen.solve.demands import ChecksPass, Demands, Goal, Hold, in_order
from furnigen.solve.known import Known
from furnigen.solve.measures import Measure
from furnigen.solve.setup import FIT, LAYOUT, SAG, STRENGTH, WHOLE, Trial

MASS = Measure("mass", "kg", FIT, "mass")
COST = Measure("cost", "EUR", LAYOUT, "cost")
SAGS = Measure("sag", "mm", SAG, "sag")
GOALS = {m.name: Goal(((m, 1.0),)) for m in (MASS, COST, SAGS)}


class MadeUpGrid:
    """A grid without a family behind it."""

    def __init__(self, sizes: tuple[int, ...], left_out: frozenset[int] = frozenset()) -> None:
        self.sizes, self._left_out = sizes, left_out
        self.ranks = tuple(tuple(range(s)) for s in sizes)

    @property
    def count(self) -> int:
        return prod(self.sizes)

    def steps(self, number: int) -> tuple[int, ...]:
        found = []
        for size in reversed(self.sizes):
            number, step = divmod(number, size)
            found.append(step)
        return tuple(reversed(found))

    def number(self, steps: tuple[int, ...]) -> int:
        found = 0
        for size, step in zip(self.sizes, steps, strict=True):
            found = found * size + step
        return found

    def candidate(self, number: int) -> Variant | None:
        return None if number in self._left_out else Variant(number, str(number), {})

    def members(self) -> list[int]:
        return [n for n in range(self.count) if n not in self._left_out]

    def line(self, steps: tuple[int, ...], axis: int, most: int) -> list[int]:
        moved = (self.number((*steps[:axis], p, *steps[axis + 1 :])) for p in range(self.sizes[axis]))
        return [n for n in moved if self.candidate(n) is not None]


@dataclass
class MadeUp:
    """The table, and an engine that works trials out from it; counts what it was asked.

    Attributes:
        seed: of all its numbers.
        monotone: whether what checks use grows with every step, so that weaker is weaker throughout.
        strict: how often checks fail: 1 often, 0.2 hardly ever.
    """

    grid: MadeUpGrid
    seed: int
    monotone: bool = False
    strict: float = 1.0
    asked: list[tuple[int, str]] = field(default_factory=list)

    def chance(self, number: int, what: str) -> float:
        return Random(f"{self.seed} {number} {what}").random()

    def mass(self, number: int) -> float:
        if self.monotone:  # stronger is heavier
            return round(10.0 - sum(self.grid.steps(number)) + self.chance(number, "mass") / 4, 2)
        return float(int(self.chance(number, "mass") * 12))  # few values: many ties

    def cost(self, number: int) -> float:
        return self.mass(number) + float(int(self.chance(number, "cost") * 4))

    def used(self, number: int, stage: str) -> float:
        if self.monotone:
            steps = sum((k + 1) * s for k, s in enumerate(self.grid.steps(number)))
            most = sum((k + 1) * (s - 1) for k, s in enumerate(self.grid.sizes))
            return self.strict * 2.0 * steps / max(1, most) * (0.9 if stage == SAG else 1.0)
        return self.strict * 1.6 * self.chance(number, stage)

    def refused(self, number: int) -> bool:
        return not self.monotone and self.chance(number, "refused") < 0.1

    def whole_fails(self, number: int) -> bool:
        return not self.monotone and self.chance(number, "whole") < 0.15

    def run(self, trials: Iterable[Trial]) -> Iterator[Outcome]:
        for trial in trials:
            self.asked.append((trial.number, trial.stage))
            yield self.outcome(trial.number, trial.stage)

    def outcome(self, n: int, stage: str) -> Outcome:
        if self.refused(n):
            return Outcome(n, "", REFUSED, "refused", {})
        row = {"exact": {}, "least": {}, "checks": []}
        if stage == FIT:
            row["exact"] = {"mass": self.mass(n)}
            row["least"] = {"cost": self.mass(n)}
        elif stage in (SAG, STRENGTH):
            used = self.used(n, stage)
            row["checks"] = [check(stage, used)]
            row["fails"] = used > 1
            row["exact"] = {"sag": round(used * 5, 3)} if stage == SAG else {"utilisation": used}
        elif stage == LAYOUT:
            row["exact"] = row["least"] = {"cost": self.cost(n)}
        else:
            row["fails"] = self.whole_fails(n)
            row["checks"] = [check("overlap", 1.5)] if row["fails"] else []
        return Outcome(n, "", FAIL if row.get("fails") else PASS, "", row)

    def known(self) -> Known:
        """Nothing known yet."""
        return Known(self.grid, self)  # type: ignore[arg-type]

    def holds(self, n: int, limits: tuple[Hold, ...] = ()) -> bool:
        """Whether a candidate holds, straight from the table."""
        if self.grid.candidate(n) is None or self.refused(n) or self.whole_fails(n):
            return False
        values = {"mass": self.mass(n), "cost": self.cost(n), "sag": round(self.used(n, SAG) * 5, 3)}
        return (
            self.used(n, SAG) <= 1
            and self.used(n, STRENGTH) <= 1
            and all(values[h.name] <= (inf if h.most is None else h.most) + 1e-9 for h in limits)
        )

    def value(self, n: int, goal: Goal) -> float:
        """The value of a goal, straight from the table."""
        of = {"mass": self.mass, "cost": self.cost, "sag": lambda m: round(self.used(m, SAG) * 5, 3)}
        return sum(w * of[m.name](n) for m, w in goal.terms)

    def best(self, goal: Goal, limits: tuple[Hold, ...] = ()) -> tuple[float | None, list[int]]:
        """By brute force: the best score, and all that have it."""
        scores = {
            n: round(-self.value(n, goal) if goal.largest else self.value(n, goal), 6)
            for n in self.grid.members()
            if self.holds(n, limits)
        }
        if not scores:
            return None, []
        least = min(scores.values())
        return least, sorted(n for n, s in scores.items() if s == least)


def check(name: str, used: float) -> dict[str, object]:
    """One check as a row holds it."""
    return {
        "name": name, "title": name, "status": "fail" if used > 1 else "pass", "value": used, "limit": 1.0,
        "unit": "", "used": round(used, 6), "where": "",
    }  # fmt: skip


def all_demands(limits: tuple[Hold, ...] = ()) -> Demands:
    """All checks, all stages."""
    stages = {FIT, SAG, STRENGTH, LAYOUT, WHOLE}
    return in_order([*(ChecksPass(s) for s in (FIT, SAG, STRENGTH, WHOLE)), *limits], stages)
