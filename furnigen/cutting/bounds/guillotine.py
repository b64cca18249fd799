"""Best cuttings of one kind of sheet, any number of stages: what column generation asks."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from furnigen.cutting.bounds.columns import Counts
from furnigen.cutting.bounds.patterns import best_cutting, parts_of, places_after, sums_of_sizes
from furnigen.cutting.instance import Instance, Kind


class Guillotine:
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
            points = self._points(instance, kind, w, h, sheet, grid, most_work)
            if points is not None:
                self.xs, self.ys = points
                self.work = len(self.xs) * len(self.ys) * (len(self.xs) + len(self.ys)) // 4
                if self.work <= most_work:
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
    ) -> tuple[NDArray[np.int64], NDArray[np.int64]] | None:
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
        return None if xs is None or ys is None else (xs, ys)

    def best(
        self, weights: NDArray[np.int64], wanted: NDArray[np.int64]
    ) -> tuple[int, list[tuple[Counts, object]]]:
        """The most weight a sheet holds, and how many of each shape that cutting has."""
        z = int(best_cutting(*self._args, weights, self._table, self._how))
        parts_of(self._args[2], self._args[3], self._how, self._counts)
        return z, [(tuple(self._counts.tolist()), None)]
