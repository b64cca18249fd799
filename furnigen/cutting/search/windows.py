"""Many sheets: the search on a few at a time, so that a step costs the same however many there are."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np

from furnigen.cutting.effort import Effort
from furnigen.cutting.instance import Instance
from furnigen.cutting.panels import Panel
from furnigen.cutting.search.run import Laid, Search

WINDOW = 2
WINDOW_WORK = 700_000
QUIET = Effort()
"""Within a window the search is not asked to stop: it is short."""


def with_fewer_sheets(
    instance: Instance, laid: Laid, fewest: int, work: int, effort: Effort
) -> tuple[Laid, bool]:
    """Do with fewer sheets, one by one, as long as the work lasts; only for one kind of sheet.

    The emptiest sheet is given up and its parts put into windows of the others; what is left out goes on to
    the next window.

    Returns:
        The best found, and False when it was cut short.
    """
    done = 0
    best = laid
    chance = np.random.default_rng(1)
    areas = [s.w * s.h for s in instance.shapes]
    while len(best.sheets) > fewest:
        sheets = sorted((tree for _, tree in best.sheets), key=lambda t: -sum(areas[i] for i in t.shapes()))
        left = Counter(sheets.pop().shapes())
        while left:
            if done >= work:
                return best, True
            if effort.over():
                return best, False
            done += _window(instance, sheets, left, areas, chance)
        best = Laid(tuple((0, t) for t in sheets), (), len(sheets) * instance.kinds[0].cost, 0)
    return best, True


def _window(
    instance: Instance, sheets: list[Panel], left: Counter[int], areas: list[int], chance: np.random.Generator
) -> int:
    """Search on a few sheets and the parts left out; both are changed if less is left out then. Work done."""
    picked = sorted(int(k) for k in chance.choice(len(sheets), min(WINDOW, len(sheets)), replace=False))
    pool = left + Counter(i for k in picked for i in sheets[k].shapes())
    shapes = sorted(pool)
    number = {i: k for k, i in enumerate(shapes)}
    part = replace(
        instance,
        shapes=tuple(replace(instance.shapes[i], quantity=pool[i]) for i in shapes),
        kinds=(replace(instance.kinds[0], copies=len(picked)),),
    )
    search = Search(part, [areas[i] for i in shapes])
    search.start(
        [(0, _renumbered(sheets[k], number)) for k in picked], [number[i] for i in sorted(left.elements())]
    )
    search.run(WINDOW_WORK, len(picked) * instance.kinds[0].cost, QUIET)
    found = search.best()
    if len(found.sheets) == len(picked) and found.left_value < sum(areas[i] * n for i, n in left.items()):
        left.clear()
        left.update(shapes[i] for i in found.left_out)
        for k, (_, tree) in zip(picked, found.sheets, strict=True):
            sheets[k] = _renumbered(tree, shapes)
    return search.work


def _renumbered(tree: Panel, numbers: Mapping[int, int] | Sequence[int]) -> Panel:
    """The tree with other numbers of its shapes."""
    if not tree.panels:
        return replace(tree, shape=numbers[tree.shape])
    return replace(tree, panels=tuple(_renumbered(p, numbers) for p in tree.panels))
