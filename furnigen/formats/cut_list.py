"""The parts list: one row for each distinct part, as a CSV a spreadsheet opens."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from furnigen.catalogue.materials import find_material
from furnigen.core.quantities import MM_PER_INCH, format_length
from furnigen.formats.cells import PLAIN, ListStyle, csv_bytes, figure
from furnigen.parts.part import Part
from furnigen.parts.volume.moments import volume_mm3
from furnigen.piece.description import Piece

SIDES = ("length", "width", "thickness")
_AFTER = ("material", "stock", "form", "hand", "mass each kg", "labels")


def mass_kg(part: Part) -> float:
    """Mass of one copy (kg)."""
    return volume_mm3(part) * 1e-9 * find_material(part.stock.material).density_kg_m3


def cutlist_csv(piece: Piece, units: str = "mm", style: ListStyle = PLAIN) -> bytes:
    """The parts list, UTF-8; sizes of the blank as numbers in mm with one decimal.

    In inches each size has two columns: feet and inches to read, and a number of inches to reckon with.
    """
    return csv_bytes(_rows(piece, units), style)


def _rows(piece: Piece, units: str) -> Iterator[list[Any]]:
    sizes = [f"{s} mm" for s in SIDES] if units == "mm" else [*SIDES, *(f"{s} in" for s in SIDES)]
    yield ["part", "quantity", *sizes, *_AFTER]
    for index, (part, quantity) in enumerate(zip(piece.parts, piece.quantities, strict=True)):
        labels = " ".join(p.label for p in piece.placements if p.part == index)
        kind = (find_material(part.stock.material).title, part.stock.name, part.form.kind, part.hand)
        yield [part.name, quantity, *_sizes(part, units), *kind, figure(mass_kg(part), 3), labels]


def _sizes(part: Part, units: str) -> list[Any]:
    blank = part.form.blank_mm
    if units == "mm":
        return [figure(mm, 1) for mm in blank]
    read = [format_length(mm, units, mark_inexact=True) for mm in blank]
    return [*read, *(figure(mm / MM_PER_INCH, 4) for mm in blank)]
