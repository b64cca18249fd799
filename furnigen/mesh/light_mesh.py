"""Light meshes straight from the description, without the CAD kernel: enough to find what touches what.

What the description gives as it stands is drawn from it; cuts that are left then are taken out by the boolean
engine in double precision. A form made by a user's own CadQuery function has no description to draw from: its
mesh must be handed in.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import pi
from typing import TYPE_CHECKING

import numpy as np

from furnigen.catalogue.materials import find_material
from furnigen.core.array_types import Floats, Ints
from furnigen.core.caches import LIGHT_MESHES, kept
from furnigen.core.errors import GeometryError
from furnigen.core.facts import Fact
from furnigen.core.pose import Vector, cross, unit
from furnigen.mesh.closed_form_mesh import closed_form_mesh
from furnigen.mesh.contacts import Contact, find_contacts
from furnigen.mesh.model import MeshInstance, MeshModel, PartMesh
from furnigen.mesh.ruled_mesh import sides
from furnigen.mesh.scene import Scene, scene_of
from furnigen.mesh.support import HeldModel, find_support
from furnigen.parts.cuts import Bore, BoxCut, Cut, FlatCut, ProfileCut
from furnigen.parts.forms.form import Form
from furnigen.parts.part import Part
from furnigen.piece.description import Piece

if TYPE_CHECKING:
    from manifold3d import Manifold

LIGHT_TOLERANCE_MM = 0.1
"""Usual distance of facets from a curved face."""
LIGHT_ANGLE_RADIANS = pi / 8
"""Largest turn between neighbouring facets: a thin dowel still gets 16 sides."""
_GROW_MM = 1e-6
"""Box and bore tools are this much larger all round: a housing that opens in a face but for the rounding of a
pose (1e-12 mm) would else leave a film over its mouth. Far below the 0.01 mm that count as touching."""
_PROFILE_GROWTH = 4.0
"""A corner moved out this many steps moves every side of a cut of one section by a step or more."""
_SPARE_MM = 1.0
"""How far a tool reaches beyond what it must cut: any length does."""


@dataclass(frozen=True, eq=False)
class LightPiece:
    """A piece as light meshes, and what touches in it.

    Attributes:
        scene: the meshes and their placed copies, made ready for checks.
        contacts: pairs of copies whose flat faces touch, in the order they were placed.
        support: what stands on the floor and the walls.
    """

    scene: Scene
    contacts: tuple[Contact, ...]
    support: HeldModel


def light_contacts(
    piece: Piece, made: Mapping[str, PartMesh] | None = None, tolerance_mm: float = LIGHT_TOLERANCE_MM
) -> LightPiece:
    """Mesh a piece from its description and find what touches.

    Args:
        made: meshes by part name, for parts whose form can not be drawn from the description.
        tolerance_mm: largest distance of facets from curved faces.

    Raises: GeometryError naming a part that can not be drawn, or whose cuts leave no single solid.
    """
    scene = scene_of(light_model(piece, made, tolerance_mm))
    contacts = find_contacts(scene)
    return LightPiece(scene, contacts, find_support(scene, contacts, piece.walls))


def light_contacts_together(
    pieces: Sequence[Piece], tolerance_mm: float = LIGHT_TOLERANCE_MM
) -> list[tuple[tuple[Contact, ...], HeldModel]]:
    """What touches in each of several pieces, found for all at once: in a small
    piece most of the time is the fixed cost of starting.

    Raises: as `light_contacts`, without saying which piece it is.
    """
    models = [light_model(piece, None, tolerance_mm) for piece in pieces]
    place: dict[int, int] = {}  # pieces of a family share meshes
    parts: list[PartMesh] = []
    for mesh in (mesh for model in models for mesh in model.parts):
        if id(mesh) not in place:
            place[id(mesh)] = len(parts)
            parts.append(mesh)
    copies = tuple(
        replace(copy, part=place[id(model.parts[copy.part])]) for model in models for copy in model.instances
    )
    ends = np.cumsum([0, *(len(model.instances) for model in models)])
    apart = np.repeat(np.arange(len(models)), np.diff(ends))
    scene = scene_of(MeshModel("", tuple(parts), copies), apart=apart)
    contacts = find_contacts(scene)
    borders = np.searchsorted(contacts[0].table.copy, ends).tolist() if contacts else [0] * len(ends)
    found = []
    for i, (piece, (first, last)) in enumerate(zip(pieces, pairwise(ends.tolist()), strict=True)):
        own = contacts[borders[i] : borders[i + 1]]
        found.append((own, find_support(scene.of_copies(first, last), own, piece.walls)))
    return found


def without_hardware_holes(part: Part) -> Part:
    """The part with the holes for hardware filled: hundreds of small facets that bear next to nothing.

    Dowels, pins and bolts are solids in files and pictures alone: here nothing goes into these holes.
    """
    kept = tuple(c for c in part.cuts if not (isinstance(c, Bore) and Fact.HARDWARE_HOLE in c.facts))
    return replace(part, cuts=kept) if len(kept) < len(part.cuts) else part


def description_contacts(piece: Piece) -> tuple[Contact, ...]:
    """Which placements touch, over what area and facing which way, from the description alone.

    Raises: as `light_contacts`.
    """
    return light_contacts(piece).contacts


def light_model(
    piece: Piece, made: Mapping[str, PartMesh] | None = None, tolerance_mm: float = LIGHT_TOLERANCE_MM
) -> MeshModel:
    """The meshes of a piece: one for each part, and a placed copy for each placement.

    Args and raises: as `light_contacts`.
    """
    made = made or {}
    meshes = tuple(made[p.name] if p.name in made else light_mesh(p, tolerance_mm) for p in piece.parts)
    copies = tuple(
        MeshInstance(p.label, p.part, np.array(p.pose.matrix(), dtype=np.float64), p.path)
        for p in piece.placements
    )
    return MeshModel(piece.name, meshes, copies, piece.walls)


@kept(LIGHT_MESHES)
def light_mesh(part: Part, tolerance_mm: float = LIGHT_TOLERANCE_MM) -> PartMesh:
    """The mesh of one part with its cuts, in the part's own frame.

    Raises: as `light_contacts`.
    """
    drawn = closed_form_mesh(part, tolerance_mm=tolerance_mm, angle_radians=LIGHT_ANGLE_RADIANS)
    if drawn is None:
        raise GeometryError(
            f"part {part.name!r}: a {part.form.kind} can not be drawn from its description;"
            " the CAD kernel must make it"
        )
    (vertices, faces), cuts = drawn
    if cuts:
        vertices, faces = _less(part, vertices, faces, cuts, tolerance_mm)
    return PartMesh(
        name=part.name,
        vertices=vertices,
        faces=faces,
        colour=find_material(part.stock.material).colour,
        material=part.stock.material,
        curved=any(not isinstance(c, FlatCut) for c in part.cuts) or not part.form.flat,
    )


def _less(
    part: Part, vertices: Floats, faces: Ints, cuts: Iterable[Cut], tolerance_mm: float
) -> tuple[Floats, Ints]:
    """A mesh of `part` with some of its cuts taken out."""
    from manifold3d import Manifold, Mesh64, OpType

    body = Manifold(Mesh64(vertices, faces.astype(np.uint64)))
    tools = [_tool(c, part.form, tolerance_mm) for c in cuts]
    mesh = _checked(part, Manifold.batch_boolean([body, *tools], OpType.Subtract)).to_mesh64()
    return np.asarray(mesh.vert_properties)[:, :3].copy(), np.asarray(mesh.tri_verts).astype(np.int64)


def _checked(part: Part, body: Manifold) -> Manifold:
    # a film thinner than any rounding of poses is no piece of wood
    pieces = [p for p in body.decompose() if p.volume() > 1e-6 * p.surface_area()]
    if len(pieces) == 1:
        return pieces[0]
    left = f"its cuts leave {len(pieces)} pieces, where a part is one" if pieces else "its cuts leave nothing"
    raise GeometryError(f"part {part.name!r}: {left}")


def _tool(cut: Cut, form: Form, tolerance_mm: float) -> Manifold:
    """What one cut takes out."""
    from manifold3d import Manifold

    if isinstance(cut, BoxCut):
        sx, sy, sz = (s + 2 * _GROW_MM for s in cut.size)
        block = Manifold.cube((sx, sy, sz)).translate((-_GROW_MM, -_GROW_MM, -_GROW_MM))
        return block.transform(np.array(cut.pose.matrix())[:3])
    if isinstance(cut, ProfileCut):
        outline = np.array(cut.outline)
        out = outline - outline.mean(axis=0)
        # away from the middle, so that every side moves out by a step or more
        outline = outline + out * (_PROFILE_GROWTH * _GROW_MM / np.ptp(outline, axis=0).min())
        ends = [
            np.column_stack([outline, np.full(len(outline), z)]) for z in (-_GROW_MM, cut.length + _GROW_MM)
        ]
        return Manifold.hull_points(np.vstack(ends)).transform(np.array(cut.pose.matrix())[:3])
    if isinstance(cut, Bore):
        (x, y, z), (dx, dy, dz) = cut.start, cut.direction
        start: Vector = (x - _GROW_MM * dx, y - _GROW_MM * dy, z - _GROW_MM * dz)
        return _cylinder(
            start, cut.direction, cut.diameter, cut.depth + 2 * _GROW_MM, tolerance_mm, phase=0.5
        )
    reach = sum(form.bounds().size) + cut.diameter + _SPARE_MM
    o, n, a = cut.origin, cut.normal, cut.axis
    block = _standing(Manifold.cube((2 * reach, 2 * reach, reach)).translate((-reach, -reach, 0.0)), o, n)
    start = (o[0] - reach * a[0], o[1] - reach * a[1], o[2] - reach * a[2])
    return block - _cylinder(start, a, cut.diameter, 4 * reach, tolerance_mm)


def _cylinder(
    start: Vector, direction: Vector, diameter: float, length: float, tolerance_mm: float, phase: float = 0.0
) -> Manifold:
    """A cylinder of flat facets, turned about its axis by `phase` facets.

    Bores are turned half a facet from rods and tenons: else it would be luck whether the facets of a round
    tenon lie on those of its bore and count as flat faces that touch.
    """
    from manifold3d import Manifold

    r = diameter / 2
    n = sides(r, tolerance_mm, LIGHT_ANGLE_RADIANS)
    standing = Manifold.cylinder(length, r, circular_segments=n).rotate((0.0, 0.0, 360.0 * phase / n))
    return _standing(standing, start, direction)


def _standing(solid: Manifold, origin: Vector, up: Vector) -> Manifold:
    """`solid` moved from the world's origin and z axis to `origin` and the unit vector `up`."""
    helper: Vector = (1.0, 0.0, 0.0) if abs(up[0]) < 0.9 else (0.0, 1.0, 0.0)
    x = unit(cross(helper, up))
    return solid.transform(np.column_stack([x, cross(up, x), up, origin]))
