"""How search and bound take turns on a problem of sheets."""

from __future__ import annotations

from dataclasses import replace

from furnigen.cutting.bounds.sheets import SheetBound
from furnigen.cutting.bounds.strip_columns import strips_allowed
from furnigen.cutting.effort import Effort
from furnigen.cutting.instance import Instance
from furnigen.cutting.panels import Division, Panel
from furnigen.cutting.search.run import NO_LIMIT, WORK_A_LEVEL, Laid, Search
from furnigen.cutting.search.windows import with_fewer_sheets

FIRST_SHARE = 0.15
"""Share of the search's work before the dearer bound is asked whether there is anything to gain."""
GATHER_SHARE = 0.1
"""Share of work, beyond the rest, that looks for one large offcut among solutions of equal cost."""
MANY_PARTS = 250
"""Beyond so many parts there is more work, in proportion, up to four times."""
STRIP_WORK = 1_000_000_000
"""Additions of the column generation that begins with many parts; half as many of its rounding."""


def search_sheets(instance: Instance, bound: SheetBound, effort: Effort) -> Laid:
    """The best solution found within the effort."""
    search = Search(instance)
    whole = int(WORK_A_LEVEL * effort.level * min(4.0, max(1.0, instance.parts / MANY_PARTS)))
    many = instance.parts >= MANY_PARTS and len(instance.kinds) == 1
    laid = _from_strips(instance, effort) if many else None
    going = not effort.over()
    if laid is None:
        going = search.run(int(whole * FIRST_SHARE), bound.cost, effort)
        laid = search.best()
    if going and laid.cost > bound.cost and not laid.left_out:
        effort.tell(FIRST_SHARE, f"{len(laid.sheets)} sheets")
        bound.improve([(k, t.shapes()) for k, t in laid.sheets], laid.cost, effort.level, effort)
        sheets = bound.by_strips(effort.level, effort) if laid.cost > bound.cost else []
        cost = sum(instance.kinds[k].cost for k, _ in sheets)
        if sheets and cost < laid.cost:
            laid = Laid(tuple(sheets), (), cost, 0)
        if laid.cost > bound.cost and many:
            laid, going = with_fewer_sheets(instance, laid, bound.sheets, whole - search.work, effort)
        elif laid.cost > bound.cost:
            search.limit(laid.cost - 1)
            going = search.run(whole - search.work, bound.cost, effort)
    elif going and laid.left_out:
        going = search.run(whole - search.work, bound.cost, effort)
    if laid.left_out or search.cost <= laid.cost:
        if going and not search.left_out:
            search.gather(int(whole * GATHER_SHARE), effort)
        laid = search.best()
    laid = alike(instance, laid)
    cut_short = not going and (laid.cost > bound.cost or bool(laid.left_out))
    return Laid(laid.sheets, laid.left_out, laid.cost, laid.left_value, cut_short)


def _from_strips(instance: Instance, effort: Effort) -> Laid | None:
    """Sheets of strips, where the rules allow more than strips: many parts are laid well so at once."""
    strips = strips_allowed(instance)
    if strips is None:
        return None
    strips.columns.run(int(STRIP_WORK * effort.level), NO_LIMIT, effort)
    sheets = strips.sheets(int(STRIP_WORK * effort.level / 2), effort)
    cost = sum(instance.kinds[k].cost for k, _ in sheets)
    return Laid(tuple(sheets), (), cost, 0) if sheets else None


def rest_of(tree: Panel, w: int, h: int) -> int:
    """Area of the largest piece left over of a sheet, beside its tree or a panel of the first stage."""
    along_x = tree.division is not Division.COLUMN
    rests = [(w - tree.w) * h if along_x else w * (h - tree.h)]
    rests += [p.w * (h - p.h) if along_x else p.h * (w - p.w) for p in tree.panels]
    return max(rests)


def alike(instance: Instance, laid: Laid) -> Laid:
    """The same, sheets with equal shapes divided alike: as the one with the largest piece left over."""
    best: dict[tuple[int, tuple[int, ...]], Panel] = {}
    keys = [(kind, tuple(sorted(tree.shapes()))) for kind, tree in laid.sheets]
    for key, (kind, tree) in zip(keys, laid.sheets, strict=True):
        sheet = instance.kinds[kind]
        if key not in best or rest_of(tree, sheet.w, sheet.h) > rest_of(best[key], sheet.w, sheet.h):
            best[key] = tree
    return replace(laid, sheets=tuple((key[0], best[key]) for key in keys))
