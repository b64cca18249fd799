"""Posts that lean on something at their top and stand on their foot: what bends them.

Such a post is a beam on the slant. Each load comes down where the middle of its board lies, not where the
board meets the post: a shelf that reaches from the front of its post back to the wall presses behind the
post's middle line, and its joint hands on a moment beside the force. With loads P at distances x from the
foot, measured level toward the top, and heights z above it, the wall pushes the top, at the height H, with

    R = sum P x / H,      M(z) = R (H - z) - sum over loads above z of P (x - x of the post at z)

The moment jumps at each board by what its joint hands on, so it is looked at right below and right above it.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import hypot
from typing import NamedTuple

import numpy as np

from furnigen.catalogue.loads import GRAVITY
from furnigen.construction.load_path import SupportPlace
from furnigen.core.pose import Vector, dot, unit
from furnigen.strength.members.board_stack import PassedLoad
from furnigen.strength.members.boards import Board
from furnigen.strength.model.members import Member

Offsets = Mapping[tuple[str, SupportPlace], Vector]
"""Of what is carried and where, how far from that place its load comes down, level, mm."""


class LoadOnPost(NamedTuple):
    """A load on a leaning post: N, its height in the room and how far it lies toward the top, mm."""

    newton: float
    height: float
    out: float


def load_offsets(boards: Sequence[Board]) -> dict[tuple[str, SupportPlace], Vector]:
    """How far across each board its load comes down from the places that carry it.

    Nothing where several places carry one station: their shares have the load's middle already.
    """
    found = {}
    for board in boards:
        span = board.span
        middle = dot(span.body.box.centre, span.across)
        for station, parts in zip(span.stations, span.parts, strict=True):
            carried = sum(
                part * dot(place.centre, span.across)
                for part, place in zip(parts, station.places, strict=True)
            )
            x, y, _ = span.across
            for place in station.places:
                found[board.label, place] = (x * (middle - carried), y * (middle - carried), 0.0)
    return found


def _middle_line(body: Member) -> Vector:
    """A point of the middle line of a board that stands."""
    half = [size / 2 for size in body.form.blank_mm]
    return body.pose.apply((half[0], half[1], half[2]))


def loads_on_post(body: Member, pushes: Sequence[PassedLoad], offsets: Offsets) -> list[LoadOnPost]:
    """What comes down on a leaning post, and its own weight."""
    x, y, z = body.axis
    way, slope = unit((x, y, 0.0)), hypot(x, y) / z
    foot, line = body.box.lo[2], _middle_line(body)
    start = dot(line, way) - (line[2] - foot) * slope
    found = []
    for p in pushes:
        off = offsets.get((p.label, p.place), (0.0, 0.0, 0.0))
        found.append(LoadOnPost(p.dead + p.live, p.at[2], dot(p.at, way) + dot(off, way) - start))
    found.append(LoadOnPost(body.kg * GRAVITY, body.centre[2], dot(body.centre, way) - start))
    return found


def bent_most(body: Member, loads: Sequence[LoadOnPost], low: float, high: float) -> tuple[float, float]:
    """Largest moment in a leaning post between two heights of the room, N mm, and at which height.

    Args:
        loads: all that comes down on it, see `loads_on_post`.
    """
    x, y, z = body.axis
    slope = hypot(x, y) / z
    foot, top = body.box.lo[2], body.box.hi[2]
    newton, height, out = np.array(loads).T
    wall = float(newton @ out) / (top - foot)
    best = (0.0, low)
    for at in sorted({low, high, *(float(h) for h in height if low <= h <= high)}):
        for above in (height > at, height >= at):
            beyond = float((newton * (out - (at - foot) * slope))[above].sum())
            moment = abs(wall * (top - at) - beyond)
            if moment > best[0] * (1 + 1e-9):
                best = (moment, at)
    return best
