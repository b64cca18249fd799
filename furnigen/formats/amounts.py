"""The numbers of a finding as people read them, in a terminal and on a page."""

from __future__ import annotations

from furnigen.core.finding import Finding
from furnigen.core.quantities import MM_PER_INCH
from furnigen.core.wording import length_shown

UNITS = {"deg": "°", "N/mm2": "N/mm²", "times": "x"}
"""How some units are written for people."""
POWERS = {"mm2": ("²", 2), "mm3": ("³", 3)}
"""Areas and volumes: the sign and the power of a length."""
ONE = {"meshes": "mesh", "sets of curves": "set of curves"}
"""What is one of a unit that is counted; of all others the last letter is left out."""


def amount(value: float | None, unit: str, units: str) -> str:
    """A value of a finding for people; lengths, areas and volumes in `units`."""
    if value is None:
        return ""
    if unit == "mm":
        return length_shown(value, units)
    if unit in POWERS:
        sign, power = POWERS[unit]
        if units == "in":
            return f"{number(value / MM_PER_INCH**power)} in{sign}"
        return f"{value:,.0f} mm{sign}"
    if abs(value) == 1 and unit.endswith("s") and unit not in UNITS:
        unit = ONE.get(unit, unit[:-1])
    return f"{number(value)} {UNITS.get(unit, unit)}".strip()


def number(value: float) -> str:
    """A number with as many digits as are of use."""
    whole = abs(value) >= 1000 or abs(value - round(value)) < 1e-9
    return f"{value:,.0f}" if whole else f"{value:.3g}"


Cells = tuple[str, str, str, str]


def numbers(f: Finding, units: str) -> Cells:
    """The cells of a finding, lengths in `units`: check, what was found, its limit, the share used."""
    found = amount(f.value, f.unit, units) if f.unit or f.limit is not None else ""
    limit = ""
    if f.limit is not None and (f.limit or f.value):
        # in millimetres and the like the unit stands beside what was found
        bare = number(f.limit)
        if f.unit == "mm" or f.unit in POWERS:
            bare = amount(f.limit, f.unit, units) if units == "in" else bare.replace(",", "")
        limit = f"{'min' if f.least else 'max'} {bare}"
    return f.title or f.name, found, limit, share(f.used)


def share(used: float | None) -> str:
    """A share of a limit in percent; what is over it by little must not read as just at it."""
    if used is None:
        return ""
    whole = f"{used:.0%}"
    return f"{max(used, 1.001):.1%}" if used > 1 and whole == "100%" else whole
