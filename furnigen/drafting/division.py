"""Dividing a clear size with boards: every rule, exactly.

A rule is a function from the clear size of an opening and the thickness of the boards (mm) to a
`Division`. Rules compose with openings of any depth (`furnigen.drafting.draft.Draft.divide`).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import partial
from math import ceil, floor

from furnigen.core.errors import InputError
from furnigen.core.wording import as_given, in_words

ROUNDING_MM = 1e-6
"""Sums of doubles over a piece of furniture err by far less; no maker can see it."""


@dataclass(frozen=True)
class Division:
    """Where the boards stand in an opening.

    Attributes:
        starts: low face of every board, from the low end of the opening (mm).
        clear: the clear sizes between, one more than boards (mm).
    """

    starts: tuple[float, ...]
    clear: tuple[float, ...]


Rule = Callable[[float, float], Division]


def _from_clears(clears: Sequence[float], thickness: float) -> Division:
    starts, at = [], 0.0
    for c in clears[:-1]:
        at += c
        starts.append(at)
        at += thickness
    return Division(tuple(starts), tuple(clears))


def _from_starts(clear: float, starts: Sequence[float], thickness: float) -> Division:
    edges = [0.0, *(s + thickness for s in starts)]
    ends = [*starts, clear]
    return Division(tuple(starts), tuple(b - a for a, b in zip(edges, ends, strict=True)))


def _check_count(count: int, lowest: int = 0) -> None:
    if count < lowest:
        raise InputError("number of boards", count, f"must be {lowest} or more")


def _boards(count: int, thickness: float) -> str:
    return f"{count} board{'' if count == 1 else 's'} of {as_given(thickness)}"


def _room(clear: float, count: int, thickness: float) -> float:
    """What is left of `clear` beside `count` boards; refuses when nothing is."""
    _check_count(count)
    left = clear - count * thickness
    if left <= ROUNDING_MM:
        most = max(0, ceil((clear - ROUNDING_MM) / thickness) - 1)
        raise InputError(
            "number of boards",
            count,
            f"{_boards(count, thickness)} can not fit in {in_words(clear)}",
            f"at most {most} would fit",
        )
    return left


def _equal_clear(count: int, clear: float, thickness: float) -> Division:
    each = _room(clear, count, thickness) / (count + 1)
    starts = tuple((i + 1) * each + i * thickness for i in range(count))
    return Division(starts, (each,) * (count + 1))


def equal_clear(count: int) -> Rule:
    """`count` boards that leave equal clear openings of (W - n t)/(n + 1). The usual rule.

    Raises: InputError, when an opening is divided by it, where that is impossible; it says what would fit.

    >>> equal_clear(2)(336.0, 18.0).clear  # in 336 mm, boards of 18 mm
    (100.0, 100.0, 100.0)
    """
    return partial(_equal_clear, count)


def _equal_centres(count: int, clear: float, thickness: float) -> Division:
    _room(clear, count, thickness)
    step = clear / (count + 1)
    if count > 1 and step <= thickness + ROUNDING_MM:
        # one board needs no room beside another: it fits wherever equal clear openings do
        most = max(1, ceil((clear - ROUNDING_MM) / (thickness + ROUNDING_MM)) - 2)
        raise InputError(
            "number of boards",
            count,
            f"at centres {in_words(step)} apart boards of {as_given(thickness)} leave no space between them",
            f"at most {most} would fit",
        )
    return _from_starts(clear, [(i + 1) * step - thickness / 2 for i in range(count)], thickness)


def equal_centres(count: int) -> Rule:
    """`count` boards whose centre lines divide the clear size equally; end openings are larger by t/2.

    Raises: InputError, when an opening is divided by it, where that is impossible; it says what would fit.

    >>> equal_centres(1)(418.0, 18.0).starts
    (200.0,)
    """
    return partial(_equal_centres, count)


def _fixed_pitch(pitch: float, clear: float, thickness: float) -> Division:
    if not pitch > thickness + ROUNDING_MM:
        raise InputError(
            "pitch",
            as_given(pitch),
            f"must be more than the board thickness {as_given(thickness)}",
        )
    # board i stands at (i + 1) pitch - t; it needs some opening above it
    count = max(0, ceil((clear - ROUNDING_MM) / pitch) - 1)
    if count == 0:
        raise InputError("pitch", as_given(pitch), f"must be less than the clear size {in_words(clear)}")
    return _from_starts(clear, [(i + 1) * pitch - thickness for i in range(count)], thickness)


def fixed_pitch(pitch: float) -> Rule:
    """As many boards as fit with their far faces every `pitch` mm; what is left goes to the last opening.

    Raises: InputError, when an opening is divided by it, where that is impossible; it says what would fit.

    >>> fixed_pitch(300.0)(1000.0, 18.0).clear
    (282.0, 282.0, 282.0, 100.0)
    """
    return partial(_fixed_pitch, pitch)


def _clear_sizes(sizes: tuple[float, ...], clear: float, thickness: float) -> Division:
    if not all(s > ROUNDING_MM for s in sizes):
        raise InputError("clear sizes", list(sizes), "must all be more than 0 mm")
    need = sum(sizes) + thickness * len(sizes)
    rest = clear - need
    if abs(rest + thickness) <= ROUNDING_MM:  # the list fills the opening by itself
        return _from_clears(sizes, thickness)
    if rest <= ROUNDING_MM:
        raise InputError(
            "clear sizes",
            " + ".join(f"{s:g}" for s in sizes),
            f"with {len(sizes)} boards of {as_given(thickness)} they need more than the"
            f" {in_words(clear)} there are",
            f"the sizes may sum to less than {in_words(clear - thickness * len(sizes))},"
            f" or to exactly {in_words(clear - thickness * (len(sizes) - 1))} with no rest",
        )
    return _from_clears((*sizes, rest), thickness)


def clear_sizes(*sizes: float) -> Rule:
    """Openings of the given clear sizes (mm) in order; what remains is the last opening.

    Raises: InputError, when an opening is divided by it, where that is impossible; it says what would fit.

    >>> clear_sizes(100.0, 150.0)(486.0, 18.0).clear
    (100.0, 150.0, 200.0)
    """
    return partial(_clear_sizes, tuple(sizes))


def _geometric(count: int, ratio: float, clear: float, thickness: float) -> Division:
    if not ratio > 0:
        raise InputError("ratio", ratio, "must be more than 0")
    room = _room(clear, count, thickness)
    # powers of a number of at most one: however large the ratio, none overflows
    weights = [ratio**i if ratio <= 1 else ratio ** (i - count) for i in range(count + 1)]
    clears = [room * w / sum(weights) for w in weights]
    if min(clears) <= ROUNDING_MM:
        raise InputError("ratio", f"{ratio:g}", f"leaves {count + 1} openings so unlike that one vanishes")
    return _from_clears(clears, thickness)


def geometric(count: int, ratio: float) -> Rule:
    """Clear openings that grow by `ratio`, a share, from each to the next (graduated like drawers).

    Raises: InputError, when an opening is divided by it, where that is impossible; it says what would fit.

    >>> geometric(2, 2.0)(736.0, 18.0).clear
    (100.0, 200.0, 400.0)
    """
    return partial(_geometric, count, ratio)


def _arithmetic(count: int, step: float, clear: float, thickness: float) -> Division:
    room = _room(clear, count, thickness)
    n = count + 1
    first = room / n - step * (n - 1) / 2
    clears = [first + i * step for i in range(n)]
    if min(clears) <= ROUNDING_MM:
        most = 2 * room / (n * (n - 1))
        raise InputError(
            "step",
            as_given(step),
            f"leaves an opening of {in_words(min(clears))}",
            f"from {in_words(-most)} to {in_words(most)}, ends left out, would fit",
        )
    return _from_clears(clears, thickness)


def arithmetic(count: int, step: float) -> Rule:
    """Clear openings that grow by `step` mm from each to the next.

    Raises: InputError, when an opening is divided by it, where that is impossible; it says what would fit.

    >>> arithmetic(2, 50.0)(486.0, 18.0).clear
    (100.0, 150.0, 200.0)
    """
    return partial(_arithmetic, count, step)


def _at_least(least: float, clear: float, thickness: float) -> Division:
    if not least > 0:
        raise InputError("least clear size", as_given(least), "must be more than 0 mm")
    if clear < least - ROUNDING_MM:
        raise InputError(
            "least clear size",
            as_given(least),
            f"must be at most {in_words(clear)}, the whole opening",
        )
    count = max(0, floor((clear + thickness + ROUNDING_MM) / (least + thickness)) - 1)
    return _equal_clear(count, clear, thickness)


def at_least(least: float) -> Rule:
    """As many boards as fit with equal clear openings of at least `least` mm.

    Raises: InputError, when an opening is divided by it, where that is impossible; it says what would fit.

    >>> at_least(90.0)(336.0, 18.0).clear
    (100.0, 100.0, 100.0)
    """
    return partial(_at_least, least)


def _at_most(most: float, clear: float, thickness: float) -> Division:
    if not most > 0:
        raise InputError("largest clear size", as_given(most), "must be more than 0 mm")
    count = max(0, ceil((clear + thickness - ROUNDING_MM) / (most + thickness)) - 1)
    if count and clear - count * thickness <= ROUNDING_MM:
        able = max(0, ceil((clear - ROUNDING_MM) / thickness) - 1)
        raise InputError(
            "largest clear size",
            as_given(most),
            f"{_boards(count, thickness)} would be needed and can not fit in {in_words(clear)}",
            f"{in_words(_equal_clear(able, clear, thickness).clear[0])} would fit",
        )
    return _equal_clear(count, clear, thickness)


def at_most(most: float) -> Rule:
    """The fewest boards that leave equal clear openings of at most `most` mm.

    Raises: InputError, when an opening is divided by it, where that is impossible; it says what would fit.

    >>> at_most(110.0)(336.0, 18.0).clear
    (100.0, 100.0, 100.0)
    """
    return partial(_at_most, most)
