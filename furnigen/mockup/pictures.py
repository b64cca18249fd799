"""What the pictures of a mockup show: each bed, the mockup standing, its pieces drawn apart."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from furnigen.core.array_types import Floats
from furnigen.mesh.model import MeshInstance, MeshModel, PartMesh
from furnigen.mockup.beds import Bed, PrintPiece
from furnigen.mockup.printer import Printer
from furnigen.picture.camera import View

VIEWS = {"whole": View(400, 300, 25.0, 27.0), "kit": View(640, 480, 25.0, 27.0)}
"""From the front left and well above, so that a bed is seen; larger for a kit, whose parts are small."""
BED_COLOUR = (0.12, 0.13, 0.14)
_BED_THICK_MM = 1.5
APART = 0.45
"""How far parts are drawn apart: this share of their distance from the middle. Taste."""

_FACES = np.array(
    [
        *([0, 2, 1], [0, 3, 2], [4, 5, 6], [4, 6, 7], [0, 1, 5], [0, 5, 4]),
        *([1, 2, 6], [1, 6, 5], [2, 3, 7], [2, 7, 6], [3, 0, 4], [3, 4, 7]),
    ],
    dtype=np.int64,
)


def bed_picture(bed: Bed, printer: Printer) -> MeshModel:
    """A bed with its plate, as a model to be drawn."""
    w, d, _ = printer.bed_mm
    t = _BED_THICK_MM
    corners = np.array(
        [[0, 0, -t], [w, 0, -t], [w, d, -t], [0, d, -t], [0, 0, 0], [w, 0, 0], [w, d, 0], [0, d, 0]],
        dtype=np.float64,
    )
    plate = PartMesh("the bed", corners, _FACES, BED_COLOUR, "bed", convex=True)
    model = bed.model()
    return MeshModel(
        model.name,
        (*model.parts, plate),
        (*model.instances, MeshInstance("the bed", len(model.parts), np.eye(4))),
    )


def standing(name: str, pieces: Sequence[PrintPiece], apart: float = 0.0) -> MeshModel:
    """Pieces where they belong in the mockup, or drawn apart from its middle."""
    backs = [_square(p.back) for p in pieces]
    middles = [
        b[:3, :3] @ (p.mesh.vertices.min(axis=0) + p.mesh.vertices.max(axis=0)) / 2 + b[:3, 3]
        for p, b in zip(pieces, backs, strict=True)
    ]
    centre = np.mean([np.min(middles, axis=0), np.max(middles, axis=0)], axis=0)
    copies = []
    for k, (p, b, m) in enumerate(zip(pieces, backs, middles, strict=True)):
        b[:3, 3] += apart * (m - centre)
        copies.append(MeshInstance(p.name, k, b))
    return MeshModel(name, tuple(p.mesh for p in pieces), tuple(copies))


def _square(matrix: Floats) -> Floats:
    return np.vstack([matrix, [0.0, 0.0, 0.0, 1.0]])
