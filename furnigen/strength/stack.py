"""Boards that carry each other: how far each support sinks, and the load on every bearing.

A divider that stands on a shelf goes down with it. Every board is a beam, everything else is rigid and
moves up and down only with what carries it. The unknowns are the deflections u of the places on boards where
something stands. A board with places w = T u, all of them taken as supports that do not sink, pushes on
them with R; sunk by w it pushes with R - K w, K being its stiffness with the turns condensed out. Where
nothing more carries, the pushes of all boards balance what stands there:

    sum of T' K T u = sum of T' R + the weight of what is rigid

A rigid body hands loads on by shares (`furnigen.strength.rigid`); by the same shares its own place at a point
follows from those of its bearings, so the whole is symmetric and the sum of all forces is kept. Bearings that
only push and would have to pull are let go, the worst first.

Here boards are alike along their whole length and do not shear: both would shift a little of the load from
one support to another, and are counted where the board itself is checked (`furnigen.strength.shelf`).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from furnigen.loadpath import SupportPlace
from furnigen.pose import Vector
from furnigen.strength.beam import Beam, Point, Spread, Support, held_still
from furnigen.strength.body import Body
from furnigen.strength.loads import GRAVITY, Load
from furnigen.strength.rigid import Array, Rigid, bearings, carrying
from furnigen.strength.sinking import Sinking, SinkingBoard, Sum, condensed
from furnigen.strength.spanning import SAME_STATION_MM, Spanning

PULL_N = 1.0
"""A pull smaller than this on a bearing that only pushes is let be."""
DEAD, LIVE = 0, 1


@dataclass(frozen=True)
class Resting:
    """A board as it rests among the others.

    Attributes:
        span: the board.
        sunk: how far each station sinks, mm: (stations, 2) under dead and live load.
        carried: (place mm, dead N, live N) of what stands on it.
        force: (stations, 2) upward force of each station, N.
    """

    span: Spanning
    sunk: Array
    carried: tuple[tuple[float, float, float], ...]
    force: Array


@dataclass(frozen=True)
class Stack:
    """A piece at rest.

    Attributes:
        boards: every board that spans, by label.
        pushes: (what carries, what is carried, place, dead N, live N) of every bearing.
        on: for each label, the pushes on it.
    """

    boards: Mapping[str, Resting]
    pushes: tuple[Push, ...]


class Push(NamedTuple):
    """A load handed on: dead and live newtons at one place."""

    by: str
    label: str
    place: SupportPlace
    dead: float
    live: float
    at: Vector


def even_loads(span: Spanning, bodies: Mapping[str, Body], load: Load | None) -> tuple[float, float]:
    """Even part of a board's own weight and of what lies on it, N/mm."""
    own = sum(b.kg for b in (span.body, *(bodies[label] for label in span.others))) * GRAVITY / span.length
    return own, load.newton_per_mm(span.depth, span.length) if load else 0.0


def lying_n(body: Body, loads: Mapping[str, Load]) -> float:
    """What lies on a level board that does not span, N."""
    load = loads.get(body.label)
    if load is None:
        return 0.0
    x, y, _ = body.box.size
    return load.kg(min(x, y), max(x, y)) * GRAVITY


def _fixed_beams(
    board: SinkingBoard, order: list[int], bodies: Mapping[str, Body], load: Load | None, stiffer: float
) -> tuple[Beam, Beam]:
    """The board under dead and live load with all its places held where they are."""
    span = board.span
    supports = tuple(Support(board.places[i][0], _turning(board, i)) for i in order)
    own, live = even_loads(span, bodies, load)
    ei = span.section.bending * stiffer
    points = tuple(Point(at, force) for at, force in load.points(span.length)) if load else ()
    whole = (Spread(0.0, span.length, live),) if live > 0 else ()
    return (
        Beam(span.length, ei, supports, (Spread(0.0, span.length, own),)),
        Beam(span.length, ei, supports, whole, points),
    )


