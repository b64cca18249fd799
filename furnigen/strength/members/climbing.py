"""A child on the shelves: what a shelf and its bearings bear, and whether the piece tips.

The child stands still in the middle of each span or at the end of each overhang, on a shelf that carries its
load besides. For tipping it stands 50 mm within any edge of a shelf (where EN 16122 puts a test force on a
top, looked up), or hangs in front of a shelf's front edge, the goods lying as makes that worst.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from math import inf

from furnigen.core.pose import Vector
from furnigen.strength.formulas.allowable import find_allowable
from furnigen.strength.formulas.load_cases import LoadCase, tip_factor
from furnigen.strength.formulas.partial_loads import Goods, with_worst_goods
from furnigen.strength.formulas.tipping import Edge, TippingStability
from furnigen.strength.members.bearings import Pressure, bearing_limit, edge_mpa
from furnigen.strength.members.boards import Board
from furnigen.strength.members.load_patterns import bays_between
from furnigen.strength.members.shelf import Shelf, beam_of, largest_stress
from furnigen.strength.model.demands import BoardLoad
from furnigen.strength.model.members import Member
from furnigen.strength.solver.beam import PointLoad, solve_beams
from furnigen.strength.solver.together import Ask, Steps

DURATION = "short"
"""A child stands there for minutes, and comes again: less than a week in all (EN 1995-1-1 Table 2.1)."""
INSIDE_MM = 50.0
"""How far within an edge a child stands (EN 16122:2012 clause 11, looked up: a force on the top)."""


@dataclass(frozen=True)
class OnShelf:
    """What a shelf bears under a child.

    Attributes:
        case: the load case.
        label: the shelf that is used most, or what rests on what.
        what: "bending" or "bearing".
        mpa, allowed_mpa: N/mm².
        source: of what is allowed.
        others: labels of shelves of which no strength is known.
    """

    case: LoadCase
    label: str
    what: str
    mpa: float
    allowed_mpa: float
    source: str
    others: tuple[str, ...] = ()

    @property
    def used(self) -> float:
        """Share of what is allowed."""
        return self.mpa / self.allowed_mpa


@dataclass(frozen=True)
class Climbed:
    """How a child tips a piece.

    Attributes:
        case: the load case.
        factor: resisting over overturning moment; inf where it stands within the feet everywhere.
        label: the shelf.
        side: toward which side.
    """

    case: LoadCase
    factor: float
    label: str
    side: str


def child_on_shelves_in_steps(
    cases: Iterable[LoadCase],
    boards: Sequence[Board],
    pressures: Sequence[Pressure],
    bodies: Mapping[str, Member],
    climate: int,
) -> Steps[tuple[OnShelf, ...]]:
    """What the shelves bear under a child, each case at its worst shelf.

    Args:
        boards: of the piece; those that carry goods are shelves.
        pressures: its bearings without a child.
    """
    shelves = {b.label: b for b in boards if b.carried is not None and b.result is not None}
    found = []
    for case in cases:
        if case.weight_n <= 0 or case.beyond > 0 or not shelves:
            continue
        bent, unknown = yield from _bent(case, list(shelves.values()), climate)
        ones = [*bent, *_pressed(case, shelves, pressures, bodies, climate)]
        if ones:
            worst = max(ones, key=lambda one: round(one.used, 9))
            found.append(replace(worst, others=unknown))
    return tuple(found)


def _bent(
    case: LoadCase, boards: Sequence[Board], climate: int
) -> Steps[tuple[list[OnShelf], tuple[str, ...]]]:
    """Shelves bent by a child, each kind once, and those of which no strength is known."""
    kinds: dict[Shelf, Board] = {}
    for board in boards:
        if board.result is not None:
            kinds.setdefault(board.result.shelf, board)
    beams, counts = [], []
    for shelf in kinds:
        bays = bays_between((s.at for s in shelf.supports), shelf.length)
        places = _worst_places(shelf)
        full = tuple(range(len(bays)))
        beams += [
            beam_of(shelf, bays, full, 1.0, 1.0, extra=(PointLoad(at, case.weight_n),)) for at in places
        ]
        counts.append(len(places))
    bents = iter((yield Ask(solve_beams, beams)))
    found, unknown = [], []
    for (shelf, board), count in zip(kinds.items(), counts, strict=True):
        mine = [bent for bent in (next(bents) for _ in range(count)) if bent is not None]
        if not mine:
            continue
        stress, allowed, _, i, _ = largest_stress(shelf, mine)
        now, ever = (find_allowable(shelf.materials[i], d, climate) for d in (DURATION, "permanent"))
        if allowed is None or not ever.bending_mpa or now.bending_mpa is None:
            unknown.append(board.label)
            continue
        allowed *= now.bending_mpa / ever.bending_mpa
        found.append(OnShelf(case, board.label, "bending", stress, allowed, now.bending_source.text))
    return found, tuple(unknown)


def _worst_places(shelf: Shelf) -> list[float]:
    """Where a child bends a shelf most: in the middle of each span, and at the end of each overhang, mm."""
    at = sorted(support.at for support in shelf.supports)
    ends = [end for end, support in ((0.0, at[0]), (shelf.length, at[-1])) if end != support]
    return [*((a + b) / 2 for a, b in pairwise(at)), *ends]


def _pressed(
    case: LoadCase,
    shelves: Mapping[str, Board],
    pressures: Sequence[Pressure],
    bodies: Mapping[str, Member],
    climate: int,
) -> list[OnShelf]:
    """Bearings of shelves with the whole child over one of them."""
    found = []
    known: dict[tuple[str, str], tuple[float | None, str]] = {}
    for p in pressures:
        board = shelves.get(p.label)
        if board is None or p.newton <= 0:
            continue
        mpa = p.mpa * (1 + case.weight_n / p.newton)
        span, turned = board.span, board.resting.turned
        one = span.one_place
        if one is not None and turned is not None and one.high > one.low:
            middle = (one.low + one.high) / 2
            arm = max(middle, span.length - middle)
            width = sum(q.area_mm2 for q in span.stations[0].places) / (one.high - one.low)
            if width <= 0:
                continue
            load, moment = turned.newton + case.weight_n, turned.moment + case.weight_n * arm
            mpa = edge_mpa(load, moment, width, one.high - one.low, two_way=one.two_way)
        kind = (bodies[p.by].material.name, bodies[p.label].material.name)
        if kind not in known:
            known[kind] = bearing_limit((bodies[p.by], bodies[p.label]), climate, DURATION)
        limit, source = known[kind]
        if limit is not None:
            found.append(OnShelf(case, f"{p.label} on {p.by}", "bearing", mpa, limit, source))
    return found


def check_child_tips(
    cases: Iterable[LoadCase],
    empty: TippingStability,
    goods: Sequence[Goods],
    bodies: Mapping[str, Member],
    carried: Mapping[str, BoardLoad],
) -> tuple[Climbed, ...]:
    """How a child tips a free-standing piece, each case at its worst shelf and line."""
    found = []
    lines: dict[Edge, Edge] = {}
    for case in cases:
        if case.weight_n <= 0:
            continue
        sides = empty.side("front") if case.beyond > 0 else empty.edges
        worst = Climbed(case, inf, "", "")
        for edge in sides:
            if edge not in lines:
                lines[edge] = with_worst_goods(empty, edge, goods, 0.0)[1]
            for label in carried:
                for at in _places(bodies[label], case.beyond):
                    factor = tip_factor(lines[edge], at, case.weight_n)
                    if factor < worst.factor * (1 - 1e-9):
                        worst = Climbed(case, factor, label, edge.side)
        found.append(worst)
    return tuple(found)


def _places(body: Member, beyond: float) -> list[Vector]:
    """Where a child stands on a shelf, 50 mm within its edges, or hangs in front of it."""
    (x0, y0, _), (x1, y1, top) = body.box.lo, body.box.hi
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    if beyond > 0:
        return [(x, y0 - beyond, top)]
    ix, iy = min(INSIDE_MM, (x1 - x0) / 2), min(INSIDE_MM, (y1 - y0) / 2)
    return [(x, y0 + iy, top), (x, y1 - iy, top), (x0 + ix, y, top), (x1 - ix, y, top)]
