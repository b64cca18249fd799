"""Boards that carry each other: how far each support sinks, and the load on every bearing.

A divider that stands on a shelf goes down with it. Every board is a beam, everything else is rigid and
moves up and down only with what carries it. The unknowns are the deflections u of the places on boards where
something stands. A board with places w = T u, all of them taken as supports that do not sink, pushes on
them with R; sunk by w it pushes with R - K w, K being its stiffness with the turns condensed out. Where
nothing more carries, the pushes of all boards balance what stands there:

    sum of T' K T u = sum of T' R + the weight of what is rigid

A rigid body hands loads on by shares (`furnigen.strength.solver.load_sharing`); by the same shares its own
place at a point follows from those of its bearings, so the whole is symmetric and the sum of all forces is
kept. Bearings that
only push and would have to pull are let go, the worst first: how far the board sinks there is then left to
find as well, and nothing else of the whole changes.

Here boards are alike along their whole length and do not shear: both would shift a little of the load from
one support to another, and are counted where the board itself is checked (`furnigen.strength.members.shelf`).
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from furnigen.catalogue.loads import GRAVITY, Load
from furnigen.construction.load_path import SupportPlace
from furnigen.core.finding import without_noise
from furnigen.core.pose import Vector
from furnigen.strength.members.overhangs import (
    HandsOn,
    HeldAtOnePlace,
    Loading,
    Turned,
    TurnedSharing,
    hand_on_moments,
    handed_on,
    loads_on,
    station_forces,
    worst_turned,
)
from furnigen.strength.members.settlement import Settlement, SettlingBoard, Sum
from furnigen.strength.model.goods_room import even_load_n, load_n
from furnigen.strength.model.members import Member
from furnigen.strength.model.spanning import Spanning
from furnigen.strength.model.stations import SAME_STATION_MM
from furnigen.strength.solver.condensed_stiffness import ClampedBoard, clamped_reactions, sinking_stiffness
from furnigen.strength.solver.load_sharing import Array, LoadSharing, acting_places, bearing_points

PULL_N = 1.0
"""A smaller pull on a bearing that only pushes is ignored."""


@dataclass(frozen=True)
class RestingBoard:
    """A board as it rests among the others.

    Attributes:
        span: the board.
        sunk: how far each station sinks, mm: (stations, 2) under dead and live load.
        carried: (place mm, dead N, live N) of what stands on it.
        force: (stations, 2) upward force of each station, N.
        turned: what its bearing feels at worst where that is all that carries it; else None.
    """

    span: Spanning
    sunk: Array
    carried: tuple[tuple[float, float, float], ...]
    force: Array
    turned: Turned | None = None


@dataclass(frozen=True)
class BoardStack:
    """A piece at rest.

    Attributes:
        boards: every board that spans, by label.
        pushes: (what carries, what is carried, place, dead N, live N) of every bearing.
    """

    boards: Mapping[str, RestingBoard]
    pushes: tuple[PassedLoad, ...]


class PassedLoad(NamedTuple):
    """A load handed on: dead and live newtons at one place."""

    by: str
    label: str
    place: SupportPlace
    dead: float
    live: float
    at: Vector


def even_loads(span: Spanning, bodies: Mapping[str, Member], load: Load | None) -> tuple[float, float]:
    """Even part of a board's own weight and of what lies on it, N/mm."""
    own = sum(b.kg for b in (span.body, *(bodies[label] for label in span.others))) * GRAVITY / span.length
    return own, even_load_n(load, span.body.form) / span.length if load else 0.0


def lying_n(body: Member, loads: Mapping[str, Load]) -> float:
    """What lies on a level board that does not span, N."""
    load = loads.get(body.label)
    return load_n(load, body.form) if load else 0.0


