"""Numbers beside cuts on a view, where nothing else stands."""

from __future__ import annotations

from collections.abc import Sequence

from furnigen.core.pose import Vector
from furnigen.drawings.part_data import StatedCut
from furnigen.drawings.sheet import Rect, overlap
from furnigen.drawings.views import Placed
from furnigen.paper.lettering import width_of
from furnigen.paper.page import NARROW, Arc, Item, Point, Polyline, Text, line

HEIGHT_MM = 1.8
_STEPS = (
    (0.0, 0.0),
    *(
        (dx * r, dy * r)
        for r in (1.0, 1.6, 2.4, 3.4, 4.8)
        for dx, dy in ((1, 1), (-1, 1), (1, -1), (-1, -1), (0, 1), (0, -1), (1, 0), (-1, 0))
    ),
)


def mark_items(on: Placed, face: str, cuts: Sequence[StatedCut], drawn: Sequence[Item]) -> list[Item]:
    """The numbers of the cuts made from a face, each by its cut, or with a leader where there is no room.

    Args:
        drawn: the lines of the view, which no number may cross.
    """
    taken = [r for item in drawn for r in rects_of(item)]
    items: list[Item] = []
    written: list[Rect] = []
    waiting: list[tuple[StatedCut, Vector]] = []
    for cut in cuts:
        if cut.face != face or not cut.places:
            continue
        text = str(cut.number)
        wide = width_of(text, HEIGHT_MM)
        before = len(written)
        marks = mark_points(cut)
        for mark in marks:
            found = _free(on.point(mark), wide, [*taken, *written], on.box)
            if found is not None:
                written.append(found[1])
                items.append(Text(found[0], text, HEIGHT_MM, "middle", "middle", layer="mark"))
        if len(written) == before:
            waiting.append((cut, marks[0]))
    for cut, mark in waiting:
        items += _led(on, on.point(mark), str(cut.number), written)
    return items


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


def _led(on: Placed, at: Point, text: str, written: list[Rect]) -> list[Item]:
    """A number on the left of the view, with a leader to its cut that crosses no other number."""
    left, low, _, high = on.box
    wide = width_of(text, HEIGHT_MM) / 2 + 0.4
    heights = [low + 1.5 + 3.0 * k for k in range(max(1, int((high - low + 3.0) / 3.0)))]
    for x in (left - 3.5, left - 7.0):
        for y in sorted(heights, key=lambda h: abs(h - at[1])):
            box = (x - wide, y - HEIGHT_MM / 2 - 0.4, x + wide, y + HEIGHT_MM / 2 + 0.4)
            leader = line(at, (x + wide, y), NARROW, "mark")
            if any(overlap(r, other) for other in written for r in (box, *rects_of(leader))):
                continue
            written += [box, *rects_of(leader)]
            return [leader, Text((x, y), text, HEIGHT_MM, "middle", "middle", layer="mark")]
    return []


def _free(at: Point, wide: float, taken: Sequence[Rect], within: Rect) -> tuple[Point, Rect] | None:
    for dx, dy in _STEPS:
        x, y = at[0] + dx * (wide / 2 + 0.7), at[1] + dy * (HEIGHT_MM / 2 + 0.7)
        box = (x - wide / 2 - 0.35, y - HEIGHT_MM / 2 - 0.35, x + wide / 2 + 0.35, y + HEIGHT_MM / 2 + 0.35)
        inside = box[0] > within[0] and box[1] > within[1] and box[2] < within[2] and box[3] < within[3]
        if inside and not any(overlap(box, other) for other in taken):
            return (x, y), box
    return None


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
