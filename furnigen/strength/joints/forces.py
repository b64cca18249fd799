"""What every joint of a piece must carry: its loads by the load path, a lean of the whole, pull of a wall.

- The vertical force of a joint is what the piece at rest hands on between its two parts, own weight and
  goods, at its most and least: with a bay full beside an empty one, as the solver of boards finds.
- Where joints alone keep a piece from swaying, a push sideways of 1/200 of its weight and load at the top
  (EN 1995-1-1 5.4.4(2)) turns them, more the nearer the whole is to folding.
- What hangs on a wall is pulled off it at its fixings: T = P e / z.
- What stands and is fixed to a wall besides is held there against the test load of a tip restraint, 60 lb,
  and takes the weight that feet which slide leave to it. Its other joints hand both on.
- A board carried at one place turns its joint there by all of its moment: nothing else holds it.

Moments that only the stiffness of a joint draws to it relax where the joint gives; sag counts that stiffness
at its low end. They are reported and not held against the joint.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from math import inf
from types import MappingProxyType
from typing import NamedTuple

from furnigen.catalogue.joint_values import joint_value
from furnigen.construction.load_path import BEARS, SupportPlace
from furnigen.core.facts import FastenerKind
from furnigen.core.pose import Vector, cross, dot
from furnigen.joints.joint import Joint, Seat
from furnigen.piece.description import Piece
from furnigen.strength.formulas.column import FLOOR_FRICTION
from furnigen.strength.joints.actions import NOISE_N, Action, LoadedJoint
from furnigen.strength.joints.wood import ALONG, Wood, wood_of
from furnigen.strength.members.board_stack import BoardStack
from furnigen.strength.members.boards import Board
from furnigen.strength.members.stability import RESTRAINT_N
from furnigen.strength.members.sway import Sideways
from furnigen.strength.members.walls import OnWall
from furnigen.strength.model.members import LEVEL, Member

UP: Vector = (0.0, 0.0, 1.0)
LOAD = "load"
"""Name of what a joint carries with everything full."""
ALONE = "load on one side of its only support"
"""Name of what turns a joint that alone holds a board."""
LEAST_ROOM = 0.05
"""A piece is never counted nearer to folding than so; what sways further fails its own check."""


@dataclass
class Passing:
    """What passes between two labels, upward on the one that is carried: N."""

    dead: float = 0.0
    live: float = 0.0
    most: float = 0.0
    least: float = 0.0
    area: float = 0.0
    weight: float = 0.0
    moment: tuple[float, float, float] = (0.0, 0.0, 0.0)
    held: float = 0.0
    places: list[SupportPlace] = field(default_factory=list)


Pair = tuple[str, str]
Leans = Sequence[tuple[str, Vector, Mapping[int, float]]]
"""Ways in which a frame is pushed: words, way, and the moment of each joint by its id, N mm."""


def passing_between(stack: BoardStack, boards: Sequence[Board]) -> dict[Pair, Passing]:
    """What passes by (what carries, what is carried)."""
    found: dict[Pair, Passing] = {}
    for p in stack.pushes:
        one = found.setdefault((p.by, p.label), Passing())
        both = p.dead + p.live
        one.dead += p.dead
        one.live += p.live
        one.most += both
        one.least += both
        if p.place not in one.places:
            one.places.append(p.place)
            one.area += p.place.area_mm2 if p.place.kind == BEARS else 0.0
        weight = abs(both)
        one.weight += weight
        x, y, z = p.at
        one.moment = (one.moment[0] + weight * x, one.moment[1] + weight * y, one.moment[2] + weight * z)
    for board in boards:
        _vary(board, found)
    return found


def _vary(board: Board, found: dict[Pair, Passing]) -> None:
    """How much more or less each support of a board may carry than with every bay full."""
    result = board.result
    if result is None:
        return
    every = board.resting.force.sum(1).tolist()
    ends = zip(
        board.span.stations, board.span.parts, every, result.most, result.least, result.held, strict=True
    )
    for station, parts, full, most, least, held in ends:
        for place, part in zip(station.places, parts, strict=True):
            one = found.get((place.by, board.label))
            if one is not None:
                one.most += part * max(0.0, most - full)
                one.least += part * min(0.0, least - full)
                one.held = max(one.held, held)


class OnJoints(NamedTuple):
    """What loads the joints of a piece.

    Attributes:
        piece: the piece.
        passing: what passes between its parts, by `passing_between`.
        boards, bodies: its boards under load, and its parts, by label.
        sideways: pushes along each direction, whose lean turns joints.
        walls: what each wall takes.
        weight_n: of the piece and all that lies on it, N.
        climate: service class.
    """

    piece: Piece
    passing: Mapping[Pair, Passing]
    boards: Sequence[Board]
    bodies: Mapping[str, Member]
    sideways: Sequence[Sideways]
    walls: Sequence[OnWall]
    weight_n: float
    climate: int


def loaded_joints(
    on: OnJoints,
    duration: str = "permanent",
    shoved: Leans | None = None,
    sheared: Mapping[int, Sequence[Action]] = MappingProxyType({}),
) -> Iterator[LoadedJoint]:
    """Every joint of which the seat is known, with all that it must carry.

    Args:
        on: what loads them.
        duration: of the loads, one of `furnigen.strength.formulas.allowable.DURATIONS`.
        shoved: how its frame is pushed; then only what that turns or shears, and only by that and its load.
        sheared: what joints round a back take of a push, by their id.

    Raises: InputError for a climate that a material can not stand in.
    """
    piece, passing, boards, bodies, sideways, walls, weight_n, climate = on
    woods: dict[str, Wood] = {}

    def wood(label: str) -> Wood:
        if label not in woods:
            woods[label] = wood_of(bodies[label], climate, duration)
        return woods[label]

    normals = {w.name: w.normal for w in piece.walls}
    leans = _leaning(sideways, weight_n) if shoved is None else shoved
    alone = _at_one_place(boards)
    pulls = _pulls_off(walls, passing, piece)
    restrained = _restrained(walls, piece)
    nothing = Passing()
    seen: set[Pair] = set()
    for joint in piece.joints:
        pair = (joint.a, joint.b)
        on_wall = joint.a in normals
        if pair in seen or joint.b not in bodies or not (on_wall or joint.a in bodies):
            continue
        pushed = id(joint) in sheared or any(id(joint) in moments for _, _, moments in shoved or ())
        if shoved is not None and not pushed:
            continue
        seen.add(pair)
        seat = joint.seat
        if seat is None:
            seat = _guessed_seat(joint, passing, normals)
            if seat is None:
                continue
        carried, carries = passing.get(pair, nothing), passing.get((joint.b, joint.a), nothing)
        at = _where(joint, seat, carried, carries, bodies)
        out: Vector = normals.get(joint.a, UP)
        loads = [(LOAD, carried.most - carries.least)]
        fewest = carried.least - carries.most
        if abs(fewest - loads[0][1]) > NOISE_N:
            loads.append(("load in some bays only", fewest))
        actions = []
        for name, newton in loads:
            force: Vector = (0.0, 0.0, newton)
            if on_wall:
                pull = pulls.get(joint.b, 0.0)
                force = (-pull * out[0], -pull * out[1], newton - pull * out[2])
            actions.append(Action(name, force, at))
        actions += _held_to_wall(joint, seat, restrained, on_wall=on_wall)
        if shoved is not None:
            actions = []
        elif (joint.a, joint.b) in alone or (joint.b, joint.a) in alone:
            # its moment is all that its loads do beside the middle of the joint
            at, actions = seat.centre, []
        newton = carried.most - carries.least
        for turns in (leans, _held_alone(joint, alone)):
            actions += [
                Action(words, (0.0, 0.0, newton), at, m, lever)
                for words, m, lever in _turned(joint, seat, turns)
            ]
        actions += [
            a._replace(force=(a.force[0], a.force[1], a.force[2] + newton))
            for a in sheared.get(id(joint), ())
        ]
        yield LoadedJoint(
            joint=joint,
            seat=seat,
            a=None if on_wall else wood(joint.a),
            b=wood(joint.b),
            dead_n=carried.dead - carries.dead,
            live_n=carried.live - carries.live,
            bearing_mm2=carried.area + carries.area,
            held_nmm=max(carried.held, carries.held),
            actions=tuple(actions),
        )


def _guessed_seat(
    joint: Joint, passing: Mapping[Pair, Passing], normals: Mapping[str, Vector]
) -> Seat | None:
    """The seat of a joint whose author stated none: the faces that the load path found; None without any."""
    for a, b, sign in ((joint.a, joint.b, -1.0), (joint.b, joint.a, 1.0)):
        for place in passing.get((a, b), Passing()).places:
            n = place.normal
            into: Vector = (sign * n[0], sign * n[1], sign * n[2])
            sizes = [h - lo for lo, h in zip(place.lo, place.hi, strict=True)]
            axes = [i for i in range(3) if abs(into[i]) < ALONG]
            if len(axes) != 2:
                continue
            long, short = sorted(axes, key=lambda i: -sizes[i])
            along: Vector = tuple(1.0 if i == long else 0.0 for i in range(3))  # type: ignore[assignment]
            return Seat(place.centre, into, along, cross(into, along), 0.0, sizes[long], sizes[short])
    return None


def _where(
    joint: Joint, seat: Seat, carried: Passing, carries: Passing, bodies: Mapping[str, Member]
) -> Vector:
    """Where a joint's load acts. What lies level on pins or a ledge presses along the middle of its depth."""
    pinned = any(f.kind is FastenerKind.SHELF_PIN and f.sites for f in joint.fasteners)
    body = bodies[joint.b]
    if pinned and body.kind == LEVEL:
        shift = dot(body.centre, seat.along) - dot(seat.centre, seat.along)
        return tuple(c + shift * d for c, d in zip(seat.centre, seat.along, strict=True))  # type: ignore[return-value]
    one = carried if carried.weight > 0 else carries
    if one.weight > 0 and not pinned:
        x, y, z = one.moment
        return (x / one.weight, y / one.weight, z / one.weight)
    return seat.centre


