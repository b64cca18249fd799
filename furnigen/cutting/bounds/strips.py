"""Strips for two stages of cuts (a third where it parts equal items): exact fillings by dynamic programming.

The first stage cuts strips, the second parts of a strip (trimmed where that is allowed) or, with
`equal_last`, stacks of equal parts.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import reduce
from math import gcd
from typing import cast

import numpy as np
from numpy.typing import NDArray

from furnigen.cutting.bounds.columns import Counts
from furnigen.cutting.bounds.knapsack import fill, fill_levels
from furnigen.cutting.instance import AS_IS, TURNED, Instance
from furnigen.cutting.panels import Division, Panel, column, row
from furnigen.cutting.problem import FirstCut

FINEST = 50_000
"""Most steps a strip is divided into; finer sizes have no strips."""


@dataclass(frozen=True)
class Entry:
    """Parts that lie in a strip side by side with others: `many` equal ones in a stack.

    Args:
        shape, turned: which, and how it lies.
        along, across: size along the strip, and of the stack across it.
        many: how many in the stack.
    """

    shape: int
    turned: bool
    along: int
    across: int
    many: int


Strip = tuple[int, tuple[tuple[Entry, int], ...]]
"""Its size across, and what lies in it how often."""


def strips_fit_rules(instance: Instance) -> bool:
    """Whether the rules are those of strips: two stages with trimming, or three with equal parts in the
    last."""
    rules = instance.rules
    two = rules.stages == 2 and rules.trimming and not rules.equal_last
    three = rules.stages == 3 and rules.equal_last
    plain = rules.largest_strip_um is None and not any(s.members for s in instance.shapes)
    return (two or three) and plain


class Strips:
    """The strips of one kind of sheet, in one direction of the first cut.

    Args:
        instance: the problem; its rules must be those of strips.
        kind: number of the kind of sheet.
        rip: the first stage rips, so strips lie along the sheet's length.
    """

    def __init__(self, instance: Instance, kind: int, rip: bool) -> None:
        sheet = instance.kinds[kind]
        self.rip = rip
        self.room, self.width = (sheet.w, sheet.h) if rip else (sheet.h, sheet.w)
        stacks = instance.rules.equal_last
        self.entries: list[Entry] = []
        for i, s in enumerate(instance.shapes):
            for way in (AS_IS, TURNED):
                if not s.fits[kind] & way:
                    continue
                turned = way == TURNED
                w, h = (s.h, s.w) if turned else (s.w, s.h)
                along, across = (w, h) if rip else (h, w)
                most = min(s.quantity, self.width // across) if stacks else 1
                self.entries += [Entry(i, turned, along, across * m, m) for m in range(1, most + 1)]
        self.entries.sort(key=lambda e: (e.across, e.shape, e.many))
        self.levels = sorted({e.across for e in self.entries})
        self._step = reduce(gcd, (e.along for e in self.entries), 0) or 1
        self._along = np.array([e.along // self._step for e in self.entries], np.int64)
        self._many = np.array([e.many for e in self.entries], np.int64)
        self._shape = np.array([e.shape for e in self.entries], np.int64)
        self._below = np.searchsorted([e.across for e in self.entries], self.levels, side="right")
        steps = self.room // self._step
        self.usable = steps <= FINEST
        self.work = steps * len(self.entries) * 3 + 200_000

    def best(self, weights: NDArray[np.int64], wanted: NDArray[np.int64]) -> list[tuple[int, Strip]]:
        """The most weight a strip holds (no part more than wanted) and what is in it, for each width that
        holds more than a narrower one."""
        out = []
        worth = weights[self._shape] * self._many
        numbers = wanted[self._shape] // self._many
        counts = np.zeros((len(self.levels), len(self.entries)), np.int64)
        worths = np.zeros(len(self.levels), np.int64)
        fill_levels(self._along, numbers, worth, self.room // self._step, self._below, counts, worths)
        before = 0
        for level, z, row_counts in zip(self.levels, worths.tolist(), counts, strict=True):
            if z > before:
                strip = tuple((self.entries[k], int(row_counts[k])) for k in np.flatnonzero(row_counts))
                out.append((z, (level, strip)))
                before = z
        return out

    def counts(self, strip: Strip, shapes: int) -> list[int]:
        """How many of each shape a strip holds."""
        found = [0] * shapes
        for entry, number in strip[1]:
            found[entry.shape] += entry.many * number
        return found

    def tree(self, strips: list[Strip], left: list[int]) -> Panel | None:
        """The cut tree of strips; parts beyond those `left` are left out, the others taken off it."""
        panels = []
        for _, strip in strips:
            inner = []
            for entry, number in strip:
                for _ in range(number):
                    many = min(entry.many, left[entry.shape])
                    left[entry.shape] -= many
                    one = entry.across // entry.many
                    size = (entry.along, one) if self.rip else (one, entry.along)
                    part = Panel(Division.PART, *size, entry.shape, entry.turned)
                    if many:
                        inner.append(column([part] * many) if self.rip else row([part] * many))
            if inner:
                panels.append(row(inner) if self.rip else column(inner))
        if not panels:
            return None
        return column(panels) if self.rip else row(panels)


class StripPricer:
    """The best sheet of strips, each part at most as often as wanted on each strip."""

    def __init__(self, instance: Instance, kind: int) -> None:
        first = instance.rules.first_cut
        self.ways = [
            Strips(instance, kind, rip)
            for rip, other in ((True, FirstCut.CROSSCUT), (False, FirstCut.RIP))
            if first is not other
        ]
        self._shapes = len(instance.shapes)
        self.usable = all(w.usable for w in self.ways)
        self.work = sum(w.work for w in self.ways)

    def best(
        self, weights: NDArray[np.int64], wanted: NDArray[np.int64]
    ) -> tuple[int, list[tuple[Counts, object]]]:
        """The most weight of a sheet, and the best sheet of each direction: (direction, strips)."""
        z = 0
        found: list[tuple[Counts, object]] = []
        for number, way in enumerate(self.ways):
            strips = way.best(weights, wanted)
            if not strips:
                continue
            levels = [s[0] for _, s in strips]
            step = reduce(gcd, levels)
            counts = np.zeros(len(strips), np.int64)
            most = np.array([way.width // x for x in levels], np.int64)
            worth = np.array([v for v, _ in strips], np.int64)
            best = fill(np.array(levels, np.int64) // step, most, worth, way.width // step, counts)
            z = max(z, int(best))
            chosen = [strips[k][1] for k in np.flatnonzero(counts)[::-1] for _ in range(counts[k])]
            total = np.sum([way.counts(s, self._shapes) for s in chosen], axis=0)
            found.append((tuple(int(c) for c in total), (number, tuple(chosen))))
        return z, found

    def tree(self, how: object, left: list[int]) -> Panel | None:
        """The cut tree of a sheet found, without parts beyond those left."""
        number, strips = cast("tuple[int, tuple[Strip, ...]]", how)
        return self.ways[number].tree(list(strips), left)
