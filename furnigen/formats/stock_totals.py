"""How much of each stock a piece takes: net area, length and mass, as a CSV a spreadsheet opens."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from furnigen.catalogue.materials import find_material
from furnigen.catalogue.stock import Stock
from furnigen.core.quantities import MM_PER_INCH
from furnigen.formats.cells import PLAIN, ListStyle, csv_bytes, figure
from furnigen.parts.mass import mass_kg
from furnigen.piece.description import Piece

_MM_PER_FT = 12 * MM_PER_INCH


def stock_csv(piece: Piece, units: str = "mm", style: ListStyle = PLAIN) -> bytes:
    """One row for each stock, UTF-8: copies, area (m² or ft²), length (m or ft) and mass (kg).

    Areas and lengths are of the blanks, net: without kerf, offcuts and what is left of a sheet. Masses are of
    the finished parts. Bars and blanks have no area to buy by.
    """
    return csv_bytes(_rows(piece, units), style)


def _rows(piece: Piece, units: str) -> Iterator[list[Any]]:
    big, unit = ("m", 1000.0) if units == "mm" else ("ft", _MM_PER_FT)
    yield ["stock", "title", "material", "parts", f"area {big}2", f"length {big}", "mass kg"]
    sums: dict[str, tuple[Stock, list[float]]] = {}
    for part, quantity in zip(piece.parts, piece.quantities, strict=True):
        long, wide, _ = part.form.blank_mm
        mine = sums.setdefault(part.stock.name, (part.stock, [0.0, 0.0, 0.0, 0.0]))[1]
        for k, each in enumerate((1.0, long * wide, long, mass_kg(part))):
            mine[k] += quantity * each
    for name, (stock, (copies, mm2, mm, kg)) in sorted(sums.items()):
        flat = stock.kind in ("sheet", "board")
        yield [
            name,
            stock.title,
            find_material(stock.material).title,
            round(copies),
            figure(mm2 / unit**2, 3) if flat else "",
            figure(mm / unit, 3),
            figure(kg, 3),
        ]
