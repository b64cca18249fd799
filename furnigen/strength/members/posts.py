"""What stands: uprights, posts and legs under the loads that come down on them, their bearings and feet.

An upright is pressed by what rests on it above a place; between the levels that hold it, it may buckle across
its thinner side. A joint that hands a load on beside the middle of an upright bends it too. A leg that leans
pushes its foot outward; what the floor's friction does not hold, its joint must.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from math import cos, hypot, pi, radians

from furnigen.catalogue.loads import GRAVITY
from furnigen.construction.load_path import BEARS, SupportPlace
from furnigen.core.pose import Vector, dot, unit
from furnigen.strength.formulas.allowable import FIVE_PERCENT, LOAD_FACTOR, find_allowable
from furnigen.strength.formulas.column import (
    FLOOR_FRICTION,
    ColumnResult,
    check_column,
    compression_mpa,
    leaning_leg_forces,
)
from furnigen.strength.members.board_stack import BoardStack, PassedLoad
from furnigen.strength.members.boards import Board
from furnigen.strength.model.carriers import Carriers
from furnigen.strength.model.members import LEG, UPRIGHT, Member, column_section_of

SHORTEST_MM = 30.0
"""A shorter stretch of an upright does not buckle: it is the joint itself. Our own choice."""


@dataclass(frozen=True)
class Post:
    """One upright or leg under load.

    Attributes:
        label: its label.
        low, high: the stretch that is used most, heights in the room, mm.
        axial_n: what presses on it there, N.
        moment: first-order moment beside it, N mm.
        from_lean: moment that its lean gives it there, N mm.
        ends: its end condition, one of `furnigen.strength.formulas.column.END_CONDITIONS`, and why.
        why_ends: that reason.
        pressed: what it does; None where its material's strength is not known.
    """

    label: str
    low: float
    high: float
    axial_n: float
    moment: float
    from_lean: float
    ends: str
    why_ends: str
    pressed: ColumnResult | None


@dataclass(frozen=True)
class Pressure:
    """A bearing under load.

    Attributes:
        by, label: what carries and what is carried.
        newton: load at its most, N.
        mpa: pressure, N/mm².
        allowed_mpa: design strength of the softer wood over the load factor; None where not known.
        source: where that comes from.
    """

    by: str
    label: str
    newton: float
    mpa: float
    allowed_mpa: float | None
    source: str


def _pushed(stack: BoardStack) -> dict[str, list[PassedLoad]]:
    on: dict[str, list[PassedLoad]] = {}
    for push in stack.pushes:
        on.setdefault(push.by, []).append(push)
    return on


def check_posts(
    stack: BoardStack,
    boards: tuple[Board, ...],
    bodies: Mapping[str, Member],
    ground: Carriers,
    climate: int = 1,
) -> tuple[Post, ...]:
    """Every upright and leg, each at the stretch that is used most, in a climate (service class)."""
    on = _pushed(stack)
    held = _held_ends(boards)
    found = []
    for label, body in bodies.items():
        if body.kind in (UPRIGHT, LEG) and ground.places.get(label):
            post = _post(body, on.get(label, []), held.get(label, []), bodies, ground, climate)
            if post is not None:
                found.append(post)
    return tuple(found)


def _levels(
    body: Member, bodies: Mapping[str, Member], ground: Carriers, pushes: list[PassedLoad]
) -> list[float]:
    """Heights at which something holds an upright sideways: joints and bearings along it."""
    low, high = body.box.lo[2], body.box.hi[2]
    heights = {low, high}
    for b, _ in ground.joined.get(body.label, ()):
        if b in bodies:
            box = bodies[b].box
            if bodies[b].kind not in (UPRIGHT, LEG):
                heights.add(min(max((box.lo[2] + box.hi[2]) / 2, low), high))
    for push in pushes:
        heights.add(min(max(push.at[2], low), high))
    return sorted(heights)


def _held_ends(boards: tuple[Board, ...]) -> dict[str, list[tuple[float, float, Vector]]]:
    """Moments that the ends of boards leave in each upright: height mm, N mm, and the way they bend it."""
    found: dict[str, list[tuple[float, float, Vector]]] = {}
    for board in boards:
        if board.result is None:
            continue
        for station, moment in zip(board.span.stations, board.result.held, strict=True):
            for place in station.places:
                if moment > 0:
                    found.setdefault(place.by, []).append((place.centre[2], moment, board.span.along))
    return found


def _post(
    body: Member,
    pushes: list[PassedLoad],
    held: list[tuple[float, float, Vector]],
    bodies: Mapping[str, Member],
    ground: Carriers,
    climate: int,
) -> Post | None:
    material = body.material
    bears = find_allowable(material, climate=climate)
    strength, characteristic = bears.bending_mpa, bears.characteristic_mpa
    levels = _levels(body, bodies, ground, pushes)
    tall = body.box.size[2]
    if body.kind == LEG:
        ends, why = "turns, other end slides", "held in its joint, foot free to turn, the piece free to sway"
        stretches = [(levels[0], levels[-1])]
    else:
        ends = "both turn"
        why = "held sideways at each level, turning freely there; the sway of the whole is checked apart"
        stretches = list(pairwise(levels))
    worst: tuple[float, Post] | None = None
    for low, high in stretches:
        if high - low < SHORTEST_MM:
            continue
        above = [p for p in pushes if p.at[2] > low + 1e-6]
        axial = sum(p.dead + p.live for p in above) + body.kg * GRAVITY * (body.box.hi[2] - low) / tall
        section = column_section_of(body, (low + high) / 2)
        if section is None or axial <= 0:
            continue
        # loads off the middle of its thickness bend it: those handed in between these levels
        beside = sum(
            (p.dead + p.live) * dot((p.at[0] - body.centre[0], p.at[1] - body.centre[1], 0.0), section.thin)
            for p in above
            if p.at[2] <= high + 1e-6
        )
        # the end of one board bends it while the other side stands empty
        ends_held = [m * abs(dot(way, section.thin)) for z, m, way in held if low - 1e-6 <= z <= high + 1e-6]
        moment = abs(beside) + max(ends_held, default=0.0) if body.kind == UPRIGHT else 0.0
        length = (high - low) / cos(radians(body.lean_degrees))
        from_lean, modulus = _bent_by_lean(body, pushes, axial, low, high)
        pressed = None
        ranked = axial * length**2 / section.least_i
        if strength is not None and characteristic is not None:
            design = strength / LOAD_FACTOR
            moe = body.modulus(body.axis) if body.form.as_board else material.moe_mpa
            least = moe * (1 - FIVE_PERCENT * bears.moe_spread)
            pressed = check_column(
                axial,
                length=length,
                bending=least * section.least_i,
                area=section.area,
                modulus=section.least_w,
                # the rule is one of characteristic strengths: k_mod and the factors come after it
                compression_mpa=compression_mpa(characteristic) * design / characteristic,
                bending_mpa=design,
                ends=ends,
                moment=moment,
            )
            if from_lean > 0:  # in a plane of its own: the two shares add up at a corner of the section
                more = from_lean * pressed.amplifier / (modulus * design)
                pressed = replace(pressed, bending=pressed.bending + more)
            ranked = pressed.used if pressed.amplifier < float("inf") else 1e9 * ranked
        post = Post(body.label, low, high, axial, moment, from_lean, ends, why, pressed)
        if worst is None or ranked > worst[0] * (1 + 1e-9):
            worst = (ranked, post)
    return worst[1] if worst else None


UPRIGHT_DEGREES = 0.01
"""What leans less stands upright."""
LEG_STEPS = 16
"""Places along a leg at which its bending is looked at."""


def _bent_by_lean(
    body: Member, pushes: list[PassedLoad], axial: float, low: float, high: float
) -> tuple[float, float]:
    """Moment by its lean (N mm) and section modulus (mm³) where it is used most between two heights."""
    if body.lean_degrees < UPRIGHT_DEGREES:
        return 0.0, 1.0
    leg = body.form.as_leg
    if leg is not None:
        top = leaning_leg_forces(axial, leg.height, leg.lean).held(FLOOR_FRICTION)
        # the moment grows from the foot up, and so may the leg
        steps = [(i / LEG_STEPS, leg.modulus_at(leg.height * i / LEG_STEPS)) for i in range(1, LEG_STEPS + 1)]
        share, modulus = max(steps, key=lambda one: one[0] / one[1])
        return top * share, modulus
    # a post that its foot carries and that leans on something at its top: a beam on the slant
    foot, top = body.box.lo[2], body.box.hi[2]
    x, y, z = body.axis
    way = unit((x, y, 0.0))
    slope = hypot(x, y) / z

    def out(push: PassedLoad) -> float:
        return (push.at[2] - foot) * slope

    own = body.kg * GRAVITY
    loads = [(p.dead + p.live, p.at[2], out(p)) for p in pushes] + [
        (own, (foot + top) / 2, (top - foot) / 2 * slope)
    ]
    leans_with = sum(n * x for n, _, x in loads) / (top - foot)

    def moment(at: float) -> float:
        beyond = sum(n * (x - (at - foot) * slope) for n, height, x in loads if height > at)
        return abs(leans_with * (top - at) - beyond)

    heights = [low, high, *(h for _, h, _ in loads if low < h < high)]
    at = max(heights, key=moment)
    section = column_section_of(body, at) or column_section_of(body, (low + high) / 2)
    if section is None:
        return 0.0, 1.0
    thin = abs(dot(section.thin, way)) > cos(pi / 4)
    return moment(at), section.least_w if thin else section.most_w


def bearing_limit(pair: tuple[Member, Member], climate: int) -> tuple[float | None, str]:
    """Pressure square to the grain that the softer of two parts bears (N/mm²), and where that is from."""
    known = [
        (a.bearing_mpa / LOAD_FACTOR, a.bearing_source.text)
        for b in pair
        if (a := find_allowable(b.material, climate=climate)).bearing_mpa is not None
        and a.bearing_source is not None
    ]
    return min(known, default=(None, "no strength square to the grain is known"))


def check_bearings(
    stack: BoardStack, boards: tuple[Board, ...], bodies: Mapping[str, Member], climate: int = 1
) -> tuple[Pressure, ...]:
    """Every bearing between two parts, at the most it may carry, in a climate (service class)."""
    # what comes down on each bearing, and how much more where a bay is full while its neighbour is empty
    most: dict[tuple[str, str, SupportPlace], list[float]] = {}
    for push in stack.pushes:
        most.setdefault((push.by, push.label, push.place), [0.0, 1.0])[0] += push.dead + push.live
    for board in boards:
        if board.result is None:
            continue
        every = board.resting.force.sum(1).tolist()
        for station, full, largest in zip(board.span.stations, every, board.result.most, strict=True):
            if full > 1.0:
                for place in station.places:
                    one = most.get((place.by, board.label, place))
                    if one is not None:
                        one[1] = max(one[1], largest / full)
    found = []
    for (by, label, place), (newton, more) in most.items():
        if place.kind != BEARS or place.area_mm2 <= 0 or newton <= 0 or by not in bodies:
            continue
        newton *= more
        limit, source = bearing_limit((bodies[by], bodies[label]), climate)
        found.append(Pressure(by, label, newton, newton / place.area_mm2, limit, source))
    return tuple(found)
