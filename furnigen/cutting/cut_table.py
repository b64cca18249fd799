"""The cut list as a table: columns one can choose, as CSV for a spreadsheet and as rows for a program."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from furnigen.catalogue.materials import find_material
from furnigen.core.errors import InputError
from furnigen.core.quantities import MM_PER_INCH, format_length
from furnigen.cutting.cut_rows import CutRow, Order, Size, cut_rows, on_sheets
from furnigen.cutting.own_stock import Shop
from furnigen.formats.cells import PLAIN, ListStyle, csv_bytes, figure
from furnigen.piece.description import Piece


def size_cell(mm: float, units: str) -> str:
    """A size for a column of a page whose heading states the unit."""
    return format_length(mm, units, mark_inexact=units == "in").removesuffix(" mm")


SIZES: dict[str, Callable[[CutRow], float]] = {
    "length": lambda r: r.finished.length,
    "width": lambda r: r.finished.width,
    "thickness": lambda r: r.finished.thickness,
    "rough length": lambda r: r.rough.length,
    "rough width": lambda r: r.rough.width,
    "rough thickness": lambda r: r.rough.thickness,
}
"""Columns of sizes (mm)."""
LIGHT_KG = 0.01
"""Lighter parts are given to a hundredth of a gram."""
WORDS: dict[str, Callable[[CutRow], Any]] = {
    "part": lambda r: r.part,
    "quantity": lambda r: r.quantity,
    "material": lambda r: find_material(r.stock.material).title,
    "stock": lambda r: r.stock.name,
    "grain": lambda r: grain_words(r),  # noqa: PLW0108  # defined below
    "bands": lambda r: band_words(r),  # noqa: PLW0108
    "band m": lambda r: figure(r.band_m, 2) if r.bands else "",
    "joints": lambda r: "; ".join(r.joints),
    "settings": lambda r: "; ".join(r.settings),
    "form": lambda r: r.form,
    "hand": lambda r: r.hand,
    "note": lambda r: r.note,
    "mass each kg": lambda r: figure(r.mass_kg, 3 if r.mass_kg >= LIGHT_KG else 5),
    "labels": lambda r: " ".join(r.labels),
    "sheet": lambda r: r.sheet,
}
"""All other columns."""
COLUMNS = (
    "part", "quantity", *SIZES, "material", "stock", "grain", "bands", "band m", "joints", "settings", "form",
    "hand", "note", "mass each kg", "labels",
)  # fmt: skip
"""Columns in their usual order: finished sizes include tenons, tongues and bands."""
USUAL_COLUMNS = COLUMNS
COLUMNS_DRAWN = (*COLUMNS[:2], "sheet", *COLUMNS[2:])
"""Columns of a list made together with drawings."""


def read_columns(text: str) -> tuple[str, ...]:
    """Columns chosen, by name with commas between.

    Raises: InputError for an unknown one, or one named twice.
    """
    names = tuple(w.strip() for w in text.split(",") if w.strip())
    for k, name in enumerate(names):
        if name not in COLUMNS:
            raise InputError("column", name, f"must be one of {', '.join(COLUMNS)}")
        if name in names[:k]:
            raise InputError("column", name, "is named twice", "name it once")
    return names or USUAL_COLUMNS


def grain_words(row: CutRow) -> str:
    """Which way the grain must run."""
    return "along length" if row.grain else "any"


def band_words(row: CutRow) -> str:
    """Which edges get which band: "front, back: birch 1 mm"."""
    by_band: dict[str, list[str]] = {}
    for b in row.bands:
        by_band.setdefault(b.band.name, []).append(b.edge)
    return "; ".join(f"{', '.join(edges)}: {name}" for name, edges in by_band.items())


def cutlist_csv(
    rows: Sequence[CutRow],
    units: str = "mm",
    columns: Sequence[str] = USUAL_COLUMNS,
    style: ListStyle = PLAIN,
) -> bytes:
    """The cut list as CSV, UTF-8; no cell can become a formula of a spreadsheet.

    Sizes are numbers in mm with one decimal. In inches each has two columns: feet and inches to read, and a
    number of inches to reckon with.
    """
    heads: list[str] = []
    for c in columns:
        heads += [c] if c not in SIZES else ([f"{c} mm"] if units == "mm" else [c, f"{c} in"])
    return csv_bytes([heads, *(_cells(row, units, columns) for row in rows)], style)


def _cells(row: CutRow, units: str, columns: Sequence[str]) -> list[Any]:
    found: list[Any] = []
    for c in columns:
        if c not in SIZES:
            found.append(WORDS[c](row))
        elif units == "mm":
            found.append(figure(SIZES[c](row), 1))
        else:
            mm = SIZES[c](row)
            found += [format_length(mm, units, mark_inexact=True), figure(mm / MM_PER_INCH, 4)]
    return found


def piece_cutlist_csv(
    piece: Piece,
    units: str = "mm",
    style: ListStyle = PLAIN,
    sheets: Mapping[str, str] | None = None,
    shop: Shop | None = None,
) -> bytes:
    """The cut list of one piece as CSV; needs no layout.

    Args:
        sheets: numbers of the sheets each part is drawn on, by its name; a column "sheet" gives them.
        shop: allowances, edge bands and own stock; None for stock as the table has it.
    """
    rows = cut_rows([Order(piece)], shop or Shop(), units)
    if sheets is None:
        return cutlist_csv(rows, units, style=style)
    return cutlist_csv(on_sheets(rows, sheets), units, COLUMNS_DRAWN, style)


def cut_list_json(rows: Sequence[CutRow]) -> list[dict[str, Any]]:
    """The cut list for a program: lengths in mm, not rounded; masses in kg."""
    return [
        {
            "part": r.part,
            "quantity": r.quantity,
            "labels": list(r.labels),
            "stock": r.stock.name,
            "material": r.stock.material,
            "finished_mm": _size(r.finished),
            "rough_mm": _size(r.rough),
            "grain": grain_words(r),
            "bands": [
                {"edge": b.edge, "band": b.band.name, "thickness_mm": b.band.thickness_mm,
                 "length_mm": b.length_mm}
                for b in r.bands
            ],
            "band_m": r.band_m,
            "joints": list(r.joints),
            "settings": list(r.settings),
            "form": r.form,
            "hand": r.hand,
            "note": r.note,
            "mass_kg": r.mass_kg,
        }
        | ({"sheet": r.sheet} if r.sheet else {})
        for r in rows
    ]  # fmt: skip


def _size(size: Size) -> dict[str, float]:
    return {"length": size.length, "width": size.width, "thickness": size.thickness}
