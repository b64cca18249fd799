"""The numbers below which two parts neither overlap nor touch, each with its reason."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from furnigen.core.array_types import Floats

Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Tolerances:
    """What the mesh checks take as equal. No published source: each number is reasoned from the shop.

    Attributes:
        contact_gap_mm: faces this close touch. A tenth of the finest fit a wood shop holds (0.1 mm, common
            practice, no source), and a hundred thousand times the kernel's own 1e-7 mm.
        contact_width_mm: a contact is a face only when its area exceeds this width times its longest extent
            (itself no less than the width); anything slimmer is an edge or a corner, which bears nothing.
            Equal to the gap, since positions are trusted no further.
        penetration_mm: overlaps thinner than this in the mean (2 V / A) are touching faces. Equal to the gap,
            so that no pair is neither touching nor overlapping.
        overlap_volume_mm3: smaller overlaps are rounding: a cube of 0.1 mm, a grain of sanding dust.
        facing_rad: two faces face each other when their normals are opposite within this angle, 0.1 mm in
            a metre: straighter than any board stays.
        flat_rad: neighbouring triangles closer in direction than this are one flat face. A kernel's
            corners are good to 1e-7 mm, which turns a triangle 1 mm high by 1e-7 rad; a bevel anyone makes is
            a hundred times more than this.
        flat_mm: neighbouring triangles are also one flat face when neither's far corner leaves the other's
            plane by more: slivers have no direction to speak of.
        rigid: largest allowed departure of a placement's matrix from a pure rotation: over 10 m that is
            0.01 mm.
    """

    contact_gap_mm: float = 0.01
    contact_width_mm: float = 0.01
    penetration_mm: float = 0.01
    overlap_volume_mm3: float = 1e-3
    facing_rad: float = 1e-4
    flat_rad: float = 1e-4
    flat_mm: float = 1e-5
    rigid: float = 1e-6

    def is_face(self, area_mm2: Floats, extent_mm: Floats) -> Bools:
        """Whether areas with these longest extents are faces, rather than edges or corners."""
        width = self.contact_width_mm
        out: Bools = area_mm2 > width * np.maximum(extent_mm, width)
        return out
