"""How search and bound take turns on a problem of sheets."""

from __future__ import annotations

from furnigen.cutting.bounds.sheets import SheetBound
from furnigen.cutting.effort import Effort
from furnigen.cutting.instance import Instance
from furnigen.cutting.search.run import WORK_A_LEVEL, Laid, Search

FIRST_SHARE = 0.15
"""Share of the search's work before the dearer bound is asked whether there is anything to gain."""


def search_sheets(instance: Instance, bound: SheetBound, effort: Effort) -> Laid:
    """The best solution found within the effort."""
    search = Search(instance)
    whole = int(WORK_A_LEVEL * effort.level)
    going = search.run(int(whole * FIRST_SHARE), bound.cost, effort)
    laid = search.best()
    if going and laid.cost > bound.cost and not laid.left_out:
        effort.tell(FIRST_SHARE, f"{len(laid.sheets)} sheets")
        bound.improve([(k, t.shapes()) for k, t in laid.sheets], laid.cost, effort.level, effort)
        sheets = bound.by_strips(effort.level, effort) if laid.cost > bound.cost else []
        cost = sum(instance.kinds[k].cost for k, _ in sheets)
        if sheets and cost < laid.cost:
            laid = Laid(tuple(sheets), (), cost, 0)
        if laid.cost > bound.cost:
            search.limit(laid.cost - 1)
            going = search.run(whole - search.work, bound.cost, effort)
    elif going and laid.left_out:
        going = search.run(whole - search.work, bound.cost, effort)
    later = search.best()
    if (not later.left_out and (laid.left_out or later.cost < laid.cost)) or laid.left_out:
        laid = later
    cut_short = not going and (laid.cost > bound.cost or bool(laid.left_out))
    return Laid(laid.sheets, laid.left_out, laid.cost, laid.left_value, cut_short)
