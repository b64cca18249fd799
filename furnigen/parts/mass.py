"""Mass of a part, its joints cut."""

from __future__ import annotations

from furnigen.catalogue.materials import find_material
from furnigen.parts.part import Part
from furnigen.parts.volume.moments import volume_mm3


def mass_kg(part: Part) -> float:
    """Mass of one copy (kg)."""
    return volume_mm3(part) * 1e-9 * find_material(part.stock.material).density_kg_m3
