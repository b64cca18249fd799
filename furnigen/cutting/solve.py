"""Lay out all items of one material: search, bound, layouts. Importing this loads the compiled search."""

from __future__ import annotations

from collections import Counter

from furnigen.cutting.bounds.sheets import SheetBound
from furnigen.cutting.effort import Effort
from furnigen.cutting.instance import Instance, make_instance
from furnigen.cutting.layout import SheetLayout, SheetSolution
from furnigen.cutting.panels import Division, Panel
from furnigen.cutting.problem import SheetProblem
from furnigen.cutting.sawing import saw
from furnigen.cutting.search.run import Laid
from furnigen.cutting.search.sheets import search_sheets


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
    """Layouts with names given out: sheets cut alike become one layout with copies where the names allow it."""
    alike = Counter(laid.sheets)
    stock = {k: [list(n) for n in s.names] for k, s in enumerate(instance.shapes)}
    items = {i.name: i for i in problem.items}
    layouts = []
    for (kind, tree), count in sorted(alike.items(), key=lambda e: (-e[1], e[0][0], -_area(e[0][1]), repr(e[0][1]))):
        while count:
            names, copies = _hand_out(tree, stock, count)
            layouts.append(saw(instance, kind, tree, names, items, copies))
            count -= copies
    layouts.sort(key=lambda x: -x.copies)
    return tuple(layouts)


def _area(tree: Panel) -> int:
    return tree.w * tree.h if tree.division is Division.PART else sum(_area(p) for p in tree.panels)


def _hand_out(tree: Panel, stock: dict[int, list[list]], count: int) -> tuple[dict[int, list[str]], int]:
    """Names for the parts of a tree, and how many sheets can have the same ones; they are taken from the stock."""
    needed = Counter(tree.shapes())
    copies = count
    while True:
        names: dict[int, list[str]] = {}
        for shape, number in needed.items():
            names[shape] = [name for name, have in stock[shape] for _ in range(have // copies)][:number]
        if all(len(names[s]) == n for s, n in needed.items()):
            break
        copies -= 1
    for shape, given in names.items():
        taken = Counter(given)
        for entry in stock[shape]:
            entry[1] -= copies * taken[entry[0]]
    return names, copies
