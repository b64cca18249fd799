"""Square tapered legs, leaned the shortest way and trimmed level at both ends."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cached_property
from math import hypot, radians, tan

from furnigen.core.pose import Pose, Vector, cross, unit
from furnigen.parts.cuts import CutKey, on_size_grid
from furnigen.parts.flat_faces import Polyhedron, frustum_between
from furnigen.parts.forms.column_section import ColumnSection, rectangular_section
from furnigen.parts.forms.form import Form, Leg
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
class SquareLeg(Leg):
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

    @property
    def blank_axes(self) -> tuple[Vector, Vector, Vector]:
        """Its two sides and its axis."""
        return self._frame

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

    def section(self, z: float) -> Outline:
        """The level quadrilateral at height z, counter-clockwise (mm)."""
        r = self.half_at(z)
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

    @property
    def size_word(self) -> str:
        """Its size is a width."""
        return "width"

    @property
    def always_sound(self) -> bool:
        """Sizes that would not be are refused."""
        return True

    def axis_run(self, down: float) -> tuple[float, float]:
        """Both ways."""
        return (down * tan(radians(self.lean_x)), down * tan(radians(self.lean_y)))

    def resized(self, height: float, top: float, foot: float) -> SquareLeg:
        """A square leg of other sizes (mm)."""
        return replace(self, height=height, top=top, foot=foot)

    def modulus_at(self, z: float) -> float:
        """Of a square (mm³)."""
        return float((2 * self.half_at(z)) ** 3 / 6)

    def column_section(self, z: float, up: Vector) -> ColumnSection:
        """The square of its smaller end."""
        size = self.thinnest_mm
        return rectangular_section(size, size, (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))

    def level_bounds(self, z: float, pose: Pose) -> tuple[tuple[float, float], tuple[float, float]]:
        """Bounds of a quadrilateral."""
        corners = [pose.apply((x, y, z)) for x, y in self.section(z)]
        (x0, x1), (y0, y1) = ((min(p[i] for p in corners), max(p[i] for p in corners)) for i in (0, 1))
        return (x0, x1), (y0, y1)

    def key(self) -> CutKey:
        """Its sizes and how it leans both ways."""
        return (
            "square leg",
            *on_size_grid((self.height, self.top, self.foot)),
            round(self.lean_x, 6),
            round(self.lean_y, 6),
        )

    def turns(self) -> Iterator[tuple[Form, Pose]]:
        """Upright, quarter turns about its axis."""
        if self.lean == 0.0:
            for degrees in (90.0, 180.0, 270.0):
                yield self, Pose.turned("z", degrees)

    def polyhedron(self) -> Polyhedron:
        """Between its level ends."""
        low, high = ([(x, y, z) for x, y in self.section(z)] for z in (0.0, float(self.height)))
        return frustum_between(low, high)

    @property
    def level_in_blank(self) -> Vector:
        """The upward direction as its blank has it: along two sides and the axis (unit vector)."""
        e1, e2, axis = self._frame
        return (e1[2], e2[2], axis[2])