def _turning(board: SinkingBoard, i: int) -> float:
    """Stiffness against turning of a place of a board; nothing at what only stands on it."""
    return board.span.stations[board.acting[i]].turning if i < len(board.acting) else 0.0


def rest_all(
    bodies: Mapping[str, Body],
    places: Mapping[str, tuple[SupportPlace, ...]],
    spans: Mapping[str, Spanning],
    loads: Mapping[str, Load],
    stiffer: Mapping[str, float],
    order: Sequence[str],
) -> Stack:
    """The piece at rest under its own weight (dead) and what lies on it (live).

    Args:
        places: where each body is carried.
        spans: the boards that span, by label.
        loads: what lies on each.
        stiffer: factor on the stiffness of boards that a back holds.
        order: labels from the ground upward.
    """
    owned = {other for span in spans.values() for other in span.others}
    rigid = {}
    for label in bodies:
        if label not in spans and label not in owned and places[label]:
            rigid[label] = Rigid(bearings(carrying(places[label])))
    off: set[tuple[str, int]] = set()
    known: _Known = {}
    while True:
        builder = Sinking(bodies, spans, off, rigid)
        resting = _rest_once(builder, bodies, loads, stiffer, order, known)
        pulling = _pulling(resting, off)
        if not pulling:
            return Stack(resting, _hand_down(bodies, builder, resting, loads, order))
        off |= pulling


_Known = dict[tuple[str, bool, tuple[int, ...], tuple[float, ...]], tuple[Array, Array | None]]
"""Pushes and stiffness of boards by label, acting stations and places: rounds change only a few of them.
One that rests on what does not sink needs no stiffness."""


def _learn(
    boards: Mapping[str, SinkingBoard],
    orders: Mapping[str, list[int]],
    bodies: Mapping[str, Body],
    loads: Mapping[str, Load],
    stiffer: Mapping[str, float],
    known: _Known,
) -> dict[str, tuple[Array, Array | None]]:
    """What each board pushes with, its places held, and its stiffness against their sinking."""
    keys = {
        label: (label, b.sinks, tuple(b.acting), tuple(b.places[i][0] for i in orders[label]))
        for label, b in boards.items()
    }
    new = [label for label in boards if keys[label] not in known]
    beams: list[Beam] = []
    for label in new:
        beams += _fixed_beams(boards[label], orders[label], bodies, loads.get(label), stiffer.get(label, 1.0))
    pushes = iter(held_still(beams))
    for label in new:
        b = boards[label]
        stiff = None
        if b.sinks:
            at = np.array([b.places[i][0] for i in orders[label]])
            turning = np.array([_turning(b, i) for i in orders[label]])
            stiff = condensed(at, b.span.section.bending * stiffer.get(label, 1.0), turning)
        known[keys[label]] = (np.array([next(pushes), next(pushes)]).T, stiff)
    return {label: known[keys[label]] for label in boards}


