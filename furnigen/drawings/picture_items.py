"""Isometric pictures as items of a page: lines, tints, guide lines; and points to hang balloons on."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np

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
    for seen in picture.visible_lines(ways):
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
    """A point well inside an area and how far from its outline (in the picture); None for no area.

    Of the middles of what some level lines have in common with the area, and of what plumb lines through
    these have, the one farthest from the outline.
    """
    closed = [np.stack([ring, np.roll(ring, -1, axis=0)], axis=1) for ring in rings if len(ring) >= 3]
    if not closed:
        return None
    edges = np.concatenate(closed)
    low, high = edges[:, :, 1].min(), edges[:, :, 1].max()
    spots = []
    for n in range(1, 16):
        y = low + (high - low) * n / 16
        for x in _middles(edges, 1, float(y)):
            spots.append((x, float(y)))
            spots += [(x, v) for v in _middles(edges, 0, x)]
    if not spots:
        return None
    points = np.array(spots)
    start, run = edges[:, 0], edges[:, 1] - edges[:, 0]
    square = np.maximum(np.einsum("ij,ij->i", run, run), 1e-12)
    arm = points[:, None, :] - start[None, :, :]
    t = np.clip(np.einsum("pei,ei->pe", arm, run) / square, 0.0, 1.0)
    apart = arm - t[:, :, None] * run
    clear = np.sqrt(np.einsum("pei,pei->pe", apart, apart).min(axis=1))
    best = int(np.argmax(np.round(clear, 6)))
    return spots[best], float(clear[best])


def _middles(edges: Floats, axis: int, at: float) -> list[float]:
    """Middles of the stretches that a line has in common with an area, on the other axis."""
    p, q = edges[:, 0], edges[:, 1]
    crossed = (p[:, axis] <= at) != (q[:, axis] <= at)
    p, q = p[crossed], q[crossed]
    other = 1 - axis
    share = (at - p[:, axis]) / (q[:, axis] - p[:, axis])
    places = np.sort(p[:, other] + share * (q[:, other] - p[:, other])).tolist()
    return [(u + v) / 2 for u, v in zip(places[::2], places[1::2], strict=False)]


def spots(areas: dict[tuple[str, int], list[Floats]]) -> dict[str, tuple[Point, float]]:
    """For each part seen, a point well inside its best face, and how wide that is there."""
    found: dict[str, tuple[Point, float]] = {}
    for (name, _), rings in areas.items():
        spot = inner_point(rings)
        if spot is not None and spot[1] > found.get(name, ((0.0, 0.0), 0.0))[1]:
            found[name] = spot
    return found
