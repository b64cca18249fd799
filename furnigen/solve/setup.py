"""What travels to the processes that work candidates out: plain data."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

from furnigen.core.caches import SEARCHED_PIECES
from furnigen.cutting.own_stock import Shop
from furnigen.family.task import Setup, Task

FIT, SAG, STRENGTH, LAYOUT, WHOLE = STAGES = ("fit", "sag", "strength", "layout", "whole")
"""Stages of a candidate, the cheapest first: its description, with what it weighs, takes and must cost at
least; its sag; all its strength; its layouts with the true cost; all checks, solids included."""
STAGE_WORDS = {
    FIT: "described", SAG: "for sag", STRENGTH: "for strength", LAYOUT: "laid out", WHOLE: "made whole",
}  # fmt: skip
"""What was done to a candidate in a stage."""
OF_STRENGTH = frozenset({"strength", "standing"})
OF_SAG = frozenset({"sag", *OF_STRENGTH})
OF_SOLIDS = frozenset({"solid", "building"})


@dataclass(frozen=True)
class SolveSetup(Setup):
    """All that the candidates of a search share.

    Attributes:
        groups: the groups of checks that must pass.
        shop: the stock and prices it is cut from; None where neither is asked for.
        effort: counted work of the layouts.
        paths: numbers of the report that are wanted, each with its stage.
    """

    MAKER: ClassVar[str] = "furnigen.solve.evaluation:Evaluator"
    BATCH: ClassVar[int] = 4
    KEPT: ClassVar[int] = SEARCHED_PIECES

    groups: tuple[str, ...]
    shop: Shop | None
    effort: float
    paths: tuple[tuple[str, str], ...]

    def checks_of(self, stage: str) -> tuple[str, ...]:
        """The groups of checks that a stage makes."""
        asked = set(self.groups)
        wanted = {
            FIT: asked & {"fit"},
            SAG: {"sag"},
            STRENGTH: asked & OF_SAG,
            LAYOUT: set(),
            WHOLE: asked,
        }[stage]
        return tuple(g for g in ("fit", "solid", "building", "sag", "strength", "standing") if g in wanted)


@dataclass(frozen=True)
class Trial(Task):
    """One stage of one candidate to work out."""

    stage: str = FIT
