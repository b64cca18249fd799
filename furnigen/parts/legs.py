"""Tapered legs, leaned two ways and trimmed flush by the floor and by the underside they carry.

A leg is a right frustum about its own axis (round for a turned leg, square for a sawn one), so its
level sections are all alike: ellipses or quadrilaterals that grow with the leg's own radius. With
r(z) linear in z, the level section has area c r(z)², so

    volume = c H (rf² + rf rt + rt²) / 3,

the formula of a frustum, and the centre of mass is a ratio of polynomials. Local frame: floor z = 0,
top z = `height`, the axis meets the top plane at x = y = 0 and runs outward (+x, +y) going down.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from math import atan, cos, degrees, hypot, pi, radians, sin, sqrt, tan

from furnigen.errors import InputError
from furnigen.parts.forms import Form, Outline, polygon_area, polygon_centroid
from furnigen.pose import Pose, Vector, cross, unit

STEEPEST_DEGREES = 40.0
"""A leg that leans more is a brace; the trimmed ends would be longer than the leg is useful."""
UPRIGHT = 1e-12
"""Slope of a leg that stands upright: over 100 m no maker could measure it, and its direction is noise."""
TRIM_ALLOWANCE_MM = 12.0
"""Extra length of a leg's blank at each end, for the level cuts. Common practice, no source."""


def resultant_degrees(rake: float, splay: float) -> float:
    """Angle of a leg from upright when it rakes and splays, degrees.

    tan² R = tan² rake + tan² splay (chair-makers' geometry; two right-angled views of one line).

    >>> round(resultant_degrees(5.0, 10.0), 4)
    11.1357
    """
    return degrees(atan(sqrt(tan(radians(rake)) ** 2 + tan(radians(splay)) ** 2)))


def sightline_degrees(rake: float, splay: float) -> float:
    """Angle in plan from the front-back line to the plane the leg leans in, degrees; 0 when upright.

    tan S = tan splay / tan rake (chair-makers' geometry).

    >>> round(sightline_degrees(10.0, 5.0), 3)
    26.389
    """
    forward = tan(radians(rake))
    if forward == 0.0:  # upright, or so nearly that no number tells
        return 90.0 if splay else 0.0
    return degrees(atan(tan(radians(splay)) / forward))


def _check_lean(lean: float) -> None:
    if not abs(lean) <= STEEPEST_DEGREES:
        raise InputError(
            "lean of the leg", f"{lean:.1f}°", f"must be at most {STEEPEST_DEGREES:g}° from upright"
        )


def _too_tapered(lean: float) -> InputError:
    return InputError(
        "leg lean",
        f"{lean:.1f}°",
        "the taper is too strong for a level section at this lean",
        "lean it less, or taper it less",
    )


def _check_size(what: str, value: float, lowest: float = 1.0) -> None:
    if not value >= lowest:
        raise InputError(what, f"{value:g} mm", f"must be at least {lowest:g} mm")


def _cubic(height: float, a: float, b: float) -> tuple[float, float, float, float]:
    """∫r², ∫z r², ∫r³, of r = a + (b - a) z / H over 0..H, and H itself."""
    h = height
    i2 = h * (a * a + a * b + b * b) / 3
    iz = h * h * (a * a + 2 * a * b + 3 * b * b) / 12
    i3 = h * (a**3 + a * a * b + a * b * b + b**3) / 4
    return i2, iz, i3, h


@dataclass(frozen=True)
class TurnedLeg:
    """A round tapered leg leaned by one resultant angle toward +x and trimmed level.

    One form whatever way it splays: the placement turns it about z.

    Attributes:
        height: floor to underside (mm).
        top, foot: diameters square to the axis where it meets the top and the floor (mm).
        lean: resultant angle from upright (degrees).
    """

    height: float
    top: float
    foot: float
    lean: float = 0.0

    def __post_init__(self) -> None:
        for what in ("height", "top", "foot"):
            _check_size(f"leg {what}", getattr(self, what))
        _check_lean(self.lean)
        if self._bottom <= 0:
            raise _too_tapered(self.lean)

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
        return pi * along * across * _cubic(self.height, self.foot / 2, self.top / 2)[0]

    @property
    def centroid_mm(self) -> Vector:
        """From the moments of the level sections (mm)."""
        i2, iz, i3, h = _cubic(self.height, self.foot / 2, self.top / 2)
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


@dataclass(frozen=True)
class SquareLeg:
    """A square tapered leg: the square blank leaned the shortest way and trimmed level.

    Attributes:
        height: floor to underside (mm).
        top, foot: sides of the square section at the axis' ends (mm).
        lean_x, lean_y: angle from upright seen from the front and from the side, outward (degrees).
    """

    height: float
    top: float
    foot: float
    lean_x: float = 0.0
    lean_y: float = 0.0

    def __post_init__(self) -> None:
        for what in ("height", "top", "foot"):
            _check_size(f"leg {what}", getattr(self, what))
        _check_lean(self.lean)
        e1, e2, axis = self._frame
        # every edge of the blank must rise
        if axis[2] <= abs(self._slope) * (abs(e1[2]) + abs(e2[2])):
            raise _too_tapered(self.lean)

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
        return polygon_area(self._unit_section) * _cubic(self.height, self.foot / 2, self.top / 2)[0]

    @property
    def centroid_mm(self) -> Vector:
        """From the moments of the level sections (mm)."""
        i2, iz, i3, h = _cubic(self.height, self.foot / 2, self.top / 2)
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


@dataclass(frozen=True)
class LegAngles:
    """What a maker sets on the bench for one leg, degrees and mm."""

    rake: float
    splay: float
    resultant: float
    sightline: float
    drill_guide: float
    axis_length: float
    blank_length: float


def leg_angles(leg: TurnedLeg | SquareLeg, rake: float, splay: float) -> LegAngles:
    """Bench angles of a leg.

    The drill guide is tilted by the resultant angle, in the plane of the sightline, so its angle from
    the underside is 90° less the resultant.
    """
    r = resultant_degrees(rake, splay)
    return LegAngles(
        rake, splay, r, sightline_degrees(rake, splay), 90.0 - r, leg.axis_length, leg.blank_mm[0]
    )
