"""Nest all items of one material for a router: search over orders, bound, layouts."""

from __future__ import annotations

from collections import Counter
from dataclasses import replace

import numpy as np

from furnigen.cutting.effort import Effort
from furnigen.cutting.instance import Instance, make_instance
from furnigen.cutting.layout import Placed, Rect, SheetLayout, SheetSolution
from furnigen.cutting.nesting.bound import nest_bound
from furnigen.cutting.nesting.fill import CutShort, Filled, Filler, Nest
from furnigen.cutting.nesting.proof import refuse_bad_outlines
from furnigen.cutting.nesting.rectangles import as_rectangles
from furnigen.cutting.problem import Item, NestProblem
from furnigen.cutting.solve import cut_sheets

WORK_A_LEVEL = 40_000_000
"""Sides compared in about half a second of one core."""
RECTANGLES_SHARE = 0.4
"""Share of the effort that lays out the rectangles round the parts first."""
SEED = 20


def nest_sheets(problem: NestProblem, effort: Effort | None = None) -> SheetSolution:
    """Lay items out by their true outlines: least cost, then fewest sheets, then one large offcut.

    Parts are a cutter and its spacing from each other, a cutter from the trimmed edge; small parts go into
    the windows of large ones where they fit. A part may be turned by half a turn, and by a quarter turn
    where it is turnable or the sheet has no grain.

    Args:
        problem: items with outlines, sheets, the cutter.
        effort: how long to search; one level of counted work if None.

    Returns:
        Layouts without cuts, and what is proven about them: by the area of the outlines with half the cutter
        and spacing round them, and by rectangles that cannot share a sheet.

    Raises:
        InputError: an outline that crosses itself, or leaves the rectangle of its part.
    """
    effort = effort or Effort()
    refuse_bad_outlines(problem)
    rectangles = as_rectangles(problem)
    instance = make_instance(rectangles)
    by_saw = cut_sheets(rectangles, replace(effort, level=effort.level * RECTANGLES_SHARE))
    bound = nest_bound(problem, instance)
    best = replace(by_saw, layouts=tuple(replace(x, cuts=()) for x in by_saw.layouts))
    cut_short = by_saw.cut_short
    if instance.shapes and (best.unfitted or _cost(best, instance) > bound.cost):
        found, cut_short = _search(problem, instance, best, bound.cost, effort)
        best = found
    proven = not best.unfitted and _cost(best, instance) <= bound.cost
    return replace(
        best,
        cost_bound=best.cost if proven else instance.least_price(bound.cost),
        sheets_bound=bound.sheets,
        proven=proven,
        cut_short=cut_short and not proven,
    )


def _cost(solution: SheetSolution, instance: Instance) -> int:
    cost_of = {k.sheet.name: k.cost for k in instance.kinds}
    return sum(cost_of[name] * n for name, n in solution.used.items())


