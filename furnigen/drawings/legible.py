"""Which hidden lines of a view can be read at its scale; centre lines of its circles."""

from __future__ import annotations

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
    return [*kept, *seen]


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
