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
        line: whether the best ones are points of one curve; they are numbered then.
        limit: how high nothing holds any more; None where that means nothing.
    """

    title: str
    across: str
    up: str
    dots: tuple[Dot, ...]
    line: bool = False
    limit: float | None = None


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
    """An axis: from one round number to another, with some room about the values."""
    low, high = min(values), max(values)
    room = (high - low) * 0.02 or abs(low) * 0.05 or 1.0
    low, high = (max(0.0, low - room) if low >= 0 else low - room), high + room
    first, second, *_ = ticks(low, high)
    step = second - first
    return floor(low / step + 1e-9) * step, ceil(high / step - 1e-9) * step


def _spans(chart: Chart) -> tuple[float, float, float, float]:
    up = [d.y for d in chart.dots] + ([] if chart.limit is None else [chart.limit])
    return (*_span([d.x for d in chart.dots]), *_span(up))


def chart_lines(chart: Chart) -> list[str]:
    """The chart as text; nothing for fewer than two candidates."""
    if len(chart.dots) < 2:
        return []
    x0, x1, y0, y1 = _spans(chart)
    cells = [[" "] * WIDE for _ in range(HIGH)]

    def row(y: float) -> int:
        return HIGH - 1 - min(HIGH - 1, int((y - y0) / (y1 - y0) * HIGH))

    labels = {0: f"{y1:.4g}", HIGH - 1: f"{y0:.4g}"}
    if chart.limit is not None:
        cells[row(chart.limit)] = list("." * WIDE)
        labels[row(chart.limit)] = f"{chart.limit:.4g}"
    for dot in sorted(chart.dots, key=lambda d: _RANK[d.kind]):
        column = min(WIDE - 1, int((dot.x - x0) / (x1 - x0) * WIDE))
        cells[row(dot.y)][column] = MARKS[dot.kind]
    wide = max(map(len, labels.values()))
    lines = [f"{chart.up} (up), {chart.across} (across); * best, o holds, x fails"]
    for k, row_ in enumerate(cells):
        label = labels.get(k, "")
        lines.append(f"{label:>{wide}} |{''.join(row_)}".rstrip())
    ends = f"{x0:.4g}".ljust(WIDE - len(f"{x1:.4g}")) + f"{x1:.4g}"
    return [*lines, f"{'':>{wide}} +{'-' * WIDE}", f"{'':>{wide}}  {ends}"]


def chart_page(chart: Chart) -> Page:
    """The chart as a page (mm)."""
    x0, x1, y0, y1 = _spans(chart)
    wide, high = PAGE_W - LEFT - RIGHT, PAGE_H - LOW - HEAD

    def at(x: float, y: float) -> tuple[float, float]:
        return LEFT + (x - x0) / (x1 - x0) * wide, LOW + (y - y0) / (y1 - y0) * high

    items: list[Item] = [
        Polyline(((LEFT, LOW + high), (LEFT, LOW), (LEFT + wide, LOW)), pen=NARROW),
        Text((LEFT, PAGE_H - 7.0), chart.title, 3.5),
        Text((LEFT + wide / 2, 8.5), chart.across, 2.5, "middle"),
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
    if chart.limit is not None:
        _, py = at(x0, chart.limit)
        items.append(Polyline(((LEFT, py), (LEFT + wide, py)), pen=_PENS[FAILS]))
    best = sorted((d.x, d.y) for d in chart.dots if d.kind == BEST)
    if chart.line and len(best) > 1:
        items.append(Polyline(tuple(at(x, y) for x, y in best), pen=FINE))
    for dot in sorted(chart.dots, key=lambda d: _RANK[d.kind]):
        items += _mark(at(dot.x, dot.y), dot.kind)
    if chart.line:
        for number, (x, y) in enumerate(best, 1):
            px, py = at(x, y)
            items.append(Text((px + 1.2, py + 2.2), f"{number:02}", 2.5))
    for place, kind in enumerate((BEST, HOLDS, FAILS)):
        px = LEFT + wide - 18.0 * (3 - place)
        items += [*_mark((px, 3.4), kind), Text((px + 2.6, 2.5), kind, 2.5)]
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
