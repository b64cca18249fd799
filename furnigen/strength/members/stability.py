"""How a whole piece stands: loads on its feet, tipping, test loads, the pull its anchor or wall must take.

The walk down the load path gives each foot its share. The floor does not turn a foot, so these shares are
then put right, by the least squares over the areas of the feet, until force and moments balance the weight
and its centre.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from math import inf
from typing import TYPE_CHECKING

import numpy as np

from furnigen.catalogue.loads import GRAVITY
from furnigen.construction.load_path import FLOOR
from furnigen.core.errors import InputError
from furnigen.core.pose import Vector, dot
from furnigen.piece.description import Piece, Wall
from furnigen.strength.formulas.tipping import (
    Mass,
    TippingStability,
    TipResult,
    TipTest,
    centre_of,
    find_tipping_stability,
    list_tests,
    run_test,
    should_anchor,
)
from furnigen.strength.members.board_stack import PassedLoad
from furnigen.strength.model.demands import BoardLoad
from furnigen.strength.model.members import Member
from furnigen.strength.model.spanning import Spanning
from furnigen.strength.solver.load_sharing import inverse_inertia

if TYPE_CHECKING:
    from furnigen.mesh.support import GroundContact

CONTENTS_MM = 125.0
"""Centre of mass of what lies on a board above it: half of a book. Common practice, no source."""
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
        area: of the contact, mm².
    """

    label: str
    ground: str
    at: Vector
    newton: float
    walked: float
    area: float


def masses_of(bodies: Mapping[str, Member]) -> list[Mass]:
    """Every part with its centre of mass."""
    return [Mass(b.kg, b.centre) for b in bodies.values()]


