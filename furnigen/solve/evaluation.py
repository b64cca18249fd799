"""Works one stage of some candidates out: runs in a worker process, or in this one.

A row holds `exact` and `least` values by the name of their measure, the `checks` that matter, and what has no
price. Numbers are rounded: a candidate gives the same row wherever it is worked out, and whatever beside it.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import suppress
from typing import Any

from furnigen.catalogue.stock import own_stock
from furnigen.checks.fit import LIMITS, measured
from furnigen.core.caches import SEARCHED_PLACEMENTS, Kept
from furnigen.core.errors import InputError
from furnigen.core.finding import FAIL, Finding, any_failed, worst_first
from furnigen.family.columns import report_row
from furnigen.family.making import Maker, start_kernel
from furnigen.family.task import FAIL as FAILS
from furnigen.family.task import PASS, Outcome, Task
from furnigen.parts.mass import mass_kg
from furnigen.piece.description import Piece
from furnigen.pipeline.built import Built
from furnigen.pipeline.together import work_out_together
from furnigen.solve.cut_values import CutValues, laid_out_values, least_values
from furnigen.solve.setup import FIT, LAYOUT, OF_STRENGTH, SAG, STRENGTH, WHOLE, SolveSetup, Trial

DIGITS = 6
MOST_OTHERS = 5
"""Checks of a row beside those that fail."""
MM2_PER_M2 = 1e6

Row = dict[str, Any]


class Evaluator(Maker):
    """Works stages of the candidates of one search out. Args and raises: as `Maker`."""

    def __init__(self, setup: SolveSetup) -> None:
        super().__init__(setup)
        self._solve = setup
        self._kernel = False
        self._pieces: Kept[int, tuple[dict[str, Any], Piece]] = Kept(setup.KEPT)

    def piece_of(self, task: Task) -> Piece:
        """As `Maker.piece_of`; one that a stage before was worked out of is made once."""
        known = self._pieces.get(task.number)
        if known is not None and known[0] == task.values:
            return known[1]
        piece = super().piece_of(task)
        if len(piece.placements) <= SEARCHED_PLACEMENTS:
            self._pieces.keep(task.number, (task.values, piece))
        return piece

    def make_some(self, tasks: Sequence[Task]) -> Iterator[Outcome]:
        """Work some trials out, in order; what needs no solid is found for those of one stage at once."""
        with own_stock(self._solve.shop.own if self._solve.shop else ()):
            found = list(self._all(tasks))
        return iter(found)

    def _all(self, tasks: Sequence[Task]) -> Iterator[Outcome]:
        begun = [self.tried(task, self.begun, task) for task in tasks]
        for stage in (SAG, STRENGTH):
            groups = self._solve.checks_of(stage)
            some = [
                one
                for task, one in zip(tasks, begun, strict=True)
                if isinstance(one, Built) and _stage(task) == stage
            ]
            if len(some) > 1:
                work_out_together(some, groups)
        for task, one in zip(tasks, begun, strict=True):
            yield one if isinstance(one, Outcome) else self.tried(task, self._worked_out, task, one)

    def _worked_out(self, task: Task, built: Built) -> Outcome:
        stage = _stage(task)
        row: Row = {"exact": {}, "least": {}, "checks": []}
        findings: tuple[Finding, ...] = ()
        if stage == WHOLE and not self._kernel:
            start_kernel()
            self._kernel = True
        groups = self._solve.checks_of(stage)
        if groups:
            findings = built.findings_of(groups)
            row["checks"] = _checks(findings)
            row["fails"] = any_failed(findings)
        if stage == FIT:
            self._describe(built, row)
        elif stage in (SAG, STRENGTH):
            self._share(stage, findings, row)
        elif stage == LAYOUT:
            assert self._solve.shop is not None
            _put(laid_out_values(built.piece, self._solve.shop, self._solve.effort), row)
        paths = [path for path, known in self._solve.paths if known == stage]
        if paths:
            cells = report_row(built.report_of(groups), findings)
            for path in paths:
                if isinstance(cells.get(path), int | float):
                    row["exact"][path] = cells[path]
        for kind in ("exact", "least"):
            row[kind] = {name: round(value, DIGITS) + 0.0 for name, value in row[kind].items()}
        return Outcome(task.number, task.name, FAILS if row.get("fails") else PASS, "", row)

    def _describe(self, built: Built, row: Row) -> None:
        piece = built.piece
        exact = row["exact"]
        exact["mass"] = exact["board_area"] = 0.0
        for part, quantity in zip(piece.parts, piece.quantities, strict=True):
            exact["mass"] += quantity * mass_kg(part)
            if part.stock.kind in ("sheet", "board"):
                long, wide, _ = part.form.blank_mm
                exact["board_area"] += quantity * long * wide / MM2_PER_M2
        exact["parts"] = len(piece.placements)
        for name in LIMITS:
            with suppress(InputError):  # it has no openings, say
                exact[name] = measured(piece, name)[0]
        if self._solve.shop is not None:
            _put(least_values(piece, self._solve.shop), row)

    def _share(self, stage: str, findings: Sequence[Finding], row: Row) -> None:
        """The share of its limit that the worst check uses, and the sag of the board nearest its limit."""
        shares = [f.used for f in findings if f.used is not None]
        last = STRENGTH if OF_STRENGTH & set(self._solve.groups) else SAG
        if shares:
            row["exact" if stage == last else "least"]["utilisation"] = max(shares)
        sags = [f for f in findings if f.name == "sag" and f.value is not None]
        if stage == SAG and sags:
            row["exact"]["sag"] = worst_first(sags)[0].value


def _stage(task: Task) -> str:
    assert isinstance(task, Trial)
    return task.stage


def _put(values: CutValues, row: Row) -> None:
    row["exact"] |= values.exact
    row["least"] |= values.least
    row["unpriced"] = list(values.unpriced)
    row["unfitted"] = list(values.unfitted)
    row["ran_out"] = values.ran_out


def _checks(findings: Sequence[Finding]) -> list[Row]:
    """The worst failure of each kind, and of what passes that nearest its limit."""
    ranked = worst_first(findings)
    bad: dict[tuple[str, str], Finding] = {}
    for f in ranked:
        if f.status == FAIL:
            bad.setdefault((f.name, f.title), f)
    rest = sorted(
        (f for f in ranked if f.status != FAIL and f.used is not None), key=lambda f: -(f.used or 0)
    )
    return [
        {
            "name": f.name,
            "title": str(f.title or f.name),
            "status": f.status,
            "value": None if f.value is None else round(f.value, DIGITS),
            "limit": None if f.limit is None else round(f.limit, DIGITS),
            "unit": f.unit,
            "used": None if f.used is None else round(f.used, DIGITS),
            "where": str(f.where),
        }
        for f in (*bad.values(), *rest[:MOST_OTHERS])
    ]
