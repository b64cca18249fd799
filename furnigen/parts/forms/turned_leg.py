"""Turned legs: right circular frustums, leaned and trimmed level at both ends."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import cos, pi, radians, sin, sqrt, tan

from furnigen.core.pose import Pose, Vector
from furnigen.parts.forms.form import Form
from furnigen.parts.forms.leg_lean import (
    TRIM_ALLOWANCE_MM,
    check_lean,
    check_leg_size,
    frustum_integrals,
    too_tapered,
)


@dataclass(frozen=True)
class TurnedLeg:
    """A round tapered leg leaned by one resultant angle toward +x and trimmed level.

    One form whatever way it splays: the placement turns it about z.

    Attributes:
        height: floor to underside (mm).
        top, foot: diameters square to the axis where it meets the top and the floor (mm).
        lean: resultant angle from upright (degrees).

    >>> round(TurnedLeg(400, 40, 25, 10).axis_length, 1)
    406.2
    """

    height: float
    top: float
    foot: float
    lean: float = 0.0

    def __post_init__(self) -> None:
        for what in ("height", "top", "foot"):
            check_leg_size(f"leg {what}", getattr(self, what))
        check_lean(self.lean)
        if self._bottom <= 0:
            raise too_tapered(self.lean)

    @property
    def kind(self) -> str:
        """Word for the parts list."""
        return "turned leg"

    @property
    def flat(self) -> bool:
        """Never: it is round."""
        return False

    @property
    def axis_length(self) -> float:
        """Along the axis, floor to top (mm)."""
        return self.height / cos(radians(self.lean))

    @property
    def _slope(self) -> float:
        """Growth of the radius along the axis."""
        return (self.top - self.foot) / 2 / self.axis_length

    @property
    def _bottom(self) -> float:
        """cos² - k² sin²: positive while level sections are ellipses."""
        t = radians(self.lean)
        return cos(t) ** 2 - (self._slope * sin(t)) ** 2

    @cached_property
    def _unit_section(self) -> tuple[float, float, float]:
        """Semi-axes along and across the lean, and the shift of the centre, for radius one."""
        t, k, q = radians(self.lean), self._slope, self._bottom
        along = cos(t) / q
        shift = -k * sin(t) / q
        across = sqrt((1 - k * shift * sin(t)) ** 2 - (shift * cos(t)) ** 2)
        return along, across, shift

    def radius_at(self, z: float) -> float:
        """Radius square to the axis where the axis crosses height z (mm)."""
        return (self.foot + (self.top - self.foot) * z / self.height) / 2

    def section(self, z: float) -> tuple[float, float, Vector]:
        """The ellipse at height z: semi-axis along the lean, across it, and its centre (mm)."""
        along, across, shift = self._unit_section
        r = self.radius_at(z)
        x = (self.height - z) * tan(radians(self.lean)) + shift * r
        return along * r, across * r, (x, 0.0, z)

    @property
    def volume_mm3(self) -> float:
        """Frustum formula on the level sections (mm³)."""
        along, across, _ = self._unit_section
        return pi * along * across * frustum_integrals(self.height, self.foot / 2, self.top / 2)[0]

    @property
    def centroid_mm(self) -> Vector:
        """From the moments of the level sections (mm)."""
        i2, iz, i3, h = frustum_integrals(self.height, self.foot / 2, self.top / 2)
        z = iz / i2
        shift = self._unit_section[2]
        return ((h - z) * tan(radians(self.lean)) + shift * i3 / i2, 0.0, z)

    def support(self, direction: Vector) -> float:
        """Largest extent along `direction`: the leg is the hull of its two end ellipses (mm)."""
        dx, dy, dz = direction
        best = []
        for z in (0.0, self.height):
            a, b, c = self.section(z)
            best.append(c[0] * dx + z * dz + sqrt((a * dx) ** 2 + (b * dy) ** 2))
        return max(best)

    @property
    def blank_mm(self) -> Vector:
        """Length along the axis with trimming allowance, and the square that holds the round (mm)."""
        s = sin(radians(self.lean))
        along, _, shift = self._unit_section
        over_top = abs(s) * (along - shift) * self.top / 2
        over_foot = abs(s) * (along + shift) * self.foot / 2
        widest = max(self.foot, self.top + 2 * self._slope * over_top)
        return (self.axis_length + over_top + over_foot + 2 * TRIM_ALLOWANCE_MM, widest, widest)

    def mirrored(self) -> tuple[Form, Pose]:
        """A turned leg is its own mirror image, turned half way about z."""
        return self, Pose.turned("z", 180.0)
