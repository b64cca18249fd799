"""What joints must carry besides when a child stands on a shelf or steps on its front.

All of the child may stand over any one support of a shelf, 50 mm within its front or back edge; stepping on
the front it hangs before it. From there its weight goes down with the loads: a board that spans may hand all
of it to any of its supports, and what is rigid shares it by where it comes in. Where paths meet again their
shares add up, to the whole child at most. So every share below the shelf is an upper bound (hand-derived).
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

from furnigen.core.pose import Box, Vector, dot
from furnigen.piece.description import Piece
from furnigen.strength.formulas.load_cases import LoadCase
from furnigen.strength.joints.actions import Action, LoadedJoint
from furnigen.strength.joints.forces import ALONE, LOAD, Pair
from furnigen.strength.joints.wood import ALONG
from furnigen.strength.members.board_stack import BoardStack, PassedLoad
from furnigen.strength.members.climbing import INSIDE_MM
from furnigen.strength.members.walls import OnWall
from furnigen.strength.model.members import Member
from furnigen.strength.model.spanning import Spanning
from furnigen.strength.solver.load_sharing import LoadSharing, acting_places, bearing_points


@dataclass(frozen=True)
class _Share:
    """How much of a child comes through a joint.

    Attributes:
        part: of its weight.
        at: where it stands; None where the joint takes it as it takes its load.
        arm: how far beside the joint that is all that carries a board, mm.
    """

    part: float
    at: Vector | None = None
    arm: float = 0.0


def with_child(
    case: LoadCase,
    loaded: Iterable[LoadedJoint],
    piece: Piece,
    stack: BoardStack,
    bodies: Mapping[str, Member],
    order: Sequence[str],
    shelves: Collection[str],
    walls: Sequence[OnWall],
    down: WaysDown,
) -> Iterator[LoadedJoint]:
    """The joints that a child's weight comes through, each with its load and all of the child it may get.

    Args:
        case: the child.
        loaded: every joint with its load, of wood that bears as short a load.
        order: labels from the ground upward.
        shelves: labels of what takes goods: there it may stand.
        walls: what walls must take.
        down: where weights come in and go, by `ways_down`.
    """
    shares = _shares(case, stack, bodies, order, shelves, down)
    normals = {w.name: w.normal for w in piece.walls}
    pulls = _pulls(case, normals, bodies, shelves, walls)
    for one in loaded:
        joint = one.joint
        under, up = shares.get((joint.a, joint.b), []), shares.get((joint.b, joint.a), [])
        if not under and not up:
            continue
        out = normals.get(joint.a)
        pull = pulls.get(joint.b, 0.0) if out is not None else 0.0
        actions = []
        taken = [a for a in one.actions if a.name in (LOAD, ALONE)]
        for n, share in enumerate((*under, *up)):
            newton = share.part * case.weight_n * (1.0 if n < len(under) else -1.0)
            push: Vector = (0.0, 0.0, newton)
            if out is not None:
                x, y, z = (-share.part * pull * n for n in out)
                push = (x, y, newton + z)
            actions += [_added(a, push, share) for a in taken]
        if actions:
            yield one._replace(actions=tuple(actions))


def _added(action: Action, push: Vector, share: _Share) -> Action:
    """What a joint carries, and a child besides: both at the middle of their forces."""
    name = f"{action.name} and a child"
    ax, ay, az = action.force
    force: Vector = (ax + push[0], ay + push[1], az + push[2])
    if action.name == ALONE:
        moment = action.moment + abs(push[2]) * share.arm
        return action._replace(name=name, force=force, moment=moment)
    if share.at is None or abs(force[2]) < 1e-9 or az * push[2] < 0:
        return action._replace(name=name, force=force)
    part = push[2] / force[2]
    x, y, z = (a + part * (b - a) for a, b in zip(action.at, share.at, strict=True))
    return action._replace(name=name, force=force, at=(x, y, z))


class WaysDown(NamedTuple):
    """How weights come down through a piece.

    Attributes:
        passed: by label, what each part hands on.
        comes: by label, between which points a weight may come in from above.
    """

    passed: Mapping[str, Sequence[PassedLoad]]
    comes: Mapping[str, Sequence[Vector]]


def ways_down(stack: BoardStack, bodies: Mapping[str, Member], shelves: Collection[str]) -> WaysDown:
    """How weights come down through a piece; whoever stands on it. Args: as `with_child`."""
    passed: dict[str, list[PassedLoad]] = {}
    comes: dict[str, list[Vector]] = {}
    for p in stack.pushes:
        passed.setdefault(p.label, []).append(p)
        comes.setdefault(p.by, []).extend(_ends(p, bodies[p.label].box if p.label in shelves else None))
    return WaysDown(passed, comes)


def _shares(
    case: LoadCase,
    stack: BoardStack,
    bodies: Mapping[str, Member],
    order: Sequence[str],
    shelves: Collection[str],
    down: WaysDown,
) -> dict[Pair, list[_Share]]:
    """By (what carries, what is carried): each way in which a child's weight may come through."""
    passed, comes = down
    found: dict[Pair, list[_Share]] = {}
    into: dict[str, float] = {}
    for label in reversed(order):
        resting = stack.boards.get(label)
        stands = label in shelves
        whole = 1.0 if stands else min(1.0, into.get(label, 0.0))
        if whole <= 0:
            continue
        shares: dict[str, list[_Share]] = {}
        if resting is not None:
            points = _stands(case, bodies[label]) if stands else []
            shares = _off_board(resting.span, whole, points, comes.get(label, []))
        elif label in passed:
            points = [*comes.get(label, ()), *(_stands(case, bodies[label]) if stands else ())]
            shares = _off_rigid(passed[label], points, whole)
        for by, ones in shares.items():
            found[by, label] = ones
            into[by] = into.get(by, 0.0) + max(one.part for one in ones)
    return found


