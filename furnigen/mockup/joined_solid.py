"""The mockup in one solid: all bodies joined, thin places strengthened, enclosed hollows filled."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from manifold3d import Manifold

from furnigen.core.array_types import Floats, Ints
from furnigen.core.errors import InputError
from furnigen.mockup.mesh_proof import weak_places
from furnigen.mockup.print_solids import printable_mesh, solid_of, union
from furnigen.mockup.printer import Printer
from furnigen.mockup.scaled_bodies import ScaledBody, ScaledPiece
from furnigen.piece.description import Piece

BRIDGED_MM = 2.0
"""Parts further apart than this (mm of the model) are not joined by plastic between them. Our own limit."""
ROUNDS = 4
"""How often weak places are looked for again once some were strengthened."""


@dataclass(frozen=True, slots=True)
class AddedPlastic:
    """Plastic added where parts would fall apart.

    Attributes:
        where: labels of two parts, or "edge" for parts that met in an edge or a point only.
        gap_mm: what was bridged (mm of the model).
        at: middle of it (mm of the model, in the room).
    """

    where: str
    gap_mm: float
    at: tuple[float, float, float]


@dataclass(frozen=True, eq=False)
class JoinedSolid:
    """The mockup as one solid, in the room.

    Attributes:
        solid: its corners on the fine grid.
        members: the solids it was joined from.
        added_plastic: plastic added to hold it together.
        hollows: enclosed hollows that were filled.
    """

    solid: Manifold
    members: tuple[Manifold, ...]
    added_plastic: tuple[AddedPlastic, ...]
    hollows: int


def join_bodies(piece: Piece, scaled: ScaledPiece, printer: Printer) -> JoinedSolid:
    """Join the bodies of a piece.

    Raises: InputError naming parts that nothing joins.
    """
    solid, bridges, added_plastic = _held(piece, scaled.bodies, printer)
    members = [*(b.solid for b in scaled.bodies), *bridges]
    for _ in range(ROUNDS):
        solid, hollows = _filled(solid)
        v, f = printable_mesh(solid)
        patches = _patches(v, f, printer)
        if not patches:
            return JoinedSolid(solid_of(v, f, piece.name), tuple(members), tuple(added_plastic), hollows)
        added_plastic += [AddedPlastic("edge", 0.0, _middle(p)) for p in patches]
        members += patches
        solid = union([solid, *patches])
    raise InputError(
        "scale",
        piece.name,
        "its parts meet in edges and points only at this scale",
        "a larger scale would do",
    )


def _held(
    piece: Piece, bodies: tuple[ScaledBody, ...], printer: Printer
) -> tuple[Manifold, list[Manifold], list[AddedPlastic]]:
    """The union, with a block of plastic where joined parts stand a little apart; the blocks; where."""
    solid, bridges, added_plastic = union([b.solid for b in bodies]), list[Manifold](), list[AddedPlastic]()
    crumb = printer.nozzle_mm**3
    apart = _islands(solid, bodies, crumb)
    if max(apart) == 0:
        return solid, bridges, added_plastic
    by_label = {b.label: k for k, b in enumerate(bodies)}
    joints = [(by_label[j.a], by_label[j.b]) for j in piece.joints if j.a in by_label and j.b in by_label]
    pairs = [*joints, *((i, j) for i in range(len(bodies)) for j in range(i + 1, len(bodies)))]
    for i, j in pairs:
        if apart[i] == apart[j] or not _near(bodies[i], bodies[j]):
            continue
        gap = bodies[i].solid.min_gap(bodies[j].solid, BRIDGED_MM)
        if gap < BRIDGED_MM:
            block = _bridge(bodies[i], bodies[j], gap, printer)
            added_plastic.append(
                AddedPlastic(f"{bodies[i].label} and {bodies[j].label}", gap, _middle(block))
            )
            bridges.append(block)
            solid = solid + block
            apart = [apart[i] if a == apart[j] else a for a in apart]
    if len(set(apart)) > 1:
        loose = [b.label for b, a in zip(bodies, apart, strict=True) if a != apart[0]]
        raise InputError("mockup", ", ".join(loose[:6]), "nothing joins these parts to the rest of the piece")
    return solid, bridges, added_plastic


def _islands(solid: Manifold, bodies: tuple[ScaledBody, ...], crumb: float) -> list[int]:
    """Number of the connected piece each body is part of, the first body's piece being 0."""
    pieces = [p for p in solid.decompose() if p.volume() > crumb]
    if len(pieces) == 1:
        return [0] * len(bodies)
    boxes = [np.array(p.bounding_box()) for p in pieces]
    found = []
    for body in bodies:
        lo, hi = body.bounds
        inside = [k for k, b in enumerate(boxes) if (b[:3] <= lo + 0.01).all() and (b[3:] >= hi - 0.01).all()]
        if len(inside) > 1:
            inside = [k for k in inside if (pieces[k] ^ body.solid).volume() > 0.5 * body.solid.volume()]
        found.append(inside[0])
    number = {k: n for n, k in enumerate(dict.fromkeys(found))}
    return [number[k] for k in found]


def _near(a: ScaledBody, b: ScaledBody) -> bool:
    (alo, ahi), (blo, bhi) = a.bounds, b.bounds
    return bool((np.maximum(alo, blo) - np.minimum(ahi, bhi) < BRIDGED_MM).all())


def _bridge(a: ScaledBody, b: ScaledBody, gap: float, printer: Printer) -> Manifold:
    """A block over the gap between two bodies, as wide as they face each other."""
    (alo, ahi), (blo, bhi) = a.bounds, b.bounds
    lo, hi = np.maximum(alo, blo), np.minimum(ahi, bhi)
    lo, hi = np.minimum(lo, hi), np.maximum(lo, hi)
    # half a wall into each, and nowhere thinner than a wall
    lacks = np.maximum(printer.wall_mm - (hi - lo), 0.0) / 2
    reach = np.where(np.maximum(alo, blo) >= np.minimum(ahi, bhi) - 1e-6, printer.wall_mm / 2, 0.0)
    return _block(lo - np.maximum(lacks, reach), hi + np.maximum(lacks, reach))


def _block(lo: Floats, hi: Floats) -> Manifold:
    return Manifold.cube((hi - lo).tolist()).translate(lo.tolist())


def _middle(solid: Manifold) -> tuple[float, float, float]:
    box = solid.bounding_box()
    return ((box[0] + box[3]) / 2, (box[1] + box[4]) / 2, (box[2] + box[5]) / 2)


def _filled(solid: Manifold) -> tuple[Manifold, int]:
    """The solid with enclosed hollows filled: they can not be seen, and print badly."""
    shells = solid.decompose()
    if len(shells) == 1:
        return solid, 0
    outer = [s for s in shells if s.volume() > 0.0]
    if len(outer) == len(shells):
        return solid, 0
    return union(outer), len(shells) - len(outer)


def _patches(v: Floats, f: Ints, printer: Printer) -> list[Manifold]:
    """A block round each edge or point where two parts of the surface only just meet."""
    edges, corners = weak_places(v, f)
    half = printer.wall_mm  # so that a cut through the middle leaves a wall on either side
    spots = [(v[e].min(axis=0), v[e].max(axis=0)) for e in edges] + [(v[c], v[c]) for c in corners]
    return [_block(lo - half, hi + half) for lo, hi in spots]
