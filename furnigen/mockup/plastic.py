"""How much plastic a print takes: between printed hollow (shells and infill) and printed solid."""

from __future__ import annotations

import numpy as np
from manifold3d import CrossSection, Manifold

from furnigen.mockup.keys import offset_section
from furnigen.mockup.printer import CLOSED_LAYERS, DENSITY_G_CM3, INFILL, LAYER_MM, SHELL_NOZZLES, Printer

SLICES = 48
"""Levels at which the inside of a solid is measured, at most."""


def mass_g(volume_mm3: float) -> float:
    """Mass of plastic (g)."""
    return volume_mm3 / 1000.0 * DENSITY_G_CM3


def hollow_volume_mm3(solid: Manifold, printer: Printer) -> float:
    """Plastic in a solid printed with a shell of two lines, closed layers and `INFILL` inside (mm³).

    The inside is what lies further than the shell from every outline, and has plastic above and below as
    far as the closed layers reach; it is measured at level sections and summed by the midpoint rule. In
    strips a few mm wide slicers need more than that share of infill, for the turns of its lines.

    Args:
        solid: lying as it is printed.
    """
    box = solid.bounding_box()
    low, high = float(box[2]), float(box[5])
    closed = CLOSED_LAYERS * LAYER_MM
    deep = high - low - 2 * closed
    whole = float(solid.volume())
    if deep <= 0:
        return whole
    count = int(np.clip(np.ceil(deep / LAYER_MM), 1, SLICES))
    step = deep / count
    inside = (
        sum(_inside(solid, low + closed + (k + 0.5) * step, closed, printer) for k in range(count)) * step
    )
    return whole - (1.0 - INFILL) * inside


def _inside(solid: Manifold, z: float, closed: float, printer: Printer) -> float:
    """Area at a level that is printed as infill (mm²)."""
    core: CrossSection = offset_section(solid.slice(z), -SHELL_NOZZLES * printer.nozzle_mm)
    for level in (z - closed, z - closed / 2, z + closed / 2, z + closed):
        if core.is_empty():
            return 0.0
        core = core ^ solid.slice(level)
    return float(core.area())