def _stands(case: LoadCase, body: Member) -> list[Vector]:
    """Where a child stands or hangs at the corners of a board, with its front to -y."""
    (x0, y0, _), (x1, y1, top) = body.box.lo, body.box.hi
    ix, iy = min(INSIDE_MM, (x1 - x0) / 2), min(INSIDE_MM, (y1 - y0) / 2)
    ys = (y0 - case.beyond,) if case.beyond > 0 else (y0 + iy, y1 - iy)
    return [(x, y, top) for x in (x0 + ix, x1 - ix) for y in ys]


def _ends(p: PassedLoad, shelf: Box | None) -> list[Vector]:
    """Between which points of where it comes in a weight may lie: on a shelf, 50 mm within its edges."""
    lo, hi = list(p.place.lo), list(p.place.hi)
    for i in (0, 1):
        if shelf is not None:
            inside = min(INSIDE_MM, (shelf.hi[i] - shelf.lo[i]) / 2)
            lo[i] = min(max(lo[i], shelf.lo[i] + inside), hi[i])
            hi[i] = max(min(hi[i], shelf.hi[i] - inside), lo[i])
    return [(x, y, p.at[2]) for x in (lo[0], hi[0]) for y in (lo[1], hi[1])]


def _off_board(
    span: Spanning, whole: float, points: Sequence[Vector], comes: Sequence[Vector]
) -> dict[str, list[_Share]]:
    """A board that spans hands all on to any of its supports, and among the places there by where across.

    Between two supports a weight goes to both by the lever rule from where it comes in; where the child
    stands on the board itself, it may stand over either.

    Args:
        points: where the child stands on it.
        comes: where its weight comes in from above.
    """
    found: dict[str, list[_Share]] = {}
    body = span.body
    one, arm = span.one_place, 0.0
    if one is not None:
        middle = (one.low + one.high) / 2
        arm = max(middle, span.length - middle)
    # of a board that runs from front to back the front is an end: its supports take all, not a share across
    points = points if abs(span.across[1]) > ALONG else ()
    offs = sorted({dot(p, span.across) for p in points}) or [dot(body.box.centre, span.across)]
    ats = [station.at for station in span.stations]
    for station in span.stations:
        most = 1.0
        if not points and comes and len(ats) == 2:
            far = next(at for at in ats if at != station.at)
            most = max((span.at(p) - far) / (station.at - far) for p in comes)
            most = min(max(most, 0.0), 1.0)
        for off in offs:
            for place, part in zip(station.places, span.shares(station.places, off), strict=True):
                if part * most <= 0:
                    continue
                at = None
                if points and len(station.places) == 1:
                    shift = off - dot(place.centre, span.across)
                    x, y, z = (c + shift * d for c, d in zip(place.centre, span.across, strict=True))
                    at = (x, y, z)
                share = _Share(part * most * whole, at, arm)
                if share not in found.setdefault(place.by, []):
                    found[place.by].append(share)
    return found


def _off_rigid(
    passed: Sequence[PassedLoad], points: Sequence[Vector], whole: float
) -> dict[str, list[_Share]]:
    """Something rigid hands on by where the weight comes in: to each part below it, at the worst place."""
    by = list(dict.fromkeys(p.by for p in passed))
    if len(by) == 1:
        return {by[0]: [_Share(whole)]}
    sharing = LoadSharing(bearing_points(acting_places(tuple(dict.fromkeys(p.place for p in passed)))))
    most = dict.fromkeys(by, 0.0)
    for point in points:
        sums: dict[str, float] = {}
        for place, _, part in sharing.passed(point):
            sums[place.by] = sums.get(place.by, 0.0) + part
        for label, part in sums.items():
            most[label] = max(most[label], part)
    return {label: [_Share(min(1.0, part) * whole)] for label, part in most.items() if part > 0}


def _pulls(
    case: LoadCase,
    normals: Mapping[str, Vector],
    bodies: Mapping[str, Member],
    shelves: Collection[str],
    walls: Sequence[OnWall],
) -> dict[str, float]:
    """What a child pulls off the wall that a body hangs on, at its worst place: T = P e / z, N, by label."""
    found: dict[str, float] = {}
    for one in walls:
        own = set(one.labels)
        out = normals[one.wall]
        touch = min(
            (dot(p, out) for label in own for p in (bodies[label].box.lo, bodies[label].box.hi)), default=0.0
        )
        away = [
            dot(p, out) - touch for label in own.intersection(shelves) for p in _stands(case, bodies[label])
        ]
        if one.hangs and away and one.height > 0:
            pull = case.weight_n * max(0.0, *away) / one.height
            found.update(dict.fromkeys(own, max(pull, 0.0)))
    return found
