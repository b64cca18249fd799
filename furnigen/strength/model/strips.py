"""Strips and rails glued along level boards, in one piece or several, and the section of a board alone."""

from __future__ import annotations

from collections.abc import Mapping
from itertools import pairwise
from math import cos, pi

from furnigen.core.finding import without_noise
from furnigen.core.pose import Vector, dot
from furnigen.strength.formulas.section import Section, rectangular_section, round_section
from furnigen.strength.formulas.shear import find_shear
from furnigen.strength.model.carriers import Carriers
from furnigen.strength.model.members import LEVEL, RAIL, Member

STIFFENED_SHARE = 0.9
"""A strip glued along at least this share of a board stiffens it. Our own choice."""


def lies_flat(body: Member) -> bool:
    """Whether a board lies on its face, not on its edge."""
    return abs(body.direction(2)[2]) > cos(pi / 4)


def across_of(d: Vector) -> Vector:
    """The level unit vector square to a level one."""
    return (-d[1], d[0], 0.0)


def along_share(a: Member, b: Member, d: Vector) -> float:
    """How much of a's length b runs beside, as a share."""
    p, q = a.extent(d), b.extent(d)
    return (min(p[1], q[1]) - max(p[0], q[0])) / (p[1] - p[0])


def find_strips(
    body: Member, d: Vector, bodies: Mapping[str, Member], ground: Carriers
) -> list[tuple[str, ...]]:
    """Rails and strips glued along a level board, above or below it; pieces in one line together."""
    if body.kind != LEVEL:
        return []
    across = across_of(d)
    lines: dict[tuple[float, ...], list[str]] = {}
    depth = body.extent(across)
    for b, joint in ground.joined.get(body.label, ()):
        other = bodies.get(b)
        if not joint.glued or other is None or other.kind not in (RAIL, LEVEL):
            continue
        wide = other.extent(across)
        narrow = wide[1] - wide[0] < depth[1] - depth[0]
        runs = abs(dot(other.direction(0), d)) > 1 - 1e-6
        apart = min(other.box.hi[2], body.box.hi[2]) - max(other.box.lo[2], body.box.lo[2])
        if runs and narrow and apart < 0.5:
            key = tuple(round(x, 1) for x in (*wide, other.box.lo[2], other.box.hi[2]))
            lines.setdefault(key, []).append(b)
    return [
        tuple(sorted(labels, key=lambda one: bodies[one].extent(d)))
        for labels in lines.values()
        if sum(along_share(body, bodies[one], d) for one in labels) > STIFFENED_SHARE
    ]


def gaps_of(
    lines: list[tuple[str, ...]], bodies: Mapping[str, Member], d: Vector, low: float
) -> list[tuple[float, float]]:
    """From where to where a board with strips in pieces bends as if bare, mm from its low end.

    A strip takes up its share only some way in from its end: half its height, as whole solids show.
    """
    found = []
    for line in lines:
        into = bodies[line[0]].box.size[2] / 2
        ends = [bodies[label].extent(d) for label in line]
        found += [(a[1] - low - into, b[0] - low + into) for a, b in pairwise(ends)]
    return found


def section_of(body: Member, d: Vector) -> Section:
    """The section of a board or rail alone, bending along a level direction.

    A shaped board counts with its mean width.
    """
    form = body.form
    if form.round_diameter is not None:
        return round_section(form.round_diameter, body.material.moe_mpa)
    low, high = body.extent(across_of(d))
    board = form.as_board
    along = 0 if abs(dot(body.direction(0), d)) > abs(dot(body.direction(1), d)) else 1
    share = board.bending_share(along) if board is not None else 1.0
    g = find_shear(body.material, flat=lies_flat(body)).g_mpa
    wide, high = without_noise((high - low) * share), without_noise(body.box.size[2])
    return rectangular_section(wide, high, body.modulus(d), g)
