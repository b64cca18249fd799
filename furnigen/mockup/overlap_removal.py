"""Removes overlaps between bodies, so that each can be a separate part.

What was a housing, a rabbet or a tenon ends flush on what receives it; boards that cross are halved into each
other; what passes through another gets a passage.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations

import numpy as np
from manifold3d import Manifold

from furnigen.core.array_types import Floats
from furnigen.joints.joint import Joint
from furnigen.mockup.print_solids import on_grid, separate_solids
from furnigen.mockup.printer import Printer
from furnigen.mockup.scaled_bodies import ScaledBody
from furnigen.mockup.wall_thickness import LOST_MM
from furnigen.piece.description import Piece

THIN_MM = 0.005
"""Overlaps thinner than this in the mean are faces that touch: half of what the checks of overlaps pass."""
SQUARE = 0.98
"""A shared space that fills its box so far is a block."""
MOST_LOST = 2.0
"""What is cut off a part flush with a face, besides what it shares with the other, in parts of that."""
_BEYOND_MM = 0.2


def without_overlaps(piece: Piece, bodies: Sequence[ScaledBody], printer: Printer) -> list[ScaledBody]:
    """The bodies of a piece, no two of which share space any more."""
    out = list(bodies)
    joints = {frozenset((j.a, j.b)): j for j in piece.joints}
    for i, j in combinations(range(len(out)), 2):
        a, b = out[i], out[j]
        if not _boxes_meet(a, b):
            continue
        shared = a.solid ^ b.solid
        if shared.is_empty() or 2 * shared.volume() <= THIN_MM * shared.surface_area():
            continue
        joint = joints.get(frozenset((a.label, b.label)))
        out[i], out[j] = _parted(a, b, shared, joint, printer)
    return out


def _boxes_meet(a: ScaledBody, b: ScaledBody) -> bool:
    (alo, ahi), (blo, bhi) = a.bounds, b.bounds
    return bool((np.minimum(ahi, bhi) - np.maximum(alo, blo) > THIN_MM / 2).all())


def _parted(
    a: ScaledBody, b: ScaledBody, shared: Manifold, joint: Joint | None, printer: Printer
) -> tuple[ScaledBody, ScaledBody]:
    crumb = printer.wall_mm**3
    without_b, without_a = (separate_solids(x.solid - y.solid, crumb) for x, y in ((a, b), (b, a)))
    if len(without_b) > 1 and len(without_a) > 1:
        return _lapped(a, b, shared, joint, printer)
    if len(without_b) > 1 or len(without_a) > 1:
        through, other = (a, b) if len(without_b) > 1 else (b, a)
        opened = replace(other, solid=other.solid - _passage(through, printer.clearance_mm))
        return (through, opened) if through is a else (opened, through)
    first = _yields(a, b, shared, joint)
    one, two = (a, b) if first is a else (b, a)
    shorter = _shortened(one, two, shared, printer)
    if _thickness(shorter) < printer.wall_mm - LOST_MM <= _thickness(one):
        # it would be too thin to print: cut the other one
        other = _shortened(two, one, shared, printer)
        return (one, other) if one is a else (other, one)
    return (shorter, two) if one is a else (two, shorter)


def _thickness(body: ScaledBody) -> float:
    lo, hi = _box_along(body.solid, body.axes)
    return float((hi - lo).min())


def _shortened(body: ScaledBody, other: ScaledBody, shared: Manifold, printer: Printer) -> ScaledBody:
    """A body that ends on another, without lips thinner than a wall beside the shared space."""
    flush = _flush(body, other, shared)
    if flush is not None:
        return replace(body, solid=flush)
    rest = body.solid - other.solid
    lo, hi = _box_along(shared, body.axes)
    if body.kind == "board" and shared.volume() > SQUARE * float(np.prod(hi - lo)):
        most = hi - lo > 0.5 * (body.hi - body.lo)
        low = np.where(most & (lo - body.lo < printer.wall_mm), body.lo - _BEYOND_MM, lo)
        high = np.where(most & (body.hi - hi < printer.wall_mm), body.hi + _BEYOND_MM, hi)
        rest = rest - block_along(low, high, body.axes)
    left = separate_solids(rest, printer.wall_mm**3)
    return replace(body, solid=left[0]) if left else body


def _flush(body: ScaledBody, other: ScaledBody, shared: Manifold) -> Manifold | None:
    """A body cut off where it enters the face of a board, as boards are placed before they are joined.

    None where it does not only enter there.
    """
    if other.kind != "board":
        return None
    for sign in (1.0, -1.0):
        outward = sign * other.axes[2]
        face = float(other.hi[2] if sign > 0 else -other.lo[2])
        lo, hi = _box_along(body.solid, np.stack([outward, other.axes[0], other.axes[1]]))
        depth = face - lo[0]
        if 0.0 < depth <= other.thickness_mm + THIN_MM and depth < 0.5 * (hi[0] - lo[0]):
            cut = body.solid.trim_by_plane(outward.tolist(), face)
            if body.solid.volume() - cut.volume() <= MOST_LOST * shared.volume():
                return on_grid(cut)
    return None


def _yields(a: ScaledBody, b: ScaledBody, shared: Manifold, joint: Joint | None) -> ScaledBody:
    """Which of two ends on the other: what meets by an edge, else what enters by a joint, else the smaller.

    An edge shows by a shared space as thick as the board, a face by one that is thinnest square to it.
    """
    by_edge = [x.kind == "board" and _spans(x, shared) for x in (a, b)]
    if by_edge[0] != by_edge[1]:
        return a if by_edge[0] else b
    by_face = [x.kind == "board" and _dents(x, shared) for x in (a, b)]
    if by_face[0] != by_face[1]:
        return b if by_face[0] else a
    if joint is not None:
        return a if joint.b == a.label else b
    return a if a.solid.volume() < b.solid.volume() else b


def _spans(body: ScaledBody, shared: Manifold) -> bool:
    """Whether a shared space is as thick as the board."""
    box = _box_along(shared, body.axes)
    return bool(box[1][2] - box[0][2] > 0.9 * (body.hi[2] - body.lo[2]))


def _dents(body: ScaledBody, shared: Manifold) -> bool:
    """Whether a shared space lies in the board's face: thinnest square to it."""
    lo, hi = _box_along(shared, body.axes)
    return bool(np.argmin(np.round(hi - lo, 4)) == 2)