def contents_masses(
    bodies: Mapping[str, Member], carried: Mapping[str, BoardLoad], spans: Mapping[str, Spanning]
) -> list[Mass]:
    """What lies on the boards: spread evenly over each, single things where they stand.

    Args:
        spans: boards that span, by label: a load by the metre runs along the span.
    """
    found = []
    for label, on in carried.items():
        box = bodies[label].box
        x, y, z = box.centre
        above = z + box.size[2] / 2 + CONTENTS_MM
        along = spans[label].along if label in spans else (1.0, 0.0, 0.0)
        length, depth = max(box.size[:2]), min(box.size[:2])
        if label in spans:
            length, depth = spans[label].length, spans[label].depth
        elif box.size[1] > box.size[0]:
            along = (0.0, 1.0, 0.0)
        even = on.load.newton_per_mm(depth, length) * length / GRAVITY
        if even > 0:
            found.append(Mass(even, (x, y, above)))
        for at, newton in on.load.points(length):
            off = at - length / 2
            found.append(Mass(newton / GRAVITY, (x + off * along[0], y + off * along[1], above)))
    return found


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
    forces = walked.copy()
    if centre is not None:
        share = area / area.sum()
        middle = share @ at[:, :2]
        arm = at[:, :2] - middle
        missing = centre.kg * GRAVITY - walked.sum()
        turning = centre.kg * GRAVITY * (np.array(centre.at[:2]) - middle) - walked @ arm
        spread = (arm * share[:, None]).T @ arm
        slope = inverse_inertia(spread) @ turning
        forces += share * missing + (arm * share[:, None]) @ slope
        # feet in one line take the rest off their middle
        left = centre.kg * GRAVITY * np.array(centre.at[:2]) - forces @ at[:, :2]
        at[:, :2] += left / forces.sum()
    return tuple(
        Foot(p.label, p.by, (float(x), float(y), float(z)), float(f), float(w), float(a))
        for p, (x, y, z), f, w, a in zip(points, at, forces, walked, area, strict=True)
    )


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
        empty, loaded: how it stands without and with what lies on it.
        tests: results of the test loads asked for, on the empty piece; None where one does not apply.
        why_anchor: why it should be anchored to the wall; "" where no rule asks for it.
        anchor_height: where the anchor is taken to be, mm.
        anchor_n: pull it must take: the most of all test loads, and of what anchors are tested with.
        front_empty, front_loaded: the weight on the front edge of a board that tips it, empty and loaded.
    """

    empty: TippingStability
    loaded: TippingStability
    tests: tuple[tuple[TipTest, TipResult | None], ...]
    why_anchor: str
    anchor_height: float
    anchor_n: float
    front_empty: FrontLoad
    front_loaded: FrontLoad


def _front_load(standing: TippingStability, edges: Mapping[str, Vector]) -> FrontLoad:
    """The least weight on one of these front edges that tips it."""
    found = [
        FrontLoad(line.load_n(at), label) for label, at in edges.items() for line in standing.side("front")
    ]
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
    parts = masses_of(bodies)
    empty = find_tipping_stability(parts, feet)
    loaded = find_tipping_stability([*parts, *contents_masses(bodies, carried, spans)], feet)
    height, depth = piece.bounds.hi[2], piece.bounds.size[1]
    edges = _front_edges(bodies, carried)
    within = [p for p in edges.values() if p[2] <= REACH_MM] or list(edges.values())
    edge = max(within, key=lambda p: p[2], default=(piece.bounds.centre[0], piece.bounds.lo[1], height))
    results = tuple((test, run_test(test, empty, height, edge)) for test in tests)
    pulls = [r.anchor_n(height) for t in list_tests() if (r := run_test(t, empty, height, edge)) is not None]
    return Stability(
        empty,
        loaded,
        results,
        should_anchor(height, depth),
        height,
        max([RESTRAINT_N, *pulls]),
        _front_load(empty, edges),
        _front_load(loaded, edges),
    )


@dataclass(frozen=True)
class OnWall:
    """What a wall must take.

    Attributes:
        wall: its name.
        hangs: whether it carries the whole piece, or only keeps a leaning one from falling.
        weight_n: of the piece and all that lies on it, N.
        out_n: pull out of the wall at its fixings, or push against it by a piece that leans, N.
        height: of the fixings above where the piece bears on the wall, or of the push above the floor, mm.
        friction: what the floor's friction must be for a leaning piece to stay.
    """

    wall: str
    hangs: bool
    weight_n: float
    out_n: float
    height: float
    friction: float


def check_wall(wall: Wall, grounded: Sequence[GroundContact], feet: Sequence[Foot], whole: Mass) -> OnWall:
    """What one wall must take.

    Raises: InputError for a piece whose fixings leave no lever.
    """
    out = wall.normal
    weight = whole.kg * GRAVITY
    away = dot(whole.at, out) - dot(wall.point, out)
    touching = [z for g in grounded if g.ground == wall.name for _, _, z in g.outline]
    standing = [f for f in feet if f.ground == FLOOR]
    if standing:
        contact = [g for g in grounded if g.ground == FLOOR]
        foot = sum(dot(g.centre, out) * g.area_mm2 for g in contact) / sum(g.area_mm2 for g in contact)
        height = max(touching, default=0.0)
        if height <= 0:
            raise InputError("wall", wall.name, "the piece does not touch it above the floor")
        push = max(0.0, weight * (foot - dot(whole.at, out)) / height)
        return OnWall(wall.name, False, weight, push, height, push / weight)
    fixed = [f.at[2] for f in feet if f.ground == wall.name]
    lever = sum(fixed) / max(len(fixed), 1) - min(touching, default=0.0)
    if not fixed or lever <= 0:
        raise InputError("wall", wall.name, "the piece has no fixing above where it bears on it")
    return OnWall(wall.name, True, weight, weight * away / lever, lever, 0.0)


def all_mass(
    bodies: Mapping[str, Member], carried: Mapping[str, BoardLoad], spans: Mapping[str, Spanning]
) -> Mass:
    """The piece and all that lies on it as one mass."""
    return centre_of([*masses_of(bodies), *contents_masses(bodies, carried, spans)])
