"""What is proven about an instance: the least cost and the fewest sheets, improved step by step."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from functools import reduce
from math import ceil, gcd

import numpy as np

from furnigen.cutting.bounds.columns import Columns
from furnigen.cutting.bounds.dual_feasible import fewest_sheets
from furnigen.cutting.bounds.guillotine import Guillotine
from furnigen.cutting.effort import Effort
from furnigen.cutting.instance import TURNED, Instance

PATTERN_WORK = 6_000_000
WORK_A_LEVEL = 250_000_000
"""Additions in exact patterns in about half a second."""


class SheetBound:
    """Bounds of an instance; `cost` and `sheets` only ever grow."""

    def __init__(self, instance: Instance) -> None:
        self.instance = instance
        self._step = reduce(gcd, (k.cost for k in instance.kinds), 0) or 1
        self.sheets = self._fewest()
        self.cost = self.rounded(max(self._by_number(), self._by_area()))

    def _fewest(self) -> int:
        shapes, kinds = self.instance.shapes, self.instance.kinds
        whole = np.array([s.quantity for s in shapes], np.int64)
        w, h = (np.array([getattr(s, a) for s in shapes], np.int64) for a in ("w", "h"))
        turnable = np.array([int(any(f & TURNED for f in s.fits)) for s in shapes], np.int64)
        largest_w, largest_h = max(k.w for k in kinds), max(k.h for k in kinds)
        step = max(1, max(largest_w, largest_h) // 1_000_000)
        if step > 1:
            # smaller numbers, so that products stay exact: parts and sheet rounded down
            w, h, largest_w, largest_h = w // step, h // step, largest_w // step, largest_h // step
        return fewest_sheets(w, h, whole, turnable, largest_w, largest_h)

    def _by_number(self) -> int:
        """The cheapest so many sheets."""
        cost, missing = 0, self.sheets
        for kind in sorted(self.instance.kinds, key=lambda k: k.cost):
            taken = min(missing, kind.copies)
            cost += taken * kind.cost
            missing -= taken
        return cost

    def _by_area(self) -> int:
        """The area of all parts, from the sheets that are cheapest for their area."""
        area = sum(s.w * s.h * s.quantity for s in self.instance.shapes)
        cost = Fraction(0)
        for kind in sorted(self.instance.kinds, key=lambda k: Fraction(k.cost, k.w * k.h)):
            taken = min(Fraction(area, kind.w * kind.h), Fraction(kind.copies))
            cost += taken * kind.cost
            area -= int(taken * kind.w * kind.h)
            if area <= 0:
                break
        return ceil(cost)

    def rounded(self, cost: int) -> int:
        """The least sum of prices not below a cost, as far as their common divisor says."""
        return -(-cost // self._step) * self._step

    def improve(self, columns: Iterable[tuple[int, list[int]]], target: int, level: float, effort: Effort) -> None:
        """Try for a higher bound by column generation, from the cuttings of a solution of cost `target`."""
        if self.cost >= target:
            return
        shapes, kinds = self.instance.shapes, self.instance.kinds
        pricers = [Guillotine(self.instance, k, int(PATTERN_WORK * max(1.0, level))) for k in range(len(kinds))]
        found = Columns(kinds, [s.quantity for s in shapes], pricers)
        for kind, laid in columns:
            found.add(kind, tuple(np.bincount(laid, minlength=len(shapes)).tolist()))
        for i, s in enumerate(shapes):
            for k, way in enumerate(s.fits):
                if way:
                    found.add(k, tuple(int(j == i) for j in range(len(shapes))))
        found.run(int(WORK_A_LEVEL * level), target, effort)
        self.cost = max(self.cost, self.rounded(found.cost))
        if len(self.instance.kinds) == 1 and self.instance.kinds[0].cost:
            self.sheets = max(self.sheets, -(-self.cost // self.instance.kinds[0].cost))
