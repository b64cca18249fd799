"""What was typed, step by step, so that it can be undone and done again."""

from __future__ import annotations

from collections.abc import Mapping
from time import monotonic

MOST = 500
"""Steps that are kept."""
ONE_STEP_S = 1.0
"""Changes of one field that follow each other faster are one step: somebody drags it."""

Texts = dict[str, str]


class History:
    """The texts of changed fields now, before and after."""

    def __init__(self, texts: Mapping[str, str] | None = None) -> None:
        self._steps: list[Texts] = [dict(texts or {})]
        self._at = 0
        self._last: tuple[str, ...] = ()
        self._when = float("-inf")

    @property
    def now(self) -> Texts:
        """The texts of the fields that differ from their base."""
        return dict(self._steps[self._at])

    @property
    def can(self) -> tuple[bool, bool]:
        """Whether there is something to undo, and to do again."""
        return self._at > 0, self._at < len(self._steps) - 1

    def change(self, texts: Mapping[str, str], fields: tuple[str, ...]) -> bool:
        """Go on with other texts; False where they are the same.

        Args:
            fields: those that were changed.
        """
        if dict(texts) == self._steps[self._at]:
            return False
        now = monotonic()
        dragged = len(fields) == 1 and fields == self._last and now - self._when < ONE_STEP_S
        del self._steps[self._at + 1 :]
        if dragged and self._at > 0:
            self._steps[self._at] = dict(texts)
        else:
            self._steps.append(dict(texts))
            del self._steps[:-MOST]
        self._at = len(self._steps) - 1
        self._last, self._when = fields, now
        return True

    def move(self, steps: int) -> bool:
        """Undo (-1) or do again (1); False where there is nothing."""
        to = self._at + steps
        if not 0 <= to < len(self._steps):
            return False
        self._at, self._last = to, ()
        return True
