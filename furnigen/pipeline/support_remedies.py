"""What a maker tries first against sag: uprights set closer by more of them, or by a larger overhang."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from math import ceil, inf
from typing import Any

from furnigen.core.errors import FurnigenError
from furnigen.piece.description import Piece
from furnigen.pipeline.remedy_trial import RemedyTrial
from furnigen.recipes.recipe import Recipe

Values = dict[str, Any]
Trial = Callable[[Values], RemedyTrial | None]

MOST_MORE = 4
"""As many more of a thing are tried at most, and only while more of them help."""
OVERHANGS = 5
"""How many larger overhangs are tried, at equal steps."""
STEP_MM = 5.0
HELPS = 0.95
"""A change that leaves more than this share of the sag is none that helps."""


def more_supports(
    recipe: Recipe, values: Values, used: float, trial: Trial
) -> Iterator[tuple[bool, str, RemedyTrial]]:
    """One more of each thing the recipe counts; where that helps and is not enough, as many as should be.

    Sag goes with the third power of a span, and n more uprights part a run of m spans into m + n.

    Args:
        values: the recipe's, as they are.
        used: share of its limit that the worst board's sag takes with them.
        trial: makes and checks the piece of other values; None where there is none.

    Yields: whether it is one more, the change as it is typed, and its trial, passing or not.
    """
    for p in recipe.parameters:
        value = values[p.name]
        if p.kind not in ("count", "counts"):
            continue
        numbers = value if p.kind == "counts" else (value,)
        extra = 1
        while extra <= MOST_MORE and all(n + extra <= p.high for n in numbers):
            more: Any = tuple(n + extra for n in numbers) if p.kind == "counts" else value + extra
            found = trial(values | {p.name: more})
            if found is None:
                break
            shown = ",".join(map(str, more)) if p.kind == "counts" else str(more)
            yield extra == 1, f"{p.name}={shown}", found
            if not 1 < found.used <= HELPS * used < inf:
                break
            # as many as the fall so far says, at least one more than were tried
            share = (used / found.used) ** (1 / 3) - 1
            extra = max(extra + 1, ceil(extra * (used ** (1 / 3) - 1) / share))


def larger_overhangs(
    recipe: Recipe, values: Values, label: str, piece: Piece, changed: Callable[[Values], Piece]
) -> Iterator[tuple[str, Values]]:
    """Larger values of each length that sets uprights closer under a board and leaves the board as it is.

    Such a length moves other parts along the board, and neither the board nor the outside of the piece.

    Args:
        label: of the worst board.
        piece: the piece as it is.
        changed: makes the piece of other values.

    Yields: the change as it is typed, and the values.
    """
    for p in recipe.parameters:
        if p.kind != "length" or not _sets_closer(p.name, p.high, values, label, piece, changed):
            continue
        now = values[p.name]
        tried = {min(p.high, STEP_MM * ceil((now + (p.high - now) * (k / OVERHANGS) ** 2) / STEP_MM))
                 for k in range(1, OVERHANGS + 1)}  # fmt: skip
        for at in sorted(t for t in tried if t > now):
            yield f"{p.name}={at:g}", values | {p.name: at}


def _sets_closer(
    name: str, high: float, values: Values, label: str, piece: Piece, changed: Callable[[Values], Piece]
) -> bool:
    now = values[name]
    more = min(high, now + max(0.05 * now, 2 * STEP_MM))
    if more <= now:
        return False
    try:
        other = changed(values | {name: more})
        board, again = (p.bounds_of(p.placement(label)) for p in (piece, other))
    except FurnigenError:
        return False
    if max(abs(a - b) for a, b in zip((*board.lo, *board.hi), (*again.lo, *again.hi), strict=True)) > 0.5:
        return False
    along = max(range(3), key=lambda axis: board.size[axis])
    return _spread(other, along) < _spread(piece, along) - STEP_MM / 2


def _spread(piece: Piece, axis: int) -> float:
    """How far apart upright parts reach along an axis, between their middles (mm)."""
    middles = [
        box.centre[axis]
        for box in map(piece.bounds_of, piece.placements)
        if box.size[2] > box.size[axis] and box.lo[2] < box.size[2]
    ]
    return max(middles) - min(middles) if middles else 0.0
