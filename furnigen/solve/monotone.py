"""Which parameters weaken a piece: tested on all that was worked out, never assumed.

A candidate that is weaker in every parameter with a tested direction than one that failed, and equal in all
others, is set aside. A parameter counts as tested when enough pairs that differ in it alone all point one
way; one pair the other way ends that for good, and what was set aside because of it is taken up again.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from furnigen.solve.grid import Grid

ENOUGH = 6
"""Pairs that must point one way before a parameter's direction is used."""
ALIKE = 1e-6


@dataclass
class Tested:
    """What pairs that differ in one parameter alone have shown of it.

    Attributes:
        weaker, stronger: how many pairs say that the larger value weakens, or strengthens, the piece.
        alike: how many show no difference.
    """

    weaker: int = 0
    stronger: int = 0
    alike: int = 0

    @property
    def direction(self) -> int:
        """1 where larger is weaker, -1 where larger is stronger, 0 where nothing is settled."""
        if self.weaker and self.stronger:
            return 0
        return (self.weaker >= ENOUGH) - (self.stronger >= ENOUGH)


class Monotone:
    """Of one stage of checks: which candidates need not be worked out.

    Attributes:
        tested: of each axis; None where its values have no order.
    """

    def __init__(self, grid: Grid) -> None:
        self._grid = grid
        self.tested = [None if ranks is None else Tested() for ranks in grid.ranks]
        self._lines: dict[tuple[int, tuple[int, ...]], list[tuple[int, float]]] = {}
        self._failed: list[tuple[int, ...]] = []
        self._array: NDArray[np.int64] | None = None
        self._seen: set[int] = set()

    @property
    def directions(self) -> tuple[int, ...]:
        """Of each axis, as `Tested.direction`."""
        return tuple(0 if t is None else t.direction for t in self.tested)

    @property
    def pairs(self) -> int:
        """How many pairs the directions in use rest on."""
        return sum(t.weaker + t.stronger + t.alike for t in self.tested if t is not None and t.direction)

    def _ranks(self, number: int) -> tuple[int, ...]:
        steps = self._grid.steps(number)
        return tuple(s if r is None else r[s] for s, r in zip(steps, self._grid.ranks, strict=True))

    def add(self, number: int, worst: float, failed: bool) -> None:
        """Note what a candidate showed: the share of its limit that its worst check uses."""
        if number in self._seen:
            return
        self._seen.add(number)
        ranks = self._ranks(number)
        for axis, tested in enumerate(self.tested):
            if tested is None:
                continue
            line = self._lines.setdefault((axis, (*ranks[:axis], *ranks[axis + 1 :])), [])
            for rank, other in line:
                if rank == ranks[axis]:
                    continue
                more = (worst - other) * (1 if ranks[axis] > rank else -1)
                if abs(more) <= ALIKE * max(1.0, abs(worst)):
                    tested.alike += 1
                elif more > 0:
                    tested.weaker += 1
                else:
                    tested.stronger += 1
            line.append((ranks[axis], worst))
        if failed:
            self._failed.append(ranks)
            self._array = None

    def settled(self, number: int) -> bool:
        """Whether a candidate is, as far as tested, no stronger than one that failed."""
        directions = np.array(self.directions)
        if not self._failed or not directions.any():
            return False
        if self._array is None:
            self._array = np.array(self._failed, np.int64)
        over = np.array(self._ranks(number)) - self._array
        weaker = np.where(directions == 0, over == 0, over * directions >= 0)
        return bool(weaker.all(axis=1).any())