def _leaning(sideways: Sequence[Sideways], weight_n: float) -> list[tuple[str, Vector, dict[int, float]]]:
    """For each direction in which joints alone resist: its words, its way, and the moment of each joint."""
    found = []
    ways: dict[str, Vector] = {"left-right": (1.0, 0.0, 0.0), "front-back": (0.0, 1.0, 0.0)}
    for one in sideways:
        if one.by != "joints" or one.racking is None or one.way not in ways:
            continue
        room = 1 - 1 / one.safety if 0 < one.safety < inf else 1.0
        push = joint_value("leaning") * weight_n / max(room, LEAST_ROOM)
        moments: dict[int, float] = {}
        for joint, share in one.turned:
            moments[id(joint)] = max(moments.get(id(joint), 0.0), push * one.racking.joint_moment * share)
        found.append((f"load and a lean of 1/200 {one.way}", ways[one.way], moments))
    return found


def _at_one_place(boards: Sequence[Board]) -> dict[Pair, tuple[float, Vector]]:
    """Moment and way of each bearing of a board carried at one place, by what carries and what is carried."""
    found: dict[Pair, tuple[float, Vector]] = {}
    for board in boards:
        turned = board.resting.turned
        if turned is not None:
            for place, part in zip(board.span.stations[0].places, board.span.parts[0], strict=True):
                found[place.by, board.label] = (turned.moment * part, board.span.along)
    return found


