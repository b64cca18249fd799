"""The hardware list: what to buy besides wood, as a CSV a spreadsheet opens and as rows of the report."""

from __future__ import annotations

from typing import Any

from furnigen.formats.cells import PLAIN, ListStyle, csv_bytes
from furnigen.piece.description import Piece
from furnigen.piece.hardware_list import HardwareRow, hardware_list

HARDWARE_COLUMNS = ("kind", "size", "quantity", "where")


def hardware_rows(rows: tuple[HardwareRow, ...]) -> list[dict[str, Any]]:
    """Rows of the hardware list as the report writes them."""
    return [{"kind": r.kind, "size": r.size, "quantity": r.quantity, "where": list(r.where)} for r in rows]


def hardware_csv(piece: Piece, style: ListStyle = PLAIN) -> bytes:
    """The hardware list of a piece, UTF-8; a heading only when it needs none."""
    rows = ([r.kind, r.size, r.quantity, "; ".join(r.where)] for r in hardware_list(piece))
    return csv_bytes([HARDWARE_COLUMNS, *rows], style)
