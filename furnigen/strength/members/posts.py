"""What stands: uprights, posts and legs under the loads that come down on them.

An upright is pressed by what rests on it above a place; between the levels that hold it, it may buckle across
its thinner side. A joint that hands a load on beside the middle of an upright bends it too. A leg that leans
pushes its foot outward; what a stated friction of the floor does not hold, its joint must.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from math import cos, pi, radians

from furnigen.catalogue.loads import GRAVITY
from furnigen.core.pose import Vector, dot, unit
from furnigen.strength.formulas.allowable import FIVE_PERCENT, LOAD_FACTOR, find_allowable
from furnigen.strength.formulas.column import (
    ColumnResult,
    check_column,
    compression_mpa,
    leaning_leg_forces,
)
from furnigen.strength.members.board_stack import BoardStack, PassedLoad
from furnigen.strength.members.boards import Board
from furnigen.strength.members.leaning_posts import Offsets, bent_most, load_offsets, loads_on_post
from furnigen.strength.model.carriers import Carriers
from furnigen.strength.model.members import LEG, UPRIGHT, Member, column_section_of
from furnigen.strength.model.net_sections import left_of_upright

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
    friction: float = 0.0,
) -> tuple[Post, ...]:
    """Every upright and leg, each at the stretch that is used most, in a climate (service class).

    Args:
        friction: of the floor, as far as it may be counted on under legs that lean.
    """
    on = _pushed(stack)
    held, offsets = _held_ends(boards), load_offsets(boards)
    found = []
    for label, body in bodies.items():
        if body.kind in (UPRIGHT, LEG) and ground.places.get(label):
            mine = held.get(label, [])
            post = _post(body, on.get(label, []), offsets, mine, bodies, ground, climate, friction)
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
        turned = board.resting.turned
        for station, moment in zip(board.span.stations, board.result.held, strict=True):
            if turned is not None:  # what it hands on when full counts where that comes down
                moment = max(0.0, turned.moment - turned.at_rest)
            for place in station.places:
                if moment > 0:
                    found.setdefault(place.by, []).append((place.centre[2], moment, board.span.along))
    return found


def _post(
    body: Member,
    pushes: list[PassedLoad],
    offsets: Offsets,
    held: list[tuple[float, float, Vector]],
    bodies: Mapping[str, Member],
    ground: Carriers,
    climate: int,
    friction: float,
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
        from_lean, modulus = _bent_by_lean(body, pushes, offsets, axial, low, high, friction)
        # joints cut it: it buckles as a whole board, but presses and bends on what they leave
        area_left, thin_left, wide_left = left_of_upright(body, low - SHORTEST_MM, high + SHORTEST_MM)
        modulus *= min(thin_left, wide_left) if from_lean > 0 else 1.0
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
                area=section.area * area_left,
                modulus=section.least_w * thin_left,
                # the rule is one of characteristic strengths: k_mod and the factors come after it
                compression_mpa=(bears.compression_mpa or compression_mpa(characteristic))
                * design
                / characteristic,
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
    body: Member,
    pushes: list[PassedLoad],
    offsets: Offsets,
    axial: float,
    low: float,
    high: float,
    friction: float,
) -> tuple[float, float]:
    """Moment by its lean (N mm) and section modulus (mm³) where it is used most between two heights."""
    if body.lean_degrees < UPRIGHT_DEGREES:
        return 0.0, 1.0
    leg = body.form.as_leg
    if leg is not None:
        top = leaning_leg_forces(axial, leg.height, leg.lean).held(friction)
        # the moment grows from the foot up, and so may the leg
        steps = [(i / LEG_STEPS, leg.modulus_at(leg.height * i / LEG_STEPS)) for i in range(1, LEG_STEPS + 1)]
        share, modulus = max(steps, key=lambda one: one[0] / one[1])
        return top * share, modulus
    # the joint of a board is as high as the board: what it hands on bends the post on either side of it
    loads = loads_on_post(body, pushes, offsets)
    moment, at = bent_most(body, loads, low - SHORTEST_MM, high + SHORTEST_MM)
    section = column_section_of(body, at) or column_section_of(body, (low + high) / 2)
    if section is None:
        return 0.0, 1.0
    x, y, _ = body.axis
    thin = abs(dot(section.thin, unit((x, y, 0.0)))) > cos(pi / 4)
    return moment, section.least_w if thin else section.most_w
