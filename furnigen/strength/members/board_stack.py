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
from furnigen.strength.members.settling_groups import SettlingWhole, held_board
from furnigen.strength.model.goods_room import even_load_n, load_n
from furnigen.strength.model.members import Member
from furnigen.strength.model.spanning import Spanning
from furnigen.strength.model.stations import SAME_STATION_MM
from furnigen.strength.solver.load_sharing import Array, LoadSharing, acting_places, bearing_points
from furnigen.strength.solver.together import Steps

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


def stack_in_steps(
    bodies: Mapping[str, Member],
    places: Mapping[str, tuple[SupportPlace, ...]],
    spans: Mapping[str, Spanning],
    loads: Mapping[str, Load],
    order: Sequence[str],
) -> Steps[BoardStack]:
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
        held[label] = held_board(board, even, loads.get(label))
    whole = SettlingWhole(settling, held)
    yield from whole.set_up(weights)
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


def _pulling(whole: SettlingWhole, force: Array, off: Collection[int]) -> set[int]:
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