def _search(
    problem: NestProblem, instance: Instance, first: SheetSolution, bound: int, effort: Effort
) -> tuple[SheetSolution, bool]:
    """The best of the first layout and those of many orders of the parts; True when it was cut short."""
    filler = Filler(problem, instance.kinds, effort)
    work = int(WORK_A_LEVEL * effort.level)
    best, key = first, _worth(first, problem, instance)
    chance = np.random.default_rng(SEED)
    fitting = {i for i, item in enumerate(problem.items) if item.name not in instance.unfitted}
    orders = _orders(problem, fitting)
    current: list[int] | None = None
    current_key: tuple[int, ...] = ()
    tried = 0
    try:
        while filler.work < work or tried == 0:
            if tried < 2 * len(orders):
                order, upright, last = orders[tried // 2], bool(tried % 2), True
            else:
                assert current is not None
                order = _changed(current, chance)
                upright, last = bool(chance.integers(2)), bool(chance.integers(4))
            nest = filler.sheets(order, upright, last)
            tried += 1
            fill_key = _fill_key(nest, instance, filler)
            if current is None or fill_key <= current_key:
                current, current_key = order, fill_key
                found = _solution(problem, instance, nest)
                found_key = _worth(found, problem, instance)
                if found_key < key:
                    best, key = found, found_key
                    effort.tell(min(1.0, filler.work / work), f"{found.sheets} sheets")
            if key[0] == 0 and key[1] <= bound and tried >= 2 * len(orders):
                break
    except CutShort:
        return best, True
    return best, False


def _orders(problem: NestProblem, fitting: set[int]) -> list[list[int]]:
    """Orders of what fits worth trying first: by size in several senses, the largest first."""
    items = problem.items

    def by(measure: object) -> list[int]:
        assert callable(measure)
        ranked = sorted(fitting, key=lambda k: (-measure(items[k]), k))
        return [k for k in ranked for _ in range(items[k].quantity)]

    orders = [
        by(lambda i: i.length_um * i.width_um),
        by(lambda i: max(i.length_um, i.width_um)),
        by(lambda i: i.length_um),
        by(lambda i: i.width_um),
        by(lambda i: i.length_um + i.width_um),
    ]
    return [o for k, o in enumerate(orders) if o not in orders[:k]]


def _changed(order: list[int], chance: np.random.Generator) -> list[int]:
    """The order with a few parts moved elsewhere."""
    changed = list(order)
    for _ in range(int(chance.integers(1, 4))):
        part = changed.pop(int(chance.integers(len(changed))))
        changed.insert(int(chance.integers(len(changed) + 1)), part)
    return changed


def _fill_key(nest: Nest, instance: Instance, filler: Filler) -> tuple[int, ...]:
    """What is left out, the cost, and how little lies on the emptiest sheet."""
    areas = filler.areas
    left = sum(n * a for n, a in zip(nest.left, areas, strict=True))
    taken = [sum(areas[s[0]] for s in f.spots) for f in nest.sheets]
    return left, sum(instance.kinds[f.kind].cost for f in nest.sheets), min(taken, default=0)


def _worth(solution: SheetSolution, problem: NestProblem, instance: Instance) -> tuple[int, int, int, int]:
    """What is left out, the cost, the largest offcut and all of them: the smaller the better."""
    left = sum(i.length_um * i.width_um * solution.unfitted.get(i.name, 0) for i in problem.items)
    offcuts = [(r.along_x_um * r.along_y_um, x.copies) for x in solution.layouts for r in x.offcuts]
    largest = max((area for area, _ in offcuts), default=0)
    return left, _cost(solution, instance), -largest, -sum(area * n for area, n in offcuts)


def _solution(problem: NestProblem, instance: Instance, nest: Nest) -> SheetSolution:
    """Sheets as layouts, those alike as copies; what is proven is filled in by the caller."""
    alike = Counter(nest.sheets)
    layouts = tuple(
        SheetLayout(
            instance.kinds[f.kind].sheet.name,
            n,
            _placed(problem, instance, f),
            (),
            _offcuts(problem, instance, f),
        )
        for f, n in sorted(alike.items(), key=lambda e: -e[1])
    )
    used: Counter[str] = Counter()
    for layout in layouts:
        used[layout.sheet] += layout.copies
    left = {i.name: n for i, n in zip(problem.items, nest.left, strict=True) if n}
    left |= instance.unfitted
    why = "no sheet is left to cut it from"
    return SheetSolution(
        layouts=layouts,
        used={s.name: used[s.name] for s in problem.sheets if used[s.name]},
        cost=sum(instance.kinds[f.kind].price for f in nest.sheets),
        cost_bound=0,
        sheets_bound=0,
        proven=False,
        cut_short=False,
        unfitted=left,
        reasons={name: instance.reasons.get(name, why) for name in left},
    )


def _corner(instance: Instance, filled: Filled) -> tuple[int, int]:
    trims = instance.kinds[filled.kind].sheet.trims
    return trims.left_um, trims.bottom_um


def _placed(problem: NestProblem, instance: Instance, filled: Filled) -> tuple[Placed, ...]:
    x0, y0 = _corner(instance, filled)
    found = []
    for item, angle, x, y in filled.spots:
        it = problem.items[item]
        across = angle in (90, 270)
        found.append(Placed(it.name, x0 + x, y0 + y, it.length_um, it.width_um, across, angle))
    return tuple(found)


def _offcuts(problem: NestProblem, instance: Instance, filled: Filled) -> tuple[Rect, ...]:
    """What stays whole to the right of all parts and above them, a cutter away; the larger first."""
    x0, y0 = _corner(instance, filled)
    cutter = problem.rules.cutter_um
    sheet = instance.kinds[filled.kind].sheet
    wide, high = sheet.clear_length_um + cutter, sheet.clear_width_um + cutter
    right = top = 0
    for item, angle, x, y in filled.spots:
        it: Item = problem.items[item]
        a, b = (it.width_um, it.length_um) if angle in (90, 270) else (it.length_um, it.width_um)
        right, top = max(right, x + a + cutter), max(top, y + b + cutter)
    # one of the two has the corner both could have
    beside, above = (wide - right) * high, (high - top) * wide
    if beside >= above:
        rects = [Rect(x0 + right, y0, wide - right, high), Rect(x0, y0 + top, right - cutter, high - top)]
    else:
        rects = [Rect(x0, y0 + top, wide, high - top), Rect(x0 + right, y0, wide - right, top - cutter)]
    return tuple(r for r in rects if min(r.along_x_um, r.along_y_um) > cutter)