def _rest_once(
    builder: Sinking,
    bodies: Mapping[str, Body],
    loads: Mapping[str, Load],
    stiffer: Mapping[str, float],
    order: Sequence[str],
    known: _Known,
) -> dict[str, Resting]:
    sums: dict[str, Sum] = {}
    for label in order:
        if label in builder.boards:
            builder.rest(builder.boards[label])
        elif label in builder.rigid:
            sums[label] = builder.sink(label, bodies[label].centre)
    boards = builder.boards
    orders = {
        label: sorted(range(len(b.places)), key=lambda i, b=b: b.places[i][0])  # type: ignore[misc]
        for label, b in boards.items()
    }
    learnt = _learn(boards, orders, bodies, loads, stiffer, known)
    n = builder.count
    k, f = np.zeros((n, n)), np.zeros((n, 2))
    own: dict[str, tuple[Array, Array]] = {}
    for label, b in boards.items():
        push, stiff = learnt[label]
        if stiff is None:
            continue
        t = np.zeros((len(orders[label]), n))
        for row, i in enumerate(orders[label]):
            for index, factor in b.places[i][1].items():
                t[row, index] = factor
        own[label] = (stiff, t)
        k += t.T @ stiff @ t
        f += t.T @ push
    for label, total in sums.items():
        for index, factor in total.items():
            f[index, DEAD] += factor * bodies[label].kg * GRAVITY
            f[index, LIVE] += factor * lying_n(bodies[label], loads)
    u = np.linalg.solve(k, f) if n else f
    resting = {}
    for label, b in boards.items():
        force, w = learnt[label][0], np.zeros((len(orders[label]), 2))
        if label in own:
            stiff, t = own[label]
            w = t @ u
            force = force - stiff @ w
        rank = {i: row for row, i in enumerate(orders[label])}
        count = len(b.acting)
        sunk, held = np.zeros((len(b.span.stations), 2)), np.zeros((len(b.span.stations), 2))
        for i, station in enumerate(b.acting):
            sunk[station], held[station] = w[rank[i]], force[rank[i]]
        for station, total in b.idle.items():
            sunk[station] = sum((f * u[index] for index, f in total.items()), np.zeros(2))
        carried = tuple(
            (b.places[i][0], -float(force[rank[i], DEAD]), -float(force[rank[i], LIVE]))
            for i in range(count, len(b.places))
        )
        resting[label] = Resting(b.span, sunk, carried, held)
    return resting


def _pulling(resting: Mapping[str, Resting], off: set[tuple[str, int]]) -> set[tuple[str, int]]:
    """Of each board, the station that only pushes and would pull hardest, if the board can do without it."""
    found = set()
    for label, r in resting.items():
        acting = [i for i in range(len(r.span.stations)) if (label, i) not in off]
        loose = [i for i in acting if not r.span.stations[i].holds_down]
        worst = min(loose, key=lambda i, r=r: round(float(r.force[i].sum()), 6), default=None)  # type: ignore[misc]
        if len(acting) > 2 and worst is not None and float(r.force[worst].sum()) < -PULL_N:
            found.add((label, worst))
    return found


def _hand_down(
    bodies: Mapping[str, Body],
    builder: Sinking,
    resting: Mapping[str, Resting],
    loads: Mapping[str, Load],
    order: Sequence[str],
) -> tuple[Push, ...]:
    """Every push, from the top to the ground."""
    pushes: list[Push] = []
    on: dict[str, list[Push]] = {}

    def push(one: Push) -> None:
        pushes.append(one)
        on.setdefault(builder.owner.get(one.by, one.by), []).append(one)

    for label in reversed(order):
        if label in resting:
            r = resting[label]
            force_at = r.force.copy()
            for one in on.get(label, ()):
                acting = builder.boards[label].acting
                near = [abs(r.span.stations[i].at - r.span.at(one.at)) for i in acting]
                if min(near) < SAME_STATION_MM:  # it stands on what carries the board there
                    force_at[acting[near.index(min(near))]] += (one.dead, one.live)
            for station, parts, force in zip(r.span.stations, r.span.parts, force_at, strict=True):
                for place, part in zip(station.places, parts, strict=True):
                    dead, live = (part * float(f) for f in force)
                    push(Push(place.by, label, place, dead, live, place.centre))
        elif label in builder.rigid:
            rigid = builder.rigid[label]
            b = bodies[label]
            held = np.zeros((len(rigid.points), 2))
            for at, *newton in (
                (b.centre, b.kg * GRAVITY, lying_n(b, loads)),
                *((p.at, p.dead, p.live) for p in on.get(label, ())),
            ):
                held += np.outer(rigid.handed(at), newton)
            for bearing, (dead, live) in zip(rigid.points, held.tolist(), strict=True):
                push(Push(bearing.place.by, label, bearing.place, dead, live, bearing.at))
    return tuple(pushes)
