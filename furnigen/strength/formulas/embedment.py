"""Embedment: what wood presses back with where a round fastener bears on the side of its hole.

Characteristic values of EN 1995-1-1 (8.15) to (8.22), (8.31), (8.32), (8.36), (8.37), as two public libraries
of Eurocode 5 give them (looked up). d is the fastener's diameter and t the board's thickness, mm; rho_k the
characteristic density, kg/m³; all strengths in N/mm². For MDF no value is published: the one of particleboard
is taken (common practice, no source).
"""

from __future__ import annotations

from furnigen.core.errors import InputError

PANEL_KINDS = frozenset({"plywood", "osb", "particleboard", "melamine-faced", "mdf", "hardboard"})
"""Kinds of material that are boards made of pieces of wood."""
_BY_PARTICLES = frozenset({"osb", "particleboard", "melamine-faced", "mdf"})
BOLT_MM = 6.0
"""From this diameter up the rules of bolts hold (EN 1995-1-1 8.5; nails and screws below it, 8.3 and 8.7)."""
SOURCE = "EN 1995-1-1 8.3.1 and 8.5.1 (public libraries of Eurocode 5)"


def embedment_mpa(
    kind: str, diameter: float, *, density_k: float, thickness: float, drilled: bool = True
) -> float:
    """Characteristic embedment strength f_h along the grain, N/mm².

    Args:
        kind: of the material: "softwood", "plywood" ...
        diameter: of the fastener, mm.
        density_k: characteristic density, kg/m³; not used for boards of particles and hardboard.
        thickness: of the board, mm; used for those alone.
        drilled: whether its hole is bored first; only solid wood below 6 mm tells the difference.

    Raises: InputError for a size or density that is not above zero.

    >>> round(embedment_mpa("softwood", 5.0, density_k=350.0, thickness=18.0), 3)
    27.265
    """
    for what, value in (("diameter", diameter), ("density", density_k), ("thickness", thickness)):
        if not value > 0:
            raise InputError(f"{what} for embedment", f"{value:g}", "must be more than zero")
    bolt = diameter >= BOLT_MM
    if kind in _BY_PARTICLES:
        if bolt:
            return float(50 * diameter**-0.6 * thickness**0.2)
        return float(65 * diameter**-0.7 * thickness**0.1)
    if kind == "hardboard":
        return float(30 * diameter**-0.3 * thickness**0.6)
    if kind == "plywood":
        if bolt:
            return 0.11 * (1 - 0.01 * diameter) * density_k
        return float(0.11 * density_k * diameter**-0.3)
    if drilled or bolt:
        return 0.082 * (1 - 0.01 * diameter) * density_k
    return float(0.082 * density_k * diameter**-0.3)


def k_90(diameter: float, *, hardwood: bool) -> float:
    """What embedment along the grain is divided by where a bolt presses across it (EN 1995-1-1 8.33).

    >>> k_90(10.0, hardwood=False), round(k_90(10.0, hardwood=True), 3)
    (1.5, 1.05)
    """
    return (0.90 if hardwood else 1.35) + 0.015 * diameter
