"""What a material may bear in the long run, and how much it varies.

Design bending strength after EN 1995-1-1 2.4.1, f_d = k_mod f_k / gamma_M, held against the stress of the
load times LOAD_FACTOR. Sawn timber bears what its strength class says (`furnigen.catalogue.grades`). Where a
table lists the mean f of clear wood, its 5-percentile f_k = f (1 - 1.645 V) is taken, V being the coefficient
of variation (furnigen/catalogue/data/strengths.csv). Wood under lasting stress keeps only about 60 % of its
strength over ten years (Wood Handbook ch. 5, looked up), which k_mod 0.6 says.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from furnigen.catalogue.grades import grade_of
from furnigen.catalogue.materials import Material, Source, row_for_material, table_rows
from furnigen.core.errors import InputError

LOAD_FACTOR = 1.5
"""On every load, for strength: EN 1990 gives 1.35 for weights that stay and 1.5 for others (public worked
example)."""
FIVE_PERCENT = 1.645
"""Standard deviations from the mean to the 5-percentile of the normal law."""
DURATIONS = ("permanent", "long", "medium", "short", "instant")
"""Over 10 years; months to years; weeks; under a week; a moment (EN 1995-1-1 2.3.1.2, looked up)."""


@dataclass(frozen=True, slots=True)
class Allowable:
    """What a material may bear, and how far its values spread.

    Attributes:
        bending_mpa: design bending strength, N/mm²; None where the table has no strength.
        bending_source: how it came about.
        characteristic_mpa: the 5-percentile of its bending strength, N/mm², that came from; None likewise.
        compression_mpa: the 5-percentile of its strength along the grain, N/mm², where its class lists it.
        shear_mpa: design strength in shear, N/mm²; None where not known.
        shear_source: where from; empty where not known.
        bearing_mpa: design strength square to the grain at a support, N/mm²; None where not known.
        bearing_source: where from; None where not known.
        moe_mean_mpa: mean modulus, N/mm²: above the table's where that is a 5-percentile.
        moe_spread, mor_spread: coefficients of variation.
        spread_source: where those come from.
    """

    bending_mpa: float | None
    bending_source: Source
    characteristic_mpa: float | None
    compression_mpa: float | None
    shear_mpa: float | None
    shear_source: str
    bearing_mpa: float | None
    bearing_source: Source | None
    moe_mean_mpa: float
    moe_spread: float
    mor_spread: float
    spread_source: Source


def basis_row(material: Material) -> dict[str, str]:
    """The row of furnigen/catalogue/data/strength_basis.csv on the source of a material's modulus and
    strength.

    Raises: InputError for a source of which that is not known.
    """
    for row in table_rows("strength_basis"):
        if row["source_words"] in material.strength_source.text:
            return row
    raise InputError(
        f"source of the strength of {material.name}",
        material.strength_source.text,
        "it is not known whether it lists means or least values",
        "say so in furnigen/catalogue/data/strength_basis.csv",
    )


def basis_of(material: Material) -> tuple[str, str]:
    """Whether the table's modulus and strength are a "mean" or the "least" (5-percentile).

    Raises: InputError for a source of which that is not known.
    """
    row = basis_row(material)
    return row["moe"], row["mor"]


def _moist(material: Material, row: dict[str, str], climate: int) -> float:
    """Share of its k_mod that a material keeps in a climate."""
    text = "1.0" if climate == 1 else row.get(f"class_{climate}", "")
    if not text:
        raise InputError(
            f"climate for {material.name}",
            f"service class {climate}",
            f"no strength is known there: {row['class_source']}",
            "1 is for heated rooms",
        )
    return float(text)


@cache
def duration_factor(material: Material, duration: str = "permanent", climate: int = 1) -> float:
    """k_mod of a material for one of DURATIONS in a climate. Raises: as `find_allowable`."""
    if duration not in DURATIONS:
        raise InputError("duration of the load", duration, f"must be {', '.join(DURATIONS)}")
    row = row_for_material(material, "strengths")
    return float(row[duration]) * _moist(material, row, climate)


@cache
def find_allowable(material: Material, duration: str = "permanent", climate: int = 1) -> Allowable:
    """What `material` may bear for one of DURATIONS in a climate (service class 1, 2 or 3).

    Moist wood bears less: k_mod falls by the share in the table.

    Raises: InputError for an unknown duration, a kind of material without a row, or a climate that it cannot
    stand in.
    """
    k_mod = duration_factor(material, duration, climate)
    row = row_for_material(material, "strengths")
    moe_basis, mor_basis = basis_of(material)
    gamma = float(row["gamma_m"])
    moe_spread, mor_spread = float(row["moe_spread"]), float(row["mor_spread"])
    share = 1.0 if mor_basis == "least" else 1 - FIVE_PERCENT * mor_spread
    characteristic = None if material.mor_mpa is None else material.mor_mpa * share
    bending = None if characteristic is None else k_mod * characteristic / gamma
    moist = f" in service class {climate} ({row['class_source']})" if climate > 1 else ""
    how = f"{'5-percentile' if share == 1 else f'mean x {share:.2f}'} x k_mod {k_mod:.3g} / {gamma:g}{moist}"
    bearing, shear = (float(row[f"{of}_mpa"]) if row[f"{of}_mpa"] else None for of in ("bearing", "shear"))
    bearing_source = Source(row["bearing_source"], row["bearing_provenance"]) if bearing else None
    shear_source = row["shear_source"]
    grade = grade_of(material)
    if grade is not None:
        bearing, shear = grade.bearing_mpa, grade.shear_mpa
        bearing_source = Source(
            f"EN 338 {grade.name}, f_c,90,k ({grade.source.text})", grade.source.provenance
        )
        shear_source = f"EN 338 {grade.name}, f_v,k ({grade.source.text})"
        moe_spread = (1 - grade.moe_5pct_mpa / grade.moe_mpa) / FIVE_PERCENT
    return Allowable(
        bending_mpa=bending,
        bending_source=Source(
            f"{material.strength_source.text}: {how}; {row['duration_source']}", row["duration_provenance"]
        ),
        characteristic_mpa=characteristic,
        compression_mpa=None if grade is None else grade.compression_mpa,
        shear_mpa=None if shear is None else k_mod * shear / gamma,
        shear_source=shear_source,
        bearing_mpa=None if bearing is None else k_mod * bearing / gamma,
        bearing_source=bearing_source,
        moe_mean_mpa=material.moe_mpa / (1 - FIVE_PERCENT * moe_spread)
        if moe_basis == "least"
        else material.moe_mpa,
        moe_spread=moe_spread,
        mor_spread=mor_spread,
        spread_source=Source(row["spread_source"], row["spread_provenance"]),
    )
