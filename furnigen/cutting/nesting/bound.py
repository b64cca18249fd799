"""What is proven of a nest: no fewer sheets hold so much area, nor the rectangles among the parts."""

from __future__ import annotations

from dataclasses import replace
from math import floor

from furnigen.cutting.bounds.sheets import SheetBound
from furnigen.cutting.instance import Instance
from furnigen.cutting.nesting.proof import polygon_of
from furnigen.cutting.problem import NestProblem

ROUNDING = 1e-9
"""Taken off an area that is computed in floating point, so that the bound holds whatever its rounding."""


def nest_bound(problem: NestProblem, instance: Instance) -> SheetBound:
    """Bounds of a nest; the bound of sawn layouts does not hold for it.

    Each part takes its own area and half the cutter and spacing all round it, corners rounded; these do not
    overlap, and lie within the clear sheet grown alike. Parts that are plain rectangles also need as many
    sheets as dual feasible functions say, which holds for all layouts parallel to the sheet, sawn or not.

    Args:
        instance: of the rectangles round the parts.
    """
    half = (problem.rules.cutter_um + problem.rules.spacing_um) / 2
    area = 0
    for item in problem.items:
        if item.name not in instance.unfitted:
            # arcs are replaced by their chords: a little too small, as a bound must be
            each = polygon_of(item).buffer(half, quad_segs=16).area
            area += floor(each * (1 - ROUNDING)) * item.quantity
    plain = {i.name for i in problem.items if not i.outline_um and not i.windows_um}
    shapes = []
    for shape in instance.shapes:
        names = tuple((name, n) for name, n in shape.names if name in plain)
        if names:
            shapes.append(replace(shape, names=names, quantity=sum(n for _, n in names)))
    return SheetBound(replace(instance, shapes=tuple(shapes)), area)
