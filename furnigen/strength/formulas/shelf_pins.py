"""Shelf pins: a rigid pin in a hole, its load beside the face of the side. Statics, hand-derived.

A pin of diameter d stands h deep in its hole and carries P at e from the face (mm, N, N/mm²). The wood
presses back with f_h near the face from below and at the bottom from above; both pressures balance P and its
moment. No published capacity of a pin is known: f_h is published (see `embedment`), the rest is statics.
"""

from __future__ import annotations

from math import sqrt

from furnigen.core.errors import InputError


def _check(diameter: float, depth: float, reach: float) -> None:
    if not (diameter > 0 and depth > 0 and reach >= 0):
        raise InputError(
            "shelf pin",
            f"{diameter:g} mm, {depth:g} mm deep, load {reach:g} mm from the face",
            "diameter and depth must be above zero, the distance not below",
        )


def pin_bearing(embedment_mpa: float, diameter: float, depth: float, reach: float) -> float:
    """Load at which the wood round the pin yields, N: f_h d (sqrt((h + 2e)² + h²) - (h + 2e)).

    Raises: InputError for sizes that are none.

    >>> round(pin_bearing(28.129, 5.0, 12.0, 4.0), 1)
    467.5
    """
    _check(diameter, depth, reach)
    arm = depth + 2 * reach
    return embedment_mpa * diameter * (sqrt(arm**2 + depth**2) - arm)


def pin_peak(load: float, diameter: float, depth: float, reach: float) -> float:
    """Largest pressure on the wood while it is elastic, at the face, N/mm²: P / (d h) (4 + 6 e / h)."""
    _check(diameter, depth, reach)
    return load / (diameter * depth) * (4 + 6 * reach / depth)


def pin_moment(load: float, embedment_mpa: float, diameter: float, reach: float) -> float:
    """Largest moment in the pin, N mm: P (e + P / (2 f_h d))."""
    return load * (reach + load / (2 * embedment_mpa * diameter))


def steel_pin_moment(yield_mpa: float, diameter: float) -> float:
    """Moment at which a steel pin bends for good, N mm: f_y d³ / 6, plastic.

    >>> round(steel_pin_moment(235.0, 5.0), 1)
    4895.8
    """
    return yield_mpa * diameter**3 / 6
