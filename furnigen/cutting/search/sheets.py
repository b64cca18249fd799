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
    if going and not laid.left_out and laid.cost > bound.cost:
        effort.tell(FIRST_SHARE, f"{len(laid.sheets)} sheets")
        bound.improve([(k, t.shapes()) for k, t in laid.sheets], laid.cost, effort.level, effort)
        going = search.run(whole - search.work, bound.cost, effort)
        laid = search.best()
    cut_short = not going and (laid.cost > bound.cost or bool(laid.left_out))
    return Laid(laid.sheets, laid.left_out, laid.cost, laid.left_value, cut_short)
