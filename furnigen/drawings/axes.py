"""Centre lines of a general arrangement, axes of legs, and the angles at which legs and frames lean."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from math import atan2, degrees, hypot

from furnigen.drawings.angles import angular
from furnigen.drawings.dimensions import BROKEN, LAYER
from furnigen.drawings.legible import CENTRE
from furnigen.drawings.marks import busy_rects, text_boxes
from furnigen.drawings.sheet import Rect, overlap
from furnigen.drawings.views import Placed, View, length_of
from furnigen.paper.page import NARROW, Dimension, Item, Point, Polyline, Text, line
from furnigen.piece.description import LegNote, Piece, Placement

OVER_MM = 3.0
"""Centre lines run this far over what they are of (mm on paper)."""
LEAST_ANGLE = 0.05
"""Degrees; less is upright."""
CROWDED_MM = 0.7
LEAN_ROOM_MM = 16.0
"""Beside a view, for the angle at which it leans (mm on paper)."""


def middle_line(piece: Piece, on: Placed) -> list[Item]:
    """The line of symmetry of a view along x, where the left half of a piece mirrors the right.

    Where a line of the view lies so near that the two would run into each other, only its ends are drawn.
    """
    mid = (piece.bounds.lo[0] + piece.bounds.hi[0]) / 2
    if not _mirrored(piece, mid):
        return []
    x, (_, low, _, high) = on.point((mid, 0.0, 0.0))[0], on.box
    crowded = any(
        isinstance(i, Polyline)
        and abs(i.points[0][0] - x) < CROWDED_MM
        and abs(i.points[-1][0] - x) < CROWDED_MM
        for i in on.items(hidden=None)
    )
    if not crowded:
        return [line((x, low - OVER_MM), (x, high + OVER_MM), CENTRE, "centre")]
    return [
        line((x, low - OVER_MM - 2.0), (x, low - 0.8), CENTRE, "centre"),
        line((x, high + 0.8), (x, high + OVER_MM + 2.0), CENTRE, "centre"),
    ]


def _mirrored(piece: Piece, mid: float) -> bool:
    def key(lo: Sequence[float], hi: Sequence[float]) -> tuple[float, ...]:
        return tuple(round(v, 1) + 0.0 for v in (*lo, *hi))

    boxes = [piece.bounds_of(p) for p in piece.placements]
    known = {key(b.lo, b.hi) for b in boxes}
    return all(
        key((2 * mid - b.hi[0], b.lo[1], b.lo[2]), (2 * mid - b.lo[0], b.hi[1], b.hi[2])) in known
        for b in boxes
    )


def leg_axes(piece: Piece, on: Placed) -> list[Item]:
    """The axes of all legs in a view, each once."""
    found: dict[tuple[float, ...], Item] = {}
    for placement in _legs(piece):
        (x0, y0), (x1, y1) = _axis(piece, placement, on)
        long = hypot(x1 - x0, y1 - y0)
        if long < 2.0:
            continue
        ux, uy = (x1 - x0) / long * OVER_MM, (y1 - y0) / long * OVER_MM
        key = tuple(round(v, 1) for v in (x0, y0, x1, y1))
        found.setdefault(key, line((x0, y0), (x1 + ux, y1 + uy), CENTRE, "centre"))
    return list(found.values())


def _legs(piece: Piece) -> list[Placement]:
    return [p for p in piece.placements if piece.part_of(p).form.as_leg is not None]


def _axis(piece: Piece, placement: Placement, on: Placed) -> tuple[Point, Point]:
    """Top and foot of a leg's axis on paper."""
    leg = piece.part_of(placement).form.as_leg
    assert leg is not None
    top, foot = leg.axis_at(leg.height), leg.axis_at(0.0)
    return on.point(placement.pose.apply(top)), on.point(placement.pose.apply(foot))


def leg_angle(piece: Piece, on: Placed, angle: str, taken: Iterable[Item]) -> list[Item]:
    """The lean of a leg as a view shows it, off plumb: its splay from the front, its rake from a side.

    Args:
        angle: "splay" or "rake", for legs that have it.
        taken: what stands in the view already; nothing of the dimension's text lies on it.
    """
    notes: dict[int, LegNote] = {n.part: n for n in piece.legs if getattr(n, angle) > LEAST_ANGLE}
    legs = [p for p in _legs(piece) if p.part in notes]
    if not legs:
        return []
    top, foot = min((_axis(piece, p, on) for p in legs), key=lambda a: (round(a[1][0], 2), round(a[1][1], 2)))
    long = hypot(foot[0] - top[0], foot[1] - top[1])
    leaning = degrees(atan2(foot[1] - top[1], foot[0] - top[0])) % 360.0
    start, end = sorted((leaning, 270.0))
    busy = _busy(taken)
    for share in (0.8, 0.65, 0.92, 0.5):
        for beyond in ("end", "start"):
            drawn = angular(top, start, end, long * share, beyond)
            if _clear([drawn], busy, on):
                return [line(top, (top[0], foot[1] - 1.0), NARROW, LAYER), drawn]
    return []


def lean_angle(on: Placed, lean: tuple[Point, Point] | None, taken: Iterable[Item]) -> list[Item]:
    """The angle between a plumb line and the line along which a piece leans."""
    if lean is None:
        return []
    low, high = on.flat(lean[0]), on.flat(lean[1])
    leaning = degrees(atan2(high[1] - low[1], high[0] - low[0])) % 360.0
    start, end = sorted((leaning, 90.0))
    busy = _busy(taken)
    long = hypot(high[0] - low[0], high[1] - low[1])
    for radius in (30.0, 24.0, 38.0, 46.0, 18.0):
        if radius > 0.9 * long:
            continue
        for beyond in ("start", "end") if leaning > 90.0 else ("end", "start"):
            drawn = angular(low, start, end, radius, beyond)
            if _clear([drawn], busy, on, LEAN_ROOM_MM):
                return [line(low, (low[0], low[1] + radius + 3.0), NARROW, LAYER), drawn]
    return []


def _busy(items: Iterable[Item]) -> list[Rect]:
    """What a text must keep clear of: lines that do not give way to it, other texts."""
    return busy_rects(i for i in items if isinstance(i, Dimension | Text) or i.layer not in BROKEN)


def _clear(items: Sequence[Item], busy: Sequence[Rect], on: Placed, beside: float = 0.0) -> bool:
    left, low, right, high = on.box
    return all(
        not any(overlap(box, other) for other in busy)
        and left - beside <= box[0]
        and box[2] <= right + beside
        and low <= box[1]
        and box[3] <= high
        for box in text_boxes(items)
    )


def leaning_line(side: View) -> tuple[Point, Point] | None:
    """The longest visible line of a side view where it leans at all: its lower and upper end (mm)."""
    lines = [one for one in side.lines if one.visible and one.arc is None and len(one.points) == 2]
    if not lines:
        return None
    ends = sorted(max(lines, key=length_of).points, key=lambda p: p[1])
    low, high = ends[0], ends[1]
    angle = lean_of((low, high))
    return (low, high) if LEAST_ANGLE < angle < 45.0 else None


def lean_of(ends: tuple[Point, Point]) -> float:
    """Off upright (degrees)."""
    (x0, y0), (x1, y1) = ends
    return degrees(atan2(abs(x1 - x0), abs(y1 - y0)))
