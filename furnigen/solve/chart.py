"""A small chart of the candidates that were checked: as text for a terminal, and as a page."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import ceil, floor, isfinite, log10

from furnigen.paper.page import FINE, NARROW, Arc, Item, Page, Pen, Polyline, Text

BEST, HOLDS, FAILS = "best", "holds", "fails"
MARKS = {BEST: "*", HOLDS: "o", FAILS: "x"}
_RANK = {FAILS: 0, HOLDS: 1, BEST: 2}
WIDE, HIGH = 56, 11
"""Columns and rows of marks on a terminal."""
PAGE_W, PAGE_H = 160.0, 100.0
LEFT, LOW, RIGHT, HEAD = 24.0, 18.0, 6.0, 12.0
_PENS = {BEST: Pen(0.5), HOLDS: Pen(0.25, colour="#2b6a4d"), FAILS: Pen(0.25, colour="#b03a2e")}


@dataclass(frozen=True)
class Dot:
    """One candidate: where it stands, and whether it holds."""

    x: float
    y: float
    kind: str


@dataclass(frozen=True)
class Chart:
    """What is drawn.

    Attributes:
        title, across, up: words of the chart and its axes.
        dots: the candidates.
        line: whether the best ones are points of one curve.
    """

    title: str
    across: str
    up: str
    dots: tuple[Dot, ...]
    line: bool = False


def ticks(low: float, high: float, most: int = 6) -> list[float]:
    """Round numbers from `low` to `high`, those a person reads along an axis.

    >>> ticks(0.13, 1.1)
    [0.2, 0.4, 0.6, 0.8, 1.0]
    """
    if not isfinite(high - low) or high <= low:
        return [low]
    raw = (high - low) / most
    base = 10.0 ** floor(log10(raw))
    step = next(base * k for k in (1, 2, 5, 10) if base * k >= raw)
    first, last = ceil(low / step - 1e-9), floor(high / step + 1e-9)
    return [round(k * step, 12) for k in range(first, last + 1)]


def _span(values: Sequence[float]) -> tuple[float, float]:
    low, high = min(values), max(values)
    room = (high - low) * 0.04 or abs(low) * 0.05 or 1.0
    return (max(0.0, low - room) if low >= 0 else low - room), high + room


def chart_lines(chart: Chart) -> list[str]:
    """The chart as text; nothing for fewer than two candidates."""
    if len(chart.dots) < 2:
        return []
    x0, x1 = _span([d.x for d in chart.dots])
    y0, y1 = _span([d.y for d in chart.dots])
    cells = [[" "] * WIDE for _ in range(HIGH)]
    for dot in sorted(chart.dots, key=lambda d: _RANK[d.kind]):
        column = min(WIDE - 1, int((dot.x - x0) / (x1 - x0) * WIDE))
        row = min(HIGH - 1, int((dot.y - y0) / (y1 - y0) * HIGH))
        cells[HIGH - 1 - row][column] = MARKS[dot.kind]
    top, bottom = f"{y1:.4g}", f"{y0:.4g}"
    wide = max(len(top), len(bottom))
    lines = [f"{chart.up} (up) and {chart.across} (across); * best, o holds, x fails"]
    for k, row_ in enumerate(cells):
        label = top if k == 0 else bottom if k == HIGH - 1 else ""
        lines.append(f"{label:>{wide}} |{''.join(row_)}".rstrip())
    ends = f"{x0:.4g}".ljust(WIDE - len(f"{x1:.4g}")) + f"{x1:.4g}"
    return [*lines, f"{'':>{wide}} +{'-' * WIDE}", f"{'':>{wide}}  {ends}"]


def chart_page(chart: Chart) -> Page:
    """The chart as a page (mm)."""
    x0, x1 = _span([d.x for d in chart.dots])
    y0, y1 = _span([d.y for d in chart.dots])
    wide, high = PAGE_W - LEFT - RIGHT, PAGE_H - LOW - HEAD

    def at(x: float, y: float) -> tuple[float, float]:
        return LEFT + (x - x0) / (x1 - x0) * wide, LOW + (y - y0) / (y1 - y0) * high

    items: list[Item] = [
        Polyline(((LEFT, LOW + high), (LEFT, LOW), (LEFT + wide, LOW)), pen=NARROW),
        Text((LEFT, PAGE_H - 7.0), chart.title, 3.5),
        Text((LEFT + wide / 2, 3.5), chart.across, 2.5, "middle"),
        Text((5.0, LOW + high / 2), chart.up, 2.5, "middle", "top", 90.0),
    ]
    grey = Pen(0.13, colour="#cccccc")
    for x in ticks(x0, x1):
        px, _ = at(x, y0)
        items += [
            Polyline(((px, LOW), (px, LOW + high)), pen=grey),
            Text((px, LOW - 4.5), f"{x:g}", 2.5, "middle"),
        ]
    for y in ticks(y0, y1):
        _, py = at(x0, y)
        items += [Polyline(((LEFT, py), (LEFT + wide, py)), pen=grey),
                  Text((LEFT - 1.5, py), f"{y:g}", 2.5, "right", "middle")]  # fmt: skip
    best = sorted((d.x, d.y) for d in chart.dots if d.kind == BEST)
    if chart.line and len(best) > 1:
        items.append(Polyline(tuple(at(x, y) for x, y in best), pen=FINE))
    for dot in sorted(chart.dots, key=lambda d: _RANK[d.kind]):
        items += _mark(at(dot.x, dot.y), dot.kind)
    return Page(PAGE_W, PAGE_H, tuple(items), title=chart.title)


def _mark(at: tuple[float, float], kind: str) -> list[Item]:
    x, y = at
    pen, r = _PENS[kind], 1.6 if kind == BEST else 0.8
    if kind == FAILS:
        return [
            Polyline(((x - r, y - r), (x + r, y + r)), pen=pen),
            Polyline(((x - r, y + r), (x + r, y - r)), pen=pen),
        ]
    return [Arc(at, r, pen=pen)]
