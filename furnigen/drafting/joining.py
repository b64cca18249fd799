"""From declared joins to cut boards: every b grows by what it enters, then both members are cut.

The two passes make the order of joins immaterial: a back let into four boards is as long and as wide
as all four make it before any of them is cut for it.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Sequence
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass, field, replace
from itertools import count

from furnigen.catalogue.stock import Stock
from furnigen.core.asked import asked_as
from furnigen.core.caches import PART_KEYS, kept
from furnigen.core.errors import GeometryError, InputError
from furnigen.core.facts import NO_FACTS, Fact, FastenerKind, shape_facts
from furnigen.core.pose import Box, Pose, axis_vector
from furnigen.drafting.alike_joints import cutting_of, find_meeting, growth_of, settled
from furnigen.drafting.board_ends import tongue_cuts
from furnigen.drafting.bolt_heads import heads_barred
from furnigen.drafting.cut_checks import check_cuts
from furnigen.joints.cross_bolt import CrossBolt
from furnigen.joints.joint import Joint
from furnigen.joints.loose_parts import LoosePart
from furnigen.joints.meeting import JointMember, Meeting, Span
from furnigen.joints.spec import Cutting, Spec, StripJoint
from furnigen.parts.cuts import SAME_MM, BoxCut, Cut, Turned
from furnigen.parts.forms.form import Form
from furnigen.parts.part import Part
from furnigen.parts.volume.moments import volume_mm3
from furnigen.piece.distinct_parts import Item


@dataclass(frozen=True)
class Join:
    """One declared joint.

    Attributes:
        a, b: labels.
        spec: the kind of joint with its sizes.
        low: the low ways of b's frame (see `furnigen.joints.meeting.low_ways`), kept from where it was
            declared, so that moved copies are cut alike.
        asked: the parameter the maker chose it by, and its value; for messages.
        facts: what the author says of it.
        met, by: how the two met when it was declared, and how far b enters; while both stay as placed.
    """

    a: str
    b: str
    spec: Spec
    low: tuple[int, int, int]
    asked: tuple[str, str] | None = None
    facts: Fact = NO_FACTS
    met: Meeting | None = field(default=None, compare=False, repr=False)
    by: float = field(default=0.0, compare=False, repr=False)

    def naming_parameter(self) -> AbstractContextManager[None]:
        """Puts refusals in terms of the parameter the maker chose this joint by."""
        return asked_as(*self.asked) if self.asked else nullcontext()


def joint_member(item: Item) -> JointMember:
    """An item as it stands now."""
    return JointMember(item.label, item.form, item.pose)


def declare_join(
    a: Item,
    b: Item,
    spec: Spec,
    fit: float,
    asked: tuple[str, str] | None = None,
    facts: Fact = NO_FACTS,
) -> Join:
    """Check a joint between two boards as placed, and note it.

    Raises: InputError when they do not meet or a size does not suit them.
    """
    if a.label == b.label:
        raise InputError("joint", spec.kind, f"{a.label} can not be joined to itself")
    with asked_as(*asked) if asked else nullcontext():
        met = find_meeting(joint_member(a), joint_member(b), spec.kind, spec.crossing, fit)
        by = growth_of(spec, met)
    return Join(a.label, b.label, spec, met.low, asked, facts, met, by)


def joint_strip(side: Item, shelf: Item, joint: StripJoint, taken: Container[str]) -> tuple[str, Box, str]:
    """The strip that a joint such as a cleat puts at a shelf's end: its label, its box (mm), its grain.

    Args:
        taken: labels that are in use.

    Raises: InputError when the two do not meet so.
    """
    box, grain = joint.strip(find_meeting(joint_member(side), joint_member(shelf), joint.kind))
    return free_label(shelf.label, joint.kind, taken), box, grain


def free_label(owner: str, kind: str, taken: Container[str]) -> str:
    """The first label of a joint's own part that is free: "shelf.1.cleat.2"."""
    return next(x for n in count(1) if (x := f"{owner}.{kind}.{n}") not in taken)


def mirrored_low(low: tuple[int, int, int], turn: Pose) -> tuple[int, int, int]:
    """The low ways of a mirrored member, whose form stands at `turn` in the mirror image in x."""
    image = [0, 0, 0]
    for axis, sign in enumerate(low):
        turned = turn.inverse().turn(axis_vector(axis, float(-sign if axis == 0 else sign)))
        image = [i or round(c) for i, c in zip(image, turned, strict=True)]
    return (image[0], image[1], image[2])


End = tuple[str, int, int]
"""One end of a placement: label, axis of its frame, sign."""


