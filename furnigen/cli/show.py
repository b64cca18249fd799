"""What a person reads in the terminal: progress, findings, the parts list."""

from __future__ import annotations

import sys
import time
from collections.abc import Sequence

from furnigen.check.finding import FAIL, PASS, WARN, Finding, worst_first
from furnigen.output.report import SAFETY_NOTE
from furnigen.piece import Piece
from furnigen.quantities import format_length

UNITS = {"deg": "°", "N/mm2": "N/mm²"}
"""How some units are written for people."""
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


def _amount(value: float | None, unit: str, units: str) -> str:
    if value is None:
        return ""
    if unit == "mm":
        return format_length(value, units, mark_inexact=units == "in")
    if unit == "mm3":
        return f"{value:,.0f} mm³"
    whole = abs(value) >= 1000 or abs(value - round(value)) < 1e-9
    shown = f"{value:,.0f}" if whole else f"{value:.3g}"
    return f"{shown} {UNITS.get(unit, unit)}".strip()


def findings_table(findings: Sequence[Finding], units: str) -> list[str]:
    """Checks as lines, worst first, with the remedy under each that needs one."""
    lines = []
    words = {PASS: "pass", WARN: "warn", FAIL: "FAIL"}
    for f in worst_first(findings):
        limit = _amount(f.limit, f.unit, units) if f.limit else ""
        text = f"{words[f.status]}  {f.name:<20} {_amount(f.value, f.unit, units)}"
        share = f", {f.used:.0%} used" if f.used is not None else ""
        text += f" (limit {limit}{share})" if limit else ""
        text += f"  {f.where}" if f.where else ""
        lines.append(text)
        lines += [f"      {line}" for line in f.remedy.splitlines()]
    return lines


def parts_table(piece: Piece, units: str) -> list[str]:
    """The parts list as lines."""
    rows = [("part", "qty", "length", "width", "thickness", "stock")]
    for part, quantity in zip(piece.parts, piece.quantities, strict=True):
        sizes = (format_length(s, units, mark_inexact=units == "in") for s in part.form.blank_mm)
        rows.append((part.name, str(quantity), *sizes, part.stock.name))  # type: ignore[arg-type]
    widths = [max(len(r[i]) for r in rows) for i in range(len(rows[0]))]
    return ["  ".join(c.ljust(w) for c, w in zip(r, widths, strict=True)).rstrip() for r in rows]


def headline(piece: Piece, mass_kg: float, units: str) -> str:
    """One line: title, overall size, mass."""
    size = " x ".join(format_length(s, units, mark_inexact=units == "in") for s in piece.bounds.size)
    return f"{piece.title}: {size} (width x depth x height), {mass_kg:.1f} kg"


def safety() -> str:
    """The safety note."""
    return SAFETY_NOTE
