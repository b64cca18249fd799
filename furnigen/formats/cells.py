"""Lists that a spreadsheet opens: how a row of cells becomes a line of CSV."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from io import StringIO
from typing import Any

from furnigen.core.errors import InputError

FORMULA = ("=", "+", "-", "@", "\t", "\n", "\uff1d", "\uff0b", "\uff0d", "\uff20")
"""What a cell begins with that a spreadsheet takes for a formula, or drops before it looks for one; the last
four are the full-width forms of the first (OWASP, CSV Injection)."""

SEPARATORS = {"comma": ",", "semicolon": ";", "tab": "\t"}
DECIMALS = {"point": ".", "comma": ","}


@dataclass(frozen=True)
class ListStyle:
    """How lists are written, for the office whose spreadsheet opens them.

    Attributes:
        separator: between cells: a comma, a semicolon or a tab.
        decimal: the decimal mark of numbers: a point or a comma.

    Raises: InputError for others, or for a comma as both.
    """

    separator: str = ","
    decimal: str = "."

    def __post_init__(self) -> None:
        if self.separator not in SEPARATORS.values():
            raise InputError("separator", self.separator, f"must be {', '.join(SEPARATORS)}")
        if self.decimal not in DECIMALS.values():
            raise InputError("decimal", self.decimal, f"must be {' or '.join(DECIMALS)}")
        if self.separator == self.decimal:
            raise InputError(
                "separator", "comma", "is the decimal mark too, and no reader could tell them apart",
                "take semicolon or tab",
            )  # fmt: skip

    def line(self, cells: Iterable[Any]) -> str:
        """One line of CSV, ended.

        A `Decimal` or float gets the decimal mark; text stays as it is, and can not become a formula.
        """
        out = StringIO()
        csv.writer(out, delimiter=self.separator, lineterminator="\n").writerow(
            self.number(cell) if isinstance(cell, Decimal | float) else cell for cell in row_of_cells(cells)
        )
        return out.getvalue()

    def number(self, value: Decimal | float) -> str:
        """A number with the decimal mark, without an exponent."""
        return f"{Decimal(repr(value)) if isinstance(value, float) else value:f}".replace(".", self.decimal)


PLAIN = ListStyle()
"""What programs and most of the world's spreadsheets read."""


def read_list_style(separator: str | None, decimal: str | None) -> ListStyle:
    """A style by the words of SEPARATORS and DECIMALS, or the marks themselves.

    A decimal comma brings the semicolon where no separator is named.

    Raises: InputError as `ListStyle`.
    """
    mark = DECIMALS.get(decimal, decimal) if decimal is not None else "."
    usual = ";" if mark == "," else ","
    return ListStyle(SEPARATORS.get(separator, separator) if separator is not None else usual, mark)


def csv_bytes(rows: Iterable[Iterable[Any]], style: ListStyle = PLAIN) -> bytes:
    """A whole list, UTF-8."""
    return "".join(style.line(row) for row in rows).encode()


def figure(value: float, places: int) -> Decimal:
    """A number for a cell, rounded half up to `places` decimals, all of them shown."""
    return Decimal(repr(round(value, 9))).quantize(Decimal(1).scaleb(-places), ROUND_HALF_UP)


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
