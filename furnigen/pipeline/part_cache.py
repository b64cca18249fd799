"""What is made of parts for the kernel and the mesh checks, kept from one piece to the next.

Variants of a family share most of their parts. A part is a frozen value, so it is its own key. How much is
kept and when it goes: `furnigen.core.caches`.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from furnigen.core.caches import FAMILY_PARTS, Kept

if TYPE_CHECKING:
    from furnigen.kernel.step_cache import StepCache
    from furnigen.mesh.model import MeshModel, PartMesh
    from furnigen.parts.part import Part
    from furnigen.piece.description import Piece


@dataclass
class _Made:
    """What was made of one part so far.

    Attributes:
        solid: of the kernel.
        meshes: by tolerance (mm).
    """

    solid: Any
    meshes: dict[float, PartMesh]


class PartCache:
    """Makes the solids, meshes and STEP files of pieces; what it made of a part before is not made again.

    Args:
        most: how many parts it remembers.
        family: whether many pieces that share parts are made: then it pays to keep what STEP files say of a
            part as well. The files are the same either way.
    """

    def __init__(self, most: int = FAMILY_PARTS, *, family: bool = False) -> None:
        self._most, self._family = most, family
        self._made: Kept[Part, _Made] = Kept(most)
        self._step: StepCache | None = None

    def __len__(self) -> int:
        return len(self._made)

    def _parts(self, piece: Piece) -> list[_Made]:
        """What is kept of each part of a piece, its solid at least."""
        from furnigen.kernel.solids import solid

        return [self._made.get(part) or self._made.keep(part, _Made(solid(part), {})) for part in piece.parts]

    def solids(self, piece: Piece) -> tuple[Any, ...]:
        """The kernel's solid of each part of a piece.

        Raises: GeometryError naming the part that can not be made.
        """
        return tuple(made.solid for made in self._parts(piece))

    def mesh_of(self, piece: Piece, tolerance_mm: float) -> MeshModel:
        """The placed meshes of a piece.

        Args:
            tolerance_mm: largest distance between facets and curved faces.

        Raises: GeometryError naming the part that can not be made.
        """
        from furnigen.catalogue.materials import find_material
        from furnigen.mesh.part_meshes import part_mesh, placed_model

        meshes = []
        for part, made in zip(piece.parts, self._parts(piece), strict=True):
            if tolerance_mm not in made.meshes:
                colour = find_material(part.stock.material).colour
                made.meshes[tolerance_mm] = part_mesh(made.solid, part, colour, tolerance_mm=tolerance_mm)
            meshes.append(made.meshes[tolerance_mm])
        return placed_model(piece, meshes)

    def step_bytes(self, piece: Piece) -> bytes:
        """The STEP file of a piece, as `furnigen.kernel.step.step_bytes` makes it.

        Raises: as there, and GeometryError naming the part that can not be made.
        """
        solids = [made.solid for made in self._parts(piece)]
        if not self._family:
            from furnigen.kernel.step import step_bytes

            return step_bytes(piece, solids)
        if self._step is None:
            from furnigen.kernel.step_cache import StepCache

            self._step = StepCache(self._most)
        return self._step.step_bytes(piece, solids)
