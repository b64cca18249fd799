"""A bound by column generation: weights of parts from a linear program, proven by exact patterns.

Take whole weights p of parts, none negative, and let z be the most weight any cutting of a sheet of cost c holds
(from `patterns`, exactly). Then every weight costs at least c / z, whatever made the weights: the linear program
only proposes them.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from fractions import Fraction
from math import ceil

import numpy as np
from numpy.typing import NDArray

from furnigen.cutting.bounds.patterns import best_cutting, parts_of, places_after, sums_of_sizes
from furnigen.cutting.effort import Effort
from furnigen.cutting.instance import Instance, Kind

FINE = 1 << 26
"""Weights are rounded down to whole numbers of 1 / FINE of the dearest sheet's cost."""


class Patterns:
    """Best cuttings of one kind of sheet; sizes rounded down to a grid if there are too many sums of sizes.

    Rounding parts and sheet down keeps every cutting, so what is proven of the rounded ones holds.
    """

    def __init__(self, instance: Instance, kind: int, most_work: int) -> None:
        shapes = instance.shapes
        sheet = instance.kinds[kind]
        ways = np.array([s.fits[kind] for s in shapes], np.int64)
        grid = 1
        while True:
            w = [max(1, s.w // grid) for s in shapes]
            h = [max(1, s.h // grid) for s in shapes]
            self.xs, self.ys = self._points(instance, kind, w, h, sheet, grid, most_work)
            if self.xs is not None and self.ys is not None and self._work() <= most_work:
                break
            grid = 2 * grid if grid > 1 or max(sheet.w, sheet.h) < 4000 else max(sheet.w, sheet.h) // 2000
        self.exact = grid == 1
        self._args = (
            self.xs,
            self.ys,
            places_after(self.xs),
            places_after(self.ys),
            np.array(w, np.int64),
            np.array(h, np.int64),
            ways,
        )
        self._table = np.zeros((len(self.xs), len(self.ys)), np.int64)
        self._how = np.zeros_like(self._table, np.int32)
        self._counts = np.zeros(len(shapes), np.int64)

    @staticmethod
    def _points(
        instance: Instance, kind: int, w: list[int], h: list[int], sheet: Kind, grid: int, most_work: int
    ) -> tuple[NDArray[np.int64] | None, NDArray[np.int64] | None]:
        along_x, along_y, numbers_x, numbers_y = [], [], [], []
        for s, a, b in zip(instance.shapes, w, h, strict=True):
            for way, x, y in ((1, a, b), (2, b, a)):
                if s.fits[kind] & way:
                    along_x.append(x)
                    along_y.append(y)
                    numbers_x.append(s.quantity)
                    numbers_y.append(s.quantity)
        most = int(most_work**0.5) + 2
        xs = sums_of_sizes(along_x, numbers_x, sheet.w // grid, most)
        ys = None if xs is None else sums_of_sizes(along_y, numbers_y, sheet.h // grid, most)
        return xs, ys

    def _work(self) -> int:
        nx, ny = len(self.xs), len(self.ys)
        return nx * ny * (nx + ny) // 4

    def best(self, weights: NDArray[np.int64]) -> tuple[int, NDArray[np.int64]]:
        """The most weight a sheet holds, and how many of each shape that cutting has."""
        z = int(best_cutting(*self._args, weights, self._table, self._how))
        parts_of(self._args[2], self._args[3], self._how, self._counts)
        return z, self._counts.copy()

    @property
    def work(self) -> int:
        """Additions one call of `best` takes, roughly."""
        return self._work()


def proven_cost(weight: int, best: Sequence[int], kinds: Sequence[Kind], wanted: Sequence[int]) -> Fraction:
    """The cost that weights prove: weight of all parts wanted, best weight of a sheet of each kind.

    With a price of r for a unit of weight, sheets that give more weight than they cost are worth having: their
    surplus counts for each copy there is. The best r is one at which some kind breaks even.
    """
    prices = {Fraction(k.cost, z) for k, z in zip(kinds, best, strict=True) if z > 0}
    total = sum(wanted)
    proven = Fraction(0)
    for r in prices:
        cost = r * weight
        for k, z in zip(kinds, best, strict=True):
            surplus = r * z - k.cost
            if surplus > 0:
                cost -= surplus * min(k.copies, total)
        proven = max(proven, cost)
    return proven


class ColumnBound:
    """Column generation on an instance, continued as long as work is allowed.

    Args:
        instance: the problem.
        columns: cuttings known already: (kind, shapes on the sheet).
        most_work: additions one exact pattern may take; beyond that sizes are rounded.
    """

    def __init__(self, instance: Instance, columns: Iterable[tuple[int, list[int]]], most_work: int) -> None:
        self.instance = instance
        n = len(instance.shapes)
        self._patterns = [Patterns(instance, k, most_work) for k in range(len(instance.kinds))]
        self._columns: dict[tuple[int, tuple[int, ...]], None] = {}
        for kind, shapes in columns:
            self._columns[kind, tuple(np.bincount(shapes, minlength=n).tolist())] = None
        for i, s in enumerate(instance.shapes):
            for k, way in enumerate(s.fits):
                if way:
                    self._columns[k, tuple(int(j == i) for j in range(n))] = None
        self.proven = Fraction(0)
        self.converged = False

    @property
    def cost(self) -> int:
        """The cost proven so far."""
        return ceil(self.proven)

    def run(self, work: int, target: int, effort: Effort) -> int:
        """Improve the bound until it reaches the target, nothing is left to gain, or the work is done."""
        from scipy.optimize import linprog

        kinds, wanted = self.instance.kinds, [s.quantity for s in self.instance.shapes]
        limited = [t for t, k in enumerate(kinds) if k.copies < sum(wanted)]
        done = 0
        dearest = max(1, *(k.cost for k in kinds))
        while done < work and self.cost < target and not self.converged and not effort.over():
            columns = list(self._columns)
            counts = np.array([c for _, c in columns], float).T
            costs = np.array([kinds[t].cost for t, _ in columns], float)
            rows = [-counts]
            sides = [-np.array(wanted, float)]
            if limited:
                rows.append(np.array([[float(t == k) for t, _ in columns] for k in limited]))
                sides.append(np.array([kinds[k].copies for k in limited], float))
            answer = linprog(costs, A_ub=np.vstack(rows), b_ub=np.concatenate(sides), method="highs")
            done += 200_000 + 300 * counts.size
            if answer.status != 0:
                break
            marginals = -answer.ineqlin.marginals
            extra = {k: marginals[len(wanted) + j] for j, k in enumerate(limited)}
            weights = np.floor(np.maximum(marginals[: len(wanted)], 0.0) * (FINE / dearest)).astype(np.int64)
            best = []
            fresh = False
            for t, patterns in enumerate(self._patterns):
                z, counts_of = patterns.best(weights)
                done += patterns.work
                best.append(z)
                worth = z * dearest / FINE - kinds[t].cost - max(0.0, extra.get(t, 0.0))
                if worth > 1e-7 * dearest:
                    column = (t, tuple(counts_of.tolist()))
                    fresh = fresh or column not in self._columns
                    self._columns[column] = None
            weight = int(weights @ np.array(wanted, np.int64))
            self.proven = max(self.proven, proven_cost(weight, best, kinds, wanted))
            self.converged = not fresh
        return done
