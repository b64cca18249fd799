"""Placing one board: which side of its box is its thickness, and the words it is called by."""

from __future__ import annotations

from collections.abc import Iterable

from furnigen.catalogue.stock import Stock
from furnigen.core.errors import InputError, kind_of
from furnigen.core.pose import AXES, Box, Pose, axis_index, board_pose
from furnigen.core.wording import as_given, in_words
from furnigen.drafting.division import ROUNDING_MM
from furnigen.parts.forms.prism import Prism, rectangle
from furnigen.parts.forms.sizes import SMALLEST_MM


def check_words(label: str, path: Iterable[str], role: str) -> None:
    """Refuse a label, sub-assembly or role that can not be seen whole.

    Raises: InputError for an empty word, or blanks at its ends.
    """
    for what, word in (("label", label), *(("path", name) for name in path), ("role", role)):
        if not isinstance(word, str):
            raise InputError(what, kind_of(word), "must be text")
        if not word.strip() or word != word.strip():
            raise InputError(
                what, word, "must be a word without blanks at its ends, which no file or list shows"
            )


def board_in(
    box: Box, stock: Stock, label: str, grain: str | None = None, face: str | None = None
) -> tuple[Prism, Pose]:
    """The blank of a rectangular board that fills a box (mm), and its pose.

    Args:
        grain: axis of its length; None for the longest side that is not its thickness.
        face: axis of its thickness, where more than one side of the box is as thick as the stock.

    Raises: InputError when the box is empty, or no side across the grain is as thick as the stock.
    """
    for axis, size in zip(AXES, box.size, strict=True):
        if not size >= SMALLEST_MM:
            raise InputError(
                f"{label} along {axis}",
                in_words(size),
                f"there is no room for it: at least {as_given(SMALLEST_MM)}",
            )
    face = _face(label, stock, box, grain, face)
    across = [a for a in AXES if a != face]
    grain = grain or max(across, key=lambda a: box.size[axis_index(a)])
    width = next(a for a in across if a != grain)
    form = rectangle(box.size[axis_index(grain)], box.size[axis_index(width)], stock.thickness_mm)
    return form, board_pose(box, grain, face)


def _face(label: str, stock: Stock, box: Box, grain: str | None, wanted: str | None) -> str:
    """Axis of the board's thickness: the one wanted, or the shortest side that fits."""
    fits = [
        a
        for a, size in zip(AXES, box.size, strict=True)
        if abs(size - stock.thickness_mm) <= ROUNDING_MM and a != grain
    ]
    if not fits:
        raise InputError(
            label,
            in_words(*box.size),
            f"no side across the grain is {as_given(stock.thickness_mm)}, as thick as {stock.name}",
        )
    return min(fits, key=lambda a: (a != wanted, box.size[axis_index(a)]))
