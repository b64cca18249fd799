"""The ways each part may lie on a sheet, as the arrays the search for a place takes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from furnigen.cutting.nesting.convex import Ring, convex_pieces, covered, octagon, rings_of
from furnigen.cutting.nesting.place import convex_sum
from furnigen.cutting.problem import Item, NestProblem

Whole = NDArray[np.int64]


@dataclass(frozen=True)
class Way:
    """One way an item lies: quarter turns counterclockwise in degrees, its extent along x and y."""

    item: int
    angle: int
    along_x: int
    along_y: int


@dataclass(frozen=True)
class Ways:
    """All ways of all items, and their convex pieces in arrays (see `place.lowest`)."""

    ways: tuple[Way, ...]
    of_item: tuple[tuple[int, ...], ...]
    starts: Whole
    first: Whole
    own: Whole
    grown_first: Whole
    grown: Whole


def turned_ring(ring: Sequence[tuple[int, int]], angle: int, a: int, b: int) -> Ring:
    """A ring within (0, 0) to (a, b), turned by quarter turns, its rectangle's corner at the origin again.

    >>> turned_ring([(0, 0), (5, 0), (5, 2)], 90, 5, 2)
    ((2, 0), (2, 5), (0, 5))
    """
    if angle == 0:
        return tuple(ring)
    if angle == 90:
        return tuple((b - y, x) for x, y in ring)
    if angle == 180:
        return tuple((a - x, b - y) for x, y in ring)
    return tuple((y, a - x) for x, y in ring)


def angles_of(item: Item, grain: bool) -> tuple[int, ...]:
    """Ways an item may lie: half a turn leaves the grain where it is, a quarter turn does not."""
    return (0, 180) if grain and not item.turnable else (0, 180, 90, 270)


def ways_of(problem: NestProblem, grain: bool, upright: bool) -> Ways:
    """All ways of lying on sheets with or without grain.

    Args:
        upright: x and y of everything are exchanged, so that the least x is the lowest place.
    """
    gap = octagon(problem.rules.cutter_um + problem.rules.spacing_um)
    ways: list[Way] = []
    own: list[Whole] = []
    grown: list[Whole] = []
    starts = [0]
    of_item: list[tuple[int, ...]] = []
    for number, item in enumerate(problem.items):
        rings = covered(rings_of(item))
        seen = set()
        before = len(ways)
        for angle in angles_of(item, grain):
            a, b = item.length_um, item.width_um
            lying = [turned_ring(r, angle, a, b) for r in rings]
            across = angle in (90, 270)
            size = (b, a) if across else (a, b)
            if upright:
                lying = [tuple((y, x) for x, y in r[::-1]) for r in lying]
                size = size[::-1]
            alike = frozenset(frozenset(r) for r in lying)
            if alike in seen:
                continue
            seen.add(alike)
            for piece in convex_pieces(lying):
                own.append(piece)
                grown.append(_sum(_mirrored(piece), gap))
            starts.append(len(own))
            ways.append(Way(number, angle, *size))
        of_item.append(tuple(range(before, len(ways))))
    return Ways(tuple(ways), tuple(of_item), np.array(starts), *_flat(own), *_flat(grown))


def _mirrored(piece: Whole) -> Whole:
    points = -piece
    k = int(np.lexsort((points[:, 0], points[:, 1]))[0])
    return np.roll(points, -k, axis=0)


def _sum(a: Whole, b: Whole) -> Whole:
    out = np.empty((len(a) + len(b), 2), np.int64)
    return out[: convex_sum(a, 0, len(a), b, 0, len(b), out, 0)]


def _flat(pieces: Sequence[Whole]) -> tuple[Whole, Whole]:
    ends = np.cumsum([0, *(len(p) for p in pieces)])
    return ends.astype(np.int64), np.concatenate([*pieces, np.empty((0, 2), np.int64)])
