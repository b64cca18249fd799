"""The strength of a whole piece: loads, boards, uprights, legs, bearings, sway, standing, in one value."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from furnigen.catalogue.loads import GRAVITY
from furnigen.construction.load_path import FLOOR, LoadPath
from furnigen.core.errors import InputError
from furnigen.core.finding import name_labels
from furnigen.piece.description import Piece
from furnigen.strength.formulas.load_cases import LoadCase
from furnigen.strength.formulas.tipping import ANCHOR_HEIGHT_MM, Mass
from furnigen.strength.joints.actions import Action, Rule
from furnigen.strength.joints.check import JointResult, check_joint_strength
from furnigen.strength.joints.child import ways_down, with_child
from furnigen.strength.joints.forces import OnJoints, loaded_joints, passing_between
from furnigen.strength.joints.glued_on import shear_flows
from furnigen.strength.joints.racked import leans_on_backs, sheared_backs, shoves_on_backs
from furnigen.strength.members.bearings import Pressure, check_bearings
from furnigen.strength.members.board_stack import BoardStack, stack_in_steps
from furnigen.strength.members.boards import Board, LoadedPiece, boards_in_steps
from furnigen.strength.members.climbing import DURATION as CHILD
from furnigen.strength.members.climbing import (
    Climbed,
    OnShelf,
    check_child_tips,
    child_on_shelves_in_steps,
)
from furnigen.strength.members.contents import all_mass, goods_of
from furnigen.strength.members.legs import LegJoint, check_legs
from furnigen.strength.members.posts import Post, check_posts
from furnigen.strength.members.shoving import DURATION as SHOVE
from furnigen.strength.members.shoving import Shoved, check_shoves
from furnigen.strength.members.stability import Foot, Stability, check_stability, feet_of
from furnigen.strength.members.sway import Sideways, sideways_in_steps
from furnigen.strength.members.walls import OnWall, check_walls
from furnigen.strength.model.carriers import Carriers, find_carriers
from furnigen.strength.model.demands import BoardLoad, Demands, loads_of
from furnigen.strength.model.members import LEVEL, LUMP, SLOPED, Member, members_of
from furnigen.strength.model.spanning import find_spanning
from furnigen.strength.solver.together import Steps, alone

if TYPE_CHECKING:
    from furnigen.mesh.contacts import Contact
    from furnigen.mesh.support import GroundContact


@dataclass(frozen=True)
class LoadedBoards:
    """The boards of a piece under their loads: all that sag asks, and where strength goes on from.

    Attributes:
        demands, bodies, carried, boards, stack, ground: as in `Strength`.
    """

    demands: Demands
    bodies: Mapping[str, Member]
    carried: Mapping[str, BoardLoad]
    boards: tuple[Board, ...]
    stack: BoardStack
    ground: Carriers


@dataclass(frozen=True)
class Strength:
    """What the loads do to a piece.

    Attributes:
        demands: what it was held to.
        bodies: its parts, by label.
        carried: what lies on each level board.
        boards: level boards and rails under load.
        posts: uprights and legs.
        legs: joints of legs that lean.
        pressures: bearings.
        sideways: pushes along each direction.
        feet: what floor and walls carry.
        whole: all mass as one, contents included.
        stability: how it stands on the floor; None where a wall holds it, or its feet span no area.
        why_no_stability: why not, in words.
        walls: what each wall takes of each body of the piece that hangs or leans by itself.
        joints: what every joint carries, and what it bears.
        stack: every load handed on.
        ground: what carries what.
        joined: whether the piece declares joints at all.
        cases: what the load cases do.
    """

    demands: Demands
    bodies: Mapping[str, Member]
    carried: Mapping[str, BoardLoad]
    boards: tuple[Board, ...]
    posts: tuple[Post, ...]
    legs: tuple[LegJoint, ...]
    pressures: tuple[Pressure, ...]
    sideways: tuple[Sideways, ...]
    feet: tuple[Foot, ...]
    whole: Mass
    stability: Stability | None
    why_no_stability: str
    walls: tuple[OnWall, ...]
    joints: tuple[JointResult, ...]
    stack: BoardStack
    ground: Carriers
    joined: bool
    cases: Cases


@dataclass(frozen=True)
class Cases:
    """What the load cases that are on do to a piece.

    Attributes:
        on: the cases.
        shoved: shoved across the floor.
        joints: of its frame, shoved so.
        on_shelves: a child on its shelves.
        climbed: how a child tips it.
        backs: the joints round the backs that hold it, shoved likewise.
        under_child: the joints that its weight comes through, by the case.
    """

    on: tuple[LoadCase, ...]
    shoved: tuple[Shoved, ...]
    joints: tuple[JointResult, ...]
    on_shelves: tuple[OnShelf, ...]
    climbed: tuple[Climbed, ...]
    under_child: tuple[tuple[LoadCase, tuple[JointResult, ...]], ...] = ()
    backs: tuple[JointResult, ...] = ()


class UncarriedError(InputError):
    """A piece that nothing carries, or part of which hangs in the air."""


def load_boards(
    piece: Piece,
    contacts: Iterable[Contact],
    grounded: Iterable[GroundContact],
    demands: Demands | None = None,
    known: LoadPath | None = None,
) -> LoadedBoards:
    """Load the boards of a piece: what `assess` begins with, at a third of its cost.

    Args and raises: as `assess`.
    """
    return alone(boards_loaded_in_steps(piece, contacts, grounded, demands or Demands(), known))


def boards_loaded_in_steps(
    piece: Piece,
    contacts: Iterable[Contact],
    grounded: Iterable[GroundContact],
    demands: Demands,
    known: LoadPath | None = None,
) -> Steps[LoadedBoards]:
    """As `load_boards`, for several pieces side by side."""
    rest, ground = yield from _at_rest(piece, contacts, grounded, demands, known)
    boards = yield from boards_in_steps(rest)
    return LoadedBoards(rest.demands, rest.bodies, rest.carried, boards, rest.stack, ground)


def _at_rest(
    piece: Piece,
    contacts: Iterable[Contact],
    grounded: Iterable[GroundContact],
    demands: Demands,
    known: LoadPath | None = None,
) -> Steps[tuple[LoadedPiece, Carriers]]:
    """A piece at rest, and what carries what in it. Args and raises: as `assess`."""
    contacts, grounded = tuple(contacts), tuple(grounded)
    bodies = members_of(piece)
    level = {label for label, body in bodies.items() if body.kind == LEVEL}
    bearing = {label for label, body in bodies.items() if body.kind in (SLOPED, LUMP)}
    carried = loads_of(piece, level, bearing)
    ground = find_carriers(piece, contacts, grounded, known)
    if not grounded:
        raise UncarriedError(
            "floor contacts", 0, "the piece touches neither the floor (z = 0) nor a declared wall", "lower it"
        )
    if ground.lost:
        raise UncarriedError(
            "parts that nothing carries",
            len(ground.lost),
            name_labels(ground.lost),
            "join them, or support them",
        )
    spans = {
        label: span
        for label, body in bodies.items()
        if (span := find_spanning(body, ground.places, bodies, ground)) is not None
    }
    owned = {other for span in spans.values() for other in span.others}
    spans = {label: span for label, span in spans.items() if label not in owned}
    loads = {label: on.load for label, on in carried.items()}
    stack = yield from stack_in_steps(bodies, ground.places, spans, loads, ground.order)
    return LoadedPiece(stack, bodies, carried, demands), ground


@dataclass(frozen=True)
class LoadedFrame:
    """What a piece with its contents does to its frame, floor and walls: what loads its joints.

    Attributes:
        demands, bodies, boards, stack, whole, feet, sideways, walls: as in `Strength`.
    """

    demands: Demands
    bodies: Mapping[str, Member]
    boards: tuple[Board, ...]
    stack: BoardStack
    whole: Mass
    feet: tuple[Foot, ...]
    sideways: tuple[Sideways, ...]
    walls: tuple[OnWall, ...]


def load_frame(
    piece: Piece, contacts: Sequence[Contact], grounded: Sequence[GroundContact], on: LoadedBoards
) -> LoadedFrame:
    """Load the frame of a piece whose boards are loaded. Args: as `assess`; `on` its boards."""
    return alone(frame_in_steps(piece, contacts, grounded, on))


def frame_in_steps(
    piece: Piece, contacts: Sequence[Contact], grounded: Sequence[GroundContact], on: LoadedBoards
) -> Steps[LoadedFrame]:
    """As `load_frame`, for several pieces side by side."""
    spans = {board.label: board.span for board in on.boards}
    whole = all_mass(on.bodies, on.carried, spans)
    walls = [w.name for w in piece.walls]
    feet = feet_of(on.stack.pushes, (FLOOR, *walls), whole if not walls else None)
    sideways = yield from sideways_in_steps(on.boards, on.bodies, on.ground, whole, walls=bool(walls))
    on_walls = tuple(check_walls(piece, contacts, grounded, feet, on.bodies, on.carried, spans))
    return LoadedFrame(on.demands, on.bodies, on.boards, on.stack, whole, feet, sideways, on_walls)


def joints_under(piece: Piece, frame: LoadedFrame | Strength) -> tuple[JointResult, ...]:
    """What every joint carries and bears in a loaded frame, by `assess`'s rules.

    Args:
        piece: the piece, or one that differs from it in how many fasteners its joints have, and which: loads
            find the same ways through it.
        frame: what loads its joints.
    """
    return _joints_at_rest(_on_joints(piece, frame), frame)


def _joints_at_rest(on: OnJoints, frame: LoadedFrame | Strength) -> tuple[JointResult, ...]:
    sheared = sheared_backs(on.piece, frame.bodies, leans_on_backs(frame.sideways, on.weight_n))
    for key, flows in shear_flows(on.piece, frame.boards, frame.bodies).items():
        sheared.setdefault(key, []).extend(flows)
    return check_joint_strength(loaded_joints(on, sheared=sheared), frame.demands.wall)


def _on_joints(piece: Piece, by: LoadedFrame | Strength) -> OnJoints:
    """What loads the joints of a piece."""
    weight, passing = by.whole.kg * GRAVITY, passing_between(by.stack, by.boards)
    return OnJoints(piece, passing, by.boards, by.bodies, by.sideways, by.walls, weight, by.demands.climate)


def assess(
    piece: Piece,
    contacts: Iterable[Contact],
    grounded: Iterable[GroundContact],
    demands: Demands | None = None,
    known: LoadPath | None = None,
) -> Strength:
    """The strength of a piece.

    Args:
        contacts, grounded: what touches, from `furnigen.checks.solids` or `furnigen.mesh.light_mesh`.
        demands: what it is held to; the usual where None.
        known: its load path, where it was found before.

    Raises:
        UncarriedError: it touches neither floor nor wall, or parts of it hang in the air.
        InputError: a load, climate or material that makes no sense.
    """
    return alone(assess_in_steps(piece, contacts, grounded, demands or Demands(), known))


def assess_in_steps(
    piece: Piece,
    contacts: Iterable[Contact],
    grounded: Iterable[GroundContact],
    demands: Demands,
    known: LoadPath | None = None,
) -> Steps[Strength]:
    """As `assess`, for several pieces side by side."""
    contacts, grounded = tuple(contacts), tuple(grounded)
    on = yield from boards_loaded_in_steps(piece, contacts, grounded, demands, known)
    demands, bodies, carried, boards = on.demands, on.bodies, on.carried, on.boards
    stack, ground = on.stack, on.ground
    spans = {board.label: board.span for board in boards}
    frame = yield from frame_in_steps(piece, contacts, grounded, on)
    whole, feet, sideways = frame.whole, frame.feet, frame.sideways
    by_label: dict[str, float] = {}
    for foot in feet:
        by_label[foot.label] = by_label.get(foot.label, 0.0) + foot.newton
    stability, why_no_stability = None, ""
    if piece.walls:
        why_no_stability = "a wall holds it"
    else:
        try:
            stability = check_stability(piece, bodies, carried, spans, grounded, demands.tests())
        except InputError as error:
            why_no_stability = f"{error.value}: {error.allowed}"
    pressures = check_bearings(stack, boards, bodies, demands.climate)
    on_cases = demands.cases()
    shoved: tuple[Shoved, ...] = ()
    climbed: tuple[Climbed, ...] = ()
    if stability is not None:
        standing, top = (stability.empty, stability.loaded), piece.bounds.hi[2]
        shoved = check_shoves(
            on_cases, stack.pushes, bodies, ground, sideways, standing, top, demands.climate
        )
        if top >= ANCHOR_HEIGHT_MM:  # lower pieces lie outside what the child's weight was published for
            goods = goods_of(bodies, carried, spans)
            climbed = check_child_tips(on_cases, stability.empty, goods, bodies, carried)
    on_shelves = yield from child_on_shelves_in_steps(on_cases, boards, pressures, bodies, demands.climate)
    asked, on_walls = _on_joints(piece, frame), frame.walls
    joints = _joints_at_rest(asked, frame)
    frames = [(f"load, {one.case.name} to the {one.side}", one.way, one.turned) for one in shoved]
    in_shove: tuple[JointResult, ...] = ()
    on_backs: dict[int, list[Action]] = {}
    if stability is not None:
        pushes = shoves_on_backs(on_cases, sideways, (stability.empty, stability.loaded), piece.bounds.hi[2])
        on_backs = sheared_backs(piece, bodies, pushes)
    backs: tuple[JointResult, ...] = ()
    rules: dict[int, Rule] = {}  # a shove and a child last as long
    if on_backs:
        backs = check_joint_strength(loaded_joints(asked, SHOVE, (), on_backs), demands.wall, rules)
    if any(turned for _, _, turned in frames):
        in_shove = check_joint_strength(loaded_joints(asked, SHOVE, frames), demands.wall, rules)
    in_climb = []
    children = [case for case in on_cases if case.weight_n > 0] if carried else []
    if children:
        # of these only the loads count beside the child, not a lean
        short = tuple(loaded_joints(asked._replace(sideways=()), CHILD))
        down = ways_down(stack, bodies, carried)
        for case in children:
            under = with_child(case, short, piece, stack, bodies, ground.order, carried, on_walls, down)
            in_climb.append((case, check_joint_strength(under, demands.wall, rules)))
    return Strength(
        demands=demands,
        bodies=bodies,
        carried=carried,
        boards=boards,
        posts=check_posts(stack, boards, bodies, ground, demands.climate, demands.floor_friction),
        legs=check_legs(by_label, bodies, ground, demands.climate, demands.floor_friction),
        pressures=pressures,
        sideways=sideways,
        feet=feet,
        whole=whole,
        stability=stability,
        why_no_stability=why_no_stability,
        walls=frame.walls,
        joints=joints,
        stack=stack,
        ground=ground,
        joined=bool(piece.joints),
        cases=Cases(on_cases, shoved, in_shove, on_shelves, climbed, tuple(in_climb), backs),
    )
