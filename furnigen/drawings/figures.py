"""Figures on a drawing: sizes in millimetres, or in feet and inches with stacked fractions; arrowheads."""

from __future__ import annotations

import re
from math import atan2, cos, degrees, hypot, radians, sin

from furnigen.cutting.joint_words import size_text
from furnigen.paper.lettering import width_of
from furnigen.paper.page import NARROW, Align, Area, Point, Polyline, Text, line

HEIGHT_MM = 2.5
"""Of the capitals of figures (ISO 3098)."""
ARROW_MM = 2.5
_FRACTION = re.compile(r"(.*?)(\d+)/(\d+)(.*)")
_SMALL = 0.72
"""Figures of a stacked fraction over those beside it."""
LAYER = "dimension"


def figure_of(mm: float, units: str) -> str:
    """A size as it is written on a drawing: no unit in mm, and never a needless zero.

    >>> figure_of(6.0, "mm"), figure_of(6.44, "mm"), figure_of(2222.5, "in")
    ('6', '6.4', '7\\'-3 1/2"')
    """
    return size_text(mm, units)


def _parts(figure: str) -> tuple[str, str, str, str] | None:
    found = _FRACTION.fullmatch(figure)
    return (found[1].rstrip(), found[2], found[3], found[4]) if found else None


def figure_width(figure: str, height: float = HEIGHT_MM) -> float:
    """How long a figure is as it is drawn (mm)."""
    parts = _parts(figure)
    if parts is None:
        return width_of(figure, height)
    whole, over, under, after = parts
    stack = max(width_of(over, height * _SMALL), width_of(under, height * _SMALL))
    return width_of(whole, height) + stack + 0.8 + width_of(after, height)


def figure_items(
    at: Point,
    figure: str,
    height: float = HEIGHT_MM,
    align: Align = "middle",
    turn: float = 0.0,
    layer: str = LAYER,
) -> list[Text | Polyline]:
    """A figure with its base line at a point, a fraction stacked over a bar at half its height."""
    parts = _parts(figure)
    if parts is None:
        return [Text(at, figure, height, align, "base", turn, layer=layer)]
    whole, over, under, after = parts
    long, small = figure_width(figure, height), height * _SMALL
    start = {"left": 0.0, "middle": -long / 2, "right": -long}[align]
    c, s = cos(radians(turn)), sin(radians(turn))

    def spot(u: float, v: float) -> Point:
        return at[0] + u * c - v * s, at[1] + u * s + v * c

    stack = max(width_of(over, small), width_of(under, small))
    x = start
    items: list[Text | Polyline] = []
    if whole:
        items.append(Text(spot(x, 0.0), whole, height, "left", "base", turn, layer=layer))
        x += width_of(whole, height)
    middle = x + 0.4 + stack / 2
    bar = height / 2
    items.append(Text(spot(middle, bar + 0.35), over, small, "middle", "base", turn, layer=layer))
    items.append(line(spot(x + 0.3, bar), spot(x + 0.5 + stack, bar), NARROW, layer))
    items.append(Text(spot(middle, bar - 0.35 - small), under, small, "middle", "base", turn, layer=layer))
    if after:
        items.append(Text(spot(x + 0.8 + stack, 0.0), after, height, "left", "base", turn, layer=layer))
    return items


def arrowhead(tip: Point, toward: Point, long: float = ARROW_MM, layer: str = LAYER) -> Area:
    """A closed, filled arrowhead of 15 degrees at `tip`, its shaft coming from `toward` (ISO 129-1)."""
    dx, dy = toward[0] - tip[0], toward[1] - tip[1]
    n = hypot(dx, dy) or 1.0
    ux, uy = dx / n, dy / n
    half = long * 0.13
    base = (tip[0] + ux * long, tip[1] + uy * long)
    ring = (tip, (base[0] - uy * half, base[1] + ux * half), (base[0] + uy * half, base[1] - ux * half))
    return Area((ring,), "#000000", layer)


def dot_at(at: Point, radius: float = 0.5, layer: str = LAYER) -> Area:
    """A filled dot, where there is no room for arrowheads."""
    ring = tuple((at[0] + radius * cos(k * 0.7853982), at[1] + radius * sin(k * 0.7853982)) for k in range(8))
    return Area((ring,), "#000000", layer)


def direction(a: Point, b: Point) -> float:
    """Of the line from `a` to `b`, counter-clockwise from rightward (degrees)."""
    return degrees(atan2(b[1] - a[1], b[0] - a[0]))
