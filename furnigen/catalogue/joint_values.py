"""Values that the strength of joints goes by, each with its range, source and standing.

The table is furnigen/catalogue/data/joint_values.csv. `used` is what counts: where no value is published it
is the unsafe end of the range. Read on first use, then kept.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from furnigen.catalogue.materials import Source
from furnigen.core.tables import look_up, read_table


@dataclass(frozen=True, slots=True)
class JointValue:
    """One value.

    Attributes:
        name: such as "dowel bond".
        used: what counts.
        low, high: range.
        unit: "" for a share or factor; "d" for diameters of the fastener.
        source: where from, and how far it can be trusted.
        note: what a careful reader must know.
    """

    name: str
    used: float
    low: float
    high: float
    unit: str
    source: Source
    note: str


@cache
def joint_values() -> MappingProxyType[str, JointValue]:
    """All values by name, in the order of the table."""
    return MappingProxyType(
        {
            row["name"]: JointValue(
                row["name"],
                float(row["used"]),
                float(row["low"]),
                float(row["high"]),
                row["unit"],
                Source(row["source"], row["provenance"]),
                row["note"],
            )
            for row in read_table("joint_values")
        }
    )


@cache
def joint_value(name: str) -> float:
    """The value that counts. Raises: KeyError for a name that is not in the table."""
    return joint_values()[name].used


@cache
def value_source(name: str) -> str:
    """Where a value comes from, in words. Raises: as `joint_value`."""
    source = joint_values()[name].source
    known = source.provenance in source.text or source.provenance == "looked-up"
    words = "from memory" if source.provenance == "memory" else source.provenance
    return source.text if known else f"{source.text} ({words})"


@dataclass(frozen=True, slots=True)
class WallMaterial:
    """What a piece is fixed to.

    Attributes:
        name, title: as a person types it, and in words.
        gravity: specific gravity of the wood that screws hold in; None where it is no wood.
        cover_mm: what lies before it, mm.
        pull_n, shear_n: what one fixing bears out of the wall and along it, N, allowable; None where the
            rules of wood say it, or nothing is known.
        source: where from.
        note: what a careful reader must know.
    """

    name: str
    title: str
    gravity: float | None
    cover_mm: float
    pull_n: float | None
    shear_n: float | None
    source: Source
    note: str


@cache
def wall_materials() -> MappingProxyType[str, WallMaterial]:
    """All materials of walls by name."""

    def number(text: str) -> float | None:
        return float(text) if text else None

    return MappingProxyType(
        {
            row["name"]: WallMaterial(
                row["name"],
                row["title"],
                number(row["gravity"]),
                float(row["cover_mm"]),
                number(row["pull_n"]),
                number(row["shear_n"]),
                Source(row["source"], row["provenance"]),
                row["note"],
            )
            for row in read_table("wall_materials")
        }
    )


def find_wall_material(name: str) -> WallMaterial:
    """The material of a wall called `name`. Raises: InputError for an unknown one, with all there are."""
    return look_up("wall material", name, wall_materials())
