"""What a person reads in the terminal of a cutting plan."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Mapping
from typing import Any

from furnigen.cli.finding_table import terminal_width
from furnigen.cli.show import safety
from furnigen.core.quantities import format_length
from furnigen.core.wording import shown
from furnigen.cutting.cautions import cautions
from furnigen.cutting.costing import Costs, money
from furnigen.cutting.cut_rows import CutRow
from furnigen.cutting.own_stock import as_sold
from furnigen.cutting.plan import Plan


def cut_lines(
    plan: Plan, costs: Costs, report: Mapping[str, Any], units: str, notes: Iterable[str]
) -> list[str]:
    """The cut list, what is proven for each stock, what does not fit, what it costs."""
    currency = plan.shop.currency
    lines = [f"{plan.title}: {sum(r.quantity for r in plan.rows)} parts, {costs.mass_kg:.1f} kg", ""]
    lines += [*_table(plan.rows, units), ""]
    for done in plan.jobs:
        lines.append(f"{done.job.name}: {done.verdict}")
        for part, many in done.solution.unfitted.items():
            lines += _wrapped(f"  {part} ({many}): does not fit; {shown(done.reason(part), units)}")
        lines += [line for fault in done.faults for line in _wrapped(f"  not sound: {fault}")]
    lines += [line for said in costs.saved for line in _wrapped(said)]
    if any(c.cost is not None for c in costs.lines):
        rest = f", without {', '.join(costs.unpriced)}" if costs.unpriced else ""
        lines += _wrapped(f"cost: {money(costs.known, currency)}{rest}")
        for name, copies, each in costs.by_piece:
            if each is not None and (copies > 1 or len(costs.by_piece) > 1):
                lines.append(f"  each {name} of {copies}: {money(each, currency)}")
    if plan.shop.invented:
        lines.append(f"{plan.shop.name} is a sample: its stock and its prices are invented")
    packed = report["packed"]
    if packed:
        box = " x ".join(
            format_length(packed[f"{side}_mm"], units, mark_inexact=units == "in")
            for side in ("length", "width", "height")
        )
        lines.append(f"packed flat: {box} inside")
    lines += [line for note in notes for line in _wrapped(note)]
    return [*lines, "", *_wrapped(cautions(plan.shop.router is not None)), safety()]


def _wrapped(text: str) -> list[str]:
    return textwrap.wrap(text, terminal_width(), subsequent_indent="    ")


def _table(rows: Iterable[CutRow], units: str) -> list[str]:
    """The cut list as lines: finished sizes."""
    cells = [("qty", "part", "length", "width", "thickness", "stock")]
    for r in rows:
        f = r.finished
        sizes = [
            format_length(v, units, mark_inexact=units == "in") for v in (f.length, f.width, f.thickness)
        ]
        cells.append((str(r.quantity), r.part, sizes[0], sizes[1], sizes[2], as_sold(r.stock).name))
    widths = [max(len(c[k]) for c in cells) for k in range(len(cells[0]))]
    return ["  ".join(c.ljust(w) for c, w in zip(row, widths, strict=True)).rstrip() for row in cells]
