"""Dividing an opening so that every shelf lies on a hole of a row of shelf pins."""

from __future__ import annotations

from functools import partial

from furnigen.core.errors import InputError
from furnigen.core.wording import as_given, in_words
from furnigen.drafting.division import Division, Rule
from furnigen.joints.pins import HOLE_MM, PITCH_MM
from furnigen.parts.cuts import SAME_MM


def on_pin_rows(
    rule: Rule, above_foot: float, *, first: float, pitch: float = PITCH_MM, diameter: float = HOLE_MM
) -> Rule:
    """A rule of division whose boards are moved to the nearest hole of a row of shelf pins.

    Args:
        rule: from `furnigen.drafting.division`, such as equal_clear(3).
        above_foot: height of the opening's floor above the lower end of its sides (mm).
        first: height of the lowest hole above that end (mm).
        pitch, diameter: of the holes (mm).

    Raises: InputError, when an opening is divided by it, for shelves that do not fit on the holes.

    >>> from furnigen import equal_clear
    >>> on_pin_rows(equal_clear(1), 0.0, first=96.0)(600.0, 18.0).starts
    (290.5,)
    """
    return partial(_on_rows, rule, above_foot, first, pitch, diameter)


def _on_rows(
    rule: Rule, above_foot: float, first: float, pitch: float, diameter: float, clear: float, thickness: float
) -> Division:
    offset = first + diameter / 2 - above_foot
    starts = tuple(offset + pitch * round((s - offset) / pitch) for s in rule(clear, thickness).starts)
    edges = [0.0, *(s + thickness for s in starts)]
    clears = tuple(b - a for a, b in zip(edges, [*starts, clear], strict=True))
    if min(clears) <= SAME_MM:
        raise InputError(
            "shelves on pins",
            len(starts),
            f"do not fit in {in_words(clear)} on holes every {as_given(pitch)}",
            "use fewer, or a smaller pitch",
        )
    return Division(starts, clears)
