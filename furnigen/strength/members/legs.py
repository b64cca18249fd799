"""Legs that lean: the thrust of their feet, and what the joint at their top must take.

A leg that leans pushes its foot outward. Its joint is judged as if nothing else held the foot: floors are
polished, wet, or feet stand on pads. Friction counts only where a maker says so (`Demands.floor_friction`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import pi

from furnigen.core.facts import FastenerKind, Joinery
from furnigen.joints.joint import Joint
from furnigen.parts.cuts import Turned
from furnigen.strength.formulas.allowable import LOAD_FACTOR, find_allowable
from furnigen.strength.formulas.column import (
    SCREW_SAFETY,
    LeaningLeg,
    fastener_pull_n,
    leaning_leg_forces,
    screw_withdrawal_n,
    socket_mpa,
)
from furnigen.strength.members.bearings import bearing_limit
from furnigen.strength.model.carriers import Carriers
from furnigen.strength.model.members import Member

GREEN_SHARE = 1 / 1120
"""Specific gravity over density at 12 % moisture, kg/m³ (Wood Handbook: density = SG x 1120)."""
END_GRAIN = 0.75
"""A thread in end grain holds this share of one in side grain at most (Wood Handbook ch. 8, from memory)."""


@dataclass(frozen=True, slots=True)
class JointDemand:
    """One thing that a leg's joint must bear.

    Attributes:
        what: "pressure in the socket", "bending of the tenon" or "pull on each screw".
        value, allowed: in `unit`; None where what it may be is not known.
        unit: "N/mm2" or "N".
        source: where the allowed value and the way it is found come from.
    """

    what: str
    value: float
    allowed: float | None
    unit: str
    source: str

    @property
    def used(self) -> float | None:
        """Share of what is allowed."""
        return None if self.allowed is None else self.value / self.allowed


@dataclass(frozen=True)
class LegJoint:
    """The joint at the top of a leg that leans.

    Attributes:
        label: the leg.
        foot_n: load on its foot, N.
        leaned: its forces by statics.
        held: moment the joint takes, N mm: all of it but what a stated friction of the floor takes.
        kind: kind of the joint, "" where none is declared.
        bears: what it must bear, the most used first; empty where nothing can be said.
        unknown: why nothing can be said.
    """

    label: str
    foot_n: float
    leaned: LeaningLeg
    held: float
    kind: str
    bears: tuple[JointDemand, ...]
    unknown: str

    @property
    def used(self) -> float | None:
        """Share of what the joint bears; None where nothing can be said."""
        return self.bears[0].used if self.bears else None


def check_legs(
    feet: Mapping[str, float],
    bodies: Mapping[str, Member],
    ground: Carriers,
    climate: int = 1,
    friction: float = 0.0,
) -> tuple[LegJoint, ...]:
    """The joints of legs that lean.

    Args:
        feet: load on the foot of each leg, N.
        climate: service class 1, 2 or 3.
        friction: of the floor, as far as it may be counted on.
    """
    found = []
    for label, newton in feet.items():
        body = bodies[label]
        leg = body.form.as_leg
        if leg is None or leg.lean < 1e-6:
            continue
        leaned = leaning_leg_forces(max(newton, 0.0), leg.height, leg.lean)
        held = leaned.held(friction)
        joint = top_joint(label, bodies, ground)
        bears: list[JointDemand] = []
        if joint is None:
            unknown = "no joint is declared at its top"
        else:
            bears = joint_bears(body, joint, held, leaned.across * leaned.left(friction), bodies, climate)
            unknown = "" if bears else f"{joint.kind}: what it bears against turning is not known"
        bears.sort(key=lambda one: -(one.used if one.used is not None else float("inf")))
        kind = joint.kind if joint else ""
        found.append(LegJoint(label, newton, leaned, held, kind, tuple(bears), unknown))
    return tuple(found)


def top_joint(label: str, bodies: Mapping[str, Member], ground: Carriers) -> Joint | None:
    """The joint by which a leg is held at its top."""
    return next((j for a, j in ground.joined.get(label, ()) if j.b == label and a in bodies), None)


def joint_bears(
    body: Member,
    joint: Joint,
    held: float,
    across: float,
    bodies: Mapping[str, Member],
    climate: int,
    duration: str = "permanent",
) -> list[JointDemand]:
    """What a leg's joint must bear under a moment (N mm) and a force across it (N).

    Args:
        duration: of the load, one of `furnigen.strength.formulas.allowable.DURATIONS`.
    """
    tenon = next((c for c in body.part.cuts if isinstance(c, Turned)), None)
    if joint.joinery is Joinery.TENON and tenon is not None:
        return [
            _socket(
                body,
                bodies[joint.a],
                socket_mpa(held, across, joint.travel_mm, tenon.diameter),
                climate,
                duration,
            ),
            _tenon(body, held, tenon.diameter, climate, duration),
        ]
    screws = [f for f in joint.fasteners if f.kind is FastenerKind.SCREW and f.sites]
    if not screws:
        return []
    lever = body.form.blank_mm[1] / 2
    count = sum(len(f.sites) for f in screws)
    gravity = body.material.density_kg_m3 * GREEN_SHARE
    first = screws[0]
    # half of the screw is taken to be in the leg
    holds = END_GRAIN * screw_withdrawal_n(gravity, first.diameter_mm, first.length_mm / 2)
    return [
        JointDemand(
            "pull on each screw",
            fastener_pull_n(held, lever) / count,
            holds,
            "N",
            f"lever half the leg; withdrawal from end grain / {SCREW_SAFETY:g}, Wood Handbook ch. 8",
        )
    ]


def _socket(leg: Member, into: Member, pressure: float, climate: int, duration: str) -> JointDemand:
    """The pressure of a tenon's side on its socket, held against the softer wood."""
    limit, source = bearing_limit((leg, into), climate, duration)
    return JointDemand(
        "pressure in the socket",
        pressure,
        limit,
        "N/mm2",
        f"6 M / b d² + V / b d, hand-derived; square to the grain / {LOAD_FACTOR:g}: {source}",
    )


def _tenon(leg: Member, held: float, diameter: float, climate: int, duration: str) -> JointDemand:
    """Bending of a round tenon at its shoulder."""
    strength = find_allowable(leg.material, duration, climate)
    limit = None if strength.bending_mpa is None else strength.bending_mpa / LOAD_FACTOR
    stress = held / (pi * diameter**3 / 32)
    source = f"M / (pi d³ / 32); {strength.bending_source.text} / {LOAD_FACTOR:g}"
    return JointDemand("bending of the tenon", stress, limit, "N/mm2", source)
