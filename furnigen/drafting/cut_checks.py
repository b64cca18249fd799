"""What no maker could cut: blind holes that come out of their board, and cuts from both faces that meet."""

from __future__ import annotations

from furnigen.core.errors import InputError
from furnigen.core.pose import dot
from furnigen.core.wording import in_words
from furnigen.parts.cuts import SAME_MM, Bore, BoxCut
from furnigen.parts.volume.moments import square_box
from furnigen.parts.volume.round_holes import axis_gap
from furnigen.piece.distinct_parts import Item

END_NAMES = 0.3
"""Cosine above which a hole runs toward a face rather than along it. Our own limit."""


def check_cuts(item: Item) -> None:
    """Refuse holes and grooves of a board that meet in it or come out of it.

    Raises: InputError naming the board and its cuts.
    """
    _check_bores(item)
    _check_grooves(item)


def _check_grooves(item: Item) -> None:
    """Refuse two cuts, one from each face, that meet within the board: a shelf on either side falls through.

    Raises: InputError.
    """
    blank = item.form.bounds()
    low, high = blank.lo[2], blank.hi[2]
    boxes = [(c, box) for c in item.cuts if isinstance(c, BoxCut) and (box := square_box(c)) is not None]
    below = [(c, b) for c, b in boxes if b.lo[2] <= low + SAME_MM and b.hi[2] < high - SAME_MM]
    above = [(c, b) for c, b in boxes if b.hi[2] >= high - SAME_MM and b.lo[2] > low + SAME_MM]
    for one, under in below:
        for two, over in above:
            beside = any(
                min(under.hi[i], over.hi[i]) - max(under.lo[i], over.lo[i]) < SAME_MM for i in (0, 1)
            )
            if not beside and over.lo[2] - under.hi[2] < SAME_MM:
                depths = in_words(under.hi[2] - low, high - over.lo[2], between=" and ")
                raise InputError(
                    f"{one.name} and {two.name} in both faces of {item.label}",
                    depths,
                    f"meet in the {in_words(high - low)} there are",
                    "a thicker board, or joints that are less deep, with less room left, or not opposite",
                )


def _check_bores(item: Item) -> None:
    """Refuse a blind hole whose bottom comes out of the board, and two from both faces that meet.

    Raises: InputError.
    """
    blank = item.form.bounds()
    holes = [c for c in item.cuts if isinstance(c, Bore) and c.blind]
    for cut in holes:
        over = max(
            max(blank.lo[i] - cut.end[i], cut.end[i] - blank.hi[i]) + _rim(cut, i)
            for i in range(3)
            if abs(cut.direction[i]) > END_NAMES
        )
        if over > -SAME_MM:
            raise InputError(
                f"depth of a {cut.name}",
                in_words(cut.depth),
                f"would come out through a face of {item.label}",
                f"less than {in_words(cut.depth - over)} would fit",
            )
    for i, one in enumerate(holes):
        for two in holes[i + 1 :]:
            facing = dot(one.direction, two.direction) < -0.5
            if facing and axis_gap(one, two) < SAME_MM:
                room = dot(one.direction, two.start) - dot(one.direction, one.start)
                raise InputError(
                    f"{one.name}s in both faces of {item.label}",
                    in_words(one.depth, two.depth, between=" and "),
                    f"meet in the {in_words(room)} there are",
                    "bore them less deep, or right through",
                )


def _rim(bore: Bore, axis: int) -> float:
    """How far the edge of a hole's bottom reaches along one axis beyond its middle."""
    d = bore.direction[axis]
    return float(bore.diameter / 2 * max(0.0, 1 - d * d) ** 0.5)
