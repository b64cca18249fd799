"""Strength classes of sawn timber, and what is taken for timber that no one has graded.

Tables of clear wood list the mean of small specimens without a knot. Boards, bars and panels of solid wood
have knots and sloping grain: they bear what their strength class says (EN 338:2016), the value that 95 of 100
reach. A maker names the class after the stock, `pine-1x3:C24`; without one the low class in
furnigen/catalogue/data/ungraded_timber.csv is taken. Its modulus, the mean of the class, goes with it. Mass,
movement and look stay those of the species.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache
from types import MappingProxyType

from furnigen.catalogue.materials import Material, Source, row_for_material
from furnigen.core.errors import InputError
from furnigen.core.quantities import as_typed
from furnigen.core.tables import read_table

TIMBER_KINDS = ("softwood", "hardwood")
"""Kinds of material that are sawn and graded."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Grade:
    """One strength class, its strengths and `moe_5pct_mpa` being 5-percentiles, N/mm².

    Attributes:
        name: as EN 338 calls it.
        kind: "softwood" or "hardwood".
        bending_mpa: in bending.
        compression_mpa: pressed along the grain.
        bearing_mpa: pressed square to the grain.
        shear_mpa: in shear.
        moe_mpa: mean modulus along the grain.
        moe_5pct_mpa: its 5-percentile, which rules where a post buckles.
        density_kg_m3: 5-percentile of its density, which fasteners go by, kg/m³.
        source: where they come from.
    """

    name: str
    kind: str
    bending_mpa: float
    compression_mpa: float
    bearing_mpa: float
    shear_mpa: float
    moe_mpa: float
    moe_5pct_mpa: float
    density_kg_m3: float
    source: Source


@cache
def _table() -> MappingProxyType[str, Grade]:
    columns = ("bending", "compression", "bearing", "shear", "moe", "moe_5pct")
    return MappingProxyType(
        {
            row["name"]: Grade(
                name=row["name"],
                kind=row["kind"],
                density_kg_m3=float(row["density_5pct_kg_m3"]),
                source=Source(row["source"], row["provenance"]),
                **{f"{column}_mpa": float(row[f"{column}_mpa"]) for column in columns},
            )
            for row in read_table("grades")
        }
    )


def list_grades(kind: str | None = None) -> tuple[Grade, ...]:
    """All strength classes, or those of one kind of wood, the lowest first."""
    return tuple(g for g in _table().values() if kind in (None, g.kind))


def find_grade(name: str, material: Material) -> Grade:
    """The strength class called `name`, for a material.

    Raises: InputError for a material that is not graded, or a class that its kind of wood does not have; the
        message lists the classes there are.
    """
    what = f"grade of {material.title}"
    if material.kind not in TIMBER_KINDS:
        raise InputError(
            what,
            as_typed(name),
            f"{material.kind} has no grade: only solid wood is sawn and graded",
            "leave it out",
        )
    grade = _table().get(name.strip().upper())
    if grade is None or grade.kind != material.kind:
        names = ", ".join(g.name for g in list_grades(material.kind))
        raise InputError(what, as_typed(name), f"must be a strength class of {material.kind}: {names}")
    return grade


@cache
def graded(material: Material, name: str = "") -> Material:
    """A material at its strength class: modulus and strength of that, all else of the species.

    Args:
        name: its class; the low one taken for ungraded timber where it is empty.

    Raises: InputError as `find_grade`.
    """
    if name:
        grade, why = find_grade(name, material), "as its maker grades it"
    elif material.kind in TIMBER_KINDS and "EN 338" not in material.strength_source.text:
        row = row_for_material(material, "ungraded_timber")
        grade, why = (
            _table()[row["grade"]],
            f"taken for ungraded timber: {row['source']}, {row['provenance']}",
        )
    else:
        return material
    return replace(
        material,
        moe_mpa=grade.moe_mpa,
        moe_cross_mpa=None,
        mor_mpa=grade.bending_mpa,
        strength_source=Source(f"EN 338 {grade.name}, {why} ({grade.source.text})", grade.source.provenance),
        grade=grade.name,
    )


def grade_of(material: Material) -> Grade | None:
    """The strength class a material was graded to; None where it was not."""
    return _table()[material.grade] if material.grade else None
