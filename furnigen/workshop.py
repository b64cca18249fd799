"""What is made of parts for the kernel and the mesh checks, kept from one piece to the next.

Variants of a family share most of their parts. A part is a frozen value, so it is its own key; the
least used are forgotten, which keeps memory flat however many variants there are.
"""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from furnigen.kernel.step_text import Rows
    from furnigen.mesh.model import MeshModel, PartMesh
    from furnigen.parts.part import Part
    from furnigen.piece import Piece

MOST_PARTS = 400
"""Parts for which something is kept at a time."""


@dataclass
class _Kept:
    """What was made of one part so far.

    Attributes:
        solid: of the kernel.
        meshes: by tolerance (mm).
        rows: of its solid, in a STEP file.
    """

    solid: Any
    meshes: dict[float, PartMesh]
    rows: Rows | None = None


class Workshop:
    """Makes the solids, meshes and STEP rows of parts; those of a part it has met before come for nothing.

    Args:
        most: how many parts it remembers.
    """

    def __init__(self, most: int = MOST_PARTS) -> None:
        self._most = most
        self._kept: OrderedDict[Part, _Kept] = OrderedDict()

    def __len__(self) -> int:
        return len(self._kept)

    def _parts(self, piece: Piece) -> list[_Kept]:
        """What is kept of each part of a piece, its solid at least."""
        from furnigen.kernel.solids import solid

        found = []
        for part in piece.parts:
            if part not in self._kept:
                self._kept[part] = _Kept(solid(part), {})
            self._kept.move_to_end(part)
            found.append(self._kept[part])
        while len(self._kept) > self._most:
            self._kept.popitem(last=False)
        return found

    def mesh_of(self, piece: Piece, tolerance_mm: float) -> MeshModel:
        """The placed meshes of a piece.

        Args:
            tolerance_mm: largest distance between facets and curved faces.

        Errors: GeometryError naming the part that can not be made.
        """
        from furnigen.kernel.tessellate import part_mesh, placed_model
        from furnigen.materials import find_material

        meshes = []
        for part, kept in zip(piece.parts, self._parts(piece), strict=True):
            if tolerance_mm not in kept.meshes:
                colour = find_material(part.stock.material).colour
                kept.meshes[tolerance_mm] = part_mesh(kept.solid, part, colour, tolerance_mm=tolerance_mm)
            meshes.append(kept.meshes[tolerance_mm])
        return placed_model(piece, meshes)

    def step_bytes(self, piece: Piece) -> bytes:
        """The STEP file of a piece, as `furnigen.kernel.step.step_bytes` makes it.

        Errors: as there, and GeometryError naming the part that can not be made.
        """
        from furnigen.kernel.step import assembly_bytes, rows_of

        kept = self._parts(piece)
        placed = sorted({p.part for p in piece.placements})
        new = [kept[k] for k in placed if kept[k].rows is None]
        if new:
            for one, rows in zip(new, rows_of([one.solid for one in new]), strict=True):
                one.rows = rows
        return assembly_bytes(piece, {k: found for k in placed if (found := kept[k].rows) is not None})
