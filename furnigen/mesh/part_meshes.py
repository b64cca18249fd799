"""The meshes of a piece from its solids: one for each part, and a placed copy for each placement."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from furnigen.core.errors import GeometryError
from furnigen.core.pose import Vector
from furnigen.kernel.shapes import is_flat
from furnigen.kernel.tessellation import ANGLE_RADIANS, TOLERANCE_MM, triangles
from furnigen.mesh.closed_form_mesh import closed_form_mesh
from furnigen.mesh.model import MeshInstance, MeshModel, PartMesh
from furnigen.parts.part import Part
from furnigen.parts.solid_recipe import round_face
from furnigen.piece.description import Piece


def part_mesh(
    shape: Any,
    part: Part,
    colour: Vector,
    *,
    tolerance_mm: float = TOLERANCE_MM,
    angle_radians: float = ANGLE_RADIANS,
) -> PartMesh:
    """The mesh of one part's solid, in the part's own frame: from its description where that gives all of it.

    Args:
        shape: the part's solid.
        colour: linear red, green, blue from 0 to 1.
        tolerance_mm, angle_radians: as in `triangles`.

    Raises: GeometryError naming the part.
    """
    drawn = closed_form_mesh(part, tolerance_mm=tolerance_mm, angle_radians=angle_radians)
    try:
        if drawn is not None and not drawn[1]:
            vertices, faces = drawn[0]
        else:
            vertices, faces = triangles(shape, tolerance_mm=tolerance_mm, angle_radians=angle_radians)
    except GeometryError as error:
        raise GeometryError(f"part {part.name!r}: {error}") from error
    whole = not part.cuts and part.form.convex
    turned = None if part.form.flat else round_face(part.form.solid_recipe())
    return PartMesh(
        part.name, vertices, faces, colour, part.stock.material, whole, not is_flat(shape), turned
    )


def placed_model(piece: Piece, meshes: Sequence[PartMesh]) -> MeshModel:
    """The meshes of a piece, standing where its placements say.

    Args:
        meshes: of its parts, in the order of `piece.parts`.
    """
    copies = tuple(
        MeshInstance(
            p.label,
            p.part,
            np.array(p.pose.matrix(), dtype=np.float64),
            p.path,
            piece.part_of(p).form.like_its_box and p.label not in piece.loose,
        )
        for p in piece.placements
    )
    return MeshModel(piece.name, tuple(meshes), copies, piece.walls)
