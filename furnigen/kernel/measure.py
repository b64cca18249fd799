"""What the kernel measures of a solid: volume, centre of mass, bounds, whether all its faces are planes."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from OCP.Bnd import Bnd_Box
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps

from furnigen.core.pose import Box, Vector
from furnigen.kernel.shapes import is_flat


@dataclass(frozen=True, slots=True)
class Measured:
    """One solid, measured.

    Attributes:
        volume_mm3: volume (mm³); negative when the solid is inside out.
        centroid_mm: centre of mass (mm).
        box: bounds (mm).
        flat: whether all faces are planes.
    """

    volume_mm3: float
    centroid_mm: Vector
    box: Box
    flat: bool


def _bounds(shape: Any) -> Box:
    box = Bnd_Box()
    # from the surfaces themselves: neither a mesh nor the modelling tolerance may widen it
    BRepBndLib.AddOptimal_s(shape, box, False, False)
    x0, y0, z0, x1, y1, z1 = box.Get()
    gap = box.GetGap()
    return Box((x0 + gap, y0 + gap, z0 + gap), (x1 - gap, y1 - gap, z1 - gap))


def measure(shape: Any) -> Measured:
    """Measure a solid of the kernel (an OCP shape) where it stands, mm."""
    props = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, props)
    centre = props.CentreOfMass()
    return Measured(props.Mass(), (centre.X(), centre.Y(), centre.Z()), _bounds(shape), is_flat(shape))
