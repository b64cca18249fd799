"""Sheets filled one after another in some order of the parts, each part as far left (or low) as it goes."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from furnigen.cutting.effort import Effort
from furnigen.cutting.instance import Kind
from furnigen.cutting.nesting.place import NOWHERE, lowest
from furnigen.cutting.nesting.ways import Ways, ways_of
from furnigen.cutting.problem import NestProblem

Spot = tuple[int, int, int, int]
"""Item, angle, x and y of the rectangle round it, from the corner parts may lie in."""


@dataclass(frozen=True)
class Filled:
    """One sheet: its kind, and what lies where, in the order it was laid."""

    kind: int
    spots: tuple[Spot, ...]


@dataclass(frozen=True)
class Nest:
    """All sheets filled, and how many of each item are left out."""

    sheets: tuple[Filled, ...]
    left: tuple[int, ...]


A_TRY = 1000
"""Work that each try for a place counts beside the sides it compares."""


class CutShort(Exception):  # noqa: N818  (no error: an end before its time)
    """The time was up, or a stop was asked for."""


class Filler:
    """Fills sheets of a problem; counts its work.

    Args:
        kinds: as `as_rectangles` has them, less the room for the cutter at their edges.
        effort: asked between two parts whether to go on.
    """

    def __init__(self, problem: NestProblem, kinds: Sequence[Kind], effort: Effort) -> None:
        self.problem, self.kinds, self.effort = problem, tuple(kinds), effort
        self.work = 0
        self._ways: dict[tuple[bool, bool], Ways] = {}
        gap = problem.rules.cutter_um + problem.rules.spacing_um
        self._clear = [(k.w - gap, k.h - gap) for k in kinds]
        self.areas = [i.length_um * i.width_um for i in problem.items]

    def ways(self, kind: int, upright: bool) -> Ways:
        """Ways of lying on a kind of sheet."""
        key = self.kinds[kind].sheet.grain, upright
        if key not in self._ways:
            self._ways[key] = ways_of(self.problem, *key)
        return self._ways[key]

    def sheets(self, order: Sequence[int], upright: bool, last: bool = True) -> Nest:
        """Fill sheets until nothing is left or no sheet takes more.

        Args:
            order: items, each as often as it is wanted.
            upright: parts go as low as possible, then left; otherwise as far left, then low.
            last: a sheet that takes all that is left goes before those that are cheaper for what they take.

        Raises: CutShort.
        """
        left = list(order)
        have = [k.copies for k in self.kinds]
        sheets: list[Filled] = []
        while left:
            tried = [self.one(k, left, upright) for k, n in enumerate(have) if n]
            tried = [t for t in tried if t.spots]
            if not tried:
                break
            best = min(tried, key=lambda t: self._dearness(t, len(left) if last else -1))
            took = Counter(spot[0] for spot in best.spots)
            while have[best.kind] and all(left.count(i) >= n for i, n in took.items()):
                sheets.append(best)
                have[best.kind] -= 1
                for i, n in took.items():
                    for _ in range(n):
                        left.remove(i)
        missing = Counter(left)
        return Nest(tuple(sheets), tuple(missing[i] for i in range(len(self.problem.items))))

    def _dearness(self, filled: Filled, wanted: int) -> tuple[bool, float, int]:
        """A sheet that takes all that is wanted: by price; otherwise by price for what it takes."""
        kind = self.kinds[filled.kind]
        if len(filled.spots) == wanted:
            return False, kind.cost, kind.w * kind.h
        area = sum(self.areas[s[0]] for s in filled.spots)
        return True, kind.price / area, -area

    def one(self, kind: int, order: Sequence[int], upright: bool) -> Filled:
        """One sheet with what goes on it of some parts, in their order.

        Raises: CutShort.
        """
        ways = self.ways(kind, upright)
        wide, high = self._clear[kind][::-1] if upright else self._clear[kind]
        placed = np.zeros((len(order) + 1, 3), np.int64)
        spots: list[Spot] = []
        full: set[int] = set()
        for item in order:
            if item in full:
                continue
            if self.effort.over():
                raise CutShort
            best = (NOWHERE, NOWHERE, 0, 0, 0)
            for number in ways.of_item[item]:
                way = ways.ways[number]
                room_x, room_y = wide - way.along_x, high - way.along_y
                if room_x < 0 or room_y < 0:
                    continue
                limit = min(room_x, best[0] - way.along_x)
                if limit < 0:
                    continue
                x, y, work = lowest(
                    placed, len(spots), ways.starts, ways.first, ways.own, ways.grown_first, ways.grown,
                    number, room_x, room_y, limit,
                )  # fmt: skip
                self.work += work + A_TRY
                if x < NOWHERE:
                    best = min(best, (x + way.along_x, y + way.along_y, number, x, y))
            if best[0] == NOWHERE:
                full.add(item)
                continue
            _, _, number, x, y = best
            placed[len(spots)] = number, x, y
            spots.append((item, ways.ways[number].angle, *((y, x) if upright else (x, y))))
        return Filled(kind, tuple(spots))
