"""Fixings into a wall: pull and push of each, by what the wall is of."""

from __future__ import annotations

from collections.abc import Iterator
from typing import NamedTuple

from furnigen.catalogue.joint_values import WallMaterial, joint_value
from furnigen.core.wording import as_given, in_words
from furnigen.joints.joint import Fastener
from furnigen.strength.formulas.screws import pull_through, withdrawal_allowable
from furnigen.strength.formulas.yield_modes import (
    SideMember,
    bearing_allowable_mpa,
    bending_yield_mpa,
    lateral_allowable,
)
from furnigen.strength.joints.actions import Action, Bears, LoadedJoint, NotKnownError, group_of
from furnigen.strength.joints.wood import design


class Fixing(NamedTuple):
    """What one fixing bears, N, and by which rule."""

    pull: float
    shear: float
    source: str


def wall_rules(one: LoadedJoint, action: Action, fastener: Fastener, wall: WallMaterial) -> Iterator[Bears]:
    """What the fixings of one board into a wall bear of an action, each by the one that is loaded most.

    Raises: NotKnownError for a wall of which no value is published.
    """
    shear, pull = group_of(fastener, one.seat).most(action)
    bears = fixing_bears(one, fastener, wall)
    yield Bears(f"push down on each fixing into {wall.title}", shear, bears.shear, "N", bears.source)
    if pull <= 0:
        return
    yield Bears(
        f"pull on each fixing out of {wall.title}",
        pull,
        bears.pull,
        "N",
        f"its share of T = P e / z (statics); {bears.source}",
    )
    mpa, size = joint_value("head pull-through"), joint_value("screw head") * fastener.diameter_mm
    through = design(pull_through(mpa, size, one.b.density_k), one.b)
    yield Bears(f"pull of each head through {one.b.label}", pull, through, "N", "EN 1995-1-1 8.7.2")
    if bears.pull > 0 and bears.shear > 0:
        both = ((shear / bears.shear) ** 2 + (pull / bears.pull) ** 2) ** 0.5
        yield Bears(
            "pull and push together on each fixing", both, 1.0, "", f"EN 1995-1-1 8.28; {bears.source}"
        )


def fixing_bears(one: LoadedJoint, fastener: Fastener, wall: WallMaterial) -> Fixing:
    """What one fixing bears in a wall. Raises: NotKnownError where nothing is published."""
    if wall.pull_n is not None and wall.shear_n is not None:
        return Fixing(wall.pull_n, wall.shear_n, wall.source.text)
    if wall.gravity is None:
        raise NotKnownError(f"the wall is {wall.title}: {wall.source.text}")
    wood, d = one.b, fastener.diameter_mm
    point = fastener.length_mm - wood.thickness - wall.cover_mm
    if point <= 0:
        return Fixing(0.0, 0.0, f"the screw ends before the wood of {wall.title}")
    thread = min(point, joint_value("screw thread") * fastener.length_mm)
    share = min(1.0, point / (joint_value("screw penetration") * d))
    time = min(joint_value("ten years to permanent"), wood.time_share)
    own = wood.embedment(d) if wood.of_particles else bearing_allowable_mpa(wood.gravity)
    across = lateral_allowable(
        SideMember(wood.thickness, own),
        SideMember(point, bearing_allowable_mpa(wall.gravity)),
        d,
        joint_value("screw root") * d,
        bending_yield_mpa(d),
        gap=wall.cover_mm,
    )
    return Fixing(
        withdrawal_allowable(wall.gravity, d, thread) * time,
        across * share * time,
        f"19.65 G² d l and yield modes with a gap of {as_given(wall.cover_mm)} (NDS 12.2.2, TR12), allowable,"
        f" x {time:.2g} for time; {wall.source.text}; {in_words(point, digits=0)} of the screw in the wood",
    )
