"""Numbers beside cuts on a view, where nothing else stands."""

from __future__ import annotations

from collections.abc import Sequence

from furnigen.drawings.cut_tables import ACROSS, CutLine
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


def mark_items(on: Placed, face: str, lines: Sequence[CutLine], drawn: Sequence[Item]) -> list[Item]:
    """The numbers of the cuts made from a face, each by its cut, or with a leader where there is no room.

    Args:
        drawn: the lines of the view, which no number may cross.
    """
    taken = [r for item in drawn for r in _rects(item)]
    items: list[Item] = []
    left, low, right, high = on.box
    outside = 0
    for cut in lines:
        if cut.face != face or not cut.depth or cut.depth == ACROSS:
            continue
        text = str(cut.number)
        wide = width_of(text, HEIGHT_MM)
        placed_one = False
        for mark in cut.marks:
            at = on.point(mark)
            found = _free(at, wide, taken, (left, low, right, high))
            if found is None:
                continue
            taken.append(found[1])
            items.append(Text(found[0], text, HEIGHT_MM, "middle", "middle", layer="mark"))
            placed_one = True
        if not placed_one and cut.marks:
            items += _led(on, on.point(cut.marks[0]), text, outside)
            outside += 1
    return items


def _led(on: Placed, at: Point, text: str, number: int) -> list[Item]:
    """A number outside the view on its left, with a leader to its cut."""
    left, low, _, high = on.box
    y = max(min(at[1], high), low + 1.5) + 3.0 * number
    end = (left - 3.5, y)
    return [
        line(at, (end[0] + 1.2, end[1]), NARROW, "mark"),
        Text(end, text, HEIGHT_MM, "middle", "middle", layer="mark"),
    ]


def _free(at: Point, wide: float, taken: Sequence[Rect], within: Rect) -> tuple[Point, Rect] | None:
    for dx, dy in _STEPS:
        x, y = at[0] + dx * (wide / 2 + 0.7), at[1] + dy * (HEIGHT_MM / 2 + 0.7)
        box = (x - wide / 2 - 0.35, y - HEIGHT_MM / 2 - 0.35, x + wide / 2 + 0.35, y + HEIGHT_MM / 2 + 0.35)
        inside = box[0] > within[0] and box[1] > within[1] and box[2] < within[2] and box[3] < within[3]
        if inside and not any(overlap(box, other) for other in taken):
            return (x, y), box
    return None


def _rects(item: Item) -> list[Rect]:
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