def _box_along(solid: Manifold, axes: Floats) -> tuple[Floats, Floats]:
    """Bounds of a solid along three axes."""
    box = np.array(solid.transform(np.column_stack([axes, np.zeros(3)])).bounding_box())
    return box[:3], box[3:]


def block_along(lo: Floats, hi: Floats, axes: Floats) -> Manifold:
    """A block from `lo` to `hi` along three axes, in the room."""
    block = Manifold.cube((hi - lo).tolist()).translate(lo.tolist())
    return block.transform(np.column_stack([axes.T, np.zeros(3)]))


def _passage(body: ScaledBody, clearance: float) -> Manifold:
    """The space a body needs to pass through another."""
    if body.kind == "board":
        room = np.array([0.0, clearance, clearance])
        return block_along(body.lo - room, body.hi + room, body.axes)
    if clearance == 0.0:
        return body.solid
    return body.solid.hull().minkowski_sum(Manifold.cube((2 * clearance,) * 3, True))


def _lapped(
    a: ScaledBody, b: ScaledBody, shared: Manifold, joint: Joint | None, printer: Printer
) -> tuple[ScaledBody, ScaledBody]:
    """Two crossing boards halved into each other: b slides in along the lap, a is open on that side."""
    across_a, across_b = a.axes[2], b.axes[2]
    way = np.cross(across_a, across_b)
    if np.linalg.norm(way) < 0.1:
        return a, replace(b, solid=separate_solids(b.solid - a.solid, 0.0)[0])
    way /= np.linalg.norm(way)
    swapped = joint is not None and joint.b == a.label
    if joint is not None and joint.home is not None and way @ np.array(joint.home) < 0:
        way = -way
    if swapped:
        way = -way
    gap = printer.clearance_mm
    out = []
    for body, other, sign in ((a, b, -1.0), (b, a, 1.0)):
        # along: the way of the slot's open end; across: the other board's thickness; through: its own
        axes = np.stack([sign * way, np.cross(body.axes[2], way), body.axes[2]])
        lo, hi = _box_along(shared, axes)
        mine = _box_along(body.solid, axes)
        thick = _box_along(other.solid, np.stack([axes[0], other.axes[2], axes[2]]))
        middle = (lo[0] + hi[0]) / 2
        wide = (lo[1] + hi[1]) / 2
        half = (thick[1][1] - thick[0][1]) / 2 + gap
        slot = block_along(
            np.array([middle - gap / 2, wide - half, mine[0][2] - _BEYOND_MM]),
            np.array([mine[1][0] + _BEYOND_MM, wide + half, mine[1][2] + _BEYOND_MM]),
            axes,
        )
        out.append(replace(body, solid=body.solid - slot))
    return out[0], out[1]