def _held_alone(joint: Joint, alone: Mapping[Pair, tuple[float, Vector]]) -> Leans:
    """How a joint is turned by a board that it alone holds."""
    found = alone.get((joint.a, joint.b)) or alone.get((joint.b, joint.a))
    return [(ALONE, found[1], {id(joint): found[0]})] if found else []


def _turned(joint: Joint, seat: Seat, leans: Leans) -> Iterator[tuple[str, float, Vector]]:
    """The moments that a lean turns a joint with, and the way in its face along which each acts."""
    for way, d, moments in leans:
        moment = moments.get(id(joint), 0.0)
        if moment <= 0:
            continue
        axis = cross(UP, d)
        lever = cross(axis, seat.into)
        size = sum(c * c for c in lever) ** 0.5
        if size > ALONG:
            yield way, moment, (lever[0] / size, lever[1] / size, lever[2] / size)


Restrained = Mapping[str, tuple[Vector, Vector, int]]
"""By label: pull toward the wall and force down it, N, and how many other joints the part has."""


def _restrained(walls: Sequence[OnWall], piece: Piece) -> Restrained:
    """What holds each part by which something that stands is fixed to a wall besides."""
    normals = {w.name: w.normal for w in piece.walls}
    found: dict[str, tuple[Vector, Vector, int]] = {}
    for one in walls:
        if one.hangs or not one.fixed:
            continue
        own = set(one.labels)
        labels = [
            j.b for j in piece.joints if j.a == one.wall and j.b in own and any(f.sites for f in j.fasteners)
        ]
        x, y, z = normals[one.wall]
        pull, down = RESTRAINT_N / len(labels), one.down_n * _slides(one) / len(labels)
        for label in labels:
            others = sum(label in (j.a, j.b) and j.a != one.wall for j in piece.joints)
            found[label] = ((-pull * x, -pull * y, -pull * z), (0.0, 0.0, down), others)
    return found


def _slides(one: OnWall) -> float:
    """Share of the push at its feet that the friction of a floor does not hold."""
    return max(0.0, 1 - FLOOR_FRICTION / one.friction) if one.friction > 0 else 0.0


def _held_to_wall(joint: Joint, seat: Seat, restrained: Restrained, *, on_wall: bool) -> list[Action]:
    """What a wall's fixing, or the joint that hands it on, must hold of what stands."""
    label = joint.b if on_wall or joint.b in restrained else joint.a
    if label not in restrained:
        return []
    pull, down, others = restrained[label]
    share = 1.0 if on_wall else 1 / max(others, 1)
    return [
        Action(words, (share * f[0], share * f[1], share * f[2]), seat.centre)
        for words, f in (("the 60 lb of a tip restraint", pull), ("feet that slide", down))
        if any(f)
    ]


def _pulls_off(walls: Sequence[OnWall], passing: Mapping[Pair, Passing], piece: Piece) -> dict[str, float]:
    """Pull out of the wall at each board that is fixed to it, N: shared as the weight is."""
    found: dict[str, float] = {}
    fixed = {(j.a, j.b) for j in piece.joints}
    for one in walls:
        if not one.hangs:
            continue
        shares = {
            label: max(0.0, p.dead + p.live)
            for (by, label), p in passing.items()
            if by == one.wall and label in one.labels and (by, label) in fixed
        }
        whole = sum(shares.values())
        for label, share in shares.items():
            found[label] = found.get(label, 0.0) + (one.out_n * share / whole if whole > 0 else 0.0)
    return found
