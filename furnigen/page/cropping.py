"""Drawings cut down to what is drawn: a screen has no room for empty paper."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from furnigen.paper.page import Arc, Area, Contour, Dimension, Item, Page, Point, Polyline, Text
from furnigen.paper.svg import moved

EDGE_MM = 4.0
"""Kept free around what is drawn."""
Extent = tuple[float, float, float, float]
"""Left, bottom, right, top (mm)."""


def extent(items: Iterable[Item]) -> Extent | None:
    """How far items reach; None for no items. Lines count without their width."""
    points = [p for item in items for p in _points(item)]
    if not points:
        return None
    xs, ys = zip(*points, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _points(item: Item) -> Iterable[Point]:
    if isinstance(item, Polyline):
        return item.points
    if isinstance(item, Area):
        return [p for ring in item.rings for p in ring]
    if isinstance(item, Contour):
        return [(x, y) for x, y, _ in item.corners]
    if isinstance(item, Arc):
        (x, y), r = item.centre, item.radius
        return [(x - r, y - r), (x + r, y + r)]
    if isinstance(item, Dimension):
        return [p for part in item.drawn for p in _points(part)]
    assert isinstance(item, Text)
    return item.corners


def cropped(page: Page, to: Extent | None) -> Page:
    """A page cut down to an extent, with a free edge; as it is for None."""
    if to is None:
        return page
    left, low, right, top = to[0] - EDGE_MM, to[1] - EDGE_MM, to[2] + EDGE_MM, to[3] + EDGE_MM
    items = tuple(moved(item, -left, -low) for item in page.items)
    return replace(page, width=right - left, height=top - low, items=items)
