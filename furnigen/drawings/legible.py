"""Which hidden lines of a view can be read at its scale; centre lines of its circles."""

from __future__ import annotations

from itertools import pairwise
from math import atan2, cos, hypot, pi, sin

from furnigen.drawings.views import Placed
from furnigen.paper.page import Arc, Item, Pen, Polyline, line

APART_MM = 0.7
"""Least distance of parallel lines on paper (ISO 128)."""
SHORTEST_MM = 2.5
"""A hidden line shorter than this on paper shows no dash and gap."""

_Line = tuple[float, float, float, float]


def legible(placed: Placed, hidden: bool = True) -> list[Item]:
    """The lines of a view on paper; of its hidden ones those that can be told from the lines beside them.

    Args:
        hidden: whether hidden lines are wanted at all.
    """
    seen = placed.items(hidden=None)
    if not hidden:
        return seen
    taken: dict[int, list[_Line]] = {}
    for item in seen:
        if isinstance(item, Polyline) and len(item.points) == 2:
            turn, seen_line = _as_line(item)
            taken.setdefault(turn, []).append(seen_line)
    kept: list[Item] = []
    unseen = [i for i in placed.items(visible=None) if isinstance(i, Polyline) and len(i.points) == 2]
    for item in sorted(unseen, key=lambda i: -_long(i)):
        if _long(item) < SHORTEST_MM:
            continue
        turn, (off, a, b, _) = _as_line(item)
        crowded = any(
            abs(off - other) < APART_MM and min(b, q) - max(a, p) > 0.3 * (b - a)
            for other, p, q, _ in taken.get(turn, ())
        )
        if not crowded:
            taken.setdefault(turn, []).append((off, a, b, 0.0))
            kept.append(item)
    boxes: list[tuple[float, ...]] = [_bounds(i) for i in seen if not (_straight(i))]
    curves = [i for i in placed.items(visible=None) if not _straight(i)]
    for curve in sorted(curves, key=lambda i: -_around(i)):
        bounds = _bounds(curve)
        if _around(curve) < SHORTEST_MM or min(bounds[2] - bounds[0], bounds[3] - bounds[1]) < APART_MM:
            continue  # a dash, or a circle seen from its edge: its sides would run into each other
        if any(max(abs(p - q) for p, q in zip(bounds, other, strict=True)) < APART_MM for other in boxes):
            continue
        boxes.append(bounds)
        kept.append(curve)
    return [*kept, *seen]


def _straight(item: Item) -> bool:
    return isinstance(item, Polyline) and len(item.points) == 2


def _bounds(item: Item) -> tuple[float, ...]:
    """Left, bottom, right, top (mm on paper)."""
    if isinstance(item, Arc):
        points = [item.at(item.start + (item.end - item.start) * k / 24) for k in range(25)]
    else:
        assert isinstance(item, Polyline)
        points = list(item.points)
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _around(item: Item) -> float:
    """How long a curve is (mm on paper)."""
    if isinstance(item, Arc):
        return (item.end - item.start) * pi / 180 * item.radius
    assert isinstance(item, Polyline)
    return sum(hypot(q[0] - p[0], q[1] - p[1]) for p, q in pairwise(item.points))


def _long(item: Polyline) -> float:
    (x0, y0), (x1, y1) = item.points
    return hypot(x1 - x0, y1 - y0)


def _as_line(item: Polyline) -> tuple[int, _Line]:
    """Its direction in tenths of a degree, and how far off, from where, to where it runs."""
    (x0, y0), (x1, y1) = item.points
    turn = atan2(y1 - y0, x1 - x0) % pi
    key = round(turn * 1800 / pi) % 1800
    turn = key * pi / 1800
    c, s = cos(turn), sin(turn)
    a, b = sorted((x0 * c + y0 * s, x1 * c + y1 * s))
    return key, (-x0 * s + y0 * c, a, b, 0.0)


CENTRE = Pen(0.25, "chain")
LEAST_RADIUS_MM = 0.8
"""Smaller circles on paper have no room for centre lines."""


def centre_lines(placed: Placed) -> list[Item]:
    """A cross of centre lines for each circle that is seen whole."""
    items: list[Item] = []
    known: set[tuple[float, float]] = set()
    for item in placed.items(hidden=None):
        if not isinstance(item, Arc) or not item.whole or item.radius < LEAST_RADIUS_MM:
            continue
        x, y = item.centre
        if (round(x, 2), round(y, 2)) in known:
            continue
        known.add((round(x, 2), round(y, 2)))
        r = item.radius + 1.5
        items += [
            line((x - r, y), (x + r, y), CENTRE, "centre"),
            line((x, y - r), (x, y + r), CENTRE, "centre"),
        ]
    return items
