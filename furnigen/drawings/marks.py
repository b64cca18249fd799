"""Numbers beside cuts on a view, where nothing else stands."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import hypot

from furnigen.core.pose import Vector
from furnigen.drawings.figures import dot_at
from furnigen.drawings.part_data import StatedCut
from furnigen.drawings.sheet import Rect, overlap, within
from furnigen.drawings.views import Placed
from furnigen.paper.lettering import width_of
from furnigen.paper.page import NARROW, Arc, Dimension, Item, Point, Polyline, Text, line

HEIGHT_MM = 2.0
APART_MM = 4.0
"""Two marks of one number nearer than this say nothing more than one."""
MOST_MARKED = 6
"""Of more like cuts only the first in each line bears its number."""
_WAYS = ((0.7, 0.7), (-0.7, 0.7), (0.7, -0.7), (-0.7, -0.7), (1.0, 0.0), (-1.0, 0.0), (0.0, 1.0), (0.0, -1.0))
_REACHES = (0.0, 1.0, 2.0, 3.5, 5.5, 8.0, 11.0)
"""How far beyond its cut a number stands (mm on paper), the best first."""


@dataclass(frozen=True)
class Room:
    """Where numbers beside a view may stand: within the frame, clear of other views, tables and notes."""

    inner: Rect
    taken: tuple[Rect, ...] = ()


def mark_items(
    on: Placed, cuts: Sequence[StatedCut], drawn: Sequence[Item], beside: Sequence[Item], room: Room
) -> list[Item]:
    """The numbers of some cuts on a view, each in a circle on its cut, or beside it with a leader.

    Cuts that are seen one behind the other, as those in both ends of a board, have one circle together.

    Args:
        drawn: the lines of the view, on which no number stands.
        beside: what stands beside the view: dimension lines, titles.
        room: where numbers beside the view may stand.
    """
    taken = [r for item in drawn for r in rects_of(item)]
    busy, texts = [*taken, *busy_rects(beside)], text_boxes(beside)
    items: list[Item] = []
    written: list[Rect] = []
    together: dict[tuple[Point, ...], list[StatedCut]] = {}
    for cut in cuts:
        if cut.places:  # else the outline shows it
            spots = sorted((round(x, 2), round(y, 2)) for x, y in map(on.point, mark_points(cut)))
            together.setdefault(tuple(spots), []).append(cut)
    for alike in together.values():
        cut, numbers = alike[0], ", ".join(str(c.number) for c in alike)
        seen: list[Point] = []
        lines: set[float] = set()
        for mark in mark_points(cut):
            at = on.point(mark)
            if len(cut.places) > MOST_MARKED and round(mark[1], 1) in lines:
                continue
            if any(hypot(at[0] - x, at[1] - y) < APART_MM for x, y in seen):
                continue  # places one behind the other
            found = _beside(on, at, numbers, taken, written)
            if found:
                seen.append(at)
                lines.add(round(mark[1], 1))
                items += found
        if not seen:
            # a slanted cut may be pointed out at a corner of it as well
            points = [mark_points(cut)[0], *cut.corners[: len(cut.stated)]]
            tried = (_led(on, on.point(p), numbers, busy, texts, written, room) for p in points)
            items += next((found for found in tried if found), [])
    return items


def busy_rects(items: Iterable[Item]) -> list[Rect]:
    """Rectangles that cover lines and texts among items, those of dimensions too."""
    items = list(items)
    parts = [p for item in items for p in (item.drawn if isinstance(item, Dimension) else (item,))]
    return [*text_boxes(items), *(r for p in parts for r in rects_of(p))]


def text_boxes(items: Iterable[Item]) -> list[Rect]:
    """The boxes of the texts among items, those of dimensions too."""
    parts = [p for item in items for p in (item.drawn if isinstance(item, Dimension) else (item,))]
    texts = [[*zip(*p.corners, strict=True)] for p in parts if isinstance(p, Text)]
    return [(min(xs), min(ys), max(xs), max(ys)) for xs, ys in texts]


def _radius(text: str) -> float:
    return max(1.8, width_of(text, HEIGHT_MM) / 2 + 1.0)


def _balloon(at: Point, text: str) -> list[Item]:
    return [
        Arc(at, _radius(text), pen=NARROW, layer="mark"),
        Text(at, text, HEIGHT_MM, "middle", "middle", layer="mark"),
    ]


def _around(at: Point, radius: float) -> Rect:
    r = radius + 0.25
    return (at[0] - r, at[1] - r, at[0] + r, at[1] + r)


def _beside(on: Placed, at: Point, text: str, taken: Sequence[Rect], written: list[Rect]) -> list[Item]:
    """A number on its cut, or near it within the view; nothing where there is no room."""
    radius = _radius(text)
    for reach in _REACHES:
        for dx, dy in _WAYS if reach else _WAYS[:1]:
            far = radius + reach if reach else 0.0
            spot = (at[0] + dx * far, at[1] + dy * far)
            box = _around(spot, radius)
            if not within(box, on.box) or any(overlap(box, other) for other in (*taken, *written)):
                continue
            way = _way(at, spot, radius)
            if any(overlap(r, other) for r in way for other in written):
                continue
            written += [box, *way]
            return [*_leader(at, spot, radius), *_balloon(spot, text)]
    return []


def _leader(at: Point, spot: Point, radius: float) -> list[Item]:
    """From a cut to the circle of its number; none where the circle stands on it."""
    long = hypot(spot[0] - at[0], spot[1] - at[1])
    if long <= radius + 0.3:
        return []
    share = (long - radius) / long
    end = (at[0] + (spot[0] - at[0]) * share, at[1] + (spot[1] - at[1]) * share)
    return [line(at, end, NARROW, "mark"), dot_at(at, 0.4, "mark")]


def _way(at: Point, spot: Point, radius: float) -> list[Rect]:
    """Rectangles along a leader, but for its beginning: leaders of two cuts in one place begin together."""
    lines = [i for i in _leader(at, spot, radius) if isinstance(i, Polyline)]
    if not lines:
        return []
    (x0, y0), (x1, y1) = lines[0].points
    share = min(1.0, 1.2 / max(hypot(x1 - x0, y1 - y0), 1e-9))
    return rects_of(line((x0 + (x1 - x0) * share, y0 + (y1 - y0) * share), (x1, y1)))


def _led(
    on: Placed,
    at: Point,
    text: str,
    busy: Sequence[Rect],
    texts: Sequence[Rect],
    written: list[Rect],
    room: Room,
) -> list[Item]:
    """A number beside the view, with a leader to its cut: the nearest place where nothing else stands."""
    left, low, right, high = on.box
    radius = _radius(text)
    spots = []
    for off in (radius + 0.8, radius + 3.0, radius + 6.0, radius + 10.0):
        along = [k * 1.5 for k in range(-16, 17)]
        spots += [(at[0] + d, y) for d in along for y in (high + off, low - off)]
        spots += [(x, at[1] + d) for d in along for x in (left - off, right + off)]
    for spot in sorted(spots, key=lambda p: hypot(p[0] - at[0], p[1] - at[1])):
        box = _around(spot, radius)
        if not within(box, room.inner) or any(overlap(box, o) for o in (*busy, *written, *room.taken)):
            continue
        way = _way(at, spot, radius)
        if any(overlap(r, other) for r in way for other in (*texts, *written)):
            continue
        written += [box, *way]
        return [*_leader(at, spot, radius), *_balloon(spot, text)]
    return []


def mark_points(cut: StatedCut) -> list[Vector]:
    """Where the number of each cut of a row stands (mm)."""
    if cut.shape == "hole":
        return list(cut.places)
    if cut.shape == "box":
        # a quarter along: the middle is where other cuts cross it
        a, b, c = (v * s for v, s in zip(cut.size, (0.25, 0.5, 0.5), strict=True))
    else:
        first, n = cut.places[0], len(cut.corners)
        a, b, c = (sum(p[k] for p in cut.corners) / n - first[k] for k in range(3))
    return [(x + a, y + b, z + c) for x, y, z in cut.places]


def rects_of(item: Item) -> list[Rect]:
    """Rectangles that cover a line, narrow ones."""
    if isinstance(item, Arc):
        (x, y), r = item.centre, item.radius
        return [(x - r, y - r, x + r, y + r)]
    if not isinstance(item, Polyline):
        return []
    found = []
    for (x0, y0), (x1, y1) in zip(item.points, item.points[1:], strict=False):
        steps = (
            1
            if abs(x1 - x0) < 0.05 or abs(y1 - y0) < 0.05
            else max(1, int(max(abs(x1 - x0), abs(y1 - y0)) / 0.8))
        )
        for k in range(steps):
            a, b = (
                (x0 + (x1 - x0) * k / steps, y0 + (y1 - y0) * k / steps),
                (x0 + (x1 - x0) * (k + 1) / steps, y0 + (y1 - y0) * (k + 1) / steps),
            )
            found.append(
                (
                    min(a[0], b[0]) - 0.05,
                    min(a[1], b[1]) - 0.05,
                    max(a[0], b[0]) + 0.05,
                    max(a[1], b[1]) + 0.05,
                )
            )
    return found
