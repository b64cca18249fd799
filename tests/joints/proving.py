"""What every joint must prove: solids as the closed form says, nothing shares a place, faces meet."""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from furnigen.catalogue.stock import find_stock
from furnigen.drafting.draft import Draft
from furnigen.kernel.measure import measure
from furnigen.kernel.solids import solids
from furnigen.mesh.contacts import Contact, find_contacts
from furnigen.mesh.interference import find_interference
from furnigen.mesh.part_meshes import part_mesh, placed_model
from furnigen.mesh.scene import scene_of
from furnigen.parts.part import Part
from furnigen.parts.volume.moments import volume_mm3
from furnigen.piece.description import Piece

PLY = find_stock("birch-ply-18@18")
OAK = find_stock("oak-square-30")
FINE_MM = 0.01
"""Facets of round holes stand this far off; flat faces are exact."""


@dataclass(frozen=True)
class Proved:
    piece: Piece
    contacts: tuple[Contact, ...]

    def contact(self, a: str, b: str) -> Contact:
        found = [c for c in self.contacts if {c.a, c.b} == {a, b}]
        assert found, f"{a} and {b} do not touch"
        return found[0]

    def area(self, a: str, b: str, normal: tuple[float, float, float] | None = None) -> float:
        """Contact area of two copies, mm²; only of faces square to `normal` where given."""
        return sum(
            p.area_mm2
            for p in self.contact(a, b).patches
            if normal is None or abs(sum(x * y for x, y in zip(p.normal, normal, strict=True))) > 0.999
        )

    def part(self, label: str) -> Part:
        return self.piece.parts[self.piece.placement(label).part]

    def size(self, label: str) -> tuple[float, float, float]:
        return self.part(label).form.blank_mm

    def removed(self, label: str) -> float:
        part = self.part(label)
        return part.form.volume_mm3 - volume_mm3(part)


def prove(draft: Draft) -> Proved:
    """Build a draft and hold it against kernel and mesh.

    `solids` refuses what the kernel calls invalid.
    """
    piece = draft.done()
    shapes = solids(piece)
    for part, shape in zip(piece.parts, shapes, strict=True):
        found = measure(shape)
        # where two round holes cross the kernel keeps a spline near the curve: 0.01 mm³ and more off
        crossed = 0.1 * sum(c.name == "barrel hole" for c in part.cuts)
        assert volume_mm3(part) == pytest.approx(found.volume_mm3, rel=1e-10, abs=crossed), part.name
    meshes = [
        part_mesh(shape, part, (0.5, 0.5, 0.5), tolerance_mm=FINE_MM)
        for part, shape in zip(piece.parts, shapes, strict=True)
    ]
    scene = scene_of(placed_model(piece, meshes))
    interference = find_interference(scene, FINE_MM)
    assert not interference.overlaps
    return Proved(piece, find_contacts(scene))
