"""How stiffly the ends of level members are held against turning, by the joints there.

The table of joints stands for boards about 18 mm thick; a joint's stiffness goes with the square of its
lever, so a thicker member counts with (thickness / 18 mm)² (hand-derived).

A board may also be held by its edge, where it runs past the face of an upright: the joint then lies in the
plane of the turn. Its fasteners resist by their slip, each by the square of its distance from their middle. A
groove resists as the table says of its depth in the upright, which is its length along the axis of the turn,
with the width of the upright for a lever (hand-derived from the table's own rule).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from furnigen.construction.load_path import SupportPlace
from furnigen.core.pose import Vector, dot
from furnigen.core.quantities import SAME_MM
from furnigen.joints.joint import Joint
from furnigen.strength.formulas.section import SHEAR_MODULUS_SHARE
from furnigen.strength.members.boards import Board
from furnigen.strength.model.carriers import Carriers
from furnigen.strength.model.members import LEVEL, RAIL, UPRIGHT, Member
from furnigen.strength.model.racking import find_turning, joint_words, turning_row
from furnigen.strength.model.stations import Station, reach_of
from furnigen.strength.model.strips import across_of
from furnigen.strength.solver.frame import fastener_slip

TABLE_BOARD_MM = 18.0
"""Thickness of the boards that the table of joints stands for."""
SAME_WAY = 1 - 1e-6
ACROSS_GRIP = ("screw", "dowel")
"""Fasteners that pass from the upright into the board's edge."""


@dataclass(frozen=True)
class Held:
    """The end of a level member: how stiffly it is held against turning, N mm per radian.

    Attributes:
        low, usual, best: with its joint at the low end, in the middle and at the high end of its range.
        joint: what gives it; None for a board that only lies there.
        by: labels of what holds it as a whole: two stations on one wide bearing count once.
    """

    low: float
    usual: float
    best: float
    joint: Joint | None
    by: frozenset[str] = frozenset()

    @property
    def words(self) -> str:
        """What it was taken from."""
        return turning_words(self.joint) if self.joint is not None else "boards that only lie there"


LIES = Held(0.0, 0.0, 0.0, None)


def _meets_edge(carrier: Member, board: Member, d: Vector) -> bool:
    """Whether an upright stands beside a level board that runs along `d`, with its face to that edge."""
    across = across_of(d)
    faces = carrier.kind == UPRIGHT and abs(dot(carrier.direction(2), across)) > SAME_WAY
    if board.kind != LEVEL or not faces:
        return False
    low, high = carrier.extent(across)
    return not low < dot(board.box.centre, across) < high


def _is_cleat(carrier: Member, d: Vector, bodies: Mapping[str, Member], ground: Carriers) -> bool:
    """Whether a strip under a board's edge lies along `d` on the face of one upright: it can not twist."""
    if carrier.kind != RAIL or abs(dot(carrier.direction(0), d)) < SAME_WAY:
        return False
    low, high = carrier.extent(d)
    faces = [bodies[p.by].extent(d) for p in ground.places[carrier.label] if p.by in bodies]
    return any(a - SAME_MM <= low and high <= b + SAME_MM for a, b in faces)


def _edge_turning(
    joint: Joint, place: SupportPlace, d: Vector, thick: float, density: float
) -> tuple[float, float, float]:
    """Stiffness of the joint against turning, N mm per radian: low, usual, and at best.

    Args:
        place: where the upright carries the board.
        d: the way the board runs.
        thick: of the board, mm.
        density: mean of the softer of the two woods, kg/m³.
    """
    turning = find_turning(turning_row(joint), glued=joint.glued)
    reach, along = (b - a for a, b in (reach_of(place, across_of(d)), reach_of(place, d)))
    lever = max(1.0, max(thick, along) / TABLE_BOARD_MM)
    low, usual, best = (value * reach * lever**2 for value in (turning.low, turning.design, turning.high))
    down, up = (v / turning.design if turning.design > 0 else 1.0 for v in (turning.low, turning.high))
    for f in joint.fasteners:
        if f.kind in ACROSS_GRIP and f.sites:
            slip = fastener_slip(density, f.diameter_mm, drilled=True)
            turn = slip * _spread_mm2([(dot(site, d), site[2]) for site, _ in f.sites])
            low, usual, best = low + turn * down, usual + turn, best + turn * up
    return low, usual, best


