"""Where more fasteners of a joint go, and how long they may be: for remedies that change them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from math import inf

from furnigen.core.facts import FastenerKind
from furnigen.core.pose import Vector, dot
from furnigen.joints.joint import Fastener
from furnigen.piece.description import Piece
from furnigen.strength.formulas.screws import end_distance, least_spacing
from furnigen.strength.joints.check import JointResult
from furnigen.strength.joints.wood import ALONG

DOWEL_DIAMETERS = 3.0
"""Spacing of dowels at least, in diameters. Common practice, no source."""
EDGE_DIAMETERS = 3.0
"""From an edge that no load presses to, in diameters (EN 1995-1-1 table 8.2)."""
SPREAD_KINDS = (FastenerKind.SCREW, FastenerKind.NAIL, FastenerKind.DOWEL)
"""Fasteners that stand in a row, to which more can be added."""


def own_fastener(one: JointResult, like: Fastener) -> Fastener:
    """The fastener of a joint that is like another's."""
    return next(f for f in one.loaded.joint.fasteners if f.kind is like.kind and f.sites)


def spread_fasteners(ones: Sequence[JointResult], count: int) -> dict[int, Fastener] | None:
    """That many fasteners in each joint, evenly along its seat; None where they would stand too close."""
    found = {}
    for one in ones:
        seat = one.loaded.seat
        old = next(f for f in one.loaded.joint.fasteners if f.kind in SPREAD_KINDS and f.sites)
        d = old.diameter_mm
        least = least_spacing(d, 90.0) if old.kind is not FastenerKind.DOWEL else DOWEL_DIAMETERS * d
        long = seat.along if seat.wide_mm >= seat.thick_mm else seat.across
        size = max(seat.wide_mm, seat.thick_mm)
        # a row along the grain ends at the board's ends; elsewhere at its edges
        along_grain = abs(dot(one.loaded.b.grain, long)) > ALONG and not one.loaded.b.panel
        ends = end_distance(d, 90.0) if along_grain else EDGE_DIAMETERS * d
        if size / count < least or size / count / 2 < ends:
            return None
        site, way = old.sites[0]
        start = dot(site, long) - dot(seat.centre, long)
        sites = []
        for n in range(count):
            shift = size * ((n + 0.5) / count - 0.5) - start
            at: Vector = (site[0] + shift * long[0], site[1] + shift * long[1], site[2] + shift * long[2])
            sites.append((at, way))
        found[id(one.loaded.joint)] = replace(old, sites=tuple(sites))
    return found


def room_in_wood(one: JointResult, f: Fastener, piece: Piece) -> float:
    """How long a screw may be before it comes out of the far side, mm; endless in a wall."""
    if one.loaded.a is None:
        return inf
    site, way = f.sites[0]
    into_a = dot(way, one.loaded.seat.into) > 0
    holder = piece.placement(one.loaded.joint.a if into_a else one.loaded.joint.b)
    box = piece.bounds_of(holder)
    return max(dot(c, way) for c in box.corners()) - dot(site, way)
