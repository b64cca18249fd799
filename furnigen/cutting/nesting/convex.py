"""A part's outline as convex pieces with whole coordinates, exactly or with a little more round it.

Two parts overlap when two of their convex pieces do, and of convex pieces all positions that overlap are one
convex polygon; so the search for a place needs nothing else.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import ceil, sqrt

import numpy as np
from numpy.typing import NDArray

from furnigen.cutting.problem import Item

Point = tuple[int, int]
Ring = tuple[Point, ...]
Corners = NDArray[np.int64]

NEGLIGIBLE_UM = 200
"""Hollows less deep are filled: the part is laid as if it had material there."""
MOST_HOLLOW_CORNERS = 10
"""So many inner corners of a part are kept; beyond them the flattest are filled, whatever their depth."""


def turn(a: Point, b: Point, c: Point) -> int:
    """Twice the signed area of a triangle: positive when it turns left."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])


def ring_area2(ring: Sequence[Point]) -> int:
    """Twice the signed area of a ring, exactly.

    >>> ring_area2(((0, 0), (4, 0), (4, 3), (0, 3)))
    24
    """
    return sum(a[0] * b[1] - b[0] * a[1] for a, b in zip(ring, (*ring[1:], *ring[:1]), strict=True))


def rings_of(item: Item) -> tuple[Ring, ...]:
    """The outline of an item counterclockwise, then its windows clockwise; a rectangle without an outline."""
    a, b = item.length_um, item.width_um
    outline = item.outline_um or ((0, 0), (a, 0), (a, b), (0, b))
    return tuple(
        ring if (ring_area2(ring) > 0) == (k == 0) else ring[::-1]
        for k, ring in enumerate((outline, *item.windows_um))
    )


def octagon(radius: int) -> Corners:
    """The regular octagon round a circle, corners outward to whole numbers, level sides included.

    >>> octagon(1000)[0].tolist()
    [-415, -1000]
    """
    r, t = radius, ceil(radius * (sqrt(2) - 1))
    corners = [(-t, -r), (t, -r), (r, -t), (r, t), (t, r), (-t, r), (-r, t), (-r, -t)]
    # of a micrometre it is a square, of nothing a point
    return np.array(list(dict.fromkeys(corners)), np.int64)


def covered(rings: Sequence[Ring]) -> tuple[Ring, ...]:
    """The same with shallow hollows filled: all of the part is within, and no new corner is made."""
    kept = [list(dict.fromkeys(r)) for r in rings]
    while True:
        hollows = []
        for number, ring in enumerate(kept):
            for k, b in enumerate(ring):
                a, c = ring[k - 1], ring[(k + 1) % len(ring)]
                bend = turn(a, b, c)
                if bend <= 0 and len(ring) > 3:
                    depth = -bend / max(1.0, float(np.hypot(c[0] - a[0], c[1] - a[1])))
                    hollows.append((depth, number, k))
        hollows.sort()
        deep = sum(depth > 0 for depth, _, _ in hollows)
        for depth, number, k in hollows:
            if depth > NEGLIGIBLE_UM and deep <= MOST_HOLLOW_CORNERS:
                return tuple(tuple(r) for r in kept)
            ring = kept[number]
            triangle = (ring[k - 1], ring[k], ring[(k + 1) % len(ring)])
            if not any(_within(p, triangle) for r in kept for p in r):
                del ring[k]
                break
        else:
            return tuple(tuple(r) for r in kept)


def _within(p: Point, triangle: tuple[Point, Point, Point]) -> bool:
    """Whether a point lies in a clockwise triangle or on it, its corners apart."""
    a, b, c = triangle
    return p not in triangle and turn(a, b, p) <= 0 and turn(b, c, p) <= 0 and turn(c, a, p) <= 0


def convex_pieces(rings: Sequence[Ring]) -> list[Corners]:
    """Convex polygons, counterclockwise, that together are the area within the rings.

    Falls back to the rectangle round the outline where the triangles are not exactly that area.
    """
    from manifold3d import triangulate

    outline = rings[0]
    if len(rings) == 1 and all(
        turn(outline[k - 2], outline[k - 1], outline[k]) >= 0 for k in range(len(outline))
    ):
        return [_lowest_first([outline])[0]]
    corners = [p for ring in rings for p in ring]
    found = triangulate([np.array(r, np.float64) for r in rings])
    triangles = [tuple(int(k) for k in t) for t in found]
    triangles = [t for t in triangles if turn(*(corners[k] for k in t)) > 0]
    whole = sum(ring_area2(r) for r in rings)
    if sum(turn(*(corners[k] for k in t)) for t in triangles) != whole:
        xs, ys = [p[0] for p in outline], [p[1] for p in outline]
        box = ((min(xs), min(ys)), (max(xs), min(ys)), (max(xs), max(ys)), (min(xs), max(ys)))
        return _lowest_first([box])
    return _lowest_first([tuple(corners[k] for k in piece) for piece in _merged(triangles, corners)])


def _merged(triangles: Sequence[tuple[int, ...]], corners: Sequence[Point]) -> list[tuple[int, ...]]:
    """Neighbours put together as long as they stay convex (Hertel and Mehlhorn, 1983)."""
    pieces = list(triangles)
    again = True
    while again:
        again = False
        beside = {(p[k - 1], p[k]): n for n, p in enumerate(pieces) for k in range(len(p))}
        for (a, b), n in beside.items():
            m = beside.get((b, a))
            if m is None or m == n:
                continue
            p, q = pieces[n], pieces[m]
            i, j = p.index(b), q.index(a)
            joined = (*(p[i:] + p[:i]), *((q[j:] + q[:j])[1:-1]))
            ring = [corners[k] for k in joined]
            if len(set(joined)) == len(joined) and all(
                turn(ring[k - 2], ring[k - 1], ring[k]) >= 0 for k in range(len(ring))
            ):
                pieces = [r for k, r in enumerate(pieces) if k not in (n, m)] + [joined]
                again = True
                break
    return pieces


def _lowest_first(rings: Sequence[Ring]) -> list[Corners]:
    """As arrays, each from its lowest corner on, corners within straight sides left out."""
    found = []
    for ring in rings:
        bent = [p for k, p in enumerate(ring) if turn(ring[k - 1], p, ring[(k + 1) % len(ring)])]
        k = min(range(len(bent)), key=lambda n: (bent[n][1], bent[n][0]))
        found.append(np.array(bent[k:] + bent[:k], np.int64))
    return found
