"""What every search for remedies has: the recipe and its values, the piece, and work that is counted."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from furnigen.piece.description import Piece
from furnigen.pipeline.remedy_trial import RemedyTrial
from furnigen.pipeline.remedy_work import REMAKE, current, spend
from furnigen.recipes.recipe import Recipe
from furnigen.strength.model.demands import Demands

Values = dict[str, Any]


class RemedySearch:
    """Looks for remedies of one piece.

    Args:
        recipe, values: what it was made from.
        changed: makes the piece from other values.
        piece: the piece.
        demands: what it is held to.

    Attributes:
        before: the piece as it is.
        untried: kinds of remedies that would have taken more work than there is for them.
    """

    def __init__(
        self,
        recipe: Recipe,
        values: Values,
        changed: Callable[[Values], Piece],
        piece: Piece,
        demands: Demands,
    ) -> None:
        self.recipe, self.values, self.demands = recipe, dict(values), demands
        self.before = RemedyTrial(piece, demands)
        self.untried: list[str] = []
        self._change = changed
        self._work = current()

    def changed(self, values: Values) -> Piece:
        """The piece of other values. Raises: WorkSpentError when there is no work left for it."""
        spend(self.before.piece, REMAKE)
        return self._change(values)

    @property
    def _refused(self) -> int:
        """How many steps were not made for want of work."""
        return self._work.refused if self._work else 0
