"""Round rods."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi, sqrt

from furnigen.core.pose import Pose, Vector
from furnigen.parts.forms.form import Form, check_form_size


@dataclass(frozen=True)
class Rod:
    """A round rod along +X, its axis at y = z = diameter / 2 (mm).

    >>> Rod(300, 20).blank_mm
    (300, 20, 20)
    """

    length: float
    diameter: float

    def __post_init__(self) -> None:
        check_form_size("length", self.length)
        check_form_size("diameter", self.diameter)

    @property
    def kind(self) -> str:
        """Word for the parts list."""
        return "rod"

    @property
    def flat(self) -> bool:
        """Never: its side is round."""
        return False

    @property
    def blank_mm(self) -> Vector:
        """Length, diameter, diameter (mm)."""
        return (self.length, self.diameter, self.diameter)

    @property
    def volume_mm3(self) -> float:
        """Pi d² / 4 times the length (mm³)."""
        return pi * self.diameter**2 / 4 * self.length

    @property
    def centroid_mm(self) -> Vector:
        """Middle of the axis (mm)."""
        return (self.length / 2, self.diameter / 2, self.diameter / 2)

    def support(self, direction: Vector) -> float:
        """Largest extent along `direction` (mm)."""
        dx, dy, dz = direction
        r = self.diameter / 2
        return max(0.0, dx * self.length) + r * (dy + dz) + r * sqrt(dy * dy + dz * dz)

    def mirrored(self) -> tuple[Form, Pose]:
        """A rod is its own mirror image, the other way along."""
        return self, Pose.at(-self.length)
