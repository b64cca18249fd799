"""Turned legs: right circular frustums, leaned and trimmed level at both ends."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cached_property
from math import cos, pi, radians, sin, sqrt, tan
from typing import TYPE_CHECKING

from furnigen.core.pose import Box, Pose, Vector
from furnigen.parts.cuts import CutKey, on_size_grid
from furnigen.parts.forms.column_section import ColumnSection, round_section
from furnigen.parts.forms.form import Form, Leg
from furnigen.parts.forms.leg_lean import (
    TRIM_ALLOWANCE_MM,
    check_lean,
    check_leg_size,
    frustum_integrals,
    too_tapered,
)
from furnigen.parts.solid_recipe import Frustum, Trimmed

if TYPE_CHECKING:
    from furnigen.core.array_types import Floats

SPARE_MM = 1.0
"""How far the round blank reaches beyond its level cuts: any length does, the cuts take it off."""
POINT_MM = 1e-6
"""A thinner end of a cone comes to a point: the kernel takes none but a true one."""
CYLINDER_MM = 1e-6
"""Diameters closer than this make a cylinder: the kernel refuses a cone that steep."""


@dataclass(frozen=True)
class TurnedLeg(Leg):
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
    def blank_axes(self) -> tuple[Vector, Vector, Vector]:
        """In the plane it leans in, square to it, and its axis."""
        c, s = cos(radians(self.lean)), sin(radians(self.lean))
        return (c, 0.0, s), (0.0, 1.0, 0.0), (-s, 0.0, c)

    @property
    def flat(self) -> bool:
        """Never: it is round."""
        return False

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

    def section(self, z: float) -> tuple[float, float, Vector]:
        """The ellipse at height z: semi-axis along the lean, across it, and its centre (mm)."""
        along, across, shift = self._unit_section
        r = self.half_at(z)
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

    @property
    def size_word(self) -> str:
        """Its size is a diameter."""
        return "diameter"

    @property
    def round_axis(self) -> int:
        """Its height, leaned or not."""
        return 2

    def axis_run(self, down: float) -> tuple[float, float]:
        """Along x only."""
        return (down * tan(radians(self.lean)), 0.0)

    def resized(self, height: float, top: float, foot: float) -> TurnedLeg:
        """A turned leg of other sizes (mm)."""
        return replace(self, height=height, top=top, foot=foot)

    def modulus_at(self, z: float) -> float:
        """Of a circle (mm³)."""
        return float(pi * (2 * self.half_at(z)) ** 3 / 32)

    def column_section(self, z: float, up: Vector) -> ColumnSection:
        """The circle of its smaller end."""
        return round_section(self.thinnest_mm, (1.0, 0.0, 0.0))

    def level_bounds(self, z: float, pose: Pose) -> tuple[tuple[float, float], tuple[float, float]]:
        """Bounds of an ellipse."""
        a, b, centre = self.section(z)
        c, r = pose.apply(centre), pose.rotation
        reach = [((a * r[i][0]) ** 2 + (b * r[i][1]) ** 2) ** 0.5 for i in (0, 1)]
        return (c[0] - reach[0], c[0] + reach[0]), (c[1] - reach[1], c[1] + reach[1])

    def key(self) -> CutKey:
        """Its sizes and its lean."""
        return ("turned leg", *on_size_grid((self.height, self.top, self.foot)), round(self.lean, 6))

    def rings(self, sides: Callable[[float], int]) -> tuple[Floats, Floats]:
        """Its two end ellipses.

        Its level sections are alike, so equal angles on both lie on one straight line of the cone, and the
        facets between are plane.
        """
        import numpy as np

        widest = max(max(self.section(z)[:2]) for z in (0.0, self.height))
        turn = 2 * pi / (n := sides(widest)) * np.arange(n)
        rings = []
        for z in (0.0, self.height):
            along, across, centre = self.section(z)
            rings.append(np.column_stack([along * np.cos(turn), across * np.sin(turn), np.zeros(n)]) + centre)
        return rings[0], rings[1]

    def solid_recipe(self) -> Frustum | Trimmed:
        """A longer round taper about its axis, cut off by a slab between the two level planes."""
        if self.lean == 0.0:
            return self._round_taper(0.0, 0.0)
        h, lean = self.height, radians(self.lean)
        up: Vector = (-sin(lean), 0.0, cos(lean))
        above = self.support(up) - h * up[2] + SPARE_MM
        below = self.support((-up[0], 0.0, -up[2])) + h * up[2] - self.axis_length + SPARE_MM
        slope = self._slope
        if slope > 0:  # no further than the apex, which lies beyond the level planes
            below = min(below, self.foot / 2 / slope)
        elif slope < 0:
            above = min(above, self.top / 2 / -slope)
        box = self.bounds()
        (x0, y0, _), (x1, y1, _) = box.lo, box.hi
        slab = Box((x0 - SPARE_MM, y0 - SPARE_MM, 0.0), (x1 + SPARE_MM, y1 + SPARE_MM, h))
        return Trimmed(self._round_taper(below, above), slab)

    def _round_taper(self, below: float, above: float) -> Frustum:
        """The round blank about its axis, `below` and `above` longer than the axis (mm)."""
        lean = radians(self.lean)
        up: Vector = (-sin(lean), 0.0, cos(lean))
        s = self.axis_length + below
        start = (-s * up[0], 0.0, self.height - s * up[2])
        if abs(self.top - self.foot) < CYLINDER_MM:
            low = high = self.top / 2
        else:
            low, high = self.foot / 2 - self._slope * below, self.top / 2 + self._slope * above
            low, high = (r if r > POINT_MM else 0.0 for r in (low, high))
        return Frustum(start, up, low, high, s + above, seam=(0.0, 1.0, 0.0))
