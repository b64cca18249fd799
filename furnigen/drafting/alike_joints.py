"""Joints worked out once for each way in which two boards meet, wherever in the room they stand.

A frame repeated along a run, and most of a variant beside the one before it, meets in the same ways. What a
joint cuts hangs on how its members stand to each other alone; so it is worked out with b's frame at the
origin of the room, at distances rounded to a millionth of a micrometre, and moved to where it stands. What is
kept is therefore what would be worked out.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TypeVar

from furnigen.core.caches import MEETINGS, kept
from furnigen.core.errors import InputError
from furnigen.core.pose import Pose
from furnigen.joints.joint import Fastener, Seat
from furnigen.joints.meeting import JointMember, Meeting, at_origin
from furnigen.joints.meeting_face import meeting_of
from furnigen.joints.seats import seat_of
from furnigen.joints.spec import Cutting, Spec
from furnigen.parts.cuts import SAME_MM, BoxCut, Cut
from furnigen.parts.forms.form import Form
from furnigen.parts.volume.moments import square_box

T = TypeVar("T")


def find_meeting(
    a: JointMember,
    b: JointMember,
    kind: str,
    crossing: bool = False,
    fit: float = 0.0,
    low: tuple[int, int, int] | None = None,
) -> Meeting:
    """How b meets a: with which end, or crossing it where the joint allows that.

    Args:
        crossing: whether boards that run through each other are wanted too.
        fit: allowance (mm per face).
        low: the low ways of b's frame (see `meeting.low_ways`), where they are those of another room.

    Raises: InputError naming both and how far apart they are, when they do not meet.
    """
    pair = at_origin(a, b)
    try:
        met = _meeting_at_origin(*pair, crossing)
    except (InputError, TypeError):  # refused, or no key: by the members as placed, whose labels it names
        met = meeting_of(a, b, kind, crossing)
    lows = met.low if low is None else low
    found = Meeting(a, b, kind, met.axis, met.sign, lows, 0.0, fit)
    vars(found)["at_origin"] = Meeting(*pair, kind, met.axis, met.sign, lows, 0.0, fit)
    return found


@kept(MEETINGS)
def _meeting_at_origin(a: JointMember, b: JointMember, crossing: bool) -> Meeting:
    return meeting_of(a, b, "", crossing)


def growth_of(spec: Spec, m: Meeting) -> float:
    """`spec.growth`. Raises: as it does."""
    try:
        return _growth_at_origin(spec, m.at_origin)
    except (InputError, TypeError):
        return spec.growth(m)


@kept(MEETINGS)
def _growth_at_origin(spec: Spec, m: Meeting) -> float:
    return spec.growth(m)


def cutting_of(spec: Spec, m: Meeting) -> Cutting:
    """`spec.cuts` settled, those in a in a's own frame; where it states no seat, with that of b's whole end.

    Raises: as `spec.cuts`.
    """
    try:
        found = _cutting_at_origin(spec, m.at_origin)
    except (InputError, TypeError):
        return _worked_out(spec, m)
    x, y, z = m.b.pose.origin
    hardware = [
        Fastener(
            f.kind,
            f.diameter_mm,
            f.length_mm,
            tuple([((px + x, py + y, pz + z), way) for (px, py, pz), way in f.sites]),
            f.parts,
            f.sunk_mm,
        )
        for f in found.fasteners
    ]
    seat = found.seat
    if seat is not None:
        cx, cy, cz = seat.centre
        centre = (cx + x, cy + y, cz + z)
        sizes = (seat.deep_mm, seat.wide_mm, seat.thick_mm, seat.round, seat.parts)
        seat = Seat(centre, seat.into, seat.along, seat.across, *sizes)
    return Cutting(found.a, found.b, tuple(hardware), found.home, found.travel_mm, found.loose, seat)


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
