"""Dimension lines beside a view: chains, overall sizes; figures are never crossed.

A `Run` is one dimension line with its stops in real millimetres. Runs stand in tiers outward from a side of
their view, the longest outermost. What is too narrow for its figure gets it on the other side of the line,
once for each size. Extension lines are broken where they would cross a figure.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Literal

from furnigen.drawings.figures import (
    ARROW_MM,
    HEIGHT_MM,
    arrowhead,
    dot_at,
    figure_items,
    figure_of,
    figure_width,
)
from furnigen.drawings.views import Placed
from furnigen.paper.lettering import width_of
from furnigen.paper.page import NARROW, Dimension, Item, Point, Polyline, Text, line

Side = Literal["left", "right", "below", "above"]
FIRST_MM, TIER_MM, STACKED_MM = 7.5, 7.0, 3.0
"""From the view to the first tier, from tier to tier, and more where fractions are stacked: figures fit on
both sides of a line."""
GAP_MM, OVER_MM = 1.0, 1.5
"""Extension lines begin this far from the view, and run this far over the dimension line."""
THICK_MM = 50.0
"""What is less, such as a board, is said once where its figure does not fit its place; gaps always."""
LAYER = "dimension"
FREE_MM = 2.0
"""Kept free beside a view where nothing stands."""


@dataclass(frozen=True)
class Run:
    """One dimension line: its stops along the view (mm, plane of the view), in order.

    Attributes:
        starts: for each stop, how far across the view its extension line begins (mm); its edge where empty.
        notes: said below the line between two stops, such as "12 steps of 32".
        mark: before its figures, such as a diameter sign.
    """

    side: Side
    stops: tuple[float, ...]
    starts: tuple[float, ...] = ()
    notes: tuple[str, ...] = ()
    mark: str = ""

    @property
    def upright(self) -> bool:
        """Whether it measures upward."""
        return self.side in ("left", "right")


@dataclass
class Said:
    """What a sheet says already: each size is given once."""

    spans: set[tuple[bool, float, float]] = field(default_factory=set)
    narrow: set[tuple[bool, str]] = field(default_factory=set)


def _tier(units: str) -> float:
    return TIER_MM + (STACKED_MM if units == "in" else 0.0)


def _rise(units: str) -> float:
    """From a dimension line to its figure: a stacked fraction reaches lower than other figures."""
    return 1.7 if units == "in" else 0.9


def room_for(runs: Iterable[Run], side: Side, units: str) -> float:
    """How far the runs on one side of a view reach from it (mm on paper)."""
    count = sum(run.side == side for run in runs)
    if not count:
        return FREE_MM
    return FIRST_MM + (count - 1) * _tier(units) + _rise(units) + HEIGHT_MM + 1.1


def draw_runs(placed: Placed, runs: Sequence[Run], units: str, said: Said) -> list[Item]:
    """The runs beside a placed view, in tiers by their order: the first is nearest."""
    items: list[Item] = []
    reach: dict[str, float] = {}
    for run in runs:
        away = reach.get(run.side, FIRST_MM)
        items += _run(placed, run, away, units, said)
        reach[run.side] = away + _tier(units)
    return items


def _run(placed: Placed, run: Run, away: float, units: str, said: Said) -> list[Item]:
    """One run: extension lines, and a dimension between each two stops."""
    left, low, right, high = placed.box
    out = -1.0 if run.side in ("left", "below") else 1.0
    edge = {"left": left, "right": right, "below": low, "above": high}[run.side]
    across = edge + out * away

    def spot(along: float, over: float) -> Point:
        return (over, along) if run.upright else (along, over)

    lo = placed.view.lo
    origin = placed.at[1] - lo[1] * placed.scale if run.upright else placed.at[0] - lo[0] * placed.scale
    stops = [origin + s * placed.scale for s in run.stops]
    items: list[Item] = []
    for number, at in enumerate(stops):
        begin = edge
        if run.starts:
            base = placed.at[0] - lo[0] * placed.scale if run.upright else placed.at[1] - lo[1] * placed.scale
            begin = base + run.starts[number] * placed.scale
        items.append(line(spot(at, begin + out * GAP_MM), spot(at, across + out * OVER_MM), NARROW, LAYER))
    outer: list[tuple[float, float]] = []
    turn = 90.0 if run.upright else 0.0
    # above a line that lies, on the left of one that stands: read from below or from the right
    above = -1.0 if run.upright else 1.0
    tight = [b - a < 2 * ARROW_MM + 1.0 for a, b in pairwise(stops)]
    for k, ((a, b), (real_a, real_b)) in enumerate(zip(pairwise(stops), pairwise(run.stops), strict=True)):
        figure = run.mark + figure_of(real_b - real_a, units)
        span = (run.upright, round(real_a, 2), round(real_b, 2))
        ends = spot(a, across), spot(b, across)
        drawn: list[Item] = [line(*ends, NARROW, LAYER)]
        dots = tight[k]
        drawn += [dot_at(e) if dots else arrowhead(e, ends[1 - n]) for n, e in enumerate(ends)]
        long = figure_width(figure)
        if span in said.spans:
            items += drawn
            continue
        note = run.notes[k] if k < len(run.notes) else ""
        if note and width_of(note, HEIGHT_MM) + 1.0 <= b - a:
            under = spot((a + b) / 2, across - above * (_rise(units) + HEIGHT_MM))
            items.append(Text(under, note, HEIGHT_MM, "middle", "base", turn, layer=LAYER))
        if long + 1.0 <= b - a:
            on_line = spot((a + b) / 2, across + above * _rise(units))
            drawn += figure_items(on_line, figure, turn=turn)
            said.spans.add(span)
        elif real_b - real_a > THICK_MM or (run.upright, figure) not in said.narrow:
            centre = _free(outer, (a + b) / 2, long, stops[0], stops[-1])
            if centre is None:
                items += drawn
                continue
            outer.append((centre - long / 2, centre + long / 2))
            below = across - above * (_rise(units) + HEIGHT_MM)
            drawn += figure_items(spot(centre, below), figure, turn=turn)
            said.narrow.add((run.upright, figure))
            said.spans.add(span)
        else:
            items += drawn
            continue
        items.append(
            Dimension(
                tuple(d for d in drawn if not isinstance(d, Dimension)),
                spot(a, edge), spot(b, edge), spot((a + b) / 2, across), turn, 1 / placed.scale, figure,
            )
        )  # fmt: skip
    return items


def _free(
    taken: Sequence[tuple[float, float]], wanted: float, long: float, first: float, last: float
) -> float | None:
    """Where a figure of some length may stand nearest to where it is wanted, within its run."""
    room = long / 2 + 0.8
    best = None
    for step in range(80):
        for sign in (1, -1):
            at = wanted + sign * step * 0.5
            if step and not first + room <= at <= last - room:
                continue
            if not first + room <= at <= last - room and last - first > 2 * room:
                continue
            if all(at + room <= a or at - room >= b for a, b in taken):
                best = at
                break
        if best is not None:
            return best
    return None


def cleared(items: Sequence[Item]) -> list[Item]:
    """The items of a sheet, extension and hidden lines broken where they would cross a text."""
    boxes = []
    for item in items:
        for part in item.drawn if isinstance(item, Dimension) else (item,):
            if isinstance(part, Text):
                xs, ys = zip(*part.corners, strict=True)
                boxes.append((min(xs) - 0.5, min(ys) - 0.5, max(xs) + 0.5, max(ys) + 0.5))
    found: list[Item] = []
    for item in items:
        if isinstance(item, Polyline) and item.layer in BROKEN and len(item.points) == 2:
            found += _broken(item, boxes)
        else:
            found.append(item)
    return found


BROKEN = frozenset({LAYER, "hidden", "centre", "hatch"})
"""Layers whose lines give way to text."""


def _broken(item: Polyline, boxes: Sequence[tuple[float, float, float, float]]) -> list[Item]:
    (x0, y0), (x1, y1) = item.points
    dx, dy = x1 - x0, y1 - y0
    spans = []
    for a, b, c, d in boxes:
        enter, leave = 0.0, 1.0
        for start, delta, low, high in ((x0, dx, a, c), (y0, dy, b, d)):
            if abs(delta) < 1e-9:
                if not low < start < high:
                    enter, leave = 1.0, 0.0
                continue
            first, last = sorted(((low - start) / delta, (high - start) / delta))
            enter, leave = max(enter, first), min(leave, last)
        if leave > enter:
            spans.append((enter, leave))
    if not spans:
        return [item]
    kept, at = [], 0.0
    for enter, leave in sorted(spans):
        if enter > at + 1e-6:
            kept.append((at, enter))
        at = max(at, leave)
    if at < 1.0 - 1e-6:
        kept.append((at, 1.0))
    return [
        Polyline(((x0 + dx * a, y0 + dy * a), (x0 + dx * b, y0 + dy * b)), False, item.pen, item.layer)
        for a, b in kept
    ]