def cut_joints(items: dict[str, Item], joins: Iterable[Join], fit: float) -> tuple[Joint, ...]:
    """Grow and cut the items for all joins, in place; returns the joints in the order declared.

    Raises: InputError naming the joint whose sizes do not suit its boards.
    """
    ways: list[tuple[Join, Meeting]] = []
    growth: dict[End, float] = {}
    for join in joins:
        met, by = _as_declared(join, items[join.a], items[join.b], fit)
        ways.append((join, met))
        if by > 0:
            end = (join.b, met.axis, met.sign)
            growth[end] = max(by, growth.get(end, 0.0))
    grown = {label for label, _, _ in growth}
    for (label, axis, sign), by in growth.items():
        item = items[label]
        item.form, shift = item.form.lengthened(axis, sign, by)
        item.pose = item.pose @ Pose.at(*shift)
        item.cuts = [c.moved(Pose.at(*shift).inverse()) for c in item.cuts]
    joints = []
    cuts_by: dict[str, dict[tuple[str, str], int]] = {label: {} for label in items}
    new: dict[str, list[Cut]] = {label: [] for label in items}
    ends: dict[End, list[tuple[Meeting, tuple[Span, Span] | None]]] = {}
    for join, met in ways:
        axis, sign = met.axis, met.sign
        entered = growth.get((join.b, axis, sign), 0.0)
        if join.a in grown or join.b in grown:
            a, b = items[join.a], items[join.b]
            placed = _before(b, join.b, growth)
            met = Meeting(
                joint_member(a), joint_member(b), join.spec.kind, axis, sign, join.low, entered, fit, placed
            )
        if isinstance(join.spec, CrossBolt):
            met = met.changed(behind=heads_barred(met, items))
        with join.naming_parameter():
            cutting = cutting_of(join.spec, met)
        new[join.a] += cutting.a
        new[join.b] += cutting.b
        if join.asked:
            for label, many in ((join.a, len(cutting.a)), (join.b, len(cutting.b))):
                cuts_by[label][join.asked] = cuts_by[label].get(join.asked, 0) + many
        joints.append(_joint(join, cutting, _place_loose(items, join, cutting.loose)))
        if entered and not any(isinstance(c, Turned) for c in cutting.b):
            ends.setdefault((join.b, axis, sign), []).append((met, join.spec.keep(met)))
    for (label, _, _), meetings in ends.items():
        new[label] += [settled(c, items[label].form) for c in tongue_cuts(meetings)]
    for label, cuts in new.items():
        if cuts:
            # cuts that do not go together are likely of the parameter behind most of them
            asked = max(cuts_by[label], key=cuts_by[label].__getitem__, default=None)
            with asked_as(*asked) if asked else nullcontext():
                _add(items[label], cuts)
    return tuple(joints)


def _as_declared(join: Join, a: Item, b: Item, fit: float) -> tuple[Meeting, float]:
    """How two items meet, and how far b enters: as was found when their joint was declared, where they still
    stand so.
    """
    met = join.met
    if met is not None:
        same = met.a.form is a.form and met.a.pose is a.pose and met.a.label == a.label
        if same and met.b.form is b.form and met.b.pose is b.pose and met.b.label == b.label:
            return met, join.by
    ours, theirs = joint_member(a), joint_member(b)
    met = find_meeting(ours, theirs, join.spec.kind, join.spec.crossing, fit, join.low)
    with join.naming_parameter():
        return met, growth_of(join.spec, met)


def _before(item: Item, label: str, growth: dict[End, float]) -> Box:
    """Bounds of an item as placed, in its frame after it grew."""
    box = item.form.bounds()
    lo = [box.lo[i] + growth.get((label, i, -1), 0.0) for i in range(3)]
    hi = [box.hi[i] - growth.get((label, i, 1), 0.0) for i in range(3)]
    return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))


def _place_loose(
    items: dict[str, Item], join: Join, loose: Sequence[LoosePart]
) -> dict[FastenerKind, list[str]]:
    """Place the loose parts of a joint with b; returns their labels."""
    if not loose:
        return {}
    a, b = items[join.a], items[join.b]
    path = tuple(one for one, other in zip(a.path, b.path, strict=False) if one == other)
    labels: dict[FastenerKind, list[str]] = {}
    for one in loose:
        label = free_label(b.label, one.kind.value, items)
        with join.naming_parameter():
            stock = one.stock
        facts = Fact.TAKES_NO_GOODS | Fact.FREE_OF_THE_WALL
        items[label] = Item(label, one.form, stock, b.pose @ one.pose, path, one.kind.value, facts)
        labels.setdefault(one.kind, []).append(label)
    return labels


def _joint(join: Join, cutting: Cutting, loose: dict[FastenerKind, list[str]]) -> Joint:
    return Joint(
        join.spec.kind,
        join.a,
        join.b,
        join.spec.glued,
        tuple(replace(f, parts=tuple(loose[f.kind])) if f.kind in loose else f for f in cutting.fasteners),
        cutting.home,
        cutting.travel_mm,
        join.spec.joinery,
        shape_facts(join.spec.joinery, join.facts or join.spec.facts),
        cutting.seat,
    )


def _add(item: Item, cuts: list[Cut]) -> None:
    """Add the cuts that take something, each once, and refuse what no maker could cut.

    Raises: InputError naming the board and its cuts.
    """
    seen = {c.key() for c in item.cuts}
    for cut in cuts:
        empty = isinstance(cut, BoxCut) and min(cut.size) < SAME_MM
        if not empty and cut.key() not in seen:
            seen.add(cut.key())
            item.cuts.append(cut)
    known = tuple(item.cuts)
    try:
        left = _volume_left(item.form, item.stock, known)
    except (GeometryError, InputError):
        left = 0.0
    if left > 0:
        return
    check_cuts(item)
    try:
        left = volume_mm3(Part(item.label, item.form, item.stock, known))
    except GeometryError as error:
        names = " and ".join(dict.fromkeys(c.name for c in item.cuts))
        raise InputError(
            "joints",
            item.label,
            f"its {names} would run into each other or out of an edge",
            "use fewer or smaller ones, or set them off",
        ) from error
    if left <= 0:
        raise InputError("joints", item.label, "its cuts leave nothing of it")


@kept(PART_KEYS)
def _volume_left(form: Form, stock: Stock, cuts: tuple[Cut, ...]) -> float:
    """What cuts leave of a form, mm³. Raises: as `_add`."""
    check_cuts(Item("", form, stock, Pose(), (), "", cuts=list(cuts)))
    return volume_mm3(Part("", form, stock, cuts))
