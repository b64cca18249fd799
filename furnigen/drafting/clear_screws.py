"""Screws set off from boards, and from fasteners of other joints, that are where they would go.

A joint knows its two members alone. Once all are known, a screw that would run into a third board, or into a
fastener that crosses its way in one of its boards or the hole of one, is moved along its joint to the nearest
place that is clear. Screws with holes bored for them stay, and so do those that others meet head on, from the
other side of a board: no place along the joint lets both be driven, and a check tells it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from furnigen.core.facts import Fact, FastenerKind
from furnigen.core.pose import Box, Vector, dot
from furnigen.drafting.near_boxes import NearBoxes, boxes_meet
from furnigen.joints.joint import Fastener, Joint
from furnigen.joints.meeting import STRAIGHT
from furnigen.parts.cuts import Bore
from furnigen.piece.distinct_parts import Item

CLEAR_MM = 1.0
"""Air between a screw's head and what it was moved away from. Our own choice."""
EDGE_DIAMETERS = 2.0
"""A screw that is moved stays so far from the end of its joint, and from other screws: nearer it splits wood.
Common practice, no source."""
CROSSING = 0.7
"""Cosine below which two fasteners cross; above, they meet head on or run beside each other."""
Site = tuple[Vector, Vector]
_Shaft = tuple[Box, Vector]
"""Bounds of a fastener or a hole, and its way in."""


def set_off_screws(joints: Sequence[Joint], items: Mapping[str, Item]) -> tuple[Joint, ...]:
    """The joints with their screws clear of other boards and fasteners, as far as there is room.

    Args:
        items: all placements as they are cut.
    """
    if not any(f.kind is FastenerKind.SCREW for j in joints for f in j.fasteners):
        return tuple(joints)
    boxes = {label: item.form.bounds(item.pose) for label, item in items.items()}
    solid = NearBoxes({label: box for label, box in boxes.items() if _fills_its_bounds(items[label])})
    inside = _Inside(joints, items)
    moved = []
    for number, joint in enumerate(joints):
        moved.append(_set_off(joint, items, boxes, solid, lambda n=number: inside.others(n)))  # type: ignore[misc]
        if moved[-1] is not joint:
            inside.replace(number, moved[-1])
    return tuple(moved)


class _Inside:
    """Bounds of all fasteners, and of the holes bored for them, by the boards they are in."""

    def __init__(self, joints: Sequence[Joint], items: Mapping[str, Item]) -> None:
        self._items = items
        self._holes: dict[str, list[_Shaft]] = {}
        self._joints = list(joints)
        self._ends = [(joint.a, joint.b) for joint in joints]
        self._spans: dict[int, list[_Shaft]] = {}
        self._in: dict[str, list[int]] = {}
        for number, joint in enumerate(joints):
            if any(f.sites and not f.parts for f in joint.fasteners):
                for label in self._ends[number]:
                    self._in.setdefault(label, []).append(number)

    def others(self, number: int) -> list[_Shaft]:
        """Fasteners of other joints, and holes, in the boards of one; its own screws have no holes."""
        ends = self._ends[number]
        sharing = dict.fromkeys(n for label in ends for n in self._in.get(label, ()))
        found = [shaft for n in sharing if n != number for shaft in self._shanks_of(n)]
        return found + [shaft for label in ends for shaft in self._holes_in(label)]

    def _holes_in(self, label: str) -> list[_Shaft]:
        if label not in self._holes:
            item = self._items[label]
            bores = [c for c in item.cuts if isinstance(c, Bore) and Fact.HARDWARE_HOLE in c.facts]
            sites = [(item.pose.apply(c.start), item.pose.turn(c.direction)) for c in bores]
            self._holes[label] = [
                (_span(site, c.diameter / 2, c.depth), site[1]) for site, c in zip(sites, bores, strict=True)
            ]
        return self._holes[label]

    def _shanks_of(self, number: int) -> list[_Shaft]:
        if number not in self._spans:
            self._spans[number] = _shanks(self._joints[number])
        return self._spans[number]

    def replace(self, number: int, joint: Joint) -> None:
        """What a joint's fasteners are now."""
        self._joints[number] = joint
        self._spans.pop(number, None)


def _shanks(joint: Joint) -> list[_Shaft]:
    """Each fastener of a joint, its head left out; keys and splines are parts, not fasteners."""
    solid = [f for f in joint.fasteners if not f.parts]
    return [(_span(site, f.diameter_mm / 2, f.length_mm), site[1]) for f in solid for site in f.sites]


def _fills_its_bounds(item: Item) -> bool:
    """Whether it is a plain board that stands square in the room: of others the bounds say too much."""
    board = item.form.as_board
    square = all(max(abs(c) for c in row) > STRAIGHT for row in item.pose.rotation)
    return board is not None and board.rectangular and square


def _set_off(
    joint: Joint,
    items: Mapping[str, Item],
    boxes: Mapping[str, Box],
    solid: NearBoxes,
    others: Callable[[], list[_Shaft]],
) -> Joint:
    if joint.a not in boxes or joint.b not in boxes:
        return joint
    set_off = []
    for f in joint.fasteners:
        stays = f.kind is not FastenerKind.SCREW or not f.sites or _bored(joint, items, f.kind)
        set_off.append(f if stays else _moved(f, joint, boxes, solid, others()))
    same = all(one is other for one, other in zip(set_off, joint.fasteners, strict=True))
    return joint if same else replace(joint, fasteners=tuple(set_off))


def _bored(joint: Joint, items: Mapping[str, Item], kind: FastenerKind) -> bool:
    """Whether holes for fasteners of this kind are bored in its members."""
    return any(isinstance(c, Bore) and c.takes is kind for x in (joint.a, joint.b) for c in items[x].cuts)


def _moved(
    screws: Fastener,
    joint: Joint,
    boxes: Mapping[str, Box],
    solid: NearBoxes,
    shafts: Sequence[_Shaft],
) -> Fastener:
    """The screws where they are clear; their heads are twice as wide as their shanks."""
    taken = [_span(site, screws.diameter_mm, screws.length_mm) for site in screws.sites]
    hull = Box.around([corner for box in taken for corner in (box.lo, box.hi)])
    near = [
        box for label, box in solid.around(hull) if label not in (joint.a, joint.b) and boxes_meet(hull, box)
    ]
    into = screws.sites[0][1]
    near += [box for box, way in shafts if abs(dot(into, way)) < CROSSING and boxes_meet(hull, box)]
    if not any(boxes_meet(span, box) for span in taken for box in near):
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
            span = _span(new, screws.diameter_mm, screws.length_mm)
            if low <= place <= high and apart and not any(boxes_meet(span, box) for box in near):
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


def _span(site: Site, radius: float, length: float) -> Box:
    """Bounds of a fastener (mm)."""
    point, way = site
    lo, hi = [], []
    for p, d in zip(point, way, strict=True):
        end, aside = p + d * length, 1 - d * d
        wide = radius * aside**0.5 if aside > 0.0 else 0.0
        low, high = (p, end) if p < end else (end, p)
        lo.append(low - wide)
        hi.append(high + wide)
    return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))


def _along(sites: Sequence[Site], a: Box, b: Box) -> int:
    """The axis of the room along which screws can be moved: that of their line, never the way they go in."""
    way = sites[0][1]
    across = [i for i in range(3) if abs(way[i]) < 0.5]

    def spread(i: int) -> tuple[float, float]:
        places = [point[i] for point, _ in sites]
        return max(places) - min(places), min(a.hi[i], b.hi[i]) - max(a.lo[i], b.lo[i])

    return max(across, key=spread)
