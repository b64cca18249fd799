"""Boards with a nosing: the front edge rounded to a half circle over its whole thickness (bull-nosed)."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from math import asin, pi, sqrt
from typing import TYPE_CHECKING

from furnigen.core.errors import InputError
from furnigen.core.pose import Box, Pose, Vector
from furnigen.core.wording import as_given
from furnigen.parts.cuts import CutKey, on_size_grid
from furnigen.parts.forms.column_section import ColumnSection
from furnigen.parts.forms.form import Board, Form
from furnigen.parts.forms.outline import Outline
from furnigen.parts.forms.sizes import check_form_size, end_shift
from furnigen.parts.solid_recipe import Extrusion, Side
from furnigen.parts.volume.polytope import NOTHING, Moments

if TYPE_CHECKING:
    from furnigen.core.array_types import Floats

LEAST_FLAT = 1.0
"""Width behind the nosing, in thicknesses: with less it is a rod with a flat. Our own limit."""


@dataclass(frozen=True)
class NosedBoard(Board):
    """A board whose front edge y = 0 is a half circle, as thick as the board (see `bullnose`).

    Attributes:
        length, width, thickness: of the blank, over the nosing (mm).

    Raises: InputError for a size below the smallest, or a width that the nosing takes up.

    >>> NosedBoard(800.0, 250.0, 20.0).blank_mm
    (800.0, 250.0, 20.0)
    """

    length: float
    width: float
    thickness: float

    windows = ()

    def __post_init__(self) -> None:
        for what in ("length", "width", "thickness"):
            check_form_size(what, getattr(self, what))
        least = self.radius + LEAST_FLAT * self.thickness
        if self.width < least:
            raise InputError(
                "width of a bull-nosed board",
                as_given(self.width),
                f"must be at least {as_given(least)}: its nosing takes {as_given(self.radius)} of it",
            )

    @property
    def kind(self) -> str:
        """Word for the parts list."""
        return "bull-nosed board"

    @property
    def radius(self) -> float:
        """Radius of the nosing (mm): half the thickness."""
        return self.thickness / 2

    @property
    def flat(self) -> bool:
        """Never: its nosing is round."""
        return False

    @property
    def corners(self) -> Outline:
        """The rectangle of its blank: square to its faces the nosing shows as a straight edge."""
        a, b = float(self.length), float(self.width)
        return ((0.0, 0.0), (a, 0.0), (a, b), (0.0, b))

    @property
    def shaped_edge(self) -> Box:
        """The nosing."""
        return Box((0.0, 0.0, 0.0), (self.length, self.radius, self.thickness))

    @property
    def volume_mm3(self) -> float:
        """(rectangle behind the nosing + half circle) x length (mm³)."""
        return self._section_area * self.length

    @property
    def _section_area(self) -> float:
        return (self.width - self.radius) * self.thickness + pi * self.radius**2 / 2

    @property
    def _middle_across(self) -> float:
        """Centroid of its section along the width: a half circle's lies 4 r / (3 pi) from its diameter."""
        r, flat = self.radius, (self.width - self.radius) * self.thickness
        half = pi * r**2 / 2
        return (flat * (r + self.width) / 2 + half * (r - 4 * r / (3 * pi))) / (flat + half)

    @property
    def centroid_mm(self) -> Vector:
        """Of rectangle and half circle together (mm)."""
        return (self.length / 2, self._middle_across, self.thickness / 2)

    def support(self, direction: Vector) -> float:
        """Largest extent along `direction` (mm): of its four back corners, or of the nosing's circle."""
        dx, dy, dz = direction
        r = self.radius
        back = self.width * dy + max(0.0, self.thickness * dz)
        nosing = r * (dy + dz) + r * sqrt(dy * dy + dz * dz)
        front = nosing if dy < 0 else r * dy + max(0.0, self.thickness * dz)
        return max(0.0, dx * self.length) + max(back, front)

    @property
    def convex(self) -> bool:
        """Always."""
        return True

    def key(self) -> CutKey:
        """Its sizes."""
        return ("bull-nosed board", *on_size_grid(self.blank_mm))

    def turns(self) -> Iterator[tuple[Form, Pose]]:
        """End for end, which turns it face about: the nosing stays in front."""
        yield self, Pose.turned("y", 180.0, (self.length, 0.0, self.thickness))

    def solid_recipe(self) -> Extrusion:
        """Its section drawn along its length: three straight sides and an arc."""
        r, w, t = self.radius, float(self.width), float(self.thickness)
        sides = (Side((w, 0.0)), Side((w, t)), Side((r, t)), Side((r, 0.0), through=(0.0, r)))
        along = Pose.columns((0.0, 1.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0))
        return Extrusion(sides, float(self.length), along)

    def rings(self, sides: Callable[[float], int]) -> tuple[Floats, Floats]:
        """Its two ends, the half circle in an even number of chords, so that they reach its bounds."""
        import numpy as np

        r = self.radius
        turn = pi / 2 + pi / (n := sides(r) // 2) * np.arange(n + 1)
        y = np.concatenate([r + r * np.cos(turn), [self.width, self.width]])
        z = np.concatenate([r + r * np.sin(turn), [0.0, self.thickness]])
        start = np.column_stack([np.zeros(len(y)), y, z])
        return start, start + np.array([self.length, 0.0, 0.0])

    def square_end(self, axis: int, sign: int) -> bool:
        """Both ends, and the back edge."""
        return axis == 0 or (axis == 1 and sign > 0)

    def lengthened(self, axis: int, sign: int, by: float) -> tuple[Form, Vector]:
        """In length, and in width at its back."""
        if not self.square_end(axis, sign):
            return super().lengthened(axis, sign, by)
        length, width = self.length + (by if axis == 0 else 0.0), self.width + (by if axis == 1 else 0.0)
        return replace(self, length=length, width=width), end_shift(axis, sign, by)

    def flat_side(self, axis: int, at_high_end: bool) -> tuple[tuple[Vector, ...], ...] | None:
        """Faces and ends from the nosing back; the back edge whole; none at the nosing."""
        a, r, w, t = self.length, self.radius, self.width, self.thickness
        if axis == 2:
            return (((0.0, r, 0.0), (a, r, 0.0), (a, w, 0.0), (0.0, w, 0.0)),)
        if axis == 0:
            return (((0.0, r, 0.0), (0.0, w, 0.0), (0.0, w, t), (0.0, r, t)),)
        return None if at_high_end else ()

    def wood_in_box(self, lo: Vector, hi: Vector) -> Moments:
        """A rectangle behind the nosing and a part of its half circle, both times the length."""
        x0, x1 = max(lo[0], 0.0), min(hi[0], self.length)
        z0, z1 = max(lo[2], 0.0), min(hi[2], self.thickness)
        if x1 <= x0 or z1 <= z0:
            return NOTHING
        r = self.radius
        y0, y1 = max(lo[1], r), min(hi[1], self.width)
        area, my, mz = 0.0, 0.0, 0.0
        if y1 > y0:
            area = (y1 - y0) * (z1 - z0)
            my, mz = area * (y0 + y1) / 2, area * (z0 + z1) / 2
        # within the half circle, measured from its centre: u forward, v up
        front, back = min(r - max(lo[1], 0.0), r), max(r - hi[1], 0.0)
        if front > back:
            a, mu, mv = _half_circle_in(r, back, front, z0 - r, z1 - r)
            area, my, mz = area + a, my + a * r - mu, mz + a * r + mv
        long = x1 - x0
        return area * long, area * long * (x0 + x1) / 2, my * long, mz * long

    def bending_share(self, along: int) -> float:
        """Along its length the nosing counts with its own second moment, pi r⁴ / 8, across it with none less.

        Bending over its width it ends in the nosing, where it bends least: there it counts as a whole board.
        """
        if along == 1:
            return 1.0
        whole = self.thickness**3 / 12
        return ((self.width - self.radius) * whole + pi * self.radius**4 / 8) / (self.width * whole)

    def column_section(self, z: float, up: Vector) -> ColumnSection | None:
        """Its section on end, exactly; on its back edge the rectangle of its length and thickness."""
        r, t, flat = self.radius, self.thickness, self.width - self.radius
        if abs(up[1]) > abs(up[0]):
            least, most = self.length * t**3 / 12, t * self.length**3 / 12
            thin: Vector = (0.0, 0.0, 1.0)
            return ColumnSection(self.length * t, least, 2 * least / t, most, 2 * most / self.length, thin)
        least = flat * t**3 / 12 + pi * r**4 / 8
        middle, half = self._middle_across, pi * r**2 / 2
        most = (
            t * flat**3 / 12
            + flat * t * ((r + self.width) / 2 - middle) ** 2
            + r**4 * (pi / 8 - 8 / (9 * pi))
            + half * (r - 4 * r / (3 * pi) - middle) ** 2
        )
        far = max(middle, self.width - middle)
        return ColumnSection(self._section_area, least, least / r, most, most / far, (0.0, 0.0, 1.0))


def _half_circle_in(r: float, u0: float, u1: float, v0: float, v1: float) -> tuple[float, float, float]:
    """Area of a circle of radius r within u0 <= u <= u1, v0 <= v <= v1, and its moments by u and by v.

    0 <= u0: half the circle. Between the places where the circle crosses a side of the box, the height is
    that of the box, of the circle, or of one above the other; each is summed by its antiderivative.
    """
    reach = [sqrt(max(0.0, r * r - v * v)) for v in (v0, v1)]
    steps = sorted({u0, u1, *(u for u in reach if u0 < u < u1)})
    area = mu = mv = 0.0
    for a, b in pairwise(steps):
        half = sqrt(max(0.0, r * r - ((a + b) / 2) ** 2))
        if v0 >= half or v1 <= -half:
            continue
        # the upper side less the lower: a level of the box, or the circle
        for sign, level, round_here in ((1.0, v1, v1 > half), (-1.0, v0, v0 < -half)):
            if round_here:
                whole = (_circle(r, b) - _circle(r, a), _circle_moment(r, b) - _circle_moment(r, a))
                area, mu = area + whole[0], mu + whole[1]
                mv += sign * (r * r * (b - a) - (b**3 - a**3) / 3) / 2
            else:
                area += sign * level * (b - a)
                mu += sign * level * (b * b - a * a) / 2
                mv += sign * level * level * (b - a) / 2
    return area, mu, mv


def _circle(r: float, u: float) -> float:
    """Integral of sqrt(r² - u²) from 0 to u."""
    return (u * sqrt(max(0.0, r * r - u * u)) + r * r * asin(min(1.0, u / r))) / 2


def _circle_moment(r: float, u: float) -> float:
    """Antiderivative of u sqrt(r² - u²)."""
    return -(sqrt(max(0.0, r * r - u * u)) ** 3) / 3


def bullnose(length: float, width: float, thickness: float) -> NosedBoard:
    """A board with a bull-nosed front edge: a half circle over its whole thickness, as shelves have (mm).

    Its nosing is the edge y = 0 of its own frame. Ends and back edge are square and take joints as a plain
    board's do; a housing across the end is stopped behind the nosing, or the nosing stands out in front.

    Args:
        length: along the grain and the nosing.
        width: over the nosing.
        thickness: twice the radius of the nosing.

    Raises: InputError for a size below 0.1 mm, or a width of less than one and a half thicknesses.

    >>> shelf = bullnose(800, 250, 20)
    >>> shelf.radius, round(shelf.volume_mm3)
    (10.0, 3965664)
    """
    return NosedBoard(float(length), float(width), float(thickness))
