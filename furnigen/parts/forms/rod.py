"""Round rods."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from math import pi, sqrt
from typing import TYPE_CHECKING

from furnigen.core.pose import Pose, Vector
from furnigen.parts.cuts import CutKey, on_size_grid
from furnigen.parts.forms.column_section import ColumnSection, round_section
from furnigen.parts.forms.form import Form, Thickened
from furnigen.parts.forms.sizes import check_form_size, end_shift
from furnigen.parts.solid_recipe import Frustum

if TYPE_CHECKING:
    from furnigen.core.array_types import Floats


@dataclass(frozen=True)
class Rod(Form):
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

    @property
    def round_diameter(self) -> float:
        """Its diameter (mm)."""
        return self.diameter

    @property
    def round_axis(self) -> int:
        """Its length."""
        return 0

    @property
    def convex(self) -> bool:
        """Always."""
        return True

    def key(self) -> CutKey:
        """Its sizes."""
        return ("rod", *on_size_grid(self.blank_mm))

    def turns(self) -> Iterator[tuple[Form, Pose]]:
        """Quarter turns about its axis, and each of them end for end."""
        d = self.diameter
        end_for_end = Pose.turned("z", 180.0, (self.length, d, 0.0))
        for degrees in (0.0, 90.0, 180.0, 270.0):
            middle = Pose.at(0.0, d / 2, d / 2)
            spin = middle @ Pose.turned("x", degrees) @ middle.inverse()
            if degrees:
                yield self, spin
            yield self, spin @ end_for_end

    def solid_recipe(self) -> Frustum:
        """A cylinder."""
        r = self.diameter / 2
        return Frustum((0.0, r, r), (1.0, 0.0, 0.0), r, r, self.length)

    def rings(self, sides: Callable[[float], int]) -> tuple[Floats, Floats]:
        """Its two ends."""
        import numpy as np

        r = self.diameter / 2
        turn = 2 * pi / (n := sides(r)) * np.arange(n)
        start = np.column_stack([np.zeros(n), r + r * np.cos(turn), r + r * np.sin(turn)])
        return start, start + np.array([self.length, 0.0, 0.0])

    def lengthened(self, axis: int, sign: int, by: float) -> tuple[Form, Vector]:
        """Only along its length."""
        if axis != 0:
            return super().lengthened(axis, sign, by)
        return replace(self, length=self.length + by), end_shift(axis, sign, by)

    def section_mm2(self, axis: int) -> float | None:
        """A circle along its length."""
        return pi * self.diameter**2 / 4 if axis == 0 else None

    def column_section(self, z: float, up: Vector) -> ColumnSection:
        """A circle."""
        return round_section(self.diameter, (0.0, 1.0, 0.0))

    def thickened(self, scale: float, wall: float, least: float) -> Thickened:
        """Its diameter grows."""
        if self.diameter * scale >= wall:
            return Thickened(self)
        f = least / self.diameter
        return Thickened(self, (1.0, f, f), (("diameter", self.diameter * scale, wall),))
