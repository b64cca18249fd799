"""Joints worked out once for each way in which two boards meet, wherever in the room they stand.

A frame repeated along a run, and most of a variant beside the one before it, meets in the same ways. What a
joint cuts hangs on how its members stand to each other alone; so it is worked out with b's frame at the
origin of the room, at distances rounded to a millionth of a micrometre, and moved to where it stands. What is
kept is therefore what would be worked out.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TypeVar

from furnigen.core.caches import MEETINGS, kept
from furnigen.core.errors import InputError
from furnigen.core.pose import Pose, Vector
from furnigen.joints.meeting import JointMember, Meeting, meeting_of
from furnigen.joints.seats import seat_of
from furnigen.joints.spec import Cutting, Spec
from furnigen.parts.cuts import SAME_MM, BoxCut, Cut
from furnigen.parts.forms.form import Form
from furnigen.parts.volume.moments import square_box

DIGITS = 9
"""Decimals of a millimetre to which the distance of two members is rounded."""

T = TypeVar("T")


def _shifted_to_origin(a: JointMember, b: JointMember) -> tuple[JointMember, JointMember]:
    (ax, ay, az), (bx, by, bz) = a.pose.origin, b.pose.origin
    between = (round(ax - bx, DIGITS) + 0.0, round(ay - by, DIGITS) + 0.0, round(az - bz, DIGITS) + 0.0)
    return JointMember("a", a.form, Pose(a.pose.rotation, between)), JointMember(
        "b", b.form, Pose(b.pose.rotation)
    )


def find_meeting(a: JointMember, b: JointMember, kind: str, crossing: bool = False) -> Meeting:
    """How b meets a: with which end, or crossing it where the joint allows that.

    Args:
        crossing: whether boards that run through each other are wanted too.

    Raises: InputError naming both and how far apart they are, when they do not meet.
    """
    met = _or_as_placed(
        lambda: _meeting_at_origin(*_shifted_to_origin(a, b), crossing),
        lambda: meeting_of(a, b, kind, crossing),
    )
    return Meeting(a, b, kind, met.axis, met.sign, met.low)


@kept(MEETINGS)
def _meeting_at_origin(a: JointMember, b: JointMember, crossing: bool) -> Meeting:
    return meeting_of(a, b, "", crossing)


def growth_of(spec: Spec, m: Meeting) -> float:
    """`spec.growth`. Raises: as it does."""
    return _or_as_placed(lambda: _growth_at_origin(spec, _at_origin(m)), lambda: spec.growth(m))


@kept(MEETINGS)
def _growth_at_origin(spec: Spec, m: Meeting) -> float:
    return spec.growth(m)


def cutting_of(spec: Spec, m: Meeting) -> Cutting:
    """`spec.cuts` settled, those in a in a's own frame; where it states no seat, with that of b's whole end.

    Raises: as `spec.cuts`.
    """
    x, y, z = m.b.pose.origin
    cutting = _or_as_placed(lambda: _cutting_at_origin(spec, _at_origin(m)), lambda: None)
    if cutting is None:
        return _worked_out(spec, m)

    def placed(p: Vector) -> Vector:
        return p[0] + x, p[1] + y, p[2] + z

    seat = cutting.seat
    return replace(
        cutting,
        fasteners=tuple(
            replace(f, sites=tuple((placed(p), way) for p, way in f.sites)) for f in cutting.fasteners
        ),
        seat=None if seat is None else replace(seat, centre=placed(seat.centre)),
    )


@kept(MEETINGS)
def _cutting_at_origin(spec: Spec, m: Meeting) -> Cutting:
    return _worked_out(spec, m)


def _worked_out(spec: Spec, m: Meeting) -> Cutting:
    cutting = spec.cuts(m)
    back = m.to_b.inverse()
    return replace(
        cutting,
        a=tuple(settled(c.moved(back), m.a.form) for c in cutting.a),
        b=tuple(settled(c, m.b.form) for c in cutting.b),
        seat=cutting.seat or seat_of(m, home=cutting.home),
    )


def _at_origin(m: Meeting) -> Meeting:
    a, b = _shifted_to_origin(m.a, m.b)
    return Meeting(a, b, m.kind, m.axis, m.sign, m.low, m.entered, m.fit, m.placed)


def _or_as_placed(at_origin: Callable[[], T], as_placed: Callable[[], T]) -> T:
    """What was worked out at the origin; where it was refused there, or can be no key, from the members as
    placed, whose labels a message needs.
    """
    try:
        return at_origin()
    except (InputError, TypeError):
        return as_placed()


def settled(cut: Cut, form: Form) -> Cut:
    """A box square to the part, kept to what of it meets the blank: equal cuts are then written alike."""
    if not isinstance(cut, BoxCut):
        return cut
    box = square_box(cut)
    if box is None:
        return cut
    blank = form.bounds()
    lo = [max(a, b) for a, b in zip(box.lo, blank.lo, strict=True)]
    hi = [min(a, b) for a, b in zip(box.hi, blank.hi, strict=True)]
    for i in range(3):
        # a cut that ends at the blank's face ends exactly there, whatever the rounding
        lo[i] = blank.lo[i] if abs(lo[i] - blank.lo[i]) < SAME_MM else lo[i]
        hi[i] = blank.hi[i] if abs(hi[i] - blank.hi[i]) < SAME_MM else hi[i]
    size = (hi[0] - lo[0], hi[1] - lo[1], hi[2] - lo[2])
    return BoxCut(Pose.at(lo[0], lo[1], lo[2]), size, cut.name, cut.facts, cut.takes)
