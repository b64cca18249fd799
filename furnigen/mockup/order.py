"""Proof that a kit goes together: nothing shares space, and every part comes in along a way that was swept.

The order is found as that of the piece itself is (`furnigen.sequence`), but with the meshes of the kit: its
tabs and slots, its clearance, its letters.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from manifold3d import Manifold

from furnigen.loadpath import LoadPath, find_load_path
from furnigen.mesh.contacts import Contact
from furnigen.mesh.drafted import draft_touching
from furnigen.mesh.interference import Overlap, find_interference
from furnigen.mesh.model import PartMesh
from furnigen.mockup.connecting import scene_of_solids
from furnigen.piece import Piece
from furnigen.sequence import Assembly, find_assembly


@dataclass(frozen=True, eq=False)
class Fit:
    """Whether a kit goes together.

    Attributes:
        overlaps: parts that share space; none when it fits.
        assembly: the order of assembly; nothing locked when every part comes in.
    """

    overlaps: tuple[Overlap, ...]
    assembly: Assembly

    @property
    def good(self) -> bool:
        """Whether it goes together."""
        return not self.overlaps and not self.assembly.locked


class Trial:
    """Tries kits of one piece; what carries what in the piece tells which part is better put in first."""

    def __init__(self, piece: Piece, made: Mapping[str, PartMesh] | None = None) -> None:
        drafted = draft_touching(piece, made)
        self._piece = piece
        self._contacts: tuple[Contact, ...] = drafted.contacts
        self._path: LoadPath = find_load_path(piece, drafted.contacts, drafted.support.grounded)

    def fit(self, solids: Sequence[Manifold]) -> Fit:
        """Try parts in place, in the order of the piece's placements."""
        scene = scene_of_solids(self._piece.name, [p.label for p in self._piece.placements], solids)
        overlaps = find_interference(scene).overlaps
        return Fit(overlaps, find_assembly(self._piece, scene, self._contacts, self._path))
