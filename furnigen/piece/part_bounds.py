"""Exact bounds of a part with its joints cut, where a cut takes off what reached farthest."""

from __future__ import annotations

from math import sqrt

from furnigen.core.pose import Box, Pose, Vector
from furnigen.parts.cuts import Turned
from furnigen.parts.forms.form import Leg
from furnigen.parts.part import Part


def part_bounds(part: Part, pose: Pose) -> Box:
    """Bounds of `part` standing at `pose` (mm).

    Exact for every form without cuts and for a leg turned down to a tenon; for other cuts, the bounds of
    what the part is before them, which they seldom change.
    """
    turned = next((c for c in part.cuts if isinstance(c, Turned)), None)
    leg = part.form.as_leg
    if turned is None or leg is None:
        return part.form.bounds(pose)
    z = turned.origin[2]
    below = leg.below(z).bounds(pose @ Pose.at(*leg.axis_at(z)[:2], 0.0))
    reach = [_tenon_reach(leg, turned, row) for row in pose.rotation]
    back = [_tenon_reach(leg, turned, (-row[0], -row[1], -row[2])) for row in pose.rotation]
    o = pose.origin
    tenon = Box(
        (o[0] - back[0], o[1] - back[1], o[2] - back[2]),
        (o[0] + reach[0], o[1] + reach[1], o[2] + reach[2]),
    )
    return below.joined(tenon)


def _tenon_reach(form: Leg, turned: Turned, direction: Vector) -> float:
    """Largest extent of a leg's tenon along `direction`, in the leg's frame: its ends are level ellipses."""
    dx, dy, dz = direction
    r = turned.diameter / 2
    ax, ay, az = turned.axis
    level = sqrt(ax * ax + ay * ay)
    # a level section of a round tenon is longer along its lean by 1 / cos(lean)
    ux, uy = (ax / level, ay / level) if level > 0 else (1.0, 0.0)
    along, across = ux * dx + uy * dy, -uy * dx + ux * dy
    swing = sqrt((r / az * along) ** 2 + (r * across) ** 2)
    ends = []
    for z in (turned.origin[2], form.height):
        s = (z - turned.origin[2]) / az
        centre = (turned.origin[0] + s * ax, turned.origin[1] + s * ay, z)
        ends.append(centre[0] * dx + centre[1] * dy + centre[2] * dz + swing)
    return max(ends)
