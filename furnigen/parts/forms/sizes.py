"""Sizes of forms: the smallest there is, and how a frame moves when its form grows."""

from __future__ import annotations

from furnigen.core.errors import InputError
from furnigen.core.pose import Vector, axis_vector
from furnigen.core.wording import as_given

SMALLEST_MM = 0.1
"""No saw, sheet or printer makes less; guards the kernel from slivers."""


def check_form_size(what: str, value: float) -> None:
    """Refuse a size (mm) below `SMALLEST_MM`.

    Raises: InputError.
    """
    if not value >= SMALLEST_MM:
        raise InputError(what, as_given(value), f"must be at least {as_given(SMALLEST_MM)}")


def end_shift(axis: int, sign: int, by: float) -> Vector:
    """How far a frame moves when its form grows by so much at its low (-1) or high (1) end (mm)."""
    return axis_vector(axis, -by if sign < 0 else 0.0)
