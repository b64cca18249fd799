"""Screws and nails pulled: out of the wood they hold in, or with their heads through a board.

Three kinds of value, never compared with each other: allowable (a load of ten years), characteristic (a
5-percentile, before k_mod and gamma_M) and ultimate (a mean at failure). G is specific gravity, oven-dry; d
outer and l threaded length in the holding part, mm; forces in N.
"""

from __future__ import annotations

from math import cos, radians, sin

from furnigen.core.errors import InputError

ALLOWED_PULL = 19.65
"""F = 19.65 G² d l: 2850 G² D lb for each inch (NDS 12.2.2, side grain, cut thread, dry; looked up)."""
ULTIMATE_PULL = 108.25
"""F = 108.25 G² d l at failure: 15,700 lb/in² (Wood Handbook ch. 8, from memory)."""
ULTIMATE_OVER_ALLOWED = ULTIMATE_PULL / ALLOWED_PULL
"""5.51: what makes an allowable of a mean at failure. Elsewhere allowables are 10 to 50 % (looked up)."""
PARTICLEBOARD_FACE, PARTICLEBOARD_EDGE = 41.1, 31.8
"""K of F = K d^0.5 (l - d/3)^1.25 G² at failure: Wood Handbook ch. 8, from memory; the ratio of both, 0.774,
lies within the 0.75 to 0.80 of a survey (looked up)."""
CHARACTERISTIC_FROM_MM, CHARACTERISTIC_TO_MM = 6.0, 12.0
"""Diameters of which the characteristic rule of screws holds (EN 1995-1-1 8.7.2(4))."""
LEAST_DIAMETERS = 6.0
"""Threaded length it asks for, in diameters."""
LEAST_ANGLE = 30.0
"""Angle to the grain it asks for, degrees."""


def _positive(**values: float) -> None:
    for what, value in values.items():
        if not value > 0:
            raise InputError(f"{what} of a screw", f"{value:g}", "must be more than zero")


def withdrawal_allowable(gravity: float, diameter: float, thread: float) -> float:
    """Allowable pull on one wood screw in side grain, N, for a load of ten years. Never for end grain.

    Raises: InputError for sizes that are not above zero.

    >>> round(withdrawal_allowable(0.50, 4.0, 25.0), 1)
    491.2
    """
    _positive(gravity=gravity, diameter=diameter, thread=thread)
    return ALLOWED_PULL * gravity**2 * diameter * thread


def withdrawal_ultimate(gravity: float, diameter: float, thread: float) -> float:
    """Mean pull at which a wood screw comes out of side grain, N. Raises: as `withdrawal_allowable`."""
    _positive(gravity=gravity, diameter=diameter, thread=thread)
    return ULTIMATE_PULL * gravity**2 * diameter * thread


def particleboard_ultimate(gravity: float, diameter: float, length: float, *, edge: bool) -> float:
    """Mean pull at which a screw comes out of particleboard, N.

    Args:
        length: of the screw in it, mm.
        edge: whether it is in the edge rather than the face.

    Raises: InputError for sizes that are not above zero, or a screw that is in by less than d / 3.
    """
    _positive(gravity=gravity, diameter=diameter, thread=length - diameter / 3)
    k = PARTICLEBOARD_EDGE if edge else PARTICLEBOARD_FACE
    return float(k * diameter**0.5 * (length - diameter / 3) ** 1.25 * gravity**2)


def characteristic_holds(diameter: float, thread: float, grain_degrees: float) -> bool:
    """Whether a screw is one that the characteristic rule speaks of."""
    thick = CHARACTERISTIC_FROM_MM <= diameter <= CHARACTERISTIC_TO_MM
    return thick and thread >= LEAST_DIAMETERS * diameter and grain_degrees >= LEAST_ANGLE


def withdrawal_strength(diameter: float, thread: float, density_k: float) -> float:
    """Characteristic f_ax = 0.52 d^-0.5 l^-0.1 rho_k^0.8, N/mm² (EN 1995-1-1 8.39)."""
    return float(0.52 * diameter**-0.5 * thread**-0.1 * density_k**0.8)


def withdrawal_characteristic(
    diameter: float, thread: float, density_k: float, grain_degrees: float = 90.0, count: int = 1
) -> float:
    """Characteristic pull on screws of 6 to 12 mm, N (EN 1995-1-1 8.38 and 8.41).

    Args:
        grain_degrees: between screw and grain.
        count: pulled together: n^0.9 of them count.

    Raises: InputError outside the range of the rule.
    """
    if not characteristic_holds(diameter, thread, grain_degrees):
        raise InputError(
            "screw",
            f"{diameter:g} mm, {thread:g} mm in, {grain_degrees:g}° to the grain",
            "the characteristic rule speaks of 6 to 12 mm, at least six diameters in, at least 30°",
            "use withdrawal_allowable",
        )
    a = radians(grain_degrees)
    share = min(diameter / 8, 1.0) / (1.2 * cos(a) ** 2 + sin(a) ** 2)
    strength = withdrawal_strength(diameter, thread, density_k)
    return float(count**0.9 * strength * diameter * thread * share)


def pull_through(head_mpa: float, head_mm: float, density_k: float) -> float:
    """Characteristic pull at which a head goes through, N: f_head dh² (rho_k / 350)^0.8 (EN 1995-1-1 8.40b).

    >>> round(pull_through(10.5, 12.0, 350.0))
    1512
    """
    return float(head_mpa * head_mm**2 * (density_k / 350) ** 0.8)


def nail_withdrawal(diameter: float, length: float, density_k: float) -> float:
    """Characteristic pull on a smooth nail, N: 20e-6 rho_k² d t (EN 1995-1-1 8.23 and 8.25).

    >>> round(nail_withdrawal(3.4, 52.0, 350.0), 1)
    433.2
    """
    return 20e-6 * density_k**2 * diameter * length


def undrilled_thickness(diameter: float, density_k: float) -> float:
    """Wood thinner than this splits unless holes are drilled, mm (EN 1995-1-1 8.18).

    >>> undrilled_thickness(4.0, 350.0)
    28.0
    """
    return max(7 * diameter, (13 * diameter - 30) * density_k / 400)


def end_distance(diameter: float, grain_degrees: float = 0.0) -> float:
    """Least distance of a drilled screw from a loaded end, mm: (7 + 5 cos a) d (EN 1995-1-1 table 8.2)."""
    return (7 + 5 * cos(radians(grain_degrees))) * diameter


def least_spacing(diameter: float, grain_degrees: float = 0.0) -> float:
    """Least spacing of drilled screws, mm: (4 + cos a) d along the grain (EN 1995-1-1 table 8.2)."""
    return (4 + abs(cos(radians(grain_degrees)))) * diameter
