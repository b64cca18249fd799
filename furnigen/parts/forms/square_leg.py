"""Square tapered legs, leaned the shortest way and trimmed level at both ends."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import cos, hypot, radians, tan

from furnigen.core.pose import Pose, Vector, cross, unit
from furnigen.parts.forms.form import Form
from furnigen.parts.forms.leg_lean import (
    TRIM_ALLOWANCE_MM,
    UPRIGHT,
    check_lean,
    check_leg_size,
    frustum_integrals,
    resultant_degrees,
    too_tapered,
)
from furnigen.parts.forms.outline import Outline, polygon_area, polygon_centroid


@dataclass(frozen=True)
class SquareLeg:
    """A square tapered leg: the square blank leaned the shortest way and trimmed level.

    Attributes:
        height: floor to underside (mm).
        top, foot: sides of the square section at the axis' ends (mm).
        lean_x, lean_y: angle from upright seen from the front and from the side, outward (degrees).

    >>> round(SquareLeg(400, 40, 25, 6, 8).lean, 2)
    9.95
    """

    height: float
    top: float
    foot: float
    lean_x: float = 0.0
    lean_y: float = 0.0

    def __post_init__(self) -> None:
        for what in ("height", "top", "foot"):
            check_leg_size(f"leg {what}", getattr(self, what))
        check_lean(self.lean)
        e1, e2, axis = self._frame
        # every edge of the blank must rise
        if axis[2] <= abs(self._slope) * (abs(e1[2]) + abs(e2[2])):
            raise too_tapered(self.lean)

    @property
    def kind(self) -> str:
        """Word for the parts list."""
        return "square leg"

    @property
    def flat(self) -> bool:
        """Always: facets and level ends."""
        return True

    @property
    def lean(self) -> float:
        """Resultant angle from upright (degrees)."""
        return resultant_degrees(self.lean_y, self.lean_x)

    @property
    def axis_length(self) -> float:
        """Along the axis, floor to top (mm)."""
        return self.height / cos(radians(self.lean))

    @property
    def _slope(self) -> float:
        """Growth of half the side along the axis."""
        return (self.top - self.foot) / 2 / self.axis_length

    @cached_property
    def _frame(self) -> tuple[Vector, Vector, Vector]:
        """Unit vectors of the blank: two sides, and the axis upward."""
        tx, ty = tan(radians(self.lean_x)), tan(radians(self.lean_y))
        axis = unit((-tx, -ty, 1.0))
        if hypot(tx, ty) < UPRIGHT:
            return (1.0, 0.0, 0.0), (0.0, 1.0, 0.0), axis
        # the shortest turn from upright to the axis is about the level line square to the lean
        hinge = unit(cross((0.0, 0.0, 1.0), axis))
        flat = cross((0.0, 0.0, 1.0), hinge)
        tilted = cross(axis, hinge)

        def carry(v: Vector) -> Vector:
            h = v[0] * hinge[0] + v[1] * hinge[1]
            f = v[0] * flat[0] + v[1] * flat[1]
            return (h * hinge[0] + f * tilted[0], h * hinge[1] + f * tilted[1], h * hinge[2] + f * tilted[2])

        return carry((1.0, 0.0, 0.0)), carry((0.0, 1.0, 0.0)), axis

    @cached_property
    def _unit_section(self) -> Outline:
        """The level section for half-side one, about the point where the axis crosses it."""
        e1, e2, a = self._frame
        k = self._slope
        corners = []
        for c1, c2 in ((-1, -1), (1, -1), (1, 1), (-1, 1)):
            e = (c1 * e1[0] + c2 * e2[0], c1 * e1[1] + c2 * e2[1], c1 * e1[2] + c2 * e2[2])
            s = -e[2] / (a[2] + k * e[2])
            r = 1 + k * s
            corners.append((s * a[0] + r * e[0], s * a[1] + r * e[1]))
        return tuple(corners)

    def half_side_at(self, z: float) -> float:
        """Half the side square to the axis where the axis crosses height z (mm)."""
        return (self.foot + (self.top - self.foot) * z / self.height) / 2

    def section(self, z: float) -> Outline:
        """The level quadrilateral at height z, counter-clockwise (mm)."""
        r = self.half_side_at(z)
        ox = (self.height - z) * tan(radians(self.lean_x))
        oy = (self.height - z) * tan(radians(self.lean_y))
        return tuple((ox + r * x, oy + r * y) for x, y in self._unit_section)

    @property
    def volume_mm3(self) -> float:
        """Frustum formula on the level sections (mm³)."""
        return (
            polygon_area(self._unit_section) * frustum_integrals(self.height, self.foot / 2, self.top / 2)[0]
        )

    @property
    def centroid_mm(self) -> Vector:
        """From the moments of the level sections (mm)."""
        i2, iz, i3, h = frustum_integrals(self.height, self.foot / 2, self.top / 2)
        z = iz / i2
        ux, uy = polygon_centroid(self._unit_section)
        return (
            (h - z) * tan(radians(self.lean_x)) + ux * i3 / i2,
            (h - z) * tan(radians(self.lean_y)) + uy * i3 / i2,
            z,
        )

    def support(self, direction: Vector) -> float:
        """Largest extent along `direction`, over the eight corners (mm)."""
        dx, dy, dz = direction
        return max(x * dx + y * dy + z * dz for z in (0.0, self.height) for x, y in self.section(z))

    @property
    def blank_mm(self) -> Vector:
        """Length along the axis with trimming allowance, and the square it is sawn from (mm)."""
        axis = self._frame[2]
        low = -self.support((-axis[0], -axis[1], -axis[2]))
        k = (self.top - self.foot) / 2 / self.axis_length
        over_top = self.support(axis) - self.height * axis[2]
        side = max(self.foot, self.top + 2 * k * over_top)
        return (self.support(axis) - low + 2 * TRIM_ALLOWANCE_MM, side, side)

    def mirrored(self) -> tuple[Form, Pose]:
        """Mirrored in x the leg leans the other way; turned a quarter about z it leans outward again."""
        return SquareLeg(self.height, self.top, self.foot, self.lean_y, self.lean_x), Pose.turned("z", 90.0)
