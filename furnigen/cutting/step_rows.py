"""A cut list from the boards measured in a STEP file, their stock found by thickness and material."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from furnigen.catalogue.materials import find_material
from furnigen.catalogue.stock import Stock, list_stock
from furnigen.core.errors import InputError
from furnigen.cutting.cut_rows import CutRow, Size, grouped_as_worked, rough_size
from furnigen.cutting.own_stock import Shop

SAME_SIZE_MM = 0.01
THICK_MM = 0.3
"""A board this near the thickness of a stock is of it, where nothing tells more."""
RESAWN_MM = 60.0
"""Strips up to this wide are resawn from thicker boards. Common practice, no source."""


def step_rows(
    measured: Sequence[Mapping[str, Any]], shop: Shop
) -> tuple[tuple[CutRow, ...], tuple[str, ...]]:
    """Rows of the boards, equal ones counted together, and notes on what is no board or of unknown stock.

    Raises: InputError when there is no board at all.
    """
    boards = [m for m in measured if "why" not in m and m["labels"]]
    others = [m for m in measured if "why" in m and m["labels"]]
    if not boards:
        why = others[0]["why"] if others else "it holds no placed solid"
        raise InputError("STEP file", "its solids", "are no boards", str(why))
    rows, notes, taken = [], [], set[str]()
    for group in _alike(boards):
        first = group[0]
        size = Size(first["length_mm"], first["width_mm"], first["thickness_mm"])
        stock, doubt = stock_of(size, first["material"], shop)
        if doubt and doubt not in notes:
            notes.append(doubt)
        rough, note = rough_size(size, stock, shop, (first["name"],))
        name, number = _stem(first), 1
        while name in taken:
            number += 1
            name = f"{_stem(first)} ({number})"
        taken.add(name)
        labels = tuple(label for m in group for label in m["labels"])
        density = find_material(stock.material).density_kg_m3
        rows.append(
            CutRow(
                name, labels, stock, size, rough, stock.grain, note=note,
                mass_kg=first["volume_mm3"] * 1e-9 * density,
            )
        )  # fmt: skip
    for m in others:
        notes.append(f"no board, not cut: {m['name']} ({len(m['labels'])}): {m['why']}")
    if not all(m["own_axes"] for m in boards):
        notes.append("lengths are the longer sides: a STEP file does not say how the grain runs")
    return grouped_as_worked(rows), tuple(notes)


def _stem(measured: Mapping[str, Any]) -> str:
    return str(measured["product"] or measured["name"])


def _alike(boards: Iterable[Mapping[str, Any]]) -> list[list[Mapping[str, Any]]]:
    """Boards of one name, but for a number behind it, one size, volume and surface, together."""
    groups: list[list[Mapping[str, Any]]] = []
    for m in boards:
        for group in groups:
            if _same(group[0], m):
                group.append(m)
                break
        else:
            groups.append([m])
    return groups


def _same(a: Mapping[str, Any], b: Mapping[str, Any]) -> bool:
    names = [re.sub(r"[ ._-]*\d+$", "", _stem(m)) for m in (a, b)]
    sizes = all(abs(a[k] - b[k]) < SAME_SIZE_MM for k in ("length_mm", "width_mm", "thickness_mm"))
    masses = all(abs(a[k] - b[k]) < 1e-6 * a[k] for k in ("volume_mm3", "area_mm2"))
    return names[0] == names[1] and a["material"] == b["material"] and sizes and masses


def stock_of(size: Size, material: str, shop: Shop) -> tuple[Stock, str]:
    """The stock a board of some size and material is cut from, and what is not sure about it.

    The maker's own stock comes first, then the table; of the stated material where that is known, else
    the one of the nearest thickness.
    """
    own = [o.stock for o in shop.offers]
    for known in (own, list(list_stock())):
        able = [s for s in known if _is_of(s, material) and _thick_enough(s, size)]
        if able:
            return min(able, key=lambda s: _order(s, size)), ""
    for known in (own, list(list_stock("sheet"))):
        able = [s for s in known if abs(s.thickness_mm - size.thickness) <= THICK_MM]
        if able:
            stock = min(able, key=lambda s: _order(s, size))
            thick = f"{size.thickness:.10g} mm"
            doubt = f"taken as {stock.name} by its thickness of {thick}: its material is not known here"
            return stock, doubt
    sheets = [o.stock for o in shop.offers if o.stock.kind == "sheet"] or list(list_stock("sheet"))
    near = min(sheets, key=lambda s: (abs(s.thickness_mm - size.thickness), s.name))
    raise InputError(
        "thickness of a board",
        f"{size.thickness:.10g} mm",
        "is that of no stock",
        f"the nearest is {near.name}, {near.thickness_mm:g} mm; state yours in a stock file, with --stock",
    )


def _is_of(stock: Stock, material: str) -> bool:
    found = find_material(stock.material)
    return material.strip().lower() in (found.name.lower(), found.title.lower(), stock.name.lower())


def _thick_enough(stock: Stock, size: Size) -> bool:
    """Whether a board is of the stock's thickness, planed from it, or, narrow as a strip, resawn from it."""
    if stock.section == "round":
        return False
    if stock.kind == "sheet":
        return abs(stock.thickness_mm - size.thickness) <= THICK_MM
    across = sorted((size.width, size.thickness))
    stocky = sorted((stock.width_mm, stock.thickness_mm))
    fits = all(a <= b + SAME_SIZE_MM for a, b in zip(across, stocky, strict=True))
    return fits and (size.thickness >= 0.5 * stock.thickness_mm or size.width <= RESAWN_MM)


def _order(stock: Stock, size: Size) -> tuple[float, float, float, str]:
    """The nearest thickness first, then the narrowest that does, then the longest."""
    wide_enough = 0.0 if stock.width_mm >= size.width - SAME_SIZE_MM else 1.0
    return (round(abs(stock.thickness_mm - size.thickness), 3), wide_enough, stock.width_mm, stock.name)
