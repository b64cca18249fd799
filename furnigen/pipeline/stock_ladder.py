"""Thicker stock of the same make, for remedies."""

from __future__ import annotations

from furnigen.catalogue.stock import Stock, list_stock


def thicker(stock: Stock) -> list[Stock]:
    """Thicker stock of the same make and sheet size, thinnest first."""
    stem, size = stock.family, stock.length_mm
    ladder = [
        s
        for s in list_stock(stock.kind)
        if s.family == stem and s.thickness_mm > stock.thickness_mm + 0.1 and s.section == stock.section
    ]
    same = [s for s in ladder if abs(s.length_mm - size) < 1.0 and abs(s.width_mm - stock.width_mm) < 1.0]
    return sorted(same or ladder, key=lambda s: s.thickness_mm)
