"""A board held straight along one long edge, as a back holds a shelf: how much less its free edge sags.

Between its ends the free edge takes the form f sin(pi x / a), and the board is straight across its depth b,
from the held edge to the free one: w = f sin(pi x / a) y / b. With D = E t³/12 along the span a, the energies

    bending  D/2 (pi/a)⁴ f² (a/2) (b/3),      twisting  (G t³/6) (pi/a)² f² (a/2) (1/b)

set against the work q f (2 a/pi) (b/2) of an even load q give the sag of the free edge over that of the same
board without a back (Ritz's method, hand-derived):

    share = (1/2) / (1/3 + 4 (G/E) (a / (pi b))²)

A board of plywood, which twists easily, gains next to nothing over a long span: half the load hangs on the
back, but the free half must bend alone.
"""

from __future__ import annotations

from math import pi

from furnigen.catalogue.materials import Material, row_for_material
from furnigen.core.errors import InputError
from furnigen.strength.formulas.section import SHEAR_MODULUS_SHARE


def backed_share(span: float, depth: float, g_over_e: float) -> float:
    """Sag of the free edge with the other held straight, over the sag without; at most 1.

    Args:
        span: between supports, mm.
        depth: of the board, mm.
        g_over_e: modulus against twisting over that of bending.

    Raises: InputError for sizes of zero.

    >>> round(backed_share(1000.0, 500.0, 1 / 2.6), 2)
    0.52
    """
    if not (span > 0 and depth > 0 and g_over_e > 0):
        raise InputError("board with a back", f"{span:g} x {depth:g} mm", "must have sizes and stiffness")
    return min(1.0, 0.5 / (1 / 3 + 4 * g_over_e * (span / (pi * depth)) ** 2))


def panel_shear_modulus(material: Material) -> float:
    """Modulus of a sheet against shear in its plane, N/mm²: of its kind, else E / 16."""
    text = row_for_material(material, "strengths")["panel_g_mpa"]
    return float(text) if text else material.moe_mpa * SHEAR_MODULUS_SHARE
