"""How a whole piece stands: loads on its feet, tipping, test loads, the pull its anchor must take.

The walk down the load path gives each foot its share. The floor does not turn a foot, so these shares are
then put right, by the least squares over the areas of the feet, until force and moments balance the weight
and its centre. The floor can not pull either: a foot that would have to be pulled down lifts off, the worst
first, and the others carry the piece.

It tips under the worst part of its load, whichever boards are full and wherever their goods stand
(`furnigen.strength.formulas.partial_loads`).
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import inf
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from furnigen.catalogue.loads import GRAVITY
from furnigen.construction.load_path import FLOOR
from furnigen.core.pose import Vector
from furnigen.piece.description import Piece
from furnigen.strength.formulas.partial_loads import WorstTip, find_worst_tip, with_worst_goods
from furnigen.strength.formulas.tip_tests import TipTest, list_tests, run_test
from furnigen.strength.formulas.tipping import (
    Edge,
    Mass,
    TippingStability,
    TipResult,
    find_tipping_stability,
    should_anchor,
)
from furnigen.strength.members.board_stack import PassedLoad
from furnigen.strength.members.contents import contents_masses, goods_of, masses_of
from furnigen.strength.model.demands import BoardLoad
from furnigen.strength.model.members import Member
from furnigen.strength.model.spanning import Spanning
from furnigen.strength.solver.load_sharing import Array, inverse_inertia

if TYPE_CHECKING:
    from furnigen.mesh.support import GroundContact

REACH_MM = 1400.0
"""The highest shelf whose front edge a child hangs on. Our own choice."""
RESTRAINT_N = 266.9
"""60 lb: what a tip restraint is tested with (ASTM F3096-23, looked up)."""


@dataclass(frozen=True)
class Foot:
    """What the floor or a wall carries at one point of a contact.

    Attributes:
        label: the part.
        ground: "floor" or the name of a wall.
        at: point in the room, mm.
        newton: upward force, N.
        walked: the same before it was put right, as it came down the load path, N.
        two_way: the same if the floor could pull too, N: below zero the part lifts off there.
        area: of the contact, mm².
    """

    label: str
    ground: str
    at: Vector
    newton: float
    walked: float
    two_way: float
    area: float


LIFTS_N = 1.0
"""A part that the floor would have to pull down by less than this does not lift. Our own choice."""


def feet_of(pushes: Iterable[PassedLoad], grounds: Iterable[str], centre: Mass | None) -> tuple[Foot, ...]:
    """The points at which a piece is carried, put right so that they balance it.

    Args:
        grounds: names of the floor and the walls.
        centre: all mass as one; None leaves the forces as they came down the load path.
    """
    names = set(grounds)
    points = [p for p in pushes if p.by in names]
    if not points:
        return ()
    walked = np.array([p.dead + p.live for p in points])
    at = np.array([p.at for p in points])
    area = np.array([max(p.place.area_mm2, 1.0) for p in points])
    forces = two_way = walked
    if centre is not None:
        on = np.ones(len(points), dtype=bool)
        there = at
        forces, at = _balanced(walked, there, area, centre, on)
        two_way = forces
        while on.sum() > LEAST_FEET and forces[on].min() < -LIFTS_N:
            on[np.where(on, forces, np.inf).argmin()] = False
            forces, at = _balanced(walked, there, area, centre, on)
    return tuple(
        Foot(p.label, p.by, (float(x), float(y), float(z)), float(f), float(w), float(t), float(a))
        for p, (x, y, z), f, w, t, a in zip(points, at, forces, walked, two_way, area, strict=True)
    )


LEAST_FEET = 3
"""So few feet are all needed to stand."""


def _balanced(
    walked: Array, at: Array, area: Array, centre: Mass, on: NDArray[np.bool_]
) -> tuple[Array, Array]:
    """Forces on some of the feet that balance a mass, N, and the places where they act, mm."""
    share = np.where(on, area, 0.0) / area[on].sum()
    forces = np.where(on, walked, 0.0)
    weight, middle = centre.kg * GRAVITY, share @ at[:, :2]
    arm = at[:, :2] - middle
    turning = weight * (np.array(centre.at[:2]) - middle) - forces @ arm
    spread = (arm * share[:, None]).T @ arm
    slope = inverse_inertia(spread) @ turning
    forces = forces + share * (weight - forces.sum()) + (arm * share[:, None]) @ slope
    # feet in one line take the rest off their middle
    moved = at.copy()
    moved[:, :2] += (weight * np.array(centre.at[:2]) - forces @ at[:, :2]) / forces.sum()
    return forces, moved


@dataclass(frozen=True, slots=True)
class FrontLoad:
    """The weight on the front edge of a board that just tips a piece.

    Attributes:
        newton: N; inf where no weight on any front edge does: they all lie over the feet.
        on: the board; "" likewise.
    """

    newton: float
    on: str


@dataclass(frozen=True)
class Stability:
    """How a piece on the floor stands.

    Attributes:
        empty, loaded: how it stands without and with all that lies on it.
        worst: how it tips over each line under the worst part of its load, the weakest first.
        tests: results of the test loads asked for, under the worst part of its load; None where one does not
            apply.
        why_anchor: why it should be anchored to the wall; "" where no rule asks for it.
        anchor_height: where the anchor is taken to be, mm.
        anchor_n: pull it must take: the most of all test loads, and of what anchors are tested with.
        pull_n: the level pull forward at its top that tips it, under the worst part of its load; inf where it
            has no front.
        front_worst, front_loaded: the weight on the front edge of a board that tips it, under the worst part
            of its load and with all of it.
    """

    empty: TippingStability
    loaded: TippingStability
    worst: tuple[WorstTip, ...]
    tests: tuple[tuple[TipTest, TipResult | None], ...]
    why_anchor: str
    anchor_height: float
    anchor_n: float
    pull_n: float
    front_worst: FrontLoad
    front_loaded: FrontLoad


def _front_load(lines: Sequence[Edge], edges: Mapping[str, Vector]) -> FrontLoad:
    """The least weight on one of these front edges that tips a piece over one of these lines."""
    found = [FrontLoad(line.load_n(at), label) for label, at in edges.items() for line in lines]
    weakest = min(found, key=lambda one: one.newton, default=FrontLoad(inf, ""))
    return weakest if weakest.newton < inf else FrontLoad(inf, "")


def _front_edges(bodies: Mapping[str, Member], surfaces: Iterable[str]) -> dict[str, Vector]:
    return {
        label: (bodies[label].box.centre[0], bodies[label].box.lo[1], bodies[label].box.hi[2])
        for label in surfaces
    }


def check_stability(
    piece: Piece,
    bodies: Mapping[str, Member],
    carried: Mapping[str, BoardLoad],
    spans: Mapping[str, Spanning],
    grounded: Sequence[GroundContact],
    tests: Sequence[TipTest],
) -> Stability:
    """How a free-standing piece stands.

    Raises: InputError for feet that span no area.
    """
    feet = [(x, y) for g in grounded if g.ground == FLOOR for x, y, _ in g.outline]
    parts = masses_of(bodies.values())
    empty = find_tipping_stability(parts, feet)
    loaded = find_tipping_stability([*parts, *contents_masses(bodies, carried, spans)], feet)
    goods = goods_of(bodies, carried, spans)
    worst = sorted(
        (find_worst_tip(empty, edge, goods) for edge in empty.edges),
        key=lambda one: round(one.edge.tilt_degrees, 9),  # of lines alike but for rounding the first
    )
    height, depth = piece.bounds.hi[2], piece.bounds.size[1]
    edges = _front_edges(bodies, carried)
    within = [p for p in edges.values() if p[2] <= REACH_MM] or list(edges.values())
    edge = max(within, key=lambda p: p[2], default=(piece.bounds.centre[0], piece.bounds.lo[1], height))
    results = tuple((test, run_test(test, empty, height, edge, goods)) for test in tests)
    every = (run_test(test, empty, height, edge, goods) for test in list_tests())
    pulls = [r.anchor_n(height) for r in every if r is not None]
    fronts = [with_worst_goods(empty, line, goods, 0.0)[1] for line in empty.side("front")]
    return Stability(
        empty,
        loaded,
        tuple(worst),
        results,
        should_anchor(height, depth),
        height,
        max([RESTRAINT_N, *pulls]),
        min((line.pull_n(height) for line in fronts), default=inf),
        _front_load(fronts, edges),
        _front_load(loaded.side("front"), edges),
    )
