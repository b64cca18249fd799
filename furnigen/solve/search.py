"""One search with all that belongs to it: the grid, what must hold, and which way it is searched."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

from furnigen.core.errors import InputError
from furnigen.family.task import setup_of
from furnigen.solve.best_first import BestFirst, Found
from furnigen.solve.demands import CanBeCut, ChecksPass, Demand, Demands, Goal, in_order
from furnigen.solve.descent import RESTARTS, descend
from furnigen.solve.goal_file import Asked, naming, with_stages
from furnigen.solve.grid import Grid
from furnigen.solve.known import Known
from furnigen.solve.report_paths import find_stages
from furnigen.solve.setup import FIT, LAYOUT, OF_SAG, OF_SOLIDS, OF_STRENGTH, SAG, STRENGTH, WHOLE, SolveSetup

ROWS = 2
"""Counts up when a row comes to mean something else, so that none of before is taken for one of now."""


@dataclass
class Space:
    """What is searched.

    Attributes:
        asked: what the file asks for, the stages of all numbers known.
        grid: the candidates.
        setup: what workers need.
        demands: what must hold.
        numbers: the candidates that are not left out; empty where the grid is too large to look at each.
    """

    asked: Asked
    grid: Grid
    setup: SolveSetup
    demands: Demands
    numbers: list[int] = field(default_factory=list)

    @property
    def whole(self) -> bool:
        """Whether every candidate is looked at."""
        return self.grid.count <= self.asked.cap

    @property
    def size(self) -> int:
        """How many candidates there are; those left out are counted only where not each is looked at."""
        return len(self.numbers) if self.whole else self.grid.count

    def search(
        self,
        known: Known,
        goal: Goal,
        demands: Demands,
        *,
        follow: bool = False,
        tell: Callable[[float, float], None] = lambda score, floor: None,
    ) -> Found:
        """The best candidates of one goal. Args: as `BestFirst`."""
        if not self.whole:
            restarts = RESTARTS if len(self.asked.goals) == 1 else RESTARTS // 3
            return descend(known, goal, demands, tell, restarts)
        search = BestFirst(known, goal, demands, skip=self.asked.skip, follow=follow, tell=tell)
        return search.run(self.numbers)

    def definition(self) -> dict[str, Any]:
        """All that what is found of a candidate depends on; goals and limits are no part of it."""
        setup = self.setup
        shop = repr(setup.shop)
        return {
            **self.asked.family.definition(),
            "rows": ROWS,
            "groups": setup.groups,
            "stock": shop,
            "effort": setup.effort if setup.shop is not None else None,
            "paths": setup.paths,
        }


def space_of(asked: Asked) -> Space:
    """What a goal file asks to be searched.

    Raises: InputError for a number that the report has not, or a grid without a candidate.
    """
    with naming(asked.path):
        return _space_of(asked)


def _space_of(asked: Asked) -> Space:
    family = asked.family
    grid = Grid(family)
    shared = {**vars(setup_of(family)), "formats": (), "checks": (), "limits": ()}
    setup = SolveSetup(**shared, groups=asked.groups, shop=asked.shop, effort=asked.effort, paths=())
    numbers = list(grid.members()) if grid.count <= asked.cap else []
    if grid.count <= asked.cap and not numbers:
        reasons = ", ".join(reason for reason, _ in family.only)
        raise InputError("[only]", reasons, "leaves no candidate: the grid is empty", "loosen one of them")
    stages = find_stages(asked, setup, grid)
    asked = with_stages(asked, stages)
    setup = SolveSetup(**{**vars(setup), "paths": tuple(sorted(stages.items()))})
    return Space(asked, grid, setup, _demands(asked), numbers)


def _demands(asked: Asked) -> Demands:
    groups = set(asked.groups)
    demands: list[Demand] = [ChecksPass(FIT)]
    stages = {FIT, *(m.stage for m in asked.measures)}
    if groups & {"sag", "strength"}:
        demands.append(ChecksPass(SAG))
    if groups & OF_SAG:
        stages.add(SAG)
    if groups & OF_STRENGTH:
        demands.append(ChecksPass(STRENGTH))
    if asked.shop is not None:
        demands.append(CanBeCut(LAYOUT))
    if groups & OF_SOLIDS:
        demands.append(ChecksPass(WHOLE))
    demands += asked.holds
    return in_order(demands, stages | {d.stage for d in demands})
