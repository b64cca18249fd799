"""Rows of words in columns, the last of them wrapped to the terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Sequence

from furnigen.cli.finding_table import terminal_width

LEAST_LAST = 24
"""Columns the last column keeps; where less are left it goes below."""


def in_columns(rows: Sequence[Sequence[str]], width: int | None = None) -> list[str]:
    """Lines of a table; every row has as many cells as the first."""
    if not rows:
        return []
    columns = width or terminal_width()
    widths = [max(len(row[i]) for row in rows) for i in range(len(rows[0]) - 1)]
    lines = []
    for row in rows:
        first = "".join(f"{cell.ljust(wide)}  " for cell, wide in zip(row, widths, strict=False))
        if columns - len(first) >= LEAST_LAST:
            lines += textwrap.wrap(
                row[-1], columns, initial_indent=first, subsequent_indent=" " * len(first)
            ) or [first.rstrip()]
        else:
            lines.append(first.rstrip())
            lines += textwrap.wrap(row[-1], columns, initial_indent="    ", subsequent_indent="    ")
    return lines
