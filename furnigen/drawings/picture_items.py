"""Isometric pictures as items of a page: lines, tints, guide lines, hardware; and points to hang balloons on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from furnigen.core.array_types import Floats
from furnigen.core.pose import Vector
from furnigen.drawings.isometric import Picture, flat_point
from furnigen.paper.page import Area, Item, Pen, Point, Polyline

NEW, EARLIER, UNSEEN, GUIDE, STEEL = Pen(0.35), Pen(0.18), Pen(0.13, "dashed"), Pen(0.13, "chain"), Pen(0.5)
"""Lines of what comes in, of what is there, of what is hidden, of the ways, and of hardware."""
TINTS = ("#fff0d0", "#f2d9a8", "#f9e4bd")
"""Of what comes in: faces that look up, sideways, forward."""

Bounds = tuple[float, float, float, float]


@dataclass(frozen=True)
class Place:
    """Where a picture stands on paper.

    Attributes:
        scale: mm on paper for a mm of the picture.
        x, y: on paper, of the picture's origin.
    """

    scale: float
    x: float
    y: float

    def at(self, p: Sequence[float]) -> Point:
        """A point of the picture on paper."""
        return self.x + p[0] * self.scale, self.y + p[1] * self.scale

    def of(self, p: Vector) -> Point:
        """A point of the room on paper."""
        return self.at(flat_point(p))


def fitted(bounds: Bounds, area: Bounds) -> Place:
    """The largest place of a picture in the middle of some area; both as left, bottom, right, top."""
    (x0, y0, x1, y1), (left, low, right, top) = bounds, area
    scale = min((right - left) / max(x1 - x0, 1e-6), (top - low) / max(y1 - y0, 1e-6))
    return Place(scale, (left + right) / 2 - scale * (x0 + x1) / 2, (low + top) / 2 - scale * (y0 + y1) / 2)


def joined_bounds(all_bounds: Iterable[Bounds]) -> Bounds:
    """What holds several bounds."""
    lefts, lows, rights, tops = zip(*all_bounds, strict=True)
    return min(lefts), min(lows), max(rights), max(tops)


def line_items(picture: Picture, place: Place, new: frozenset[str], fine: bool = False) -> list[Item]:
    """The visible lines of a picture, earlier parts first.

    Args:
        new: names of what comes in.
        fine: all lines narrow, for small pictures.
    """
    first: list[Item] = []
    last: list[Item] = []
    for k, lines in picture.visible_edges():
        name = picture.shown[k].name
        pen = EARLIER if fine or name not in new else NEW
        drawn = last if name in new else first
        drawn += [Polyline((place.at(a), place.at(b)), pen=pen, layer="parts") for a, b in lines.tolist()]
    return first + last


def hidden_items(picture: Picture, place: Place, names: frozenset[str]) -> list[Item]:
    """The outlines of copies that nothing is seen of, dashed."""
    return [
        Polyline((place.at(a[:2]), place.at(b[:2])), pen=UNSEEN, layer="hidden")
        for k, (a, b) in zip(picture.edge_owner.tolist(), picture.edges.tolist(), strict=True)
        if picture.shown[k].name in names
    ]


def tint_items(areas: dict[tuple[str, int], list[Floats]], place: Place) -> list[Item]:
    """Tints of what is seen of some parts."""
    found: list[Item] = []
    for (_, way), rings in areas.items():
        drawn = tuple(tuple(place.at(p) for p in ring.tolist()) for ring in rings if len(ring) >= 3)
        if drawn:
            found.append(Area(drawn, TINTS[way], "tint"))
    return found


def guide_items(picture: Picture, ways: Sequence[tuple[Vector, Vector]], place: Place) -> list[Item]:
    """Guide lines along which parts come home, where they are seen, each with an arrow at its end.

    Args:
        ways: from and to, in the room.
    """
    found: list[Item] = []
    for (start, end), seen in zip(ways, picture.visible_lines(ways), strict=True):
        for a, b in seen.tolist():
            found.append(Polyline((place.at(a), place.at(b)), pen=GUIDE, layer="guides"))
        if len(seen):
            long = max(
                seen.tolist(), key=lambda ends: abs(ends[1][0] - ends[0][0]) + abs(ends[1][1] - ends[0][1])
            )
            found += _arrow(place.at(long[0]), place.at(long[1]))
    return found


def _arrow(start: Point, end: Point) -> list[Item]:
    """A head half way along a guide line."""
    dx, dy = end[0] - start[0], end[1] - start[1]
    long = (dx * dx + dy * dy) ** 0.5
    if long < 3.0:
        return []
    ux, uy = dx / long, dy / long
    x, y = start[0] + dx / 2, start[1] + dy / 2
    tip = (x + ux * 1.0, y + uy * 1.0)
    wings = [(x - ux * 1.0 + s * uy * 0.45, y - uy * 1.0 - s * ux * 0.45) for s in (1, -1)]
    return [Area(((tip, wings[0], wings[1]),), "#000000", "guides")]


def inner_point(rings: Iterable[Floats]) -> tuple[Point, float] | None:
    """A point well inside an area and how wide it is there (both in the picture); None for no area.

    Of some level lines through the area, the middle of the stretch with most room both ways.
    """
    edges = [(p, q) for ring in rings for p, q in zip(ring.tolist(), [*ring.tolist()[1:], ring.tolist()[0]])]
    if not edges:
        return None
    low, high = min(p[1] for p, _ in edges), max(p[1] for p, _ in edges)
    best: tuple[float, Point] | None = None
    for n in range(1, 16):
        y = low + (high - low) * n / 16
        xs = sorted(
            p[0] + (q[0] - p[0]) * (y - p[1]) / (q[1] - p[1]) for p, q in edges if (p[1] <= y) != (q[1] <= y)
        )
        for a, b in zip(xs[::2], xs[1::2], strict=False):
            x = (a + b) / 2
            ys = sorted(
                p[1] + (q[1] - p[1]) * (x - p[0]) / (q[0] - p[0])
                for p, q in edges
                if (p[0] <= x) != (q[0] <= x)
            )
            over = min((v for v in ys if v >= y), default=y)
            under = max((v for v in ys if v < y), default=y)
            room = min(b - a, over - under)
            if best is None or room > best[0] + 1e-9:
                best = (room, (x, (over + under) / 2))
    return None if best is None else (best[1], best[0])


def spots(areas: dict[tuple[str, int], list[Floats]]) -> dict[str, tuple[Point, float]]:
    """For each part seen, a point well inside its best face, and how wide that is there."""
    found: dict[str, tuple[Point, float]] = {}
    for (name, _), rings in areas.items():
        spot = inner_point(rings)
        if spot is not None and spot[1] > found.get(name, ((0.0, 0.0), 0.0))[1]:
            found[name] = spot
    return found
