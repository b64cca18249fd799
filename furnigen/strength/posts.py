"""What stands: uprights, posts and legs under the loads that come down on them, their bearings and feet.

An upright is pressed by what rests on it above a place; between the levels that hold it, it may buckle across
its thinner side. A joint that hands a load on beside the middle of an upright bends it too. A leg that leans
pushes its foot outward; what the floor's friction does not hold, its joint must.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import cos, radians

from furnigen.loadpath import BEARS, SupportPlace
from furnigen.parts.cuts import Turned
from furnigen.parts.legs import SquareLeg, TurnedLeg
from furnigen.piece import Joint
from furnigen.pose import Vector, dot
from furnigen.strength.allowable import LOAD_FACTOR, find_allowable
from furnigen.strength.boards import Board
from furnigen.strength.body import LEG, UPRIGHT, Body, column_of
from furnigen.strength.carry import Ground
from furnigen.strength.column import (
    Leaned,
    Pressed,
    compression_mpa,
    fastener_pull_n,
    foot_mpa,
    lean,
    press,
    screw_withdrawal_n,
    socket_mpa,
)
from furnigen.strength.loads import GRAVITY
from furnigen.strength.stack import Push, Stack

FLOOR_FRICTION = 0.2
"""Friction of a foot on a dry floor, from memory: wood slides at 0.2 and more."""
GREEN_SHARE = 1 / 1120
"""Specific gravity over density at 12 % moisture, kg/m³ (Wood Handbook: density = SG x 1120)."""
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
        ends: its end condition, one of `furnigen.strength.column.ENDS`, and why.
        why_ends: that reason.
        pressed: what it does; None where its material's strength is not known.
    """

    label: str
    low: float
    high: float
    axial_n: float
    moment: float
    ends: str
    why_ends: str
    pressed: Pressed | None


@dataclass(frozen=True)
class LegJoint:
    """The joint at the top of a leg that leans.

    Attributes:
        label: the leg.
        foot_n: load on its foot, N.
        leaned: its forces by statics.
        held: moment the joint takes once the floor's friction has taken its part, N mm.
        kind: kind of the joint, "" where none is declared.
        used: share of what it bears; None where nothing can be said.
        how: what was held against what.
    """

    label: str
    foot_n: float
    leaned: Leaned
    held: float
    kind: str
    used: float | None
    how: str


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


def _pushed(stack: Stack) -> dict[str, list[Push]]:
    on: dict[str, list[Push]] = {}
    for push in stack.pushes:
        on.setdefault(push.by, []).append(push)
    return on


def check_posts(
    stack: Stack, boards: tuple[Board, ...], bodies: Mapping[str, Body], ground: Ground
) -> tuple[Post, ...]:
    """Every upright and leg, each at the stretch that is used most."""
    on = _pushed(stack)
    held = _held_ends(boards)
    found = []
    for label, body in bodies.items():
        if body.kind in (UPRIGHT, LEG) and ground.places.get(label):
            post = _post(body, on.get(label, []), held.get(label, []), bodies, ground)
            if post is not None:
                found.append(post)
    return tuple(found)


def _levels(body: Body, bodies: Mapping[str, Body], ground: Ground, pushes: list[Push]) -> list[float]:
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
    body: Body,
    pushes: list[Push],
    held: list[tuple[float, float, Vector]],
    bodies: Mapping[str, Body],
    ground: Ground,
) -> Post | None:
    material = body.material
    strength = find_allowable(material).bending_mpa
    levels = _levels(body, bodies, ground, pushes)
    tall = body.box.size[2]
    if body.kind == LEG:
        ends, why = "turns, other end slides", "held in its joint, foot free to turn, the piece free to sway"
        stretches = [(levels[0], levels[-1])]
    else:
        ends, why = "both turn", "held sideways at each level, turning freely there"
        stretches = list(pairwise(levels))
    worst: tuple[float, Post] | None = None
    for low, high in stretches:
        if high - low < SHORTEST_MM:
            continue
        above = [p for p in pushes if p.at[2] > low + 1e-6]
        axial = sum(p.dead + p.live for p in above) + body.kg * GRAVITY * (body.box.hi[2] - low) / tall
        section = column_of(body, (low + high) / 2)
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
        pressed = None
        ranked = axial * length**2 / section.least_i
        if strength is not None:
            design = strength / LOAD_FACTOR
            least = material.moe_mpa * (1 - 1.645 * find_allowable(material).moe_spread)
            pressed = press(
                axial,
                length=length,
                bending=least * section.least_i,
                area=section.area,
                modulus=section.least_w,
                compression_mpa=compression_mpa(design),
                bending_mpa=design,
                ends=ends,
                moment=moment,
            )
            ranked = pressed.used if pressed.amplifier < float("inf") else 1e9 * ranked
        post = Post(body.label, low, high, axial, moment, ends, why, pressed)
        if worst is None or ranked > worst[0] * (1 + 1e-9):
            worst = (ranked, post)
    return worst[1] if worst else None


