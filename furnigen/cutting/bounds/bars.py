"""Best cuttings of one kind of bar, its defects cut out: what column generation asks."""

from __future__ import annotations

from dataclasses import dataclass
from functools import reduce
from math import gcd

import numpy as np
from numpy.typing import NDArray

from furnigen.cutting.bounds.columns import Counts
from furnigen.cutting.bounds.knapsack import fill

FINEST = 200_000
"""Most steps a length is divided into; lengths that need more are rounded so that what is proven still
holds."""


@dataclass(frozen=True)
class BarKind:
    """A kind of bar: clear stretches (start, room with one kerf added), cost, copies."""

    name: str
    stretches: tuple[tuple[int, int], ...]
    cost: int
    copies: int


class BarPricer:
    """The best filling of each clear stretch of a bar.

    Pieces are at most as many as are wanted on each stretch; together they may be more, which only lowers
    the bound.
    """

    def __init__(self, kind: BarKind, lengths: list[int], wanted: list[int]) -> None:
        self._rooms = [room for _, room in kind.stretches]
        self._lengths = np.array(lengths, np.int64)
        step = reduce(gcd, lengths) if lengths else 1
        longest = max(self._rooms, default=0)
        self._exact = longest // step <= FINEST
        self._step = step if self._exact else -(-longest // FINEST)
        self.work = sum(r // self._step for r in self._rooms) * sum(int(w).bit_length() for w in wanted) + 1

    def best(
        self, weights: NDArray[np.int64], wanted: NDArray[np.int64]
    ) -> tuple[int, list[tuple[Counts, object]]]:
        """The most weight of a bar (an upper limit where lengths are rounded), and the filling of each
        stretch."""
        z = 0
        plan = []
        total = np.zeros(len(weights), np.int64)
        for room in self._rooms:
            counts = np.zeros(len(weights), np.int64)
            whole = room // self._step
            z += int(fill(self._lengths // self._step, wanted, weights, whole, counts))
            if not self._exact:
                fill(-(-self._lengths // self._step), wanted, weights, whole, counts)
            plan.append(tuple(counts.tolist()))
            total += counts
        return z, [(tuple(total.tolist()), tuple(plan))]

    def rest(self, room: int, weights: NDArray[np.int64], wanted: NDArray[np.int64]) -> NDArray[np.int64]:
        """What best fills the room left on a bar."""
        counts = np.zeros(len(weights), np.int64)
        fill(-(-self._lengths // self._step), wanted, weights, max(0, room // self._step), counts)
        return counts
