"""Solids and meshes kept from one variant to the next, within one worker process.

Variants of a family share most of their parts. A part is a frozen value, so it is its own key; the
least used are forgotten, which keeps memory flat however many variants there are.
"""

from __future__ import annotations

from collections import OrderedDict
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from furnigen.mesh.model import MeshModel
    from furnigen.parts.part import Part
    from furnigen.piece import Piece

MOST_PARTS = 400
"""Parts whose solid and mesh are kept at a time."""


class Workshop:
    """Makes the solids and meshes of pieces; those of a part it has met before come for nothing."""

    def __init__(self, most: int = MOST_PARTS) -> None:
        self._most = most
        self._kept: OrderedDict[tuple[Part, float], tuple[Any, Any]] = OrderedDict()

    def __len__(self) -> int:
        return len(self._kept)

    def _part(self, part: Part, tolerance_mm: float) -> tuple[Any, Any]:
        from furnigen.kernel.solids import solid
        from furnigen.kernel.tessellate import part_mesh
        from furnigen.materials import find_material

        key = (part, tolerance_mm)
        found = self._kept.get(key)
        if found is None:
            shape = solid(part)
            colour = find_material(part.stock.material).colour
            found = self._kept[key] = (shape, part_mesh(shape, part, colour, tolerance_mm=tolerance_mm))
            if len(self._kept) > self._most:
                self._kept.popitem(last=False)
        self._kept.move_to_end(key)
        return found

    def mesh_of(self, piece: Piece, tolerance_mm: float) -> tuple[tuple[Any, ...], MeshModel]:
        """Solids of the distinct parts, and the placed meshes, as `furnigen.make.mesh_of` gives them.

        Errors: GeometryError naming the part that can not be made.
        """
        from furnigen.kernel.tessellate import placed_model

        made = [self._part(part, tolerance_mm) for part in piece.parts]
        return tuple(shape for shape, _ in made), placed_model(piece, [mesh for _, mesh in made])
