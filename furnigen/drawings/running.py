"""Running dimensions: the distances of a row of stops from one datum on a single line (ISO 129-1).

The datum is a small circle on the line; each stop has an arrowhead, and its figure at the end of its
extension line, read from below or from the right. Figures that would touch are moved apart, and their
extension lines bent.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from furnigen.drawings.dimensions import FIRST_MM, FREE_MM, GAP_MM, LAYER, Run, Side, room_for
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
from furnigen.paper.page import NARROW, Align, Arc, Dimension, Item, Point, Polyline, Text, line

DATUM_MM = 0.9
"""Radius of the circle at the datum."""
BENT_MM, STRAIGHT_MM = 3.0, 1.5
"""From the dimension line to the figures: where extension lines bend on their way, and where none does."""
FARTHEST_MM = 16.0
"""A figure further than this from its stop can not be told whose it is."""


def running_pitch(units: str) -> float:
    """The least distance of two figures (mm on paper): stacked fractions are taller."""
    return 5.4 if units == "in" else 3.4


def spread(wanted: Sequence[float], pitch: float) -> list[float]:
    """Places in order, no two nearer than `pitch`, as near as can be to where they are wanted.

    >>> spread([0.0, 1.0, 10.0], 3.0)
    [-1.0, 2.0, 10.0]
    """
    blocks: list[tuple[float, int]] = []  # mean of where its first would be, how many
    for k, at in enumerate(wanted):
        total, count = at - k * pitch, 1
        while blocks and blocks[-1][0] >= total:
            mean, many = blocks.pop()
            total = (mean * many + total * count) / (many + count)
            count += many
        blocks.append((total, count))
    found: list[float] = []
    for mean, count in blocks:
        found += [mean + (len(found) + n) * pitch for n in range(count)]
    return found


def running_away(runs: Iterable[Run], side: Side, units: str) -> float:
    """How far from its view a line of running dimensions stands, beyond other lines (mm on paper)."""
    room = room_for(runs, side, units)
    return FIRST_MM if room <= FREE_MM else room + 3.0


def running_room(stops: Sequence[float], datum: float, units: str) -> float:
    """How far running dimensions reach beyond their line (mm on paper)."""
    long = max(figure_width(figure_of(abs(s - datum), units)) for s in (datum, *stops))
    return BENT_MM + 1.0 + long + 1.0


def running_fits(stops: Sequence[float], scale: float, units: str) -> bool:
    """Whether every figure finds a place near its stop.

    Args:
        stops: with the datum, in order (mm).
        scale: paper over real.
    """
    wanted = [s * scale for s in stops]
    places = spread(wanted, running_pitch(units))
    return all(abs(a - b) <= FARTHEST_MM for a, b in zip(wanted, places, strict=True))


def running_overrun(
    stops: Sequence[float], datum: float, span: tuple[float, float], scale: float, units: str
) -> tuple[float, float]:
    """How far figures that were moved apart reach beyond either end of their view (mm on paper).

    Args:
        span: the view along the line (mm).
        scale: paper over real.
    """
    pitch = running_pitch(units)
    places = spread([s * scale for s in sorted({*stops, datum})], pitch)
    low, high = (end * scale for end in span)
    return max(0.0, low - places[0] + pitch / 2), max(0.0, places[-1] + pitch / 2 - high)


def draw_running(
    on: Placed, side: Side, datum: float, stops: Sequence[float], units: str, away: float = FIRST_MM
) -> list[Item]:
    """A line of running dimensions beside a view.

    Args:
        datum, stops: along the view (mm, plane of the view).
        away: of the dimension line, from the view (mm on paper).
    """
    upright = side in ("left", "right")
    left, low, right, high = on.box
    out = -1.0 if side in ("left", "below") else 1.0
    edge = {"left": left, "right": right, "below": low, "above": high}[side]
    across = edge + out * away

    def spot(along: float, over: float) -> Point:
        return (over, along) if upright else (along, over)

    k = 1 if upright else 0
    first = on.at[k] + (datum - on.view.lo[k]) * on.scale
    every = sorted({round(s, 3) for s in stops if abs(s - datum) > 1e-3} | {round(datum, 3)})
    at = [on.at[k] + (s - on.view.lo[k]) * on.scale for s in every]
    places = spread(at, running_pitch(units))
    bent = any(abs(a - b) > 0.05 for a, b in zip(at, places, strict=True))
    ends = across + out * (BENT_MM if bent else STRAIGHT_MM)
    items: list[Item] = []
    gaps = [b - a for a, b in pairwise(at)]
    for number, (stop, here, place) in enumerate(zip(every, at, places, strict=True)):
        items.append(line(spot(here, edge + out * GAP_MM), spot(here, across + out * 0.5), NARROW, LAYER))
        items.append(line(spot(here, across + out * 0.5), spot(place, ends), NARROW, LAYER))
        figure = figure_of(abs(stop - datum), units)
        said = _figure(place, ends + out * 1.0, figure, upright, out)
        if abs(here - first) < 1e-6:
            items += [Arc(spot(here, across), DATUM_MM, pen=NARROW, layer=LAYER), *said]
            continue
        back = number - 1 if here > first else number + 1
        inward = at[back]
        start = inward + (DATUM_MM if here > inward else -DATUM_MM) * (abs(inward - first) < 1e-6)
        gap = gaps[min(number, back)]
        tip = (
            arrowhead(spot(here, across), spot(start, across))
            if gap > ARROW_MM + DATUM_MM
            else dot_at(spot(here, across))
        )
        items.append(
            Dimension(
                (line(spot(start, across), spot(here, across), NARROW, LAYER), tip, *said),
                spot(first, edge), spot(here, edge), spot(here, across), 90.0 if upright else 0.0,
                1 / on.scale, figure, kind="running",
            )
        )  # fmt: skip
    return items


def _figure(place: float, over: float, figure: str, upright: bool, out: float) -> list[Text | Polyline]:
    """A figure in line with its extension line, its middle at `place`."""
    align: Align = "right" if out < 0 else "left"
    if upright:
        return figure_items((over, place - HEIGHT_MM / 2), figure, align=align)
    return figure_items((place + HEIGHT_MM / 2, over), figure, align=align, turn=90.0)
