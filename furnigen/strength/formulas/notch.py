"""Beams notched at their ends: how much less they bear in shear (EN 1995-1-1 6.5.2).

A notch on the side of the support splits the beam along its grain from the notch's corner. With h the height
of the beam, h_ef what is left over the support, a = h_ef / h, x from the line of the reaction to the corner
and i the slope of the notch,

    k_v = min(1, k_n (1 + 1.1 i^1.5 / sqrt h) / (sqrt h (sqrt(a (1 - a)) + 0.8 x/h sqrt(1/a - a²))))

and 1.5 V / (b_ef h_ef) must stay within k_v f_v, b_ef = k_cr b. k_n is 5 for solid wood, 4.5 for LVL and 6.5
for glulam; from a public library of Eurocode 5 (looked up). On the other side k_v is 1.
"""

from __future__ import annotations

from math import sqrt

from furnigen.core.errors import InputError

K_N = {"solid": 5.0, "lvl": 4.5, "glulam": 6.5}
"""k_n by what the beam is of (EN 1995-1-1 6.5.2, looked up)."""
K_CR = 0.67
"""Share of its width that counts in shear, for cracks: EN 1995-1-1 6.1.7, from memory."""


def notch_factor(
    height: float, left: float, reach: float, k_n: float = K_N["solid"], slope: float = 0.0
) -> float:
    """k_v of a beam notched on the side of its support.

    Args:
        height: of the whole beam, mm.
        left: what is left over the support, mm.
        reach: from the line of the reaction to the corner of the notch, mm.
        k_n: one of K_N.
        slope: run of the notch over its depth, 0 for a square one.

    Raises: InputError for a notch that leaves nothing, or sizes below zero.

    >>> round(notch_factor(100.0, 75.0, 20.0), 4)
    0.8719
    """
    if not 0 < left <= height:
        raise InputError(
            "height left by a notch", f"{left:g} mm", f"must be more than 0 and at most {height:g} mm"
        )
    if not (reach >= 0 and slope >= 0):
        raise InputError("notch", f"reach {reach:g} mm, slope {slope:g}", "must be zero or more")
    a = left / height
    if a == 1.0:
        return 1.0
    below = sqrt(a * (1 - a)) + 0.8 * reach / height * sqrt(1 / a - a * a)
    factor = k_n * (1 + 1.1 * slope**1.5 / sqrt(height)) / (sqrt(height) * below)
    return float(min(1.0, factor))
