"""From what was placed and joined to distinct parts, their placements and joints."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from furnigen.drafting.clear_screws import set_off_screws
from furnigen.drafting.goods import settled_facts
from furnigen.drafting.joining import Join, cut_joints
from furnigen.drafting.leg_angles import note_of_part
from furnigen.joints.joint import Joint
from furnigen.parts.part import Part
from furnigen.piece.description import LegNote, Opening, Placement, Wall
from furnigen.piece.distinct_parts import Item, distinct


@dataclass(frozen=True)
class Finished:
    """The parts of a piece once all joints are cut, where they stand and how they are joined."""

    parts: tuple[Part, ...]
    placements: tuple[Placement, ...]
    joints: tuple[Joint, ...]
    legs: tuple[LegNote, ...]


def finished(
    placed: Mapping[str, Item],
    joins: Iterable[Join],
    openings: Iterable[Opening],
    walls: Sequence[Wall],
    leg_notes: Mapping[str, LegNote],
    fit: float,
) -> Finished:
    """Cut all joints and find which placements are copies of one part; `placed` stays as it is.

    Args:
        leg_notes: bench angles of legs by label.
        fit: allowance of the joints (mm).

    Raises: InputError when joints can not be cut as declared.
    """
    items = {label: replace(item, cuts=list(item.cuts)) for label, item in placed.items()}
    floors = {opening.bound("bottom") for opening in openings}
    for label, facts in settled_facts(items, floors, walls).items():
        items[label].facts = facts
    joints = set_off_screws(cut_joints(items, joins, fit), items)
    parts, placements = distinct(list(items.values()))
    at = {p.label: p.part for p in placements}
    legs: dict[int, LegNote] = {}
    for label, note in leg_notes.items():
        legs.setdefault(at[label], note_of_part(note, at[label], parts[at[label]].form))
    return Finished(parts, placements, joints, tuple(legs.values()))
