"""The parts list: one row for each distinct part, as a CSV a spreadsheet opens."""

from __future__ import annotations

import csv
from io import StringIO

from furnigen.catalogue.materials import find_material
from furnigen.core.quantities import format_length
from furnigen.formats.cells import row_of_cells
from furnigen.parts.part import Part
from furnigen.parts.volume.moments import volume_mm3
from furnigen.piece.description import Piece

CUT_LIST_COLUMNS = (
    "part", "quantity", "length", "width", "thickness", "material", "stock", "form", "hand", "mass each kg",
    "labels",
)  # fmt: skip


def mass_kg(part: Part) -> float:
    """Mass of one copy (kg)."""
    return volume_mm3(part) * 1e-9 * find_material(part.stock.material).density_kg_m3


def _size(mm: float, units: str) -> str:
    # a column of a table: the unit stands in the heading
    return format_length(mm, units, mark_inexact=units == "in").removesuffix(" mm")


def cutlist_csv(piece: Piece, units: str = "mm") -> bytes:
    """The parts list, UTF-8; sizes of the blank in mm with one decimal, or feet and inches."""
    out = StringIO()
    table = csv.writer(out, lineterminator="\n")
    table.writerow(
        [
            f"{c} mm" if units == "mm" and c in ("length", "width", "thickness") else c
            for c in CUT_LIST_COLUMNS
        ]
    )
    for index, (part, quantity) in enumerate(zip(piece.parts, piece.quantities, strict=True)):
        labels = " ".join(p.label for p in piece.placements if p.part == index)
        sizes = [_size(s, units) for s in part.form.blank_mm]
        material = find_material(part.stock.material).title
        kind = (material, part.stock.name, part.form.kind, part.hand)
        table.writerow(row_of_cells([part.name, quantity, *sizes, *kind, f"{mass_kg(part):.3f}", labels]))
    return out.getvalue().encode()