def check_legs(feet: Mapping[str, float], bodies: Mapping[str, Body], ground: Ground) -> tuple[LegJoint, ...]:
    """The joints of legs that lean.

    Args:
        feet: load on the foot of each leg, N.
    """
    found = []
    for label, newton in feet.items():
        body = bodies[label]
        if body.kind != LEG or not isinstance(body.form, TurnedLeg | SquareLeg) or body.form.lean < 1e-6:
            continue
        leaned = lean(max(newton, 0.0), body.form.height, body.form.lean)
        left = max(0.0, 1 - FLOOR_FRICTION / leaned.friction)
        held = leaned.moment * left
        joint = next((j for a, j in ground.joined.get(label, ()) if j.b == label and a in bodies), None)
        used, how = _joint_used(body, joint, held, leaned.across * left, bodies)
        found.append(LegJoint(label, newton, leaned, held, joint.kind if joint else "", used, how))
    return tuple(found)


def _joint_used(
    body: Body, joint: Joint | None, held: float, across: float, bodies: Mapping[str, Body]
) -> tuple[float | None, str]:
    """Share used of a leg's joint by a moment (N mm) and a force (N), and how that was found."""
    if joint is None:
        return None, "no joint is declared at its top"
    tenon = next((c for c in body.part.cuts if isinstance(c, Turned)), None)
    if "tenon" in joint.kind and tenon is not None:
        depth = joint.travel_mm
        pressure = socket_mpa(held, across, depth, tenon.diameter)
        allowed = [
            a for b in (body, bodies[joint.a]) if (a := find_allowable(b.material).bearing_mpa) is not None
        ]
        if not allowed:
            return None, f"pressure in the socket {pressure:.2f} N/mm²; no strength known"
        limit = min(allowed) / LOAD_FACTOR
        return pressure / limit, f"pressure on the tenon {pressure:.2f} of {limit:.2f} N/mm²"
    screws = [f for f in joint.fasteners if "screw" in f.kind and f.sites]
    if screws:
        lever = body.form.blank_mm[1] / 2
        count = sum(len(f.sites) for f in screws)
        pull = fastener_pull_n(held, lever) / count
        gravity = body.material.density_kg_m3 * GREEN_SHARE
        first = screws[0]
        # the thread in end grain holds three quarters at most, over the part that is in the leg
        holds = 0.75 * screw_withdrawal_n(gravity, first.diameter_mm, first.length_mm / 2)
        return pull / holds, f"pull on each screw {pull:.0f} of {holds:.0f} N, in end grain"
    return None, f"{joint.kind}: what it bears against turning is not known"


def check_bearings(
    stack: Stack, boards: tuple[Board, ...], bodies: Mapping[str, Body]
) -> tuple[Pressure, ...]:
    """Every bearing between two parts, at the most it may carry."""
    most: dict[tuple[str, str, SupportPlace], float] = {}
    for push in stack.pushes:
        key = (push.by, push.label, push.place)
        most[key] = most.get(key, 0.0) + push.dead + push.live
    # a bay that is full while its neighbour is empty presses harder
    factor: dict[str, float] = {}
    for board in boards:
        if board.result is None:
            continue
        for i, station in enumerate(board.span.stations):
            full = float(board.resting.force[i].sum())
            if full > 1.0:
                for place in station.places:
                    key = (place.by, board.label, place)
                    if key in most:
                        more = max(1.0, board.result.most[i] / full)
                        factor[str(key)] = max(factor.get(str(key), 1.0), more)
    found = []
    for (by, label, place), newton in most.items():
        if place.kind != BEARS or place.area_mm2 <= 0 or newton <= 0 or by not in bodies:
            continue
        newton *= factor.get(str((by, label, place)), 1.0)
        known = [
            (a.bearing_mpa / LOAD_FACTOR, a.bearing_source.text)
            for b in (bodies[by], bodies[label])
            if (a := find_allowable(b.material)).bearing_mpa is not None and a.bearing_source is not None
        ]
        limit, source = min(known, default=(None, "no strength square to the grain is known"))
        found.append(Pressure(by, label, newton, newton / place.area_mm2, limit, source))
    return tuple(found)


def foot_pressures(
    feet: Mapping[str, float], areas: Mapping[str, float]
) -> tuple[tuple[str, float, float], ...]:
    """Label, load (N) and pressure on the floor (N/mm²) of each foot."""
    return tuple((label, n, foot_mpa(max(n, 0.0), areas[label])) for label, n in feet.items())
