"""The hardware list: what to buy besides wood, as a CSV a spreadsheet opens and as rows of the report."""

from __future__ import annotations

from typing import Any

from furnigen.formats.cells import PLAIN, ListStyle, csv_bytes
from furnigen.piece.description import Piece
from furnigen.piece.hardware_list import HardwareRow, hardware_list, size_key
from furnigen.piece.hardware_places import HardwarePlace, hardware_places

HARDWARE_COLUMNS = ("kind", "size", "quantity", "where")


def hardware_rows(rows: tuple[HardwareRow, ...]) -> list[dict[str, Any]]:
    """Rows of the hardware list as the report writes them."""
    return [{"kind": r.kind, "size": r.size, "quantity": r.quantity, "where": list(r.where)} for r in rows]


def placed_rows(piece: Piece) -> list[dict[str, Any]]:
    """Rows of the hardware list with the place of each: where its axis enters, which way it goes in (mm)."""
    places: dict[tuple[str, float, float], list[HardwarePlace]] = {}
    for one in hardware_places(piece):
        places.setdefault(size_key(one.kind, one.diameter_mm, one.length_mm), []).append(one)
    rows = hardware_list(piece)
    return [
        row
        | {
            "diameter_mm": found[0].diameter_mm,
            "length_mm": found[0].length_mm,
            "places": [
                {
                    "label": one.label,
                    "point_mm": list(one.point),
                    "way": list(one.way),
                    "joint": one.joint.kind,
                    "a": one.joint.a,
                    "b": one.joint.b,
                }
                for one in found
            ],
        }
        for row, found in zip(hardware_rows(rows), (places[row.key] for row in rows), strict=True)
    ]


def hardware_csv(piece: Piece, style: ListStyle = PLAIN) -> bytes:
    """The hardware list of a piece, UTF-8; a heading only when it needs none."""
    rows = ([r.kind, r.size, r.quantity, "; ".join(r.where)] for r in hardware_list(piece))
    return csv_bytes([HARDWARE_COLUMNS, *rows], style)
