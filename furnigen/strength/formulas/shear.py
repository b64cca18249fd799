"""Whether a material's modulus holds shear deflection already, and how easily its boards shear when bent.

Most tables measure the modulus on a loaded beam and divide nothing out: its shear deflection is in the
modulus then, and counting it again would count it twice. Others list a modulus free of shear, so shear is
added: furnigen/catalogue/data/strength_basis.csv says which, by the source of the modulus. In plywood and
strand board the layers across the span roll when the board shears, so they shear far more easily than E / 16.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from furnigen.catalogue.materials import Material, row_for_material
from furnigen.strength.formulas.allowable import basis_row
from furnigen.strength.formulas.section import SHEAR_MODULUS_SHARE


@dataclass(frozen=True, slots=True)
class ShearRule:
    """How the shear deflection of a board counts.

    Attributes:
        apart: whether it comes on top of the bending that the modulus says.
        g_mpa: modulus against shear across the board's thickness, N/mm²; None where it is in the modulus.
        why: in words, with the source.
    """

    apart: bool
    g_mpa: float | None
    why: str


def panel_shear_modulus(material: Material) -> float:
    """Modulus of a sheet against shear in its plane, N/mm²: of its kind, else E / 16."""
    text = row_for_material(material, "strengths")["panel_g_mpa"]
    return float(text) if text else material.moe_mpa * SHEAR_MODULUS_SHARE


IN_MODULUS = ShearRule(False, None, "left in the modulus")


@cache
def find_shear(material: Material, *, flat: bool = True) -> ShearRule:
    """How the shear of a board of `material` counts.

    Args:
        flat: whether the board lies flat; on edge it shears in the plane of its layers.

    Raises: InputError for a source of which that is not known.
    """
    row = basis_row(material)
    if row["shear"] == "in":
        return ShearRule(False, None, f"left in the modulus: {row['shear_reason']}")
    strengths = row_for_material(material, "strengths")
    which = "planar_g" if flat else "panel_g"
    if strengths[f"{which}_mpa"]:
        g = float(strengths[f"{which}_mpa"])
        whence = f"{strengths[f'{which}_source']}, {strengths[f'{which}_provenance']}"
    else:
        g = material.moe_mpa * SHEAR_MODULUS_SHARE
        whence = "E / 16, Wood Handbook ch. 9"
    return ShearRule(True, g, f"added, G {g:.0f} N/mm² ({whence}): {row['shear_reason']}")
