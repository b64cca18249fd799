"""A piece shoved across the floor: what the legs, their joints and the frame above them take.

The floor holds each foot back by its share of friction. Below the lowest level that ties it, a leg or upright
is a cantilever under that force; a leg that leans has the moment of its lean besides, both taken to add up
(whichever way it leans). What a frame's joints take comes from the frame solver
(`furnigen.strength.model.racking`), pushed at its top.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from math import cos, pi, radians, tan

from furnigen.catalogue.loads import GRAVITY
from furnigen.construction.load_path import FLOOR
from furnigen.core.pose import Vector, dot
from furnigen.strength.formulas.allowable import LOAD_FACTOR, find_allowable
from furnigen.strength.formulas.load_cases import LoadCase, Shove, shove
from furnigen.strength.formulas.tipping import Edge, TippingStability
from furnigen.strength.members.board_stack import PassedLoad
from furnigen.strength.members.legs import JointDemand, joint_bears, top_joint
from furnigen.strength.members.sway import Sideways
from furnigen.strength.model.carriers import Carriers
from furnigen.strength.model.members import LEG, UPRIGHT, Member, column_section_of

DURATION = "short"
"""A shove lasts for seconds, and comes again: less than a week in all (EN 1995-1-1 Table 2.1)."""
LEAST_LEVER_MM = 1.0
"""A foot tied this low stands below nothing."""
WAYS = {"front": "front-back", "back": "front-back", "left": "left-right", "right": "left-right"}


@dataclass(frozen=True)
class Shoved:
    """What one load case does at its worst.

    Attributes:
        case: the load case.
        side: toward which side it is pushed.
        shove: push and friction.
        label: the leg or upright that is used most; "" where nothing stands below the lowest level.
        bears: what it or its joint bears; None likewise.
        joint_moment: in the most loaded joint of the frame above, N mm; 0 where joints alone do not hold it.
        joint: that joint, in words.
        unknown: labels of legs of whose joints nothing is known.
        turned: moment of each joint of the frame that resists, by its id, N mm.
        way: the level way it is pushed along.
    """

    case: LoadCase
    side: str
    shove: Shove
    label: str
    bears: JointDemand | None
    joint_moment: float
    joint: str
    unknown: tuple[str, ...]
    turned: Mapping[int, float]
    way: Vector


def check_shoves(
    cases: Iterable[LoadCase],
    pushes: Sequence[PassedLoad],
    bodies: Mapping[str, Member],
    ground: Carriers,
    sideways: Sequence[Sideways],
    standing: tuple[TippingStability, TippingStability],
    height: float,
    climate: int,
) -> tuple[Shoved, ...]:
    """What shoving does to a free-standing piece, each case at its worst way and friction.

    Args:
        pushes: every load handed on.
        standing: the piece empty, and with all of its load.
        height: of its top, mm.
        climate: service class 1, 2 or 3.
    """
    found = []
    on_floor = [p for p in pushes if p.by == FLOOR]
    for case in cases:
        if not case.frictions:
            continue
        whole = standing[1 if case.loaded else 0]
        feet: dict[str, tuple[float, Vector]] = {}
        for p in on_floor:
            newton = p.dead + (p.live if case.loaded else 0.0)
            feet[p.label] = (feet.get(p.label, (0.0, p.at))[0] + newton, bodies[p.label].box.centre)
        ones = [
            _shoved(case, one, edge, feet, bodies, ground, sideways, climate)
            for side in WAYS
            for edge in whole.side(side)[:1]
            for one in pushes_toward(case, whole, edge, height)
        ]
        if ones:
            found.append(max(ones, key=_rank))
    return tuple(found)


def _rank(one: Shoved) -> tuple[float, float, float]:
    used = one.bears.used if one.bears is not None else None
    return round(used or 0.0, 9), round(one.joint_moment, 3), round(one.shove.push_n, 6)


def pushes_toward(case: LoadCase, whole: TippingStability, edge: Edge, height: float) -> Iterator[Shove]:
    """What a case pushes with toward one line of the feet, by each of its frictions."""
    at = [x * edge.outward[0] + y * edge.outward[1] for x, y in whole.footprint]
    for friction in case.frictions:
        yield shove(
            whole.kg * GRAVITY, edge.inside, max(at) - min(at), min(case.push_height, height), friction
        )


def _shoved(
    case: LoadCase,
    one: Shove,
    edge: Edge,
    feet: Mapping[str, tuple[float, Vector]],
    bodies: Mapping[str, Member],
    ground: Carriers,
    sideways: Sequence[Sideways],
    climate: int,
) -> Shoved:
    """One way and friction: the leg or upright that is used most."""
    way = (edge.outward[0], edge.outward[1], 0.0)
    total = sum(newton for newton, _ in feet.values())
    pressed = _leaned_on(feet, way, one.leading_n)
    best: tuple[float, str, JointDemand] | None = None
    unknown = []
    for label, newton in pressed.items():
        body = bodies[label]
        held = one.push_n * newton / total if total > 0 else 0.0
        demands = _demands(body, newton, held, way, bodies, ground, climate)
        if demands is None:
            unknown.append(label)
            continue
        for demand in demands:
            if demand.used is not None and (best is None or demand.used > best[0] * (1 + 1e-9)):
                best = (demand.used, label, demand)
    frame = next((s for s in sideways if s.way == WAYS[edge.side] and s.by == "joints" and s.racking), None)
    moment = one.push_n * frame.racking.joint_moment if frame and frame.racking else 0.0
    turned: dict[int, float] = {}
    for joint, share in frame.turned if frame else ():
        turned[id(joint)] = max(turned.get(id(joint), 0.0), moment * share)
    return Shoved(
        case,
        edge.side,
        one,
        best[1] if best else "",
        best[2] if best else None,
        moment,
        frame.joint if frame else "",
        tuple(unknown),
        turned,
        way,
    )


def _leaned_on(feet: Mapping[str, tuple[float, Vector]], way: Vector, over: float) -> dict[str, float]:
    """Load on each foot, N, once some of it has gone over to the feet in front."""
    at = {label: dot(p, way) for label, (_, p) in feet.items()}
    middle = (max(at.values()) + min(at.values())) / 2
    sums = {True: 0.0, False: 0.0}
    for label, (newton, _) in feet.items():
        sums[at[label] >= middle] += max(newton, 0.0)
    found = {}
    for label, (newton, _) in feet.items():
        leading = at[label] >= middle
        share = max(newton, 0.0) / sums[leading] if sums[leading] > 0 else 0.0
        found[label] = max(newton + (over if leading else -over) * share, 0.0)
    return found


def _demands(
    body: Member,
    newton: float,
    held: float,
    way: Vector,
    bodies: Mapping[str, Member],
    ground: Carriers,
    climate: int,
) -> list[JointDemand] | None:
    """What a leg or upright bears under a force across its foot (N).

    None where nothing is known of its joint.
    """
    leg = body.form.as_leg
    if body.kind == LEG and leg is not None:
        joint = top_joint(body.label, bodies, ground)
        moment = (held + newton * tan(radians(leg.lean))) * leg.height
        found = joint_bears(body, joint, moment, held, bodies, climate, DURATION) if joint else []
        return found or None
    if body.kind != UPRIGHT:
        return []
    lever = _free_below(body, bodies, ground)
    section = column_section_of(body, body.box.lo[2] + lever / 2)
    strength = find_allowable(body.material, DURATION, climate)
    if lever < LEAST_LEVER_MM or section is None or strength.bending_mpa is None:
        return []
    thin = abs(dot(section.thin, way)) > cos(pi / 4)
    modulus = section.least_w if thin else section.most_w
    return [
        JointDemand(
            "bending below its lowest level",
            held * lever / modulus,
            strength.bending_mpa / LOAD_FACTOR,
            "N/mm2",
            f"H h / W, hand-derived; {strength.bending_source.text} / {LOAD_FACTOR:g}",
        )
    ]


def _free_below(body: Member, bodies: Mapping[str, Member], ground: Carriers) -> float:
    """How far above its foot an upright is first tied to something level, mm; 0 where nothing ties it."""
    foot = body.box.lo[2]
    tied = [
        bodies[other].box.lo[2] - foot
        for other, _ in ground.joined.get(body.label, ())
        if other in bodies and bodies[other].kind not in (UPRIGHT, LEG)
    ]
    return max(min(tied, default=0.0), 0.0)
