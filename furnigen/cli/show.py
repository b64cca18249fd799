"""What a person reads in the terminal: progress, findings, the parts list."""

from __future__ import annotations

import sys
import textwrap
import time
from collections.abc import Mapping
from typing import Any

from furnigen.cli.finding_table import terminal_width
from furnigen.core.quantities import format_length
from furnigen.formats.report import SAFETY_NOTE
from furnigen.piece.description import Piece

MOST_PARTS = 20
"""Parts that are listed on a terminal where not all are asked for; the cut list has them all."""
QUIET_SECONDS = 1.0
"""Work shorter than this needs no progress line."""


class Progress:
    """A line on a terminal that says what is being done, once work has taken a second."""

    def __init__(self) -> None:
        self._start = time.monotonic()
        self._shown = False
        self._live = sys.stderr.isatty()

    def __call__(self, step: str) -> None:
        """Show one step."""
        if self._live and time.monotonic() - self._start >= QUIET_SECONDS:
            sys.stderr.write(f"\r\x1b[K{step} ...")
            sys.stderr.flush()
            self._shown = True

    def done(self) -> None:
        """Clear the line."""
        if self._shown:
            sys.stderr.write("\r\x1b[K")
            sys.stderr.flush()


def parts_table(piece: Piece, units: str, *, whole: bool = True, most: int = MOST_PARTS) -> list[str]:
    """The parts list as lines; unless whole, `most` parts at most."""
    rows = [("part", "qty", "length", "width", "thickness", "stock")]
    for part, quantity in zip(piece.parts, piece.quantities, strict=True):
        sizes = (format_length(s, units, mark_inexact=units == "in") for s in part.form.blank_mm)
        rows.append((part.name, str(quantity), *sizes, part.stock.name))  # type: ignore[arg-type]
    rest = 0 if whole else max(len(rows) - 1 - most, 0)
    rows = rows[: len(rows) - rest]
    widths = [max(len(r[i]) for r in rows) for i in range(len(rows[0]))]
    lines = ["  ".join(c.ljust(w) for c, w in zip(r, widths, strict=True)).rstrip() for r in rows]
    return [*lines, f"and {rest} more part{'s' if rest > 1 else ''}; --all shows all"] if rest else lines


def headline(piece: Piece, mass_kg: float, units: str) -> str:
    """One line: title, overall size, mass."""
    size = " x ".join(format_length(s, units, mark_inexact=units == "in") for s in piece.bounds.size)
    return f"{piece.title}: {size} (width x depth x height), {mass_kg:.1f} kg"


def steps_lines(report: Mapping[str, Any]) -> list[str]:
    """The order of assembly, a numbered line for each step, wrapped to the terminal."""
    steps = report.get("assembly", ())
    wide = len(str(len(steps)))
    lines = ["Order of assembly:" if steps else "Order of assembly: none was found"]
    for row in steps:
        first = f"{row['step']:>{wide + 2}}  "
        lines += textwrap.wrap(
            row["text"], terminal_width(), initial_indent=first, subsequent_indent=" " * len(first)
        )
    return lines


def exact_length(mm: float, units: str) -> str:
    """A length no maker rounds, since errors add up along a row: 396.24 mm, 15.6 in.

    >>> exact_length(396.24, "in"), exact_length(739.8, "mm")
    ('15.6 in', '739.8 mm')
    """
    return f"{round(mm / 25.4, 4):.10g} in" if units == "in" else f"{round(mm, 2):.10g} mm"


def safety() -> str:
    """The safety note, within the terminal."""
    return textwrap.fill(SAFETY_NOTE, terminal_width())
