"""The parts of a piece at the scale of its mockup, in place, thick enough to print.

Everything is decided on the description: which joinery is too small to print and is left out, and which
boards, rods and legs are thickened, by how much and to which side. Boards grow, never shrink, so what touched
still does.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from manifold3d import Manifold

from furnigen.core.array_types import Floats
from furnigen.core.errors import InputError
from furnigen.core.pose import Box
from furnigen.mesh.light_mesh import light_mesh
from furnigen.mesh.model import PartMesh
from furnigen.mockup.print_solids import COARSE_MM, snapped, solid_of
from furnigen.mockup.printed_cuts import LeftOut, kept_cuts
from furnigen.mockup.printer import Printer
from furnigen.mockup.scale import Scale
from furnigen.parts.cuts import Cut
from furnigen.parts.forms.form import Thickened
from furnigen.parts.part import Part
from furnigen.piece.description import Piece, Placement

FACET_MM = 0.02
"""Distance of facets from curved faces, mm of the model: a tenth of a layer."""
MIDDLE, INWARD, OUTWARD = "about its middle", "inward", "outward"


@dataclass(frozen=True, slots=True)
class SizeChange:
    """A size that was made larger than the scale asks for, so that it can be printed.

    Attributes:
        label: the placement.
        what: "thickness", "width", "length" or "diameter".
        from_mm, to_mm: the scaled size and the printed one (mm of the model).
        how: "about its middle", "inward", or "outward" where the outer size of the mockup grows.
    """

    label: str
    what: str
    from_mm: float
    to_mm: float
    how: str


@dataclass(frozen=True, eq=False)
class ScaledBody:
    """One placed part at model scale.

    Attributes:
        label, role: of the placement.
        part: index into the piece's parts.
        kind: "board", "round" or "other".
        axes: (3, 3) rows: the part's length, width and thickness in the room; of a round part its axis last.
        lo, hi: extents along `axes` (mm).
        solid: in the room (mm of the model).
    """

    label: str
    role: str
    part: int
    kind: str
    axes: Floats
    lo: Floats
    hi: Floats
    solid: Manifold

    @property
    def thickness_mm(self) -> float:
        """The smallest extent along its own axes (mm)."""
        return float((self.hi - self.lo).min())

    @property
    def bounds(self) -> tuple[Floats, Floats]:
        """Corners of its box in the room (mm)."""
        box = np.array(self.solid.bounding_box())
        return box[:3], box[3:]


@dataclass(frozen=True, eq=False)
class ScaledPiece:
    """A piece at the scale of its mockup.

    Attributes:
        bodies: one for each placement, in their order.
        changes: what was thickened.
        left_out: joinery too small to print.
        size_mm: outer size of the scaled piece (mm of the model).
        made: meshes of forms that only the CAD kernel can make, by part name, full size.
    """

    bodies: tuple[ScaledBody, ...]
    changes: tuple[SizeChange, ...]
    left_out: tuple[LeftOut, ...]
    size_mm: tuple[float, float, float]
    made: Mapping[str, PartMesh]


def scaled_bodies(
    piece: Piece, scale: Scale, printer: Printer, made: Mapping[str, PartMesh] | None = None
) -> ScaledPiece:
    """The parts of a piece at model scale.

    Args:
        made: meshes by part name of forms that only the CAD kernel can make.

    Raises: InputError when the nozzle is wider than every board at this scale.
    """
    made, s, wall = made or {}, scale.ratio, printer.wall_mm
    least = (wall + 2 * COARSE_MM) / s  # the grid takes up to a step off either face
    forms = [part.form.thickened(s, wall, least) for part in piece.parts]
    _refuse_if_all_thin(piece, scale, printer)
    cuts, left_out = kept_cuts(piece, s, printer, made)
    meshes: dict[tuple[int, tuple[Cut, ...]], PartMesh] = {}
    outer, changes, bodies = piece.bounds, [], []
    for placement in piece.placements:
        part, thickened = piece.part_of(placement), forms[placement.part]
        key = (placement.part, cuts[placement.label])
        if key not in meshes:
            meshes[key] = _mesh(replace(part, form=thickened.form, cuts=key[1]), made, s)
        body, found = _body(placement, part, meshes[key], thickened, outer, s)
        bodies.append(body)
        changes += found
    x, y, z = outer.size
    return ScaledPiece(tuple(bodies), tuple(changes), left_out, (x * s, y * s, z * s), made)


def finest_scale(piece: Piece, printer: Printer) -> float:
    """The largest N of a scale 1:N at which the nozzle is no wider than every part."""
    return max(part.form.thinnest_mm for part in piece.parts) / printer.nozzle_mm


def _refuse_if_all_thin(piece: Piece, scale: Scale, printer: Printer) -> None:
    thickest = max(piece.parts, key=lambda part: part.form.thinnest_mm)
    size = thickest.form.thinnest_mm * scale.ratio
    if size < printer.nozzle_mm:
        raise InputError(
            "nozzle",
            f"{printer.nozzle_mm:g} mm",
            f"is wider than every part at {scale.text}: the thickest, {thickest.name}, is {size:.2f} mm",
            f"a nozzle of {size:.2f} mm or finer, or"
            f" 1:{int(finest_scale(piece, printer))} or larger, would do",
        )


def _mesh(part: Part, made: Mapping[str, PartMesh], s: float) -> PartMesh:
    if part.form.needs_kernel and part.name in made:
        return made[part.name]
    return light_mesh(part, FACET_MM / s)


def _body(
    placement: Placement, part: Part, mesh: PartMesh, thickened: Thickened, outer: Box, s: float
) -> tuple[ScaledBody, list[SizeChange]]:
    local = np.asarray(mesh.vertices, dtype=np.float64)
    turn, shift = np.array(placement.pose.rotation), np.array(placement.pose.origin)
    lo, hi = local.min(axis=0), local.max(axis=0)
    factor = np.array(thickened.factor)
    grow = (hi - lo) * (factor - 1.0)
    share, hows = np.full(3, 0.5), [MIDDLE] * 3
    for k in np.flatnonzero(grow > 0.0):
        share[k], hows[k] = _side(turn, shift, lo, hi, grow, int(k), outer)
    local = lo + (local - lo) * factor - grow * share
    world = snapped((local @ turn.T + shift) * s)
    solid = solid_of(world, mesh.faces, placement.label)
    changes = []
    for what, old, new in thickened.notes:
        axis = {"length": 0, "width": 1}.get(what, 2)
        how = hows[axis] if factor[axis] > 1.0 else MIDDLE
        changes.append(SizeChange(placement.label, what, old, new, how))
    return _framed(placement, part, turn, world, solid), changes


def _side(
    turn: Floats, shift: Floats, lo: Floats, hi: Floats, grow: Floats, k: int, outer: Box
) -> tuple[float, str]:
    """What share of a growth along axis `k` goes to the low side: the outer size is kept where it can be."""
    for share, how in ((0.5, MIDDLE), (0.0, INWARD), (1.0, INWARD)):
        a, b = lo.copy(), hi.copy()
        a[k], b[k] = lo[k] - grow[k] * share, hi[k] + grow[k] * (1.0 - share)
        ends = np.array([[(a, b)[n >> m & 1][m] for m in range(3)] for n in range(8)]) @ turn.T + shift
        if (ends.min(axis=0) >= np.array(outer.lo) - 1e-6).all() and (
            ends.max(axis=0) <= np.array(outer.hi) + 1e-6
        ).all():
            return share, how
    return 0.5, OUTWARD


def _framed(placement: Placement, part: Part, turn: Floats, world: Floats, solid: Manifold) -> ScaledBody:
    form = part.form
    kind = "board" if form.as_board else "other"
    axes = turn.T.copy()
    if form.round_axis is not None:
        kind, axes = "round", np.roll(axes, 2 - form.round_axis, axis=0)
    along = world @ axes.T
    return ScaledBody(
        placement.label,
        placement.role,
        placement.part,
        kind,
        axes,
        along.min(axis=0),
        along.max(axis=0),
        solid,
    )
