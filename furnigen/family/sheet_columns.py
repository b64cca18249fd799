"""From the rows of a family to its contact sheet: which columns a maker compares, and their names."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from furnigen.family.axes import inches
from furnigen.family.contact_sheet import Sheet, SheetColumn, SheetRow, contact_sheet
from furnigen.family.family_file import Family
from furnigen.family.table import NUMBER, TRUTH, WHOLE, TableColumn, TableLine, flat
from furnigen.formats.report import SAFETY_NOTE

PICTURE = "preview.png"
MOST_COLUMNS = 150
"""Columns a person may choose from; the table has them all."""
_NAMES = {
    "size.width_mm": "overall width", "size.depth_mm": "overall depth", "size.height_mm": "overall height",
    "mass_kg": "mass", "parts.count": "distinct parts", "placements.count": "parts in all",
    "checks.fail": "checks failed", "checks.warn": "warnings", "checks.pass": "checks passed",
}  # fmt: skip
_LENGTH = re.compile(r"_mm(\.|$)|^parts\..*\.(length|width|thickness)$")
_UNITS = ((re.compile(r"_mm3(\.|$)"), "mm³"), (re.compile(r"_mm2(\.|$)"), "mm²"),
          (re.compile(r"_kg(\.|$)"), "kg"), (re.compile(r"_deg(\.|$)"), "°"), (_LENGTH, "mm"))  # fmt: skip
_SPARE = ("size.width_mm", "size.depth_mm", "size.height_mm", "mass_kg", "placements.count")
"""Shown even where no variant differs: what anyone asks first."""


def _unit(name: str, family: Family) -> str:
    if name.startswith("params."):
        return next((p.unit for p in family.recipe.parameters if f"params.{p.name}" == name), "")
    return next((unit for pattern, unit in _UNITS if pattern.search(name)), "")


def _label(name: str) -> str:
    if name in _NAMES:
        return _NAMES[name]
    plain = re.sub(r"^(params|given)\.", "", name).replace("_", " ")
    return plain.removesuffix(" mm").removesuffix(" kg").removesuffix(" deg").replace(".", " · ")


def _chosen(of: tuple[TableColumn, ...], family: Family) -> list[tuple[TableColumn, SheetColumn]]:
    varied = {*family.varied, *(n for n, _ in family.lets)}
    found = []
    for c in of:
        group, _, rest = c.name.partition(".")
        given = group in ("params", "given") and rest in varied
        number = c.kind in (NUMBER, WHOLE)
        if (given and c.varies) or (number and (c.varies or c.name in _SPARE)):
            unit = _unit(c.name, family)
            unit = "in" if unit == "mm" and family.units == "in" else unit
            more = given or group == "openings"
            found.append((c, SheetColumn(_label(c.name), unit, number, given, not more)))
    found.sort(key=lambda pair: (not pair[1].given, pair[0].name not in _SPARE))
    return found[:MOST_COLUMNS]


def _cell(value: Any, column: SheetColumn) -> Any:
    if column.unit == "in" and isinstance(value, int | float):
        return inches(value)
    return value


def sheet_chunks(
    family: Family,
    folder: Path,
    lines: Iterable[TableLine],
    of: tuple[TableColumn, ...],
    tables: tuple[str, ...],
    facts: tuple[str, ...],
    counts: Mapping[str, int],
) -> Iterator[bytes]:
    """family.html, piece by piece.

    Args:
        folder: the family's folder, where the pictures are.
        lines: the finished rows, in the family's order.
        of: all columns of the table.
        tables: file names of the table, to link to.
        facts: sentences under the title.
        counts: how many variants there are of each status.
    """
    chosen = _chosen(of, family)
    whole = sum(c.kind != TRUTH for c in of)
    shown = f"{len(chosen)} of the table's {whole} columns are here: those that differ, and the usual ones."
    facts = (*facts, shown)

    def rows() -> Iterator[SheetRow]:
        for line in lines:
            row = flat(line)
            files = tuple(line["files"])
            picture = (folder / line["name"] / PICTURE).read_bytes() if PICTURE in files else b""
            cells = tuple(_cell(row.get(c.name), s) for c, s in chosen)
            yield SheetRow(line["name"], line["status"], line["reason"], cells, files, picture, PICTURE)

    sheet = Sheet(family.title, facts, tuple(s for _, s in chosen), SAFETY_NOTE, tables, counts)
    return contact_sheet(sheet, rows())
