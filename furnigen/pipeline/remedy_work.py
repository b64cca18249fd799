"""How much work remedies may do: counted, not timed, so that the same piece always gets the same remedies.

A remedy is a changed piece that is checked, so a search that tries a dozen costs many times what the piece's
own checks do. Of a piece of usual size that is a moment, a second at most. Of a large one the search may do
less work than all its checks do. What was not tried or not checked for that is said.

Work is counted in boards and cuts, times the share of all checks that a step takes. `within` sets what may be
done and what is known of the piece itself; trials ask for it here (`furnigen.pipeline.remedy_trial`), so that
all searches for remedies of one piece share it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import TYPE_CHECKING

from furnigen.core.errors import FurnigenError
from furnigen.core.finding import Finding
from furnigen.piece.description import Piece

if TYPE_CHECKING:
    from furnigen.strength.assess import LoadedBoards, Strength
    from furnigen.strength.members.boards import Board

USUAL = 200
"""Boards and cuts, those of each copy counted, of a piece of usual size: a case of fifty boards has fewer.
Our own choice.
"""
USUAL_WORK = 5.0 * USUAL
"""Boards and cuts that remedies of a piece of usual size may check: about a second. Our own choice."""
OF_LARGE = 0.75
"""Share of the checks of a large piece that its remedies may count as theirs: what a step takes is known to
some 30 % only, and they are to take no longer than the checks.
"""
REMAKE, SAG, JOINTS, OVERLAPS, WHOLE = 0.15, 0.2, 0.15, 0.03, 1.0
"""Shares of all checks that making a changed piece, its sag, its joints beyond that, its overlaps and all its
checks take: measured on pieces of 23 to 816 boards with 219 to 2,880 cuts.
"""


class WorkSpentError(FurnigenError):
    """A trial that would take more work than remedies may."""


@dataclass(frozen=True)
class Checked:
    """What the checks found in a piece before remedies are looked for.

    Attributes:
        piece: the piece.
        groups: the groups of checks that were made.
        findings: what they found.
        loaded: its boards under load; None where that is not known.
        strength: what the loads do to it; None where that is not known.
    """

    piece: Piece
    groups: frozenset[str]
    findings: tuple[Finding, ...]
    loaded: LoadedBoards | None = None
    strength: Strength | None = None

    @property
    def boards(self) -> tuple[Board, ...] | None:
        """Its boards under load; None where that is not known."""
        on = self.loaded or self.strength
        return on.boards if on else None


@dataclass
class RemedyWork:
    """What remedies of one piece may still do.

    Attributes:
        checked: what is known of the piece.
        left: boards and cuts that may still be checked.
        ample: whether the piece is of usual size, so that the least change of a kind is looked for.
        refused: how many steps were not made for want of it.
    """

    checked: Checked
    left: float
    ample: bool
    refused: int = 0

    def take(self, piece: Piece, share: float) -> bool:
        """Take the work of one step off; whether there was enough left for it."""
        cost = share * size_of(piece)
        if cost > self.left:
            self.refused += 1
            return False
        self.left -= cost
        return True


_NOW: ContextVar[RemedyWork | None] = ContextVar("remedy work", default=None)


def size_of(piece: Piece) -> int:
    """Boards and cuts of a piece, those of each copy counted."""
    cuts = [len(part.cuts) for part in piece.parts]
    return sum(1 + cuts[p.part] for p in piece.placements)


@contextmanager
def within(checked: Checked) -> Iterator[RemedyWork]:
    """Let remedies do less work than all checks of a piece do, or `USUAL_WORK` if it is of usual size."""
    size = size_of(checked.piece)
    usual = size <= USUAL
    work = RemedyWork(checked, USUAL_WORK if usual else OF_LARGE * size, usual)
    token = _NOW.set(work)
    try:
        yield work
    finally:
        _NOW.reset(token)


def current() -> RemedyWork | None:
    """What remedies may do now; None where nobody counts."""
    return _NOW.get()


def spend(piece: Piece, share: float) -> None:
    """Take the work of one step off.

    Raises: WorkSpentError when there is not enough left for it.
    """
    work = current()
    if work is not None and not work.take(piece, share):
        raise WorkSpentError("remedies may take no more work than the checks of the piece")


def not_tried(kinds: Iterable[str]) -> str:
    """What is said of kinds of remedies, in words, that would have taken more work than there was."""
    return f"not tried, for that would take longer than remedies may: {', '.join(kinds)}"
