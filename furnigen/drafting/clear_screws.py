"""Screws set off from boards that stand where their heads or shanks would go.

A joint knows its two members alone. Once all boards are known, a screw that would run into a third one is
moved along its joint to the nearest place that is clear. Screws with holes bored for them stay: where one of
them runs into something, a check tells it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

from furnigen.core.facts import FastenerKind
from furnigen.core.pose import Box, Vector
from furnigen.joints.joint import Fastener, Joint
from furnigen.joints.meeting import STRAIGHT
from furnigen.parts.cuts import Bore
from furnigen.piece.distinct_parts import Item

CLEAR_MM = 1.0
"""Air between a screw's head and what it was moved away from. Our own choice."""
EDGE_DIAMETERS = 2.0
"""A screw that is moved stays so far from the end of its joint, and from other screws: nearer it splits wood.
Common practice, no source."""
TOUCH_MM = 0.01
"""Less than this is touching."""
Site = tuple[Vector, Vector]


def set_off_screws(joints: Sequence[Joint], items: Mapping[str, Item]) -> tuple[Joint, ...]:
    """The joints with their screws clear of other boards, as far as there is room.

    Args:
        items: all placements as they are cut.
    """
    if not any(f.kind is FastenerKind.SCREW for j in joints for f in j.fasteners):
        return tuple(joints)
    boxes = {label: item.form.bounds(item.pose) for label, item in items.items()}
    solid = {label: box for label, box in boxes.items() if _fills_its_bounds(items[label])}
    return tuple(_set_off(joint, items, boxes, solid) for joint in joints)


def _fills_its_bounds(item: Item) -> bool:
    """Whether it is a plain board that stands square in the room: of others the bounds say too much."""
    board = item.form.as_board
    square = all(max(abs(c) for c in row) > STRAIGHT for row in item.pose.rotation)
    return board is not None and board.rectangular and square


def _set_off(
    joint: Joint, items: Mapping[str, Item], boxes: Mapping[str, Box], solid: Mapping[str, Box]
) -> Joint:
    if joint.a not in boxes or joint.b not in boxes:
        return joint
    fasteners = []
    for f in joint.fasteners:
        bored = any(
            isinstance(c, Bore) and c.takes is f.kind for x in (joint.a, joint.b) for c in items[x].cuts
        )
        fasteners.append(
            f if f.kind is not FastenerKind.SCREW or not f.sites or bored else _moved(f, joint, boxes, solid)
        )
    return replace(joint, fasteners=tuple(fasteners))


def _moved(screws: Fastener, joint: Joint, boxes: Mapping[str, Box], solid: Mapping[str, Box]) -> Fastener:
    taken = [_span(site, screws) for site in screws.sites]
    hull = Box.around([corner for box in taken for corner in (box.lo, box.hi)])
    near = [box for label, box in solid.items() if label not in (joint.a, joint.b) and _meet(hull, box)]
    if not any(_meet(span, box) for span in taken for box in near):
        return screws
    run = _along(screws.sites, boxes[joint.a], boxes[joint.b])
    edge = EDGE_DIAMETERS * screws.diameter_mm
    low = max(boxes[joint.a].lo[run], boxes[joint.b].lo[run]) + edge
    high = min(boxes[joint.a].hi[run], boxes[joint.b].hi[run]) - edge
    sites: list[Site] = list(screws.sites)
    for k, site in enumerate(sites):
        others = [s for n, s in enumerate(sites) if n != k]
        for place in _clear_places(site, screws, near, run):
            new = _at(site, run, place)
            apart = all(any(abs(new[0][i] - s[0][i]) > edge for i in range(3)) for s in others)
            if low <= place <= high and apart and not any(_meet(_span(new, screws), b) for b in near):
                sites[k] = new
                break
    return replace(screws, sites=tuple(sites))


def _clear_places(site: Site, screws: Fastener, near: Sequence[Box], run: int) -> list[float]:
    """Places along the joint just clear of a board, the nearest first; where it stands, if that is clear."""
    here, reach = site[0][run], screws.diameter_mm + CLEAR_MM
    found = [here]
    for box in near:
        found += [box.lo[run] - reach, box.hi[run] + reach]
    return sorted(found, key=lambda p: (abs(p - here), p))


def _at(site: Site, run: int, place: float) -> Site:
    x, y, z = (place if i == run else c for i, c in enumerate(site[0]))
    return (x, y, z), site[1]


def _span(site: Site, screws: Fastener) -> Box:
    """Bounds of a screw, its head twice as wide as its shank."""
    point, way = site
    lo, hi = [], []
    for p, d in zip(point, way, strict=True):
        end = p + d * screws.length_mm
        wide = screws.diameter_mm * max(0.0, 1 - d * d) ** 0.5
        lo.append(min(p, end) - wide)
        hi.append(max(p, end) + wide)
    return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))


def _meet(one: Box, two: Box) -> bool:
    (a, b, c), (d, e, f) = one.lo, one.hi
    (p, q, r), (s, t, u) = two.lo, two.hi
    return (
        min(d, s) - max(a, p) > TOUCH_MM
        and min(e, t) - max(b, q) > TOUCH_MM
        and min(f, u) - max(c, r) > TOUCH_MM
    )


def _along(sites: Sequence[Site], a: Box, b: Box) -> int:
    """The axis of the room along which screws can be moved: that of their line, never the way they go in."""
    way = sites[0][1]
    across = [i for i in range(3) if abs(way[i]) < 0.5]

    def spread(i: int) -> tuple[float, float]:
        places = [point[i] for point, _ in sites]
        return max(places) - min(places), min(a.hi[i], b.hi[i]) - max(a.lo[i], b.lo[i])

    return max(across, key=spread)
