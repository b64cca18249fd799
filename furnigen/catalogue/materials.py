"""What stock is made of: density, stiffness, movement and look, each with its source.

The table is furnigen/catalogue/data/materials.csv. Read on first use, then kept.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from furnigen.core.errors import InputError
from furnigen.core.tables import look_up, read_table

Colour = tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Source:
    """Where a value was read, and how far it can be trusted.

    Attributes:
        text: the book, standard or page; "common practice, no source" where there is none.
        provenance: "looked-up", "memory", "hand-derived" or "common practice, no source".
    """

    text: str
    provenance: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """One material.

    Attributes:
        name: the name a recipe or a command line uses, such as `oak-northern-red`.
        title: the name for people.
        kind: hardwood, softwood, plywood, mdf, particleboard, glass ...
        density_kg_m3: density as used indoors (wood at 12 % moisture), kg/m³.
        moe_mpa: modulus of elasticity in bending along the grain or the long side, N/mm².
        moe_cross_mpa: the same across the grain, where known.
        mor_mpa: bending strength, N/mm²: a mean for clear wood, characteristic or the least a
            standard asks where `note` or `strength_source` says so; None where unknown.
        shrink_radial_pct, shrink_tangential_pct: shrinkage from green to oven-dry, percent.
        cr, ct: radial and tangential change of size for a change of one point of moisture content,
            per unit of size, within 6 to 14 % moisture.
        look: the colour of its surface, sRGB as "#rrggbb": a choice of ours, not a fact.
        density_source, strength_source, shrink_source, movement_source, look_source: where each
            group of values comes from; None where the group is unknown.
        grade: strength class of EN 338 that `moe_mpa` and `mor_mpa` are of; empty for those of the species.
        note: what a careful reader must know about the values.
    """

    name: str
    title: str
    kind: str
    density_kg_m3: float
    moe_mpa: float
    density_source: Source
    strength_source: Source
    look: str
    look_source: Source
    moe_cross_mpa: float | None = None
    mor_mpa: float | None = None
    shrink_radial_pct: float | None = None
    shrink_tangential_pct: float | None = None
    shrink_source: Source | None = None
    cr: float | None = None
    ct: float | None = None
    movement_source: Source | None = None
    grade: str = ""
    note: str = ""

    @property
    def colour(self) -> Colour:
        """`look` as linear red, green, blue from 0 to 1.

        The transfer function of sRGB, IEC 61966-2-1 (from memory).
        """
        red, green, blue = (_linear(int(self.look[i : i + 2], 16) / 255) for i in (1, 3, 5))
        return (red, green, blue)


def _linear(encoded: float) -> float:
    return encoded / 12.92 if encoded <= 0.04045 else ((encoded + 0.055) / 1.055) ** 2.4


def _material(row: dict[str, str]) -> Material:
    def number(column: str) -> float | None:
        return float(row[column]) if row[column] else None

    def source(group: str) -> Source | None:
        text = row[f"{group}_source"]
        return Source(text, row[f"{group}_provenance"]) if text else None

    return Material(
        name=row["name"],
        title=row["title"],
        kind=row["kind"],
        density_kg_m3=float(row["density_kg_m3"]),
        density_source=Source(row["density_source"], row["density_provenance"]),
        moe_mpa=float(row["moe_mpa"]),
        moe_cross_mpa=number("moe_cross_mpa"),
        mor_mpa=number("mor_mpa"),
        strength_source=Source(row["strength_source"], row["strength_provenance"]),
        shrink_radial_pct=number("shrink_radial_pct"),
        shrink_tangential_pct=number("shrink_tangential_pct"),
        shrink_source=source("shrink"),
        cr=number("cr"),
        ct=number("ct"),
        movement_source=source("movement"),
        look=row["look"],
        look_source=Source(row["look_source"], row["look_provenance"]),
        note=row["note"],
    )


@cache
def _table() -> MappingProxyType[str, Material]:
    return MappingProxyType({row["name"]: _material(row) for row in read_table("materials")})


def find_material(name: str) -> Material:
    """The material called `name`.

    Raises:
        InputError: no such material; the message offers the names most like it.
    """
    return look_up("material", name, _table())


def list_materials(kind: str | None = None) -> tuple[Material, ...]:
    """All materials, or those of one kind, in the order of the table.

    Raises:
        InputError: no material is of that kind.
    """
    every = tuple(_table().values())
    chosen = tuple(m for m in every if kind is None or m.kind == kind)
    if not chosen:
        kinds = ", ".join(sorted({m.kind for m in every}))
        raise InputError("kind", kind, "must be a kind of material", f"kinds are {kinds}")
    return chosen


@cache
def table_rows(table: str) -> tuple[dict[str, str], ...]:
    """The rows of a table, read once."""
    return tuple(read_table(table))


@cache
def row_for_material(material: Material, table: str) -> dict[str, str]:
    """The row of furnigen/catalogue/data/`table`.csv that names `material`, or else its kind.

    Raises: InputError when no row does.
    """
    rows = table_rows(table)
    for row in rows:
        if material.name in row.get("materials", "").split():
            return row
    for row in rows:
        if material.kind in row["kinds"].split():
            return row
    known = ", ".join(sorted({kind for row in rows for kind in row["kinds"].split()}))
    raise InputError(
        f"kind of {material.name}", material.kind, f"furnigen/catalogue/data/{table}.csv knows only {known}"
    )
