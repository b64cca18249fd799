"""The hardware list: what to buy besides wood, as a CSV a spreadsheet opens and as rows of the report."""

from __future__ import annotations

import csv
from io import StringIO
from typing import Any

from furnigen.formats.cells import row_of_cells
from furnigen.piece.description import Piece
from furnigen.piece.hardware_list import HardwareRow, hardware_list

HARDWARE_COLUMNS = ("kind", "size", "quantity", "where")


def hardware_rows(rows: tuple[HardwareRow, ...]) -> list[dict[str, Any]]:
    """Rows of the hardware list as the report writes them."""
    return [{"kind": r.kind, "size": r.size, "quantity": r.quantity, "where": list(r.where)} for r in rows]


def hardware_csv(piece: Piece) -> bytes:
    """The hardware list of a piece, UTF-8; a heading only when it needs none."""
    out = StringIO()
    table = csv.writer(out, lineterminator="\n")
    table.writerow(HARDWARE_COLUMNS)
    for row in hardware_list(piece):
        table.writerow(row_of_cells([row.kind, row.size, row.quantity, "; ".join(row.where)]))
    return out.getvalue().encode()
