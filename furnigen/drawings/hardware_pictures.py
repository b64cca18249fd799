"""Pictures of hardware: from the side for the key, and as strokes where it goes in."""

from __future__ import annotations

from collections.abc import Sequence

from furnigen.core.facts import FastenerKind
from furnigen.core.pose import Vector
from furnigen.drawings.isometric import Picture
from furnigen.drawings.picture_items import GUIDE, STEEL, UNSEEN, Place
from furnigen.paper.page import FINE, NARROW, Arc, Item, Pen, Point, Polyline, box, line

HEADED = frozenset({FastenerKind.SCREW, FastenerKind.NAIL, FastenerKind.BOLT, FastenerKind.CONNECTOR,
                    FastenerKind.WALL_ANCHOR})  # fmt: skip
HEAD_SHARE = 2.0
"""Head of a screw over its diameter. Common practice, no source."""
FULL_SIZE_MM = 50.0
"""Hardware up to this length is drawn in full size in the key."""


def side_view(kind: FastenerKind, d: float, length: float, at: Point) -> list[Item]:
    """Hardware seen from the side, lying, in full size or, where it is too long, smaller.

    Args:
        d, length: diameter and length (mm).
        at: left end of its axis on paper.
    """
    s = drawn_scale(length)
    x, y, r, long = at[0], at[1], d * s / 2, length * s
    if kind in HEADED:
        return _headed(kind, x, y, r, long)
    items: list[Item] = [box(x, y - r, long, 2 * r, NARROW)]
    if kind is FastenerKind.DOWEL:
        items += [line((x + 1, y + r * k), (x + long - 1, y + r * k), FINE) for k in (-0.5, 0.0, 0.5)]
    elif kind is FastenerKind.SHELF_PIN:
        items.append(box(x + long * 0.45, y - r * 1.8, 1.0, 3.6 * r, NARROW))
    elif kind is FastenerKind.BARREL_NUT:
        items.append(Arc((x + long / 2, y), r * 0.6, pen=NARROW))
        items.append(line((x, y), (x + long * 0.2, y), NARROW))
    elif kind is FastenerKind.BRACKET:
        items = [Polyline(((x, y + long / 2), (x, y - long / 2), (x + long, y - long / 2)), pen=Pen(0.7))]
    elif kind is FastenerKind.WEDGE:
        items = [Polyline(((x, y - r), (x + long, y), (x, y + r)), True, NARROW)]
    return items


def drawn_scale(length: float) -> float:
    """Scale that hardware is drawn at in the key."""
    return min(1.0, FULL_SIZE_MM / length)


def _headed(kind: FastenerKind, x: float, y: float, r: float, long: float) -> list[Item]:
    head = r * HEAD_SHARE
    if kind in (FastenerKind.BOLT, FastenerKind.NAIL):
        high = r * (1.5 if kind is FastenerKind.BOLT else 0.5)
        items: list[Item] = [box(x, y - head, high, 2 * head, NARROW)]
        start = x + high
    else:
        items = [
            Polyline(
                ((x, y - head), (x, y + head), (x + head - r, y + r), (x + head - r, y - r)), True, NARROW
            )
        ]
        start = x + head - r
    end, tip = x + long, 0.0 if kind is FastenerKind.BOLT else min(2 * r, long / 4)
    shank = ((start, y + r), (end - tip, y + r), (end, y + (r if not tip else 0.0)))
    mirror = ((end, y - (r if not tip else 0.0)), (end - tip, y - r), (start, y - r))
    items.append(Polyline((*shank, *mirror), pen=NARROW))
    if kind is not FastenerKind.NAIL:
        first, pitch = start + (end - start) * 0.3, max(0.9, r * 0.9)
        turns = int((end - tip - first) / pitch)
        items += [
            line((first + k * pitch, y - r), (first + (k + 0.6) * pitch, y + r), FINE) for k in range(turns)
        ]
    return items


Site = tuple[FastenerKind, float, Vector, Vector]
"""Kind, length, point where it enters, and the direction it goes in, where the picture shows it."""


def site_items(
    picture: Picture, sites: Sequence[Site], gap: float, place: Place
) -> tuple[list[Item], list[Point | None]]:
    """Hardware in front of the holes it goes into, each on a guide line; what is hidden is left out.

    Args:
        gap: from the hole to its point (mm of the room).

    Returns: the items, and a point of each that is seen, on paper; None for one that is hidden.
    """
    bodies = [_body(site, gap) for site in sites]
    guides = [(tip, site[2]) for (_, tip), site in zip(bodies, sites, strict=True)]
    heads = [kind in HEADED for kind, *_ in sites]
    items: list[Item] = []
    for seen in picture.visible_lines(guides):
        items += [Polyline((place.at(a), place.at(b)), pen=GUIDE, layer="hardware") for a, b in seen.tolist()]
    points: list[Point | None] = []
    for (back, _), seen, head in zip(bodies, picture.visible_lines(bodies), heads, strict=True):
        drawn = [(place.at(a), place.at(b)) for a, b in seen.tolist()]
        items += [Polyline(ends, pen=STEEL, layer="hardware") for ends in drawn]
        if not drawn:
            points.append(None)
            continue
        (ax, ay), (bx, by) = drawn[0]
        points.append(((ax + bx) / 2, (ay + by) / 2))
        start = place.of(back)
        if head and abs(start[0] - ax) + abs(start[1] - ay) < 0.01:
            long = max(((bx - ax) ** 2 + (by - ay) ** 2) ** 0.5, 1e-9)
            u, v = -(by - ay) / long * 0.7, (bx - ax) / long * 0.7
            items.append(Polyline(((ax - u, ay - v), (ax + u, ay + v)), pen=STEEL, layer="hardware"))
    return items, points


def hidden_site_items(sites: Sequence[Site], gap: float, place: Place) -> tuple[list[Item], list[Point]]:
    """Hardware that nothing is seen of, by dashed strokes; and the middle of each on paper."""
    items: list[Item] = []
    points: list[Point] = []
    for site in sites:
        (ax, ay), (bx, by) = (place.of(p) for p in _body(site, gap))
        items.append(Polyline(((ax, ay), (bx, by)), pen=UNSEEN, layer="hardware"))
        points.append(((ax + bx) / 2, (ay + by) / 2))
    return items, points


def _body(site: Site, gap: float) -> tuple[Vector, Vector]:
    """Both ends of hardware before its hole: its head, its point (mm of the room)."""
    _, length, (x, y, z), (u, v, w) = site
    tip = (x - gap * u, y - gap * v, z - gap * w)
    return (tip[0] - length * u, tip[1] - length * v, tip[2] - length * w), tip
