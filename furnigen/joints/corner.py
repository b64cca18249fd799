"""Corners: where b's end butts against a flush with a's end."""

from __future__ import annotations

from furnigen.core.errors import InputError
from furnigen.joints.meeting import Meeting
from furnigen.parts.cuts import SAME_MM


def turn_at_corner(m: Meeting, word: str = "") -> tuple[int, float]:
    """The corner where b's end butts against a flush with a's end, both equally wide.

    Args:
        word: what the joint is called in messages; its kind by default.

    Returns: the axis of b's frame along which it is flush, and the sign of that side.

    Raises: InputError when it is no corner, or the boards differ in width.
    """
    m.boards_only()
    m.square_only()
    what = f"{word or m.kind}, {m.where}"
    b = m.end_box
    turn = None
    for c in (i for i in range(3) if i != m.axis):
        gaps = (b.lo[c] - m.a_box.lo[c], m.a_box.hi[c] - b.hi[c])
        flush = [abs(g) < SAME_MM for g in gaps]
        if flush[0] != flush[1] and max(gaps) > SAME_MM:
            turn = (c, -1.0 if flush[0] else 1.0)
    if turn is None:
        raise InputError("joint", what, f"{m.b.label} must butt against {m.a.label} flush with its end")
    w = 3 - turn[0] - m.axis
    if abs(b.lo[w] - m.a_box.lo[w]) > SAME_MM or abs(b.hi[w] - m.a_box.hi[w]) > SAME_MM:
        raise InputError(
            "joint", what, "the two must be equally wide where they meet, and flush at the corner"
        )
    return turn
