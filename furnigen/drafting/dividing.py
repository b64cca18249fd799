"""Clear spaces: where they may lie, how boards divide them, and the step of a row of boards."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise

from furnigen.core.errors import InputError
from furnigen.core.pose import AXES, Box, axis_index
from furnigen.core.wording import as_given, in_words
from furnigen.drafting.division import ROUNDING_MM, Rule
from furnigen.parts.forms.sizes import SMALLEST_MM
from furnigen.piece.description import SIDES, Opening, Pitch


def clear_space(label: str, box: Box, bounded_by: Mapping[str, str]) -> Opening:
    """An opening (mm) with the placements that close its sides.

    Raises: InputError when it is empty or a side is unknown.
    """
    for axis, size in zip(AXES, box.size, strict=True):
        if not size >= SMALLEST_MM:
            raise InputError(
                f"clear size of {label} along {axis}",
                in_words(size),
                f"must be at least {as_given(SMALLEST_MM)}",
            )
    for side in bounded_by:
        if side not in SIDES:
            raise InputError("side of an opening", side, f"must be one of {', '.join(SIDES)}")
    return Opening(label, box, tuple((s, bounded_by[s]) for s in SIDES if s in bounded_by))


def divided(
    opening: Opening, axis: str, rule: Rule, thickness: float, front: float, back: float
) -> tuple[list[Box], list[Box]]:
    """Boxes of the boards square to `axis`, and of the clear spaces between, both from the low end (mm).

    Args:
        front, back: how far the boards stay back from the opening's front and back (mm).

    Raises: InputError when the division is impossible, with the opening's label as a note.
    """
    i = axis_index(axis)
    lo, hi = opening.box.lo, opening.box.hi
    try:
        division = rule(hi[i] - lo[i], thickness)
    except InputError as error:
        error.add_note(f"in {opening.label}")
        raise
    boards = []
    for start in division.starts:
        a, b = list(lo), list(hi)
        a[i], b[i] = lo[i] + start, lo[i] + start + thickness
        a[1], b[1] = a[1] + (front if i != 1 else 0.0), b[1] - (back if i != 1 else 0.0)
        boards.append(Box((a[0], a[1], a[2]), (b[0], b[1], b[2])))
    clears = []
    at = lo[i]
    for clear in division.clear:
        a, b = list(lo), list(hi)
        a[i], b[i] = at, at + clear
        at += clear + thickness
        clears.append(Box((a[0], a[1], a[2]), (b[0], b[1], b[2])))
    return boards, clears


def sides_between(opening: Opening, axis: str, boards: list[str]) -> list[dict[str, str]]:
    """What bounds each of the spaces between boards that divide an opening: side and label."""
    i = axis_index(axis)
    low_side, high_side = SIDES[2 * i], SIDES[2 * i + 1]
    found = []
    for n in range(len(boards) + 1):
        sides = dict(opening.bounded_by)
        if n > 0:
            sides[low_side] = boards[n - 1]
        if n < len(boards):
            sides[high_side] = boards[n]
        found.append(sides)
    return found


def row_pitch(what: str, axis: str, lows: Sequence[float]) -> Pitch | None:
    """The step of a row along an axis, from the low face of each (mm); None for a row of one.

    Raises: InputError when the steps differ.
    """
    steps = [b - a for a, b in pairwise(lows)]
    if not steps:
        return None
    if max(steps) - min(steps) > ROUNDING_MM:
        raise InputError(
            f"pitch of {what}",
            in_words(min(steps), max(steps), between=" to "),
            "must be the same from each to the next",
        )
    return Pitch(what, axis, lows[0], (lows[-1] - lows[0]) / len(steps), len(lows))