def solve_stack(
    bodies: Mapping[str, Member],
    places: Mapping[str, tuple[SupportPlace, ...]],
    spans: Mapping[str, Spanning],
    loads: Mapping[str, Load],
    order: Sequence[str],
) -> BoardStack:
    """The piece at rest under its own weight (dead) and what lies on it (live).

    Args:
        places: where each body is carried.
        spans: the boards that span, by label.
        loads: what lies on each.
        order: labels from the ground upward.
    """
    owned = {other for span in spans.values() for other in span.others}
    rigid: dict[str, LoadSharing | HandsOn] = {}
    turned = hand_on_moments(spans, bodies, places)
    for label in bodies:
        if label in spans and spans[label].one_place is not None:
            rigid[label] = HeldAtOnePlace(spans[label])
        elif label not in spans and label not in owned and places[label]:
            sharing = LoadSharing(bearing_points(acting_places(places[label])))
            rigid[label] = TurnedSharing(sharing) if label in turned else sharing
    settling = Settlement({label: span for label, span in spans.items() if label not in rigid}, rigid)
    weights: list[tuple[Sum, float, float]] = []
    for label in order:
        if label in settling.boards:
            settling.rest(settling.boards[label])
        elif label in rigid:
            for at, dead, live in _own_loads(bodies[label], rigid[label], loads):
                weights.append((settling.sink(label, at), dead, live))
    held = {}
    for label, board in settling.boards.items():
        even = even_loads(board.span, bodies, loads.get(label))
        held[label] = _held(board, even, loads.get(label))
    whole = _Whole(settling, held, weights)
    off: set[int] = set()
    while True:
        unknowns, sunk, force = whole.settle(off)
        pulling = _pulling(whole, force, off)
        if not pulling:
            break
        off |= pulling
    resting = {}
    for label, board in settling.boards.items():
        mine = whole.rows[label]
        resting[label] = _resting(board, unknowns, sunk[mine], force[mine], off)
    return BoardStack(resting, _hand_down(bodies, settling, rigid, resting, off, loads, order))


def _own_loads(body: Member, rigid: LoadSharing | HandsOn, loads: Mapping[str, Load]) -> list[Loading]:
    """The weight of what is rigid and of what lies on it, and where."""
    if isinstance(rigid, HeldAtOnePlace):
        return loads_on(body, rigid.span, loads)
    return [(body.centre, body.kg * GRAVITY, lying_n(body, loads))]


def _held(
    board: SettlingBoard, even: tuple[float, float], load: Load | None
) -> tuple[ClampedBoard, list[int]]:
    """A board with all its places held, and which of them is where from its low end.

    What only stands on it does not keep it from turning.
    """
    span = board.span
    places = [without_noise(at) for at, _ in board.places]
    turning = [s.turning for s in span.stations] + [0.0] * (len(places) - len(span.stations))
    rising = sorted(range(len(places)), key=places.__getitem__)
    points = load.points(span.length) if load else ()
    held = ClampedBoard(
        span.length,
        span.bending,
        tuple([places[i] for i in rising]),
        tuple([turning[i] for i in rising]),
        *map(without_noise, even),
        points,
    )
    return held, rising


