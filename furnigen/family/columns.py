"""A report as one row: a column for every number in it.

    size.width_mm                       overall size, from bounds_mm
    params.NAME, mass_kg, bounds_mm.min.x
    parts.NAME.length, openings.LABEL.clear_mm.x    lists whose items have names of their own
    contacts.count, contacts.area_mm2.sum           other lists: count, and min, max, sum of each number
    checks.NAME.value, .limit, .used, .status       the worst of each check; checks.fail how many failed

Where each copy stands (`placements`) is a place, not a measure: the row has its count only.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet
from itertools import chain
from typing import Any

from furnigen.core.finding import STATUSES, Finding, any_failed, worst_first
from furnigen.family.task import FAIL, PASS, WARN, VariantRow

Cell = tuple[str, Any]

_AXES = ("x", "y", "z")
_NAMES = ("name", "label", "part")
_PLACES = frozenset({"pose", "box_mm", "outline_mm", "centre_mm", "normal"})
"""Where a thing is, not how much of it: report.json has them."""
_MOST_REASONS = 3
_NUMBERS = frozenset({int, float})
_CELLS = _NUMBERS | {bool}
_ROWS = frozenset({dict})


def _named(items: Sequence[dict[str, Any]]) -> str:
    """The key under which every item has a name of its own; "" where there is none.

    An item that holds a list of others is a node of a graph: those get totals, not a column each.
    """
    for key in _NAMES:
        names = [i.get(key) for i in items]
        if all(isinstance(n, str) and n for n in names) and len(set(names)) == len(names):
            return "" if any(map(_holds_items, items)) else key
    return ""


def _holds_items(item: dict[str, Any]) -> bool:
    return any(type(v) is list and v and type(v[0]) is dict for v in item.values())


def _add_totals(row: VariantRow, prefix: str, items: Sequence[dict[str, Any]]) -> None:
    """Count, and min, max and sum of every number the items share by key."""
    for key in dict.fromkeys(chain.from_iterable(items)):
        values: list[float] = [i[key] for i in items if type(i.get(key)) in _NUMBERS]
        if values:
            row[f"{prefix}.{key}.min"] = min(values)
            row[f"{prefix}.{key}.max"] = max(values)
            row[f"{prefix}.{key}.sum"] = round(sum(values), 6)


def _add_table(row: VariantRow, prefix: str, value: dict[str, Any], but: AbstractSet[str] = _PLACES) -> None:
    """The cells of all values but those of some keys."""
    # a report has tens of thousands of values, all of plain types: most are sorted out here
    start = prefix and f"{prefix}."
    for key, inner in value.items():
        if type(inner) in _CELLS:
            if key not in but:
                row[start + key] = inner
        elif type(inner) is dict:
            if key not in but:
                _add_table(row, start + key, inner)
        elif type(inner) is list and key not in but:
            _add_list(row, start + key, inner)


def _add_list(row: VariantRow, prefix: str, value: list[Any]) -> None:
    if value and _NUMBERS.issuperset(map(type, value)):
        ends = _AXES if len(value) == len(_AXES) else map(str, range(1, len(value) + 1))
        for end, number in zip(ends, value, strict=True):
            row[f"{prefix}.{end}"] = number
    elif _ROWS.issuperset(map(type, value)):
        row[f"{prefix}.count"] = len(value)
        key = _named(value)
        if key:
            but = _PLACES | {key}
            for item in value:
                _add_table(row, f"{prefix}.{item[key]}", item, but)
        else:
            _add_totals(row, prefix, value)


def _params(params: dict[str, Any]) -> Iterator[Cell]:
    for name, value in params.items():
        yield f"params.{name}", " ".join(str(v) for v in value) if isinstance(value, list) else value


def _checks(findings: Sequence[Finding]) -> Iterator[Cell]:
    for status in STATUSES:
        yield f"checks.{status}", sum(f.status == status for f in findings)
    seen = set()
    for f in worst_first(findings):
        if f.name not in seen:
            seen.add(f.name)
            yield f"checks.{f.name}.status", f.status
            yield f"checks.{f.name}.value", f.value
            if f.limit is not None:
                yield f"checks.{f.name}.limit", f.limit
            if f.used is not None:
                yield f"checks.{f.name}.used", f.used


def report_row(report: dict[str, Any], findings: Sequence[Finding]) -> VariantRow:
    """The row of a report.

    Args:
        report: the content of report.json.
        findings: the checks it lists.
    """
    lo, hi = report["bounds_mm"]["min"], report["bounds_mm"]["max"]
    row = dict(_params(report["params"]))
    sides = zip(("width", "depth", "height"), lo, hi, strict=True)
    row |= {f"size.{side}_mm": round(b - a, 6) for side, a, b in sides}
    row["mass_kg"] = report["mass_kg"]
    row["placements.count"] = len(report["placements"])
    row |= {n: round(v, 6) if isinstance(v, float) else v for n, v in _checks(findings)}
    apart = {k: v for k, v in report.items() if k not in ("params", "placements", "checks", "files")}
    _add_table(row, "", apart)
    return row


def _first_remedy(f: Finding) -> str:
    remedy = f.remedy.partition("\n")[0] if f.status == FAIL else ""
    return f"({remedy})" if remedy else ""


def verdict(findings: Sequence[Finding]) -> tuple[str, str]:
    """Status of a variant and the reason: its failures, or its warnings where none failed.

    Short, for a table is read across: a failure with the first remedy, a warning with none.
    """
    worst = FAIL if any_failed(findings) else WARN
    bad = [f for f in findings if f.status == worst]
    if not bad:
        return PASS, ""
    reasons = [" ".join(filter(None, (f"{f.name}:", f.where, _first_remedy(f)))) for f in bad]
    more = len(reasons) - _MOST_REASONS
    return worst, "; ".join(reasons[:_MOST_REASONS]) + (f"; and {more} more" if more > 0 else "")
