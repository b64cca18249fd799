"""Cells of lists that a spreadsheet opens."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Any

FORMULA = ("=", "+", "-", "@", "\t", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
"""What a cell begins with that a spreadsheet takes for a formula, or drops before it looks for one; the last
four are the full-width forms of the first (OWASP, CSV Injection)."""


def row_of_cells(cells: Iterable[Any]) -> list[Any]:
    """A row in which no text can become a formula: such a text gets an apostrophe before it, and stays text.

    Numbers stay as they are. Returns become line feeds, which the writer of CSV puts in quotes; a bare return
    would end the row.
    """
    return [_text(cell) if isinstance(cell, str) else cell for cell in cells]


def _text(cell: str) -> str:
    if "\r" in cell:
        cell = cell.replace("\r\n", "\n").replace("\r", "\n")
    return f"'{cell}" if cell.lstrip(" ").startswith(FORMULA) else cell
