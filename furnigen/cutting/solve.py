"""Lay out all items of one material: search, bound, layouts. Importing this loads the compiled search."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace

from furnigen.core.errors import InputError
from furnigen.cutting.bars import cut_bars
from furnigen.cutting.bounds.sheets import SheetBound
from furnigen.cutting.bounds.strips import strips_fit_rules
from furnigen.cutting.effort import Effort
from furnigen.cutting.instance import Instance, make_instance
from furnigen.cutting.layout import SheetLayout, SheetSolution
from furnigen.cutting.panels import Division, Panel, in_order
from furnigen.cutting.problem import SheetProblem
from furnigen.cutting.sawing import saw
from furnigen.cutting.search.one_sheet import fill_sheet
from furnigen.cutting.search.run import Laid
from furnigen.cutting.search.sheets import search_sheets

__all__ = ["cut_bars", "cut_sheets", "most_valuable"]


def cut_sheets(problem: SheetProblem, effort: Effort | None = None) -> SheetSolution:
    """Lay items out on sheets: least cost, then fewest sheets, then one large offcut rather than many.

    Args:
        problem: items, sheets, rules.
        effort: how long to search; one level of counted work if None.

    Returns:
        Layouts with their cuts, and what is proven about them. Items that cannot be placed are listed with
        the reason, not raised.
    """
    effort = effort or Effort()
    instance = make_instance(problem)
    if not instance.shapes:
        return SheetSolution((), {}, 0, 0, 0, True, False, instance.unfitted, instance.reasons)
    bound = SheetBound(instance)
    laid = search_sheets(instance, bound, effort)
    layouts = layouts_of(problem, instance, laid)
    used: Counter[str] = Counter()
    for layout in layouts:
        used[layout.sheet] += layout.copies
    unfitted, reasons = _left_out(problem, instance, layouts)
    price = sum(instance.kinds[k].price for k, _ in laid.sheets)
    proven = not laid.left_out and laid.cost <= bound.cost
    return SheetSolution(
        layouts=layouts,
        used={s.name: used[s.name] for s in problem.sheets if used[s.name]},
        cost=price,
        cost_bound=price if proven else instance.least_price(bound.cost),
        sheets_bound=bound.sheets,
        proven=proven,
        cut_short=laid.cut_short,
        unfitted=unfitted,
        reasons=reasons,
    )


def _left_out(
    problem: SheetProblem, instance: Instance, layouts: tuple[SheetLayout, ...]
) -> tuple[dict[str, int], dict[str, str]]:
    placed: Counter[str] = Counter()
    for layout in layouts:
        for part in layout.placed:
            placed[part.item] += layout.copies
    unfitted, reasons = {}, {}
    for item in problem.items:
        missing = item.quantity - placed[item.name]
        if missing:
            unfitted[item.name] = missing
            reasons[item.name] = instance.reasons.get(item.name, "no sheet is left to cut it from")
    return unfitted, reasons


def layouts_of(problem: SheetProblem, instance: Instance, laid: Laid) -> tuple[SheetLayout, ...]:
    """Layouts with names given out: sheets cut alike become one layout with copies where the names allow
    it."""
    alike = Counter(laid.sheets)
    stock = {k: dict(s.names) for k, s in enumerate(instance.shapes)}
    items = {i.name: i for i in problem.items}
    layouts = []
    for (kind, tree), count in sorted(
        alike.items(), key=lambda e: (-e[1], e[0][0], -_area(e[0][1]), repr(e[0][1]))
    ):
        while count:
            names, copies = _hand_out(tree, stock, count)
            layouts.append(saw(instance, kind, tree, names, items, copies))
            count -= copies
    layouts.sort(key=lambda x: -x.copies)
    return tuple(layouts)


def _area(tree: Panel) -> int:
    return tree.w * tree.h if tree.division is Division.PART else sum(_area(p) for p in tree.panels)


def _hand_out(tree: Panel, stock: dict[int, dict[str, int]], count: int) -> tuple[dict[int, list[str]], int]:
    """Names for the parts of a tree, and how many sheets can have the same ones; they are taken from the
    stock."""
    needed = Counter(tree.shapes())
    copies = count
    while True:
        names: dict[int, list[str]] = {}
        for shape, number in needed.items():
            names[shape] = [name for name, have in stock[shape].items() for _ in range(have // copies)][
                :number
            ]
        if all(len(names[s]) == n for s, n in needed.items()):
            break
        copies -= 1
    for shape, given in names.items():
        for name in given:
            stock[shape][name] -= copies
    return names, copies


def most_valuable(problem: SheetProblem, values: Sequence[int]) -> tuple[SheetLayout | None, int]:
    """Fill one sheet with the items of the greatest value.

    Args:
        problem: its first sheet is filled; its rules must be two stages with trimming, or three with
        `equal_last`.
        values: value of one of each item, in the problem's order, at least 1.

    Returns:
        The layout (None if nothing fits) and its value.

    Raises:
        InputError: other rules.
    """
    instance = make_instance(problem)
    if not strips_fit_rules(instance):
        raise InputError(
            "rules", problem.rules.stages, "must be two stages with trimming, or three with equal_last"
        )
    value_of = dict(zip((i.name for i in problem.items), values, strict=True))
    # items of one size may differ in value: each a shape of its own
    shapes = tuple(replace(s, quantity=n, names=((name, n),)) for s in instance.shapes for name, n in s.names)
    instance = replace(instance, shapes=shapes)
    tree, value, _ = fill_sheet(instance, [value_of[s.names[0][0]] for s in shapes])
    if tree is None:
        return None, 0
    names = {k: [s.names[0][0]] * s.quantity for k, s in enumerate(shapes)}
    return saw(instance, 0, in_order(tree), names, {i.name: i for i in problem.items}, 1), value
