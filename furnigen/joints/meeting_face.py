"""The face in which two placements meet: where b's end lies on a, and over what area."""

from __future__ import annotations

from collections.abc import Iterable

from furnigen.core.errors import InputError
from furnigen.core.pose import Vector
from furnigen.core.wording import in_words
from furnigen.joints.meeting import STRAIGHT, JointMember, Meeting, low_ways
from furnigen.parts.cuts import SAME_MM
from furnigen.parts.forms.outline import Outline, polygon_area
from furnigen.parts.volume.clipping import clip


def _faces_squarely(m: Meeting) -> bool:
    """Whether the face of a that b meets is flat and square to the way b comes in."""
    inward = m.to_b.rotation[m.axis]
    if max(abs(c) for c in inward) <= STRAIGHT:
        return False
    return m.side_met != ()


def _meets_with_shaped_edge(m: Meeting) -> bool:
    """Whether b comes in with an edge that is not flat, such as a nosing."""
    board = m.b.form.as_board
    return board is not None and board.shaped_edge is not None and board.flat_side(m.axis, m.sign > 0) == ()


def face_outlines(m: Meeting) -> tuple[Outline, tuple[Outline, ...]]:
    """The face of a that b meets, and its windows, on the two axes across in rising order (mm)."""
    one, two = (i for i in range(3) if i != m.axis)
    side = m.side_met
    if not side:
        lo, hi = m.a_box.lo, m.a_box.hi
        return ((lo[one], lo[two]), (hi[one], lo[two]), (hi[one], hi[two]), (lo[one], hi[two])), ()

    def seen(loop: Iterable[Vector]) -> Outline:
        points = [m.to_b.apply(p) for p in loop]
        flat = tuple((p[one], p[two]) for p in points)
        return flat if polygon_area(flat) > 0 else flat[::-1]

    return seen(side[0]), tuple(seen(w) for w in side[1:])


def contact_outline(m: Meeting) -> Outline:
    """What b's end covers of a's face, windows counted as wood (mm)."""
    outline, _ = face_outlines(m)
    return _within_end(m, outline)


def _within_end(m: Meeting, outline: Outline) -> Outline:
    one, two = (i for i in range(3) if i != m.axis)
    (x0, x1), (y0, y1) = m.end_on(one), m.end_on(two)
    for side in ((-1.0, 0.0, -x0), (1.0, 0.0, x1), (0.0, -1.0, -y0), (0.0, 1.0, y1)):
        outline = clip(outline, side)
    return outline


def contact_area(m: Meeting) -> float:
    """Area of a's face that b's end covers as placed (mm²)."""
    outline, windows = face_outlines(m)
    areas = []
    for loop in (outline, *windows):
        part = _within_end(m, loop)
        areas.append(polygon_area(part) if len(part) >= 3 else 0.0)
    return areas[0] - sum(areas[1:])


def meeting_of(a: JointMember, b: JointMember, kind: str, crossing: bool = False) -> Meeting:
    """How b meets a, as `furnigen.drafting.alike_joints.find_meeting` finds it, which keeps what was found.

    Args:
        crossing: whether boards that run through each other are wanted too.

    Raises: InputError naming both and how far apart they are, when they do not meet.
    """
    low = low_ways(b.pose)
    seen = Meeting(a, b, kind, -1, 0, low)
    ours, theirs = seen.b_box, seen.a_box
    gaps = [max(theirs.lo[i] - ours.hi[i], ours.lo[i] - theirs.hi[i]) for i in range(3)]
    if all(g < -SAME_MM for g in gaps):
        if crossing:
            return seen
        raise InputError(
            "joint", f"{kind}, {seen.where}", "they stand in each other", "place them so that they butt"
        )
    for axis in range(3):
        if abs(gaps[axis]) > SAME_MM or any(gaps[i] >= -SAME_MM for i in range(3) if i != axis):
            continue
        sign = 1 if theirs.lo[axis] - ours.hi[axis] == gaps[axis] else -1
        m = seen.changed(axis=axis, sign=sign)
        if _faces_squarely(m) and not _meets_with_shaped_edge(m) and contact_area(m) > SAME_MM:
            return m
    apart = max(gaps)
    raise InputError(
        "joint",
        f"{kind}, {seen.where}",
        "they do not meet face to face",
        f"they are {in_words(apart)} apart" if apart > SAME_MM else "",
    )
