"""What is proven about an instance: the least cost and the fewest sheets, improved step by step."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from functools import reduce
from math import ceil, gcd, prod

import numpy as np
from numpy.typing import NDArray

from furnigen.cutting.bounds.columns import Columns
from furnigen.cutting.bounds.dual_feasible import fewest_sheets
from furnigen.cutting.bounds.guillotine import Guillotine
from furnigen.cutting.bounds.strip_columns import StripColumns
from furnigen.cutting.bounds.strips import strips_fit_rules
from furnigen.cutting.effort import Effort
from furnigen.cutting.instance import TURNED, Instance, Kind
from furnigen.cutting.panels import Panel

MOST_COMBINATIONS = 300_000
"""Numbers of sheets of several kinds that are tried when a bound is rounded up."""
PATTERN_WORK = 3_000_000
WORK_A_LEVEL = 150_000_000
"""Additions in exact patterns in about a quarter of a second."""
STRIP_SHARE = 5.0
"""So many times the work where cuttings are strips: they give layouts too."""
LONGER = 2.5
"""A longer search gives the bound a larger share: column generation converges late."""


class SheetBound:
    """Bounds of an instance; `cost` and `sheets` only ever grow.

    Args:
        instance: the problem.
        area: what all parts take together; that of their rectangles if None.
    """

    def __init__(self, instance: Instance, area: int | None = None) -> None:
        self.instance = instance
        self.strips: StripColumns | None = None
        self._step = reduce(gcd, (k.cost for k in instance.kinds), 0) or 1
        self._area = sum(s.w * s.h * s.quantity for s in instance.shapes) if area is None else area
        largest = max(k.w * k.h for k in instance.kinds)
        self.sheets = max(self._fewest() if instance.shapes else 0, -(-self._area // largest))
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
        area = self._area
        cost = Fraction(0)
        for kind in sorted(self.instance.kinds, key=lambda k: Fraction(k.cost, k.w * k.h)):
            taken = min(Fraction(area, kind.w * kind.h), Fraction(kind.copies))
            cost += taken * kind.cost
            area -= int(taken * kind.w * kind.h)
            if area <= 0:
                break
        return ceil(cost)

    def rounded(self, cost: int) -> int:
        """The least cost from `cost` on that some numbers of sheets have whose area holds all parts."""
        step = -(-cost // self._step) * self._step
        kinds = self.instance.kinds
        if len(kinds) == 1 or not step:
            return step
        numbers = [self._numbers(k, step) for k in kinds]
        if prod(len(n) for n in numbers[:-1]) > MOST_COMBINATIONS:
            return step
        grids = np.meshgrid(*numbers[:-1], indexing="ij") if len(numbers) > 1 else []
        costs = sum(g.ravel() * k.cost for g, k in zip(grids, kinds, strict=False))
        areas = sum(g.ravel() * (k.w * k.h) for g, k in zip(grids, kinds, strict=False))
        last = kinds[-1]
        short = np.maximum(0, self._area - areas)
        count = -(-short // (last.w * last.h))
        if last.cost:
            count = np.maximum(count, -(-np.maximum(0, step - costs) // last.cost))
        whole = costs + count * last.cost
        fits = whole[(count <= last.copies) & (whole >= step)]
        return int(fits.min()) if len(fits) else step

    @staticmethod
    def _numbers(kind: Kind, cost: int) -> NDArray[np.int64]:
        """How many sheets of a kind a solution of about this cost may have; free ones are all taken."""
        if not kind.cost:
            return np.array([kind.copies], np.int64)
        return np.arange(min(kind.copies, -(-cost // kind.cost) + 1) + 1, dtype=np.int64)

    def improve(
        self, cuttings: Iterable[tuple[int, list[int]]], target: int, level: float, effort: Effort
    ) -> None:
        """Try for a higher bound by column generation, from the cuttings of a solution of cost `target`."""
        if self.cost >= target:
            return
        if strips_fit_rules(self.instance):
            strips = StripColumns(self.instance)
            self.strips = strips if strips.usable else None
        found = self.strips.columns if self.strips else self._free_cutting(cuttings, level)
        share = STRIP_SHARE if self.strips else 1.0 if level <= 1.0 else LONGER
        found.run(int(WORK_A_LEVEL * level * share), target, effort)
        self.cost = max(self.cost, self.rounded(found.cost))
        if len(self.instance.kinds) == 1 and self.instance.kinds[0].cost:
            self.sheets = max(self.sheets, -(-self.cost // self.instance.kinds[0].cost))

    def _free_cutting(self, cuttings: Iterable[tuple[int, list[int]]], level: float) -> Columns:
        """Column generation over all ways to cut, from those of a solution."""
        shapes, kinds = self.instance.shapes, self.instance.kinds
        pricers = [
            Guillotine(self.instance, k, int(PATTERN_WORK * max(1.0, level))) for k in range(len(kinds))
        ]
        found = Columns(kinds, [s.quantity for s in shapes], pricers)
        for kind, laid in cuttings:
            found.add(kind, tuple(np.bincount(laid, minlength=len(shapes)).tolist()))
        for i, s in enumerate(shapes):
            for k, way in enumerate(s.fits):
                if way:
                    found.add(k, tuple(int(j == i) for j in range(len(shapes))))
        return found

    def by_strips(self, level: float, effort: Effort) -> list[tuple[int, Panel]]:
        """Sheets of strips that hold all parts, from the column generation of `improve`; [] when there are
        none."""
        return (
            [] if self.strips is None else self.strips.sheets(int(STRIP_SHARE * WORK_A_LEVEL * level), effort)
        )
