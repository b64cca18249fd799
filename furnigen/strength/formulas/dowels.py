"""Wooden dowels: pulled out of their holes, and sheared. Units N, mm, N/mm²."""

from __future__ import annotations

from math import pi

from furnigen.core.errors import InputError

_IMPERIAL, _INCH, _PSI, _POUND = 0.834, 25.4, 6.894757293e-3, 4.4482216
_PULL = _IMPERIAL * _POUND / (_INCH**1.89 * _PSI)
"""1.190 in N and mm from Eckelman's 0.834 in pounds and inches."""
GLUES = {"pva": 1.0, "urea": 0.9, "animal": 0.85}
"""Factor of the glue (from memory, not confirmed)."""


def withdrawal_ultimate(
    diameter: float, length: float, shear_wood: float, shear_dowel: float, glue: str = "pva"
) -> float:
    """Mean pull at which a glued dowel comes out of solid wood, N.

    F = 1.190 D L^0.89 (0.95 S1 + S2), Eckelman's equation (from memory); it underrates where S1 + S2 is below
    25 N/mm² (looked up).

    Args:
        length: in the wood, mm.
        shear_wood, shear_dowel: mean strength in shear along the grain of both, N/mm².
        glue: one of GLUES.

    Raises: InputError for an unknown glue or sizes that are not above zero.
    """
    if glue not in GLUES:
        raise InputError("glue", glue, f"must be one of {', '.join(GLUES)}")
    if not min(diameter, length, shear_wood, shear_dowel) > 0:
        raise InputError("dowel", f"{diameter:g} x {length:g} mm", "sizes and strengths must be above zero")
    return float(_PULL * diameter * length**0.89 * (0.95 * shear_wood + shear_dowel) * GLUES[glue])


def bond_pull(bond_mpa: float, diameter: float, length: float) -> float:
    """Pull that a bond over the dowel's face gives, N: tau pi D L.

    >>> round(bond_pull(4.9, 8.0, 25.0))
    3079
    """
    return bond_mpa * pi * diameter * length


def bond_mpa(pull: float, diameter: float, length: float) -> float:
    """Bond over its face that a pull means, N/mm²."""
    return pull / (pi * diameter * length)


def bending_moment(bending_mpa: float, diameter: float) -> float:
    """Moment at which wood in the dowel's skin reaches its bending strength, N mm: f_m pi d³ / 32.

    The 0.3 f_u d^2.6 of steel does not apply to wood (statics, hand-derived).
    """
    return bending_mpa * pi * diameter**3 / 32


def shear_cap(diameter: float, shear_mpa: float) -> float:
    """Load across a wooden dowel at which it shears, N: pi d²/4 x 2 f_v (common practice, no source).

    Args:
        shear_mpa: its strength in shear along the grain; across it wood bears about twice as much.
    """
    return pi * diameter**2 / 4 * 2 * shear_mpa


def two_dowel_moment(pull: float, spacing: float, edge: float) -> float:
    """Moment that two dowels in a rail's end hold edgewise, N mm: F (s + c/2), statics.

    Args:
        pull: that one dowel bears, N.
        spacing: of the two, mm.
        edge: of the compressed one from that edge of the rail, mm.
    """
    return pull * (spacing + edge / 2)
