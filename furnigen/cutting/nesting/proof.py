"""An independent check of nests by a general library of plane geometry; no code is shared with the search."""

from __future__ import annotations

from collections import Counter

import numpy as np
from shapely import STRtree
from shapely.affinity import affine_transform
from shapely.geometry import Polygon, box
from shapely.validation import explain_validity

from furnigen.core.errors import InputError
from furnigen.cutting.layout import Placed, SheetSolution
from furnigen.cutting.problem import Item, NestProblem, mm

ROUNDING_UM = 0.01
"""Distances are floating point; a hundred-millionth of a metre is no fault."""


def polygon_of(item: Item) -> Polygon:
    """The true outline of an item with its windows (micrometres)."""
    a, b = item.length_um, item.width_um
    outline = item.outline_um or ((0, 0), (a, 0), (a, b), (0, b))
    return Polygon(outline, item.windows_um)


def refuse_bad_outlines(problem: NestProblem) -> None:
    """Raise InputError for an outline that is none, or that leaves the rectangle of its part."""
    for item in problem.items:
        if not item.outline_um and not item.windows_um:
            continue
        polygon = polygon_of(item)
        if not polygon.is_valid or not polygon.area:
            raise InputError(f"outline of {item.name}", explain_validity(polygon), "must not cross itself")
        x0, y0, x1, y1 = polygon.bounds
        if x0 < 0 or y0 < 0 or x1 > item.length_um or y1 > item.width_um:
            reach = f"{mm(int(x0)):g}, {mm(int(y0)):g} to {mm(int(x1)):g}, {mm(int(y1)):g} mm"
            size = f"0, 0 to {mm(item.length_um):g}, {mm(item.width_um):g} mm"
            raise InputError(f"outline of {item.name}", reach, f"must lie within {size}")


def lying(item: Item, placed: Placed) -> Polygon:
    """An item's polygon where it lies on the sheet (micrometres)."""
    a, b = item.length_um, item.width_um
    angle = placed.angle or (90 if placed.turned else 0)
    cos, sin = {0: (1, 0), 90: (0, 1), 180: (-1, 0), 270: (0, -1)}[angle]
    # turned about the origin, then the corner of its rectangle set down
    dx, dy = {0: (0, 0), 90: (b, 0), 180: (a, b), 270: (0, a)}[angle]
    return affine_transform(polygon_of(item), [cos, -sin, sin, cos, placed.x_um + dx, placed.y_um + dy])


def check_nest(problem: NestProblem, found: SheetSolution) -> list[str]:
    """What is wrong with layouts for a router, in words; empty when they are sound.

    All items are there or said to be left out; none reaches beyond its sheet less trims and a cutter; any two
    are a cutter and its spacing apart; grain runs as it must; no sheet is used more often than there are.
    """
    items = {i.name: i for i in problem.items}
    sheets = {s.name: s for s in problem.sheets}
    rules = problem.rules
    gap = rules.cutter_um + rules.spacing_um
    faults = []
    count: Counter[str] = Counter()
    used: Counter[str] = Counter()
    for layout in found.layouts:
        sheet, t = sheets[layout.sheet], sheets[layout.sheet].trims
        used[layout.sheet] += layout.copies
        room = box(
            t.left_um + rules.cutter_um,
            t.bottom_um + rules.cutter_um,
            sheet.length_um - t.right_um - rules.cutter_um,
            sheet.width_um - t.top_um - rules.cutter_um,
        )
        shapes = [lying(items[p.item], p) for p in layout.placed]
        for placed, shape in zip(layout.placed, shapes, strict=True):
            item = items[placed.item]
            count[placed.item] += layout.copies
            if (placed.length_um, placed.width_um) != (item.length_um, item.width_um):
                faults.append(f"{placed.item} is laid out in a wrong size")
            if sheet.grain and placed.turned and not item.turnable:
                faults.append(f"{placed.item} lies across the grain of {layout.sheet}")
            if placed.turned != (placed.angle in (90, 270)):
                faults.append(f"{placed.item} is turned otherwise than by its angle")
            if not room.buffer(ROUNDING_UM).covers(shape):
                faults.append(f"{placed.item} lies beyond the clear part of {layout.sheet}")
        for k, shape in enumerate(shapes):
            tree = STRtree(shapes[:k])
            for j in np.sort(
                tree.query(shape, predicate="intersects")
                if not gap
                else tree.query(shape.envelope.buffer(gap + 1))
            ):
                other = shapes[int(j)]
                near = gap - shape.distance(other) > ROUNDING_UM
                if near or shape.intersection(other).area > 1.0:
                    names = f"{layout.placed[k].item} lies nearer to {layout.placed[int(j)].item}"
                    faults.append(f"{names} than the cutter needs")
    for sheet in problem.sheets:
        if sheet.copies is not None and used[sheet.name] > sheet.copies:
            faults.append(f"{used[sheet.name]} of {sheet.name} are used, there are {sheet.copies}")
    if +used != Counter(found.used):
        faults.append("the sheets used are not those laid out")
    for item in problem.items:
        there, left = count[item.name], found.unfitted.get(item.name, 0)
        if there + left != item.quantity:
            faults.append(f"{there} of {item.name} are laid out and {left} left out, of {item.quantity}")
    return faults
