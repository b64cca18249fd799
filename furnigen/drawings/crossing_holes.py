"""Holes that run into one another, drawn from their description.

The kernel's hidden-line algorithm takes a minute for the curves in which two round holes meet; on paper they
are small. So such a part is drawn without these holes, and their circles and sides are added.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import combinations
from typing import Any

from furnigen.core.pose import Vector, cross, dot
from furnigen.drawings.part_data import PartData, StatedCut
from furnigen.drawings.views import View, ViewLine
from furnigen.kernel.hidden_lines import Flat
from furnigen.kernel.solids import solid
from furnigen.parts.cuts import Bore
from furnigen.parts.part import Part

SQUARE = 0.999


def crossing_bores(part: Part) -> list[Bore]:
    """Bores square to the part that meet another bore of it."""
    bores = [c for c in part.cuts if isinstance(c, Bore)]
    found: list[Bore] = []
    for a, b in combinations(bores, 2):
        if _apart(a, b) < (a.diameter + b.diameter) / 2:
            found += [c for c in (a, b) if max(map(abs, c.direction)) > SQUARE and c not in found]
    return found


def _apart(a: Bore, b: Bore) -> float:
    """The distance of the axes of two bores where they come nearest, within their depths (mm)."""
    across = cross(a.direction, b.direction)
    size = dot(across, across)
    if size < 1e-9:
        return float("inf")  # along each other they do not run into one another in a curve that matters
    between: Vector = tuple(q - p for p, q in zip(a.start, b.start, strict=True))  # type: ignore[assignment]
    s = dot(cross(between, b.direction), across) / size
    t = dot(cross(between, a.direction), across) / size
    s, t = min(max(s, 0.0), a.depth), min(max(t, 0.0), b.depth)
    p = [v + s * w for v, w in zip(a.start, a.direction, strict=True)]
    q = [v + t * w for v, w in zip(b.start, b.direction, strict=True)]
    return float(sum((x - y) ** 2 for x, y in zip(p, q, strict=True)) ** 0.5)


def without(part: Part, made: Any, bores: Sequence[Bore]) -> Any:
    """The solid of a part without some bores: the one given where there are none."""
    if not bores:
        return made
    return solid(replace(part, cuts=tuple(c for c in part.cuts if c not in bores)))


def with_holes(view: View, data: PartData, part: Part, bores: Sequence[Bore]) -> View:
    """A view with the lines of some bores added."""
    if not bores:
        return view
    starts = [data.turn.apply(b.start) for b in bores]
    toward = [data.turn.turn(b.direction) for b in bores]
    lines: list[ViewLine] = []
    for cut in data.cuts:
        for place in cut.places if cut.shape == "hole" else ():
            if any(
                dot(cut.toward, way) > SQUARE and _off(place, start, way) < 0.01
                for start, way in zip(starts, toward, strict=True)
            ):
                lines += _hole_lines(view, data, cut, place, part.name)
    return replace(view, lines=(*view.lines, *lines))


def _off(p: Vector, start: Vector, way: Vector) -> float:
    """How far a point lies off an axis (mm)."""
    between: Vector = tuple(a - b for a, b in zip(p, start, strict=True))  # type: ignore[assignment]
    off = cross(between, way)
    return float(dot(off, off) ** 0.5)


def _hole_lines(view: View, data: PartData, cut: StatedCut, at: Vector, owner: str) -> list[ViewLine]:
    projection = view.projection
    viewer = cross(projection.right, projection.up)
    along, radius = dot(cut.toward, viewer), cut.diameter / 2
    x, y = projection.point(at)
    through = cut.depth == float("inf")
    if abs(along) > SQUARE:
        seen = along < 0 or through
        ends = ((x + radius, y), (x + radius, y))
        return [ViewLine(owner, seen, ends, ((x, y), radius, 0.0, 360.0))]
    depth = data.size["xyz".index(cut.face[0])] if through else cut.depth
    ux, uy = dot(cut.toward, projection.right), dot(cut.toward, projection.up)

    def spot(forth: float, aside: float) -> Flat:
        return x + ux * forth - uy * aside, y + uy * forth + ux * aside

    sides = [(spot(0.0, r), spot(depth, r)) for r in (-radius, radius)]
    bottom = [] if through else [(spot(depth, -radius), spot(depth, radius))]
    return [ViewLine(owner, False, ends) for ends in (*sides, *bottom)]
