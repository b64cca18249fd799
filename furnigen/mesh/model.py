"""What the mesh checks and mesh formats read: distinct part meshes and their placed copies."""

from __future__ import annotations

from dataclasses import dataclass

from furnigen.core.array_types import Floats, Ints
from furnigen.parts.solid_recipe import Frustum
from furnigen.piece.description import Wall


@dataclass(frozen=True, eq=False)
class PartMesh:
    """The closed mesh of one distinct part in its own frame.

    Attributes:
        name: the part's name, unique in the model.
        vertices: (n, 3) corners, mm.
        faces: (m, 3) corner indices, counter-clockwise seen from outside.
        colour: linear 0..1 red, green, blue of the material's look.
        material: the material's name.
        convex: whether the solid is known to be convex.
        curved: whether any of its faces stands for a curved one, approximated by flat facets.
        round_face: the round shape whose side its facets approximate, in the part's own frame; None for none.
    """

    name: str
    vertices: Floats
    faces: Ints
    colour: tuple[float, float, float]
    material: str
    convex: bool = False
    curved: bool = False
    round_face: Frustum | None = None


@dataclass(frozen=True, eq=False)
class MeshInstance:
    """One placed copy of a part mesh.

    Attributes:
        label: unique label of the placement, such as "shelf.2".
        part: index into `MeshModel.parts`.
        matrix: (4, 4) rigid placement, mm, column-vector convention.
        path: the assembly the copy belongs to, outermost first, without the label itself.
        shades: whether its box is near enough what it is to darken what is beside it in a picture.
    """

    label: str
    part: int
    matrix: Floats
    path: tuple[str, ...] = ()
    shades: bool = True


@dataclass(frozen=True, eq=False)
class MeshModel:
    """All meshes of one piece.

    Attributes:
        name: the piece's name.
        parts: its distinct parts.
        instances: their placed copies.
        walls: planes the piece is fixed to: a picture shows them.
    """

    name: str
    parts: tuple[PartMesh, ...]
    instances: tuple[MeshInstance, ...]
    walls: tuple[Wall, ...] = ()

    def world_vertices(self, instance: MeshInstance) -> Floats:
        """(n, 3) corners of one placed copy, mm."""
        m = instance.matrix
        out: Floats = self.parts[instance.part].vertices @ m[:3, :3].T + m[:3, 3]
        return out
