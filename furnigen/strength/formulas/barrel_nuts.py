"""A bolt in a board's end with its nut in a cross hole: bearing of the nut, the plug behind it, the bolt.

Units N, mm, N/mm². Bearing goes with the embedment of the nut's diameter (`embedment`).
"""

from __future__ import annotations

STRESS_AREA_MM2 = {5.0: 14.2, 6.0: 20.1, 8.0: 36.6, 10.0: 58.0}
"""Stress area of a metric thread by its diameter, mm² (ISO 898-1, from memory)."""


def nut_bearing(embedment_mpa: float, diameter: float, length: float) -> float:
    """Characteristic pull at which the nut crushes the wood it lies against, N: f_h D Lb."""
    return embedment_mpa * diameter * length


def end_plug(distance: float, length: float, shear_mpa: float) -> float:
    """Pull at which the wood between nut and end shears out, N: two planes, 2 a Lb f_v (hand-derived).

    Args:
        distance: a, of the nut's middle from the end, mm.
        length: Lb, of the nut, mm.

    >>> end_plug(35.0, 16.0, 4.0)
    4480.0
    """
    return 2 * distance * length * shear_mpa


def bolt_tension(tensile_mpa: float, diameter: float) -> float:
    """Characteristic pull on the bolt itself, N: 0.9 f_ub A_s (EN 1993-1-8 table 3.4, from memory)."""
    area = STRESS_AREA_MM2.get(diameter, 0.6 * diameter**2 * 0.9)
    return 0.9 * tensile_mpa * area
