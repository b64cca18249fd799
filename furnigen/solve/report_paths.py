"""Finding a number of the report by its path, and the stage after which it is known."""

from __future__ import annotations

from difflib import get_close_matches
from itertools import islice

from furnigen.catalogue.stock import own_stock
from furnigen.core.errors import FurnigenError, InputError
from furnigen.family.columns import report_row
from furnigen.pipeline.built import Built
from furnigen.solve.goal_file import Asked
from furnigen.solve.grid import Grid
from furnigen.solve.setup import FIT, LAYOUT, STAGES, SolveSetup

MOST_TRIED = 200
"""Candidates that are tried until the recipe takes one."""


def find_stages(asked: Asked, setup: SolveSetup, grid: Grid) -> dict[str, str]:
    """The stage after which each number of the report that is asked for is known.

    Raises: InputError for a path at which no piece has a number, offering the nearest.
    """
    wanted = {m.name for m in asked.measures if not m.stage}
    found: dict[str, str] = {}
    if not wanted:
        return found
    built = _first_piece(setup, grid)
    seen: dict[str, None] = {}
    for stage in STAGES:
        if stage == LAYOUT:
            continue
        groups = setup.checks_of(stage)
        if stage != FIT and not groups:
            continue
        row = report_row(built.report_of(groups), built.findings_of(groups))
        numbers = [n for n, v in row.items() if isinstance(v, int | float) and not isinstance(v, bool)]
        seen |= dict.fromkeys(numbers)
        found |= {name: stage for name in wanted if name in numbers and name not in found}
        if wanted <= found.keys():
            return found
    name = sorted(wanted - found.keys())[0]
    near = get_close_matches(name, seen, 3, 0.5)
    offer = f"near it are {', '.join(near)}" if near else "furnigen family lists them all in family.csv"
    of_goals = {m.name for goal in asked.goals for m, _ in goal.terms}
    raise InputError(
        "[goal]" if name in of_goals else "[hold]: key", name, "is not a number of the report", offer
    )


def _first_piece(setup: SolveSetup, grid: Grid) -> Built:
    """The first candidate that the recipe takes, as a piece.

    Raises: InputError of the last that was tried where it takes none.
    """
    from furnigen.family.making import Maker
    from furnigen.family.task import task_of

    refused: FurnigenError | None = None
    with own_stock(setup.shop.own if setup.shop else ()):
        for number in islice(grid.members(), MOST_TRIED):
            candidate = grid.candidate(number)
            if candidate is None or candidate.refusal:
                continue
            try:
                return Maker(setup).begun(task_of(candidate))
            except FurnigenError as error:
                refused = error
    raise refused or InputError("[vary]", "no candidate", "leaves no piece to look at")