class _Group:
    """Boards that settle together, as one set of equations.

    Args:
        settling: all unknowns.
        unknowns: those of the group, rising.
        held: its boards with all their places held.
        rows: of each board, where its places are among those of all.
    """

    def __init__(
        self,
        settling: Settlement,
        unknowns: Sequence[int],
        held: Mapping[str, tuple[ClampedBoard, list[int]]],
        rows: Mapping[str, slice],
    ) -> None:
        self._settling, self._unknowns = settling, unknowns
        self.place = {index: i for i, index in enumerate(unknowns)}
        alike: dict[ClampedBoard, list[list[int]]] = {}
        count = 0
        own: dict[str, int] = {}
        for label, (board, rising) in held.items():
            own[label] = count
            alike.setdefault(board, []).append([count + i for i in rising])
            count += len(rising)
        size = len(unknowns)
        self.rows = np.array(
            [row for label in held for row in range(rows[label].start, rows[label].stop)], int
        )
        self._of = np.zeros((count, size))  # every place from the unknowns
        for label, start in own.items():
            for row, (_, total) in enumerate(settling.boards[label].places, start):
                for index, factor in total.items():
                    self._of[row, self.place[index]] = factor
        self._rows = [np.array(of) for of in alike.values()]  # of each kind, the places of its boards
        self._pushes = clamped_reactions(alike)
        self._stiff = sinking_stiffness(tuple(alike)) if size else []
        self._k, self.f = np.zeros((size, size)), np.zeros((size, 2))
        if size:
            for of, push, stiff in zip(self._rows, self._pushes, self._stiff, strict=True):
                sums = self._of[of]
                self._k += np.tensordot(sums, stiff @ sums, ((0, 1), (0, 1)))
                self.f += sums.sum(0).T @ push

    def settle(self, off: Collection[int]) -> tuple[Array, Array, Array]:
        """As `_Whole.settle`, of the group."""
        left = self._settling.left(off, self._unknowns)
        unknowns = np.zeros_like(self.f)
        if left.size:
            unknowns = left @ np.linalg.solve(left.T @ self._k @ left, left.T @ self.f)
        sunk = self._of @ unknowns
        force = np.empty_like(sunk)
        for of, push in zip(self._rows, self._pushes, strict=True):
            force[of] = push
        for of, stiff in zip(self._rows, self._stiff, strict=False):  # none where nothing sinks
            force[of] -= stiff @ sunk[of]
        return unknowns, sunk, force


class _Whole:
    """The equations of all boards, group by group.

    Attributes:
        settling: its unknowns.
        rows: of each board, where its places are among those of all.
    """

    def __init__(
        self,
        settling: Settlement,
        held: Mapping[str, tuple[ClampedBoard, list[int]]],
        weights: Sequence[tuple[Sum, float, float]],
    ) -> None:
        self.settling = settling
        self.rows: dict[str, slice] = {}
        self._places = 0
        for label, (_, rising) in held.items():
            self.rows[label] = slice(self._places, self._places + len(rising))
            self._places += len(rising)
        self._groups = []
        group_of: dict[int, _Group] = {}
        for unknowns, labels in settling.groups():
            group = _Group(settling, unknowns, {label: held[label] for label in labels}, self.rows)
            self._groups.append((group, unknowns))
            group_of |= dict.fromkeys(unknowns, group)
        for total, *weight in weights:
            for index, factor in total.items():
                group = group_of[index]
                group.f[group.place[index]] += factor * np.array(weight)

    def settle(self, off: Collection[int]) -> tuple[Array, Array, Array]:
        """The piece at rest with these loose stations let go, each under dead and live load.

        Returns:
            (count, 2) the unknowns, mm; (places, 2) what each place of all boards sinks by, mm, and with what
            force what carries it, or what stands on it, pushes it upward, N.
        """
        unknowns = np.zeros((self.settling.count, 2))
        sunk, force = np.zeros((self._places, 2)), np.zeros((self._places, 2))
        for group, indices in self._groups:
            unknowns[indices], sunk[group.rows], force[group.rows] = group.settle(off)
        return unknowns, sunk, force


def _pulling(whole: _Whole, force: Array, off: Collection[int]) -> set[int]:
    """Of each board, the station that only pushes and would pull hardest, if the board can do without it."""
    found = set()
    for label, b in whole.settling.boards.items():
        acting = [i for i in b.loose if b.loose[i] not in off]
        if not acting or len(b.span.stations) - len(b.loose) + len(acting) <= 2:
            continue
        up = force[whole.rows[label]].sum(1).tolist()
        worst = min(acting, key=lambda i, up=up: round(up[i], 6))  # type: ignore[misc]
        if up[worst] < -PULL_N:
            found.add(b.loose[worst])
    return found


