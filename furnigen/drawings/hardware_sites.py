"""Where hardware goes, in words: through which board into which, and where that is marked out."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from furnigen.catalogue.hardware import sold_as
from furnigen.core.facts import FastenerKind
from furnigen.core.pose import Box, Vector, dot
from furnigen.cutting.joint_words import size_text
from furnigen.drawings.sentences import listed
from furnigen.drawings.step_measures import is_square
from furnigen.joints.joint import Fastener, Joint
from furnigen.parts.cuts import Bore
from furnigen.piece.description import Piece, Placement
from furnigen.piece.hardware_list import HardwareRow

BETWEEN = frozenset({FastenerKind.DOWEL, FastenerKind.SHELF_PIN, FastenerKind.SPLINE, FastenerKind.KEY})
"""Hardware that lies between the boards it joins; other hardware goes in through the first of them."""
_FROM = ("from its left end", "from its front", "up from its underside")
MOST_PLACES = 3
"""More places than this in a row are given by their step, where they have one."""
SAME_HOLE_MM = 0.5
"""Hardware this near the axis of a hole goes into it."""
Site = tuple[Vector, Vector]
"""The point where hardware enters, and the way it goes in."""


def first_board(boxes: Mapping[str, Box], joint: Joint, site: Site) -> str:
    """The board that hardware goes in through; "" for neither.

    Args:
        boxes: of placements, by label.
    """
    point, way = site
    for label in (joint.a, joint.b):
        box = boxes.get(label)
        if box is not None and all(
            box.lo[k] - 1.0 <= point[k] + 2.0 * way[k] <= box.hi[k] + 1.0 for k in range(3)
        ):
            return label
    return ""


def where_it_goes(piece: Piece, joints: Sequence[Joint], row: HardwareRow, units: str) -> str:
    """Where hardware of one row goes: for each board how many, and what they hold it to."""
    found: dict[tuple[str, str], list[str]] = {}
    for joint in joints:
        mine = [
            f
            for f in joint.fasteners
            if (f.kind.value, sold_as(f.kind, f.diameter_mm, f.length_mm)) == (row.kind, row.size)
        ]
        if mine:
            before, second, after = _of_joint(piece, joint, mine, units)
            found.setdefault((before, after), []).append(second)
    said = []
    for (before, after), others in found.items():
        number, _, board = before.partition(" ")
        each = " each" if len(others) > 1 else ""
        said.append(f"{number}{each} {board} {listed(others)}{after}")
    return "; ".join(said)


def _of_joint(piece: Piece, joint: Joint, fasteners: Sequence[Fastener], units: str) -> tuple[str, str, str]:
    """What is said before the second board, that board, and where the first is marked out."""
    sites = [site for f in fasteners for site in f.sites]
    if fasteners[0].kind in BETWEEN:
        return f"{len(sites)} between {joint.b} and", joint.a, ""
    ends = [n for n in (joint.a, joint.b) if n in piece.by_label]
    boxes = {n: piece.bounds_of(piece.placement(n)) for n in ends}
    first = first_board(boxes, joint, sites[0]) or joint.b
    second = joint.a if first == joint.b else joint.b
    return f"{len(sites)} through {first} into", second, _marked_out(piece, first, sites, units)


def _marked_out(piece: Piece, label: str, sites: Sequence[Site], units: str) -> str:
    """Where holes are marked on a board that lacks them; empty where its sheet gives them."""
    if label not in piece.by_label or not is_square(piece.placement(label)):
        return ""
    placement = piece.placement(label)
    bores = [c for c in piece.part_of(placement).cuts if isinstance(c, Bore)]
    sites = [s for s in sites if not any(_goes_through(placement, bore, s[0]) for bore in bores)]
    if not sites:
        return ""
    way = sites[0][1]
    along = max(range(3), key=lambda k: abs(way[k]))
    low = piece.bounds_of(placement).lo
    rows = []
    for axis in (k for k in range(3) if k != along):
        places = sorted({round(point[axis] - low[axis], 1) for point, _ in sites})
        rows.append(f"{_places(places, units)} {_FROM[axis]}")
    return f" (mark {label}: {'; '.join(rows)})"


def _goes_through(placement: Placement, bore: Bore, point: Vector) -> bool:
    """Whether the axis of a hole runs through a point of the room."""
    there = placement.pose.inverse().apply(point)
    off = (there[0] - bore.start[0], there[1] - bore.start[1], there[2] - bore.start[2])
    far = dot(off, bore.direction)
    return sum((o - far * d) ** 2 for o, d in zip(off, bore.direction, strict=True)) < SAME_HOLE_MM**2


def _places(places: Sequence[float], units: str) -> str:
    """Places along a board: each, or the first, the step and the last."""
    unit = " mm" if units == "mm" else ""
    steps = [b - a for a, b in pairwise(places)]
    if len(places) > MOST_PLACES and max(steps) - min(steps) < 0.21:
        step = (places[-1] - places[0]) / len(steps)
        first, each, last = (size_text(round(v, 1), units) for v in (places[0], step, places[-1]))
        return f"{first}, then every {each} to {last}{unit}"
    return f"{listed(size_text(p, units) for p in places)}{unit}"
