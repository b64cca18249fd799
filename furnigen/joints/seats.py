"""The seat of a joint: where b meets a, and what of b goes in, from how the two meet."""

from __future__ import annotations

from furnigen.core.pose import Vector, axis_vector, cross, dot
from furnigen.joints.joint import Seat
from furnigen.joints.meeting import Meeting, Span


def seat_of(
    m: Meeting,
    section: dict[int, Span] | None = None,
    *,
    round_one: bool = False,
    parts: int = 1,
    home: Vector | None = None,
) -> Seat | None:
    """The seat of b on a.

    Args:
        section: what goes in on axes across, where that is not all that both have in common (b's frame, mm).
        round_one: whether what goes in is round.
        parts: how many fingers share the width.
        home: the way b comes home, for boards that cross each other; they have no seat without.

    Returns: None for boards that cross and come home no one way.
    """
    axis, sign = m.axis, m.sign
    if axis < 0:
        if home is None:
            return None
        local = [dot(m.b.pose.turn(axis_vector(i)), home) for i in range(3)]
        axis = max(range(3), key=lambda i: abs(local[i]))
        sign = 1 if local[axis] > 0 else -1
    one, two = (i for i in range(3) if i != axis)
    spans = {i: m.shared_on(i) for i in (one, two)} | (section or {})
    along, across = (
        (one, two) if spans[one][1] - spans[one][0] >= spans[two][1] - spans[two][0] else (two, one)
    )
    if section is None and m.axis in (0, 1):
        along, across = m.across
    if m.axis < 0:
        low, high = m.shared_on(axis)
        plane, deep = (low if sign > 0 else high), (high - low) / 2
    else:
        plane, deep = m.plane, m.entered
    centre = {axis: plane} | {i: (spans[i][0] + spans[i][1]) / 2 for i in (one, two)}
    turn = m.b.pose.turn
    return Seat(
        centre=m.room(centre),
        into=turn(axis_vector(axis, float(sign))),
        along=turn(axis_vector(along)),
        across=turn(axis_vector(across)),
        deep_mm=deep,
        wide_mm=spans[along][1] - spans[along][0],
        thick_mm=spans[across][1] - spans[across][0],
        round=round_one,
        parts=parts,
    )


def seat_on(centre: Vector, into: Vector, along: Vector, deep: float, wide: float, thick: float) -> Seat:
    """A seat on a plane of its own, such as a mitre's."""
    return Seat(centre, into, along, cross(into, along), deep, wide, thick)