def _resting(
    board: SettlingBoard, unknowns: Array, sunk: Array, force: Array, off: Collection[int]
) -> RestingBoard:
    """A board at rest, by its stations, from how its places sink and are pushed."""
    stations = len(board.span.stations)
    idle = [i for i in board.loose if board.loose[i] in off]
    standing = sorted(board.live_load.intersection([*idle, *range(stations, len(board.places))]))
    carried = tuple((board.places[i][0], *(-force[i]).tolist()) for i in standing)
    sunk, force = sunk[:stations].copy(), force[:stations].copy()
    for i in idle:
        force[i] = 0.0
        sunk[i] = sum((factor * unknowns[n] for n, factor in board.under[i].items()), np.zeros(2))
    return RestingBoard(board.span, sunk, carried, force)


def _at_one_place(
    body: Member,
    held: HeldAtOnePlace,
    loaded: Sequence[Loading],
    stands: Sequence[PassedLoad],
    loads: Mapping[str, Load],
) -> RestingBoard:
    """A board carried at one place at rest, under its own loads and what stands on it."""
    span, load = held.span, loads.get(body.label)
    carried = tuple((span.at(p.at), p.dead, p.live) for p in stands)
    even = even_load_n(load, body.form) if load else 0.0
    singles = [one for n, one in enumerate(loaded) if n != 1 or load is None]  # the even part comes apart
    return RestingBoard(
        span,
        np.zeros((len(span.stations), 2)),
        carried,
        station_forces(span, loaded),
        worst_turned(span, singles, even),
    )


def _hand_down(
    bodies: Mapping[str, Member],
    settling: Settlement,
    rigid: Mapping[str, LoadSharing | HandsOn],
    resting: dict[str, RestingBoard],
    off: Collection[int],
    loads: Mapping[str, Load],
    order: Sequence[str],
) -> tuple[PassedLoad, ...]:
    """Every push, from the top to the ground; boards carried at one place come to rest on the way."""
    pushes: list[PassedLoad] = []
    on: dict[str, list[PassedLoad]] = {}

    def push(one: PassedLoad) -> None:
        pushes.append(one)
        on.setdefault(settling.carrier(one.by), []).append(one)

    for label in reversed(order):
        if label in resting:
            r = resting[label]
            force_at = r.force.copy()
            loose = settling.boards[label].loose
            acting = [i for i in range(len(force_at)) if loose.get(i) not in off]
            for one in on.get(label, ()):
                near = [abs(r.span.stations[i].at - r.span.at(one.at)) for i in acting]
                if min(near) < SAME_STATION_MM:  # it stands on what carries the board there
                    force_at[acting[near.index(min(near))]] += (one.dead, one.live)
            for station, parts, force in zip(r.span.stations, r.span.parts, force_at, strict=True):
                for place, part in zip(station.places, parts, strict=True):
                    dead, live = (part * float(f) for f in force)
                    push(PassedLoad(place.by, label, place, dead, live, place.centre))
        elif label in rigid:
            b, sharing = bodies[label], rigid[label]
            loaded = _own_loads(b, sharing, loads)
            loaded += [(p.at, p.dead, p.live) for p in on.get(label, ())]
            if isinstance(sharing, HeldAtOnePlace):
                resting[label] = _at_one_place(b, sharing, loaded, on.get(label, ()), loads)
            if isinstance(sharing, HandsOn):
                for place, at, dead, live in handed_on(sharing, loaded):
                    push(PassedLoad(place.by, label, place, dead, live, at))
                continue
            shares = np.array([sharing.handed(at) for at, _, _ in loaded])
            held = shares.T @ np.array([newton for _, *newton in loaded])
            for bearing, (dead, live) in zip(sharing.points, held.tolist(), strict=True):
                push(PassedLoad(bearing.place.by, label, bearing.place, dead, live, bearing.at))
    return tuple(pushes)
