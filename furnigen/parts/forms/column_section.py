"""The section of an upright, for pressing and bending."""

from __future__ import annotations

from dataclasses import dataclass
from math import pi

from furnigen.core.pose import Vector


@dataclass(frozen=True, slots=True)
class ColumnSection:
    """The smallest section of an upright over a stretch, for pressing and bending.

    Attributes:
        area: mm².
        least_i: second moment about the axis it bends round most easily, mm⁴.
        least_w: section modulus about that axis, mm³.
        most_i, most_w: about the axis square to it.
        thin: unit vector it moves along when it bends the easy way.
    """

    area: float
    least_i: float
    least_w: float
    most_i: float
    most_w: float
    thin: Vector


def rectangular_section(a: float, b: float, thin_a: Vector, thin_b: Vector) -> ColumnSection:
    """A rectangle (mm), with the unit vectors along its two sides."""
    (small, big, thin) = (a, b, thin_a) if a <= b else (b, a, thin_b)
    return ColumnSection(
        a * b, big * small**3 / 12, big * small**2 / 6, small * big**3 / 12, small * big**2 / 6, thin
    )


def round_section(d: float, thin: Vector) -> ColumnSection:
    """A circle of diameter `d` (mm); all ways are alike, `thin` is one of them."""
    i, w = pi * d**4 / 64, pi * d**3 / 32
    return ColumnSection(pi * d * d / 4, i, w, i, w, thin)
