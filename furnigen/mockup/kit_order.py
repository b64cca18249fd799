"""Proof that a kit can be assembled: no parts overlap, and each has a straight path in that was swept.

The order is found as that of the piece itself is (`furnigen.construction.assembly_order`), but with the
meshes of the kit: its tabs and slots, its clearance, its letters.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from manifold3d import Manifold

from furnigen.construction.assembly_order import AssemblyOrder, find_assembly_order
from furnigen.construction.disassembly import bits_of
from furnigen.construction.load_path import LoadPath, find_load_path
from furnigen.mesh.contacts import Contact
from furnigen.mesh.interference import Overlap, find_interference
from furnigen.mesh.light_mesh import light_contacts
from furnigen.mesh.model import PartMesh
from furnigen.mesh.sweep import Sweeper
from furnigen.mockup.connections import scene_of_solids
from furnigen.piece.description import Piece


@dataclass(frozen=True, eq=False)
class KitFit:
    """Whether a kit goes together.

    Attributes:
        overlaps: parts that share space; none when it fits.
        assembly: the order of assembly; nothing locked when every part comes in.
    """

    overlaps: tuple[Overlap, ...]
    assembly: AssemblyOrder

    @property
    def good(self) -> bool:
        """Whether it goes together."""
        return not self.overlaps and not self.assembly.locked


class KitTrial:
    """Tries kits of one piece; of two possible orders the one by which the piece's load path runs upward."""

    def __init__(self, piece: Piece, made: Mapping[str, PartMesh] | None = None) -> None:
        drafted = light_contacts(piece, made)
        self._piece = piece
        self._labels = [p.label for p in piece.placements]
        self._contacts: tuple[Contact, ...] = drafted.contacts
        self._path: LoadPath = find_load_path(piece, drafted.contacts, drafted.support.grounded)

    def fit(self, solids: Sequence[Manifold]) -> KitFit:
        """Try parts in place, in the order of the piece's placements."""
        scene = scene_of_solids(self._piece.name, self._labels, solids)
        overlaps = find_interference(scene).overlaps
        return KitFit(overlaps, find_assembly_order(self._piece, scene, self._contacts, self._path))

    def in_the_way(
        self, assembly: AssemblyOrder, solids: Sequence[Manifold], added: Mapping[str, Manifold]
    ) -> set[str]:
        """Parts that could not come in, or let others in, as they do in an order, were something added.

        Args:
            assembly: an order in which the parts as they are go together.
            solids: the parts as they are, in place.
            added: what each of some parts would bear besides, in place, by label.
        """
        parts = [*self._labels, *added]
        scene = scene_of_solids(
            self._piece.name, [str(k) for k in range(len(parts))], [*solids, *added.values()]
        )
        sweeper, first = Sweeper(scene), len(self._labels)
        there: dict[str, set[str]] = {}
        hit: set[str] = set()
        for step in assembly.steps:
            present = there.setdefault(step.builds, set())
            if step.way is not None:
                x, y, z = step.way
                for mover, blockers in enumerate(sweeper.blockers((-x, -y, -z))):
                    if parts[mover] not in step.parts:
                        continue
                    for blocker in bits_of(blockers):
                        if parts[blocker] in present:
                            hit |= {parts[k] for k in (mover, blocker) if k >= first}
            present.update(step.parts)
        return hit
