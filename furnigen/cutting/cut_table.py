"""The cut list as a table: columns one can choose, as CSV for a spreadsheet and as rows for a program."""

from __future__ import annotations

import csv
from collections.abc import Callable, Sequence
from io import StringIO
from typing import Any

from furnigen.catalogue.materials import find_material
from furnigen.core.errors import InputError
from furnigen.core.quantities import format_length
from furnigen.cutting.cut_rows import CutRow, Order, Size, cut_rows
from furnigen.cutting.own_stock import Shop
from furnigen.formats.cells import row_of_cells
from furnigen.piece.description import Piece

Cell = Callable[[CutRow, str], Any]


def size_cell(mm: float, units: str) -> str:
    """A size for a column whose heading states the unit."""
    return format_length(mm, units, mark_inexact=units == "in").removesuffix(" mm")


def _sized(of: Callable[[CutRow], float]) -> Cell:
    return lambda row, units: size_cell(of(row), units)


COLUMNS: dict[str, Cell] = {
    "part": lambda r, _: r.part,
    "quantity": lambda r, _: r.quantity,
    "length": _sized(lambda r: r.finished.length),
    "width": _sized(lambda r: r.finished.width),
    "thickness": _sized(lambda r: r.finished.thickness),
    "rough length": _sized(lambda r: r.rough.length),
    "rough width": _sized(lambda r: r.rough.width),
    "rough thickness": _sized(lambda r: r.rough.thickness),
    "material": lambda r, _: find_material(r.stock.material).title,
    "stock": lambda r, _: r.stock.name,
    "grain": lambda r, _: grain_words(r),
    "bands": lambda r, u: band_words(r),
    "band m": lambda r, _: f"{r.band_m:.2f}" if r.bands else "",
    "joints": lambda r, _: "; ".join(r.joints),
    "settings": lambda r, _: "; ".join(r.settings),
    "form": lambda r, _: r.form,
    "hand": lambda r, _: r.hand,
    "note": lambda r, _: r.note,
    "mass each kg": lambda r, _: f"{r.mass_kg:.3f}",
    "labels": lambda r, _: " ".join(r.labels),
}
"""Columns by name, in their usual order: finished sizes include tenons, tongues and bands."""
USUAL_COLUMNS = tuple(COLUMNS)
_WITH_UNIT = frozenset({"length", "width", "thickness", "rough length", "rough width", "rough thickness"})


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


def cutlist_csv(rows: Sequence[CutRow], units: str = "mm", columns: Sequence[str] = USUAL_COLUMNS) -> bytes:
    """The cut list as CSV, UTF-8; sizes in mm with one decimal, or feet and inches.

    No cell can become a formula of a spreadsheet.
    """
    out = StringIO()
    table = csv.writer(out, lineterminator="\n")
    table.writerow([f"{c} mm" if units == "mm" and c in _WITH_UNIT else c for c in columns])
    for row in rows:
        table.writerow(row_of_cells([COLUMNS[c](row, units) for c in columns]))
    return out.getvalue().encode()


def piece_cutlist_csv(piece: Piece, units: str = "mm") -> bytes:
    """The cut list of one piece as CSV, from stock as the table has it; needs no layout."""
    return cutlist_csv(cut_rows([Order(piece)], Shop(), units), units)


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
        for r in rows
    ]  # fmt: skip


def _size(size: Size) -> dict[str, float]:
    return {"length": size.length, "width": size.width, "thickness": size.thickness}
