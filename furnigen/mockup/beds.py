"""What lies on which bed: every piece with its place, packed on as few beds as a rectangle packer reaches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np
from manifold3d import Manifold

from furnigen.errors import InputError
from furnigen.mesh.model import Floats, MeshInstance, MeshModel, PartMesh
from furnigen.mockup.printer import DENSITY_G_CM3, GAP_MM, PLASTIC, Printer
from furnigen.mockup.proof import Proof, prove
from furnigen.mockup.solid import printable_mesh, solid_of
from furnigen.mockup.stand import Stand

REACH_WALLS = 3.0
"""Walls are measured up to this many times the thinnest that prints."""
_PER_MM = 64
"""Places on a bed to the mm: whole numbers for the packer, and a corner moved by one stays exact."""


@dataclass(frozen=True, eq=False)
class PrintPiece:
    """One thing to print, lying as it is printed: its box at the origin, on the bed.

    Attributes:
        name: unique, such as "shelf.2" or "piece.1".
        mesh: corners on the fine grid.
        solid: the same mesh as a solid of the boolean engine.
        back: (3, 4) from the bed to where the piece belongs in the mockup.
        stand: how it lies.
        proof: of its mesh.
        colour, material: its look.
    """

    name: str
    mesh: PartMesh
    solid: Manifold
    back: Floats
    stand: Stand
    proof: Proof

    @property
    def size_mm(self) -> Floats:
        """Its box (mm)."""
        out: Floats = np.ptp(self.mesh.vertices, axis=0)
        return out

    @property
    def volume_mm3(self) -> float:
        """Of plastic, printed solid (mm³)."""
        return self.proof.volume_mm3


@dataclass(frozen=True, eq=False)
class Bed:
    """One bed and what lies on it.

    Attributes:
        name: such as "bed.1".
        pieces: what lies on it, with the (4, 4) placement of each.
    """

    name: str
    pieces: tuple[tuple[PrintPiece, Floats], ...]

    def model(self) -> MeshModel:
        """The bed's pieces as named, placed meshes."""
        return MeshModel(
            self.name,
            tuple(p.mesh for p, _ in self.pieces),
            tuple(MeshInstance(p.name, k, matrix) for k, (p, matrix) in enumerate(self.pieces)),
        )

    @property
    def mass_g(self) -> float:
        """Of its plastic, printed solid (g)."""
        return sum(mass_g(p.volume_mm3) for p, _ in self.pieces)

    @property
    def height_mm(self) -> float:
        """Of its highest piece (mm)."""
        return max(float(p.size_mm[2]) for p, _ in self.pieces)


def mass_g(volume_mm3: float) -> float:
    """Mass of plastic (g)."""
    return volume_mm3 / 1000.0 * DENSITY_G_CM3


def print_piece(
    name: str, solid: Manifold, stand: Stand, printer: Printer, colour: tuple[float, float, float]
) -> PrintPiece:
    """A solid of the mockup laid on the bed, its mesh proven."""
    v, f = printable_mesh(solid.transform(stand.matrix))
    low = v.min(axis=0)  # simplifying may have moved it off the bed by a hair; on the grid this is exact
    v = v - low
    turn = stand.turn.T
    back = np.column_stack([turn, turn @ (low - stand.shift)])
    return PrintPiece(
        name,
        PartMesh(name, v, f, colour, PLASTIC),
        solid_of(v, f, name),
        back,
        stand,
        prove(v, f, REACH_WALLS * printer.wall_mm),
    )


def packed(pieces: Sequence[PrintPiece], printer: Printer, prefix: str = "") -> tuple[Bed, ...]:
    """Pieces on as few beds as several orders and rules of the packer reach.

    Errors: InputError naming a piece that fits no bed.
    """
    from rectpack import SORT_AREA, SORT_LSIDE, SORT_SSIDE, MaxRectsBaf, MaxRectsBssf, newPacker

    rects = [_cells(p) for p in pieces]
    bed = tuple(round((s + GAP_MM) * _PER_MM) for s in printer.bed_mm[:2])
    best: list[tuple[int, int, int, int, int, int]] | None = None
    best_key: tuple[int, int] | None = None
    for rule, order in product((MaxRectsBssf, MaxRectsBaf), (SORT_AREA, SORT_LSIDE, SORT_SSIDE)):
        packer = newPacker(pack_algo=rule, sort_algo=order, rotation=True)
        for k, (w, h) in enumerate(rects):
            packer.add_rect(w, h, rid=k)
        packer.add_bin(*bed, count=float("inf"))
        packer.pack()
        found = packer.rect_list()
        if len(found) < len(rects):
            lost = next(p for k, p in enumerate(pieces) if k not in {r[5] for r in found})
            raise InputError("bed", printer.bed_text, f"has no room for {lost.name}")
        beds = 1 + max(r[0] for r in found)
        last = sum(r[3] * r[4] for r in found if r[0] == beds - 1)
        if best_key is None or (beds, last) < best_key:
            best, best_key = found, (beds, last)
    assert best is not None
    assert best_key is not None
    groups: list[list[tuple[PrintPiece, Floats]]] = [[] for _ in range(best_key[0])]
    for number, x, y, w, _, k in sorted(best, key=lambda r: (r[0], r[5])):
        groups[number].append((pieces[k], _placed(pieces[k], x, y, w, rects[k])))
    return tuple(Bed(f"{prefix}bed.{n}", tuple(g)) for n, g in enumerate(groups, 1))


def _cells(piece: PrintPiece) -> tuple[int, int]:
    w, h = (int(np.ceil((float(s) + GAP_MM) * _PER_MM - 1e-6)) for s in piece.size_mm[:2])
    return w, h


def _placed(piece: PrintPiece, x: int, y: int, w: int, asked: tuple[int, int]) -> Floats:
    """The (4, 4) placement of a piece whose packed box starts at cell (x, y), turned a quarter if it was."""
    matrix = np.eye(4)
    matrix[:2, 3] = (x / _PER_MM, y / _PER_MM)
    if w != asked[0]:
        matrix[:2, :2] = [[0.0, -1.0], [1.0, 0.0]]
        # its depth, which now lies along x; rounded up within the cells the packer gave it
        matrix[0, 3] += np.ceil(float(piece.size_mm[1]) * _PER_MM) / _PER_MM
    return matrix