def _spread_mm2(points: list[tuple[float, float]]) -> float:
    """Sum of squared distances from the middle of some points, mm²."""
    x, z = (sum(p[i] for p in points) / len(points) for i in (0, 1))
    return sum((p[0] - x) ** 2 + (p[1] - z) ** 2 for p in points)


def _twist(rail: Member) -> float:
    """Stiffness of a rail against being turned at its middle, its ends held, N mm per radian.

    Torsion of a rectangle, J = b³ h / 3 (1 - 0.63 b / h) (St Venant, from memory), on either side.
    """
    x, y, z = rail.box.size
    grain = rail.direction(0)
    # a wide rail in a shallow frame may be wider than long
    wide, long = (y, x) if abs(grain[0]) > 0.7 else (x, y) if abs(grain[1]) > 0.7 else sorted((x, y))
    b, h = sorted((wide, z))
    j = b**3 * h / 3 * (1 - 0.63 * b / h)
    return 4 * rail.material.moe_mpa * SHEAR_MODULUS_SHARE * j / long


def held_end(joint: Joint, reach: float, thick: float, carrier: Member, *, twists: bool = True) -> Held:
    """A joint of some length (mm) at the end of a member this thick (mm).

    Args:
        twists: whether a rail that carries it gives way by its own torsion.
    """
    turning = find_turning(turning_row(joint), glued=joint.glued)
    lever = max(1.0, thick / TABLE_BOARD_MM)
    stiff = [value * reach * lever**2 for value in (turning.low, turning.design, turning.high)]
    if carrier.kind in (RAIL, LEVEL) and twists:
        twist = _twist(carrier)
        stiff = [one * twist / (one + twist) for one in stiff]
    low, usual, best = stiff
    return Held(low, usual, best, joint)


def turning_words(joint: Joint) -> str:
    """What the stiffness of a joint was taken from."""
    turning = find_turning(turning_row(joint), glued=joint.glued)
    return (
        f"{joint_words(joint)}, {turning.low:g} to {turning.high:g} N m/rad for each metre of it"
        f" ({turning.source.text})"
    )


def held_at(board: Board, station: Station, bodies: Mapping[str, Member], ground: Carriers) -> Held:
    """How stiff a board is held at a station: by the stiffest joint there, or by those at both its edges."""
    span = board.span
    best, edges = LIES, dict[str, Held]()
    for place in station.places:
        joint = ground.joints.get((place.by, board.label))
        if joint is None or place.by not in bodies:
            continue
        carrier, thick = bodies[place.by], span.body.box.size[2]
        if _meets_edge(carrier, span.body, span.along):
            density = min(b.material.density_kg_m3 for b in (span.body, carrier))
            one = Held(*_edge_turning(joint, place, span.along, thick, density), joint)
        else:
            reach = abs(dot(place.hi, span.across) - dot(place.lo, span.across))
            if span.body.kind == RAIL:  # a tenon is thinner than its rail, and as stiff as its shoulders
                reach = span.depth
            cleat = _is_cleat(carrier, span.along, bodies, ground)
            one = held_end(joint, reach, thick, carrier, twists=not cleat)
            if not cleat:
                if one.usual > best.usual:
                    best = Held(one.low, one.usual, one.best, one.joint, frozenset({place.by}))
                continue
        if place.by not in edges or one.usual > edges[place.by].usual:
            edges[place.by] = one
    if edges:
        first = max(edges.values(), key=lambda held: held.usual)
        low, usual, most = (
            sum(getattr(e, what) for e in edges.values()) for what in ("low", "usual", "best")
        )
        both = Held(low, usual, most, first.joint, frozenset(edges))
        best = max(best, both, key=lambda held: held.usual)
    return best
