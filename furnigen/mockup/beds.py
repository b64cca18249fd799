"""What lies on which bed: every piece with its place, packed on the fewest beds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np
from manifold3d import Manifold

from furnigen.core.array_types import Floats, Ints
from furnigen.core.errors import InputError
from furnigen.mesh.model import MeshInstance, MeshModel, PartMesh
from furnigen.mockup.mesh_proof import MeshProof, prove_mesh
from furnigen.mockup.orientation import Orientation, about_z, turned_on_bed
from furnigen.mockup.packing import PER_MM, BedPlace, pack_on_beds
from furnigen.mockup.plastic import hollow_volume_mm3, mass_g
from furnigen.mockup.print_solids import HAIR_MM, printable_mesh, slivers_of, solid_of
from furnigen.mockup.printer import PLASTIC, Printer
from furnigen.mockup.wall_thickness import LOST_MM

REACH_WALLS = 3.0
"""Walls are measured up to this many times the thinnest that prints."""


@dataclass(frozen=True, eq=False)
class PrintPiece:
    """One thing to print, lying as it is printed: its box at the origin, on the bed.

    Attributes:
        name: unique, such as "shelf.2" or "piece.1".
        mesh: corners on the fine grid.
        solid: the same mesh as a solid of the boolean engine.
        back: (3, 4) from the bed to where the piece belongs in the mockup.
        orientation: how it lies.
        proof: of its mesh.
        printer: what it is printed with.
    """

    name: str
    mesh: PartMesh
    solid: Manifold
    back: Floats
    orientation: Orientation
    proof: MeshProof
    printer: Printer

    @property
    def size_mm(self) -> Floats:
        """Its box (mm)."""
        out: Floats = np.ptp(self.mesh.vertices, axis=0)
        return out

    @property
    def volume_mm3(self) -> float:
        """Of plastic, printed solid (mm³)."""
        return self.proof.volume_mm3

    @cached_property
    def hollow_mm3(self) -> float:
        """Of plastic, printed with shells and infill (mm³)."""
        return hollow_volume_mm3(self.solid, self.printer)


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
    def least_mass_g(self) -> float:
        """Of its plastic, printed with shells and infill (g)."""
        return sum(mass_g(p.hollow_mm3) for p, _ in self.pieces)

    @property
    def height_mm(self) -> float:
        """Of its highest piece (mm)."""
        return max(float(p.size_mm[2]) for p, _ in self.pieces)


def print_piece(
    name: str, solid: Manifold, orientation: Orientation, printer: Printer, colour: tuple[float, float, float]
) -> PrintPiece:
    """A solid of the mockup laid on the bed, its mesh proven."""
    laid = solid.transform(orientation.matrix)
    best: tuple[Floats, Ints, MeshProof] | None = None
    for hair in (0.0, HAIR_MM):
        v, f = printable_mesh(laid, hair)
        proof = prove_mesh(v, f, REACH_WALLS * printer.wall_mm)
        thinned = best is not None and proof.wall_mm < min(best[2].wall_mm, printer.wall_mm - LOST_MM)
        if best is None or (proof.sound and not (best[2].sound and thinned)):
            best = (v, f, proof)
        # turning by an angle can part corners that were one by rounding: merge them again
        if proof.sound and not len(slivers_of(v, f)):
            break
    assert best is not None
    v, f, proof = best
    low = v.min(axis=0)  # simplifying may have moved it off the bed by a hair; on the grid this is exact
    v = v - low
    turn = orientation.turn.T
    back = np.column_stack([turn, turn @ (low - orientation.shift)])
    return PrintPiece(
        name,
        PartMesh(name, v, f, colour, PLASTIC),
        solid_of(v, f, name),
        back,
        orientation,
        replace(proof, wall_at=_shifted(proof.wall_at, low)),
        printer,
    )


@dataclass(frozen=True, eq=False)
class UnplacedPrint:
    """One thing to print before it has a bed.

    Attributes:
        name: unique, such as "shelf.2" or "piece.1".
        solid: in place in the mockup.
        orientation: how it is to lie.
        colour: in pictures.
    """

    name: str
    solid: Manifold
    orientation: Orientation
    colour: tuple[float, float, float]


def _shifted(point: tuple[float, float, float], by: Floats) -> tuple[float, float, float]:
    return (point[0] - float(by[0]), point[1] - float(by[1]), point[2] - float(by[2]))


def packed(
    things: Sequence[UnplacedPrint], printer: Printer
) -> tuple[tuple[PrintPiece, ...], tuple[Bed, ...]]:
    """Things to print, in their order, each lying as it is printed; and the fewest beds the packer reaches.

    What lies on a bed is centred on it, be it one piece or many.

    Raises: InputError naming a thing that fits no bed.
    """
    places = pack_on_beds(
        [(float(t.orientation.size_mm[0]), float(t.orientation.size_mm[1])) for t in things], printer
    )
    if isinstance(places, int):
        raise InputError("bed", printer.bed_text, f"has no room for {things[places].name}")
    groups: dict[int, list[tuple[PrintPiece, Floats]]] = {}
    pieces = []
    for thing, place in zip(things, places, strict=True):
        piece, matrix = _placed(thing, place, printer)
        pieces.append(piece)
        groups.setdefault(place.bed, []).append((piece, matrix))
    return tuple(pieces), tuple(
        Bed(f"bed.{n + 1}", tuple(_centred(groups[n], printer))) for n in sorted(groups)
    )


def _centred(pieces: list[tuple[PrintPiece, Floats]], printer: Printer) -> list[tuple[PrintPiece, Floats]]:
    """Pieces of one bed, moved together so that their common box has its middle at the bed's.

    A box that lies within the margins lies within them there too.
    """
    corners = np.concatenate([p.mesh.vertices @ m[:3, :3].T + m[:3, 3] for p, m in pieces])[:, :2]
    off = np.array(printer.bed_mm[:2]) / 2 - (corners.min(axis=0) + corners.max(axis=0)) / 2
    shift = np.zeros((4, 4))
    shift[:2, 3] = np.round(off * PER_MM) / PER_MM
    return [(p, m + shift) for p, m in pieces]


def _placed(thing: UnplacedPrint, place: BedPlace, printer: Printer) -> tuple[PrintPiece, Floats]:
    """A piece and its (4, 4) placement: a shift, a quarter turn at most, so that its corners stay exact."""
    matrix = np.eye(4)
    matrix[:2, 3] = place.at_mm
    matrix[:2, 3] += np.ceil(printer.margin_mm * PER_MM) / PER_MM
    if place.slant is None:
        piece = print_piece(thing.name, thing.solid, thing.orientation, printer, thing.colour)
        if place.turned:
            matrix[:2, :2] = [[0.0, -1.0], [1.0, 0.0]]
            # its depth, which now lies along x; rounded up within the cells the packer gave it
            matrix[0, 3] += np.ceil(float(piece.size_mm[1]) * PER_MM) / PER_MM
        return piece, matrix
    orientation = (
        turned_on_bed(thing.solid, thing.orientation, 90.0)[0] if place.turned else thing.orientation
    )
    orientation, corner = turned_on_bed(thing.solid, orientation, place.slant.degrees)
    middle = np.array([place.slant.long_mm, place.slant.wide_mm]) / 2
    turn = about_z(np.radians(place.slant.degrees))[:2, :2]
    at = np.array(printer.bed_mm[:2]) / 2 + turn @ (np.array(place.at_mm) - middle) + corner
    matrix[:2, 3] = np.round(at * PER_MM) / PER_MM
    return print_piece(thing.name, thing.solid, orientation, printer, thing.colour), matrix
