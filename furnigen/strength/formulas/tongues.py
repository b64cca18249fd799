"""Wood let into wood, and faces glued: housings, tenons, laps. Statics; the strengths come from elsewhere.

Units N, mm, N/mm², N mm.
"""

from __future__ import annotations

from math import pi, sqrt

from furnigen.core.errors import InputError


def ledge_bearing(width: float, depth: float, across_mpa: float, factor: float = 1.0) -> float:
    """Load that a ledge bears, N: k_c90 f_c90 b x depth (EN 1995-1-1 6.1.5).

    Args:
        width: along the joint, mm.
        depth: how far the end lies on it, mm.
        across_mpa: strength square to the grain.
        factor: k_c90, 1.0 where nothing better is known.
    """
    if not min(width, depth) > 0:
        raise InputError("ledge", f"{width:g} x {depth:g} mm", "must be above zero")
    return factor * across_mpa * width * depth


def tongue_shear(load: float, area: float, *, round_one: bool = False) -> float:
    """Largest shear stress in a tongue, tenon or spline, N/mm²: 3/2 V/A of a rectangle, 4/3 of a circle."""
    return load / area * (4 / 3 if round_one else 3 / 2)


def tenon_modulus(thickness: float, height: float) -> float:
    """Section modulus of a tenon bent along its height, mm³: b h² / 6."""
    return thickness * height**2 / 6


def round_modulus(diameter: float) -> float:
    """Section modulus of a round tenon, mm³: pi d³ / 32."""
    return pi * diameter**3 / 32


def lap_torsion(torque: float, side: float, *, corner: bool = True) -> float:
    """Shear in the glue of a square lap turned by a torque, N/mm²: 3 T / a³ mid edge, 3 sqrt2 T / a³ at its
    corners, by the polar section.
    """
    if not side > 0:
        raise InputError("side of a lap", f"{side:g} mm", "must be above zero")
    return 3 * torque / side**3 * (sqrt(2) if corner else 1.0)


def pulled_by_prying(load: float, off: float, height: float) -> float:
    """Pull on fixings above where a thing bears on the wall, N: T = P e / z, statics.

    Args:
        load: hanging there, N.
        off: of its middle from the wall, mm.
        height: of the fixings above the lower bearing, mm.

    >>> pulled_by_prying(400.0, 150.0, 300.0)
    200.0
    """
    if not height > 0:
        raise InputError("height of fixings", f"{height:g} mm", "must be above where the piece bears")
    return load * off / height
