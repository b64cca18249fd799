"""What differs between two pieces, worked out from their reports.

`SECTIONS` names what is compared, in the order it is shown. Another subject, such as the cost of a piece, is
one more function from a report to its values.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from typing import Any, NamedTuple

from furnigen.core.finding import STATUSES
from furnigen.formats.amounts import amount

Report = Mapping[str, Any]
Key = tuple[str, str]
"""What a value is of, and which value: ("shelf", "length")."""

SAME = 1e-6
"""Numbers nearer than this share of them are one: reports are rounded."""
WHERE_KNOWN = frozenset({"cost"})
"""Sections left out where neither report says anything of them."""
ALL_MEMBERS = ("length", "width", "thickness")


class Value(NamedTuple):
    """Something a report says, with its unit."""

    value: Any
    unit: str = ""


class Difference(NamedTuple):
    """One thing that differs; None where a side does not have it."""

    of: str
    what: str
    a: Any
    b: Any
    unit: str


def differences(a: Report, b: Report, units: Mapping[str, str]) -> dict[str, list[Difference]]:
    """What differs, by section; one where nothing does is empty. The cost is left out where it is not known.

    Args:
        a, b: reports.
        units: the unit of each parameter that has one, by its name.

    Raises: LookupError, TypeError, ValueError or AttributeError for what is no report.
    """
    found = {}
    for name, read in SECTIONS.items():
        one, other = (dict(read(report)) for report in (a, b))
        if name in WHERE_KNOWN and not (one or other):
            continue
        found[name] = list(_differ(one, other))
    found["parameters"] = [row._replace(unit=units.get(row.of, "")) for row in found["parameters"]]
    return found


def _differ(a: Mapping[Key, Value], b: Mapping[Key, Value]) -> Iterator[Difference]:
    """Values that differ; what one side does not have at all is one row, by its first value."""
    in_a, in_b = ({of for of, _ in side} for side in (a, b))
    told = set()
    for key in dict.fromkeys((*a, *b)):
        one, other = a.get(key), b.get(key)
        if one is not None and other is not None and _same(one.value, other.value):
            continue
        if key[0] not in in_a & in_b:
            if key[0] in told:
                continue
            told.add(key[0])
        unit = (one or other or Value(None)).unit
        yield Difference(*key, one and one.value, other and other.value, unit)


def _same(a: Any, b: Any) -> bool:
    if isinstance(a, int | float) and isinstance(b, int | float) and not isinstance(a, bool):
        return bool(abs(a - b) <= SAME * max(1.0, abs(a), abs(b)))
    return bool(a == b)


Values = Iterator[tuple[Key, Value]]


def _parameters(report: Report) -> Values:
    yield ("recipe", ""), Value(report["recipe"])
    for name, value in report["params"].items():
        yield (name, ""), Value(value)


def _sizes(report: Report) -> Values:
    low, high = report["bounds_mm"]["min"], report["bounds_mm"]["max"]
    for name, a, b in zip(("width", "depth", "height"), low, high, strict=True):
        yield ("overall", name), Value(b - a, "mm")
    yield ("mass", ""), Value(report["mass_kg"], "kg")
    openings = report["openings"]
    yield ("openings", "number"), Value(len(openings))
    for axis, name in enumerate(("width", "depth", "height")):
        if openings:
            yield ("openings", f"least clear {name}"), Value(min(o["clear_mm"][axis] for o in openings), "mm")
    for p in report.get("pitches", ()):
        yield (f"pitch of {p['what']}", ""), Value(p["step_mm"], "mm")
    for leg in report["legs"]:
        for name in ("splay", "rake", "resultant", "sightline"):
            yield (leg["part"], name), Value(leg[f"{name}_deg"], "deg")


def _parts(report: Report) -> Values:
    for part in report["parts"]:
        yield (part["name"], "quantity"), Value(part["quantity"])
        for name in ALL_MEMBERS:
            yield (part["name"], name), Value(part[name], "mm")
        yield (part["name"], "stock"), Value(part["stock"])


def _joints(report: Report) -> Values:
    counts: dict[str, int] = {}
    for joint in report.get("joints", ()):
        kind = f"{joint['kind']}, glued" if joint["glued"] else joint["kind"]
        counts[kind] = counts.get(kind, 0) + 1
    for kind, number in counts.items():
        yield (kind, "number"), Value(number)


def _hardware(report: Report) -> Values:
    for row in report.get("hardware", ()):
        yield (f"{row['kind']} {row['size']}", "quantity"), Value(row["quantity"])


def _cost(report: Report) -> Values:
    """What it costs, where that was worked out: `costs` of a cutting plan."""
    costs = report.get("costs") or {}
    for line in costs.get("lines", ()):
        yield (line["what"], line["unit"]), Value(line["amount"])
        if line["cost"] is not None:
            yield (line["what"], "cost"), Value(line["cost"], costs["currency"])
    if costs.get("total") is not None:
        yield ("all", "cost"), Value(costs["total"], costs["currency"])


def _checks(report: Report) -> Values:
    """Each check by the worst of its findings."""
    worst: dict[str, Mapping[str, Any]] = {}
    for row in report["checks"]:
        name = row.get("title") or row["name"]
        if name not in worst or _rank(row) > _rank(worst[name]):
            worst[name] = row
    for name, row in worst.items():
        yield (name, "result"), Value(row["status"])
        if row["value"] is not None:
            yield (name, "found"), Value(row["value"], row["unit"])
        if row["used"] is not None:
            yield (name, "used"), Value(row["used"], "share")


def _rank(row: Mapping[str, Any]) -> tuple[int, float]:
    return STATUSES.index(row["status"]), row["used"] or 0.0


SECTIONS: dict[str, Callable[[Report], Values]] = {
    "parameters": _parameters,
    "sizes": _sizes,
    "parts": _parts,
    "joints": _joints,
    "hardware": _hardware,
    "cost": _cost,
    "checks": _checks,
}


def cell(value: Any, unit: str, units: str) -> str:
    """A value as a person reads it; a dash where a side does not have it."""
    if value is None:
        return "-"
    if unit == "share":
        return f"{value:.0%}"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, list):
        return ",".join(map(str, value))
    return amount(value, unit, units) if isinstance(value, int | float) else str(value)


def change(row: Difference, units: str) -> str:
    """By how much B is more or less; nothing for what is no number."""
    numbers = all(isinstance(v, int | float) and not isinstance(v, bool) for v in (row.a, row.b))
    if not numbers or row.unit == "share":
        return ""
    by = row.b - row.a
    return f"{'+' if by > 0 else '-'}{cell(abs(by), row.unit, units).lstrip('~')}"
