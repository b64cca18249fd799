"""What each wall must take of each body of a piece: what nothing joins hangs or leans by itself.

A body is all parts that touch or are joined to each other, directly or by others between them. Tiers fixed to
a wall one above the other, with nothing between them, are bodies each with its own weight, pull and lever.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from furnigen.catalogue.loads import GRAVITY
from furnigen.construction.load_path import FLOOR
from furnigen.core.errors import InputError
from furnigen.core.pose import Vector, dot
from furnigen.piece.description import Piece, Wall
from furnigen.strength.formulas.tipping import Mass
from furnigen.strength.members.contents import all_mass, contents_masses
from furnigen.strength.members.stability import Foot
from furnigen.strength.model.demands import BoardLoad
from furnigen.strength.model.members import Member
from furnigen.strength.model.spanning import Spanning

if TYPE_CHECKING:
    from furnigen.mesh.contacts import Contact
    from furnigen.mesh.support import GroundContact


@dataclass(frozen=True)
class OnWall:
    """What a wall must take of one body.

    Attributes:
        wall: its name.
        labels: the parts of the body.
        hangs: whether it carries the whole body, or only keeps a leaning one from falling.
        weight_n: of the body and all that lies on it, N.
        out_n: pull out of the wall at its fixings, or push against it by a piece that leans, N.
        height: of the fixings above where the body bears on the wall, or of the push above the floor, mm.
        friction: what the floor's friction must be for a leaning piece to stay, under the worst part of its
            load.
        fixed: whether fasteners hold it to the wall.
        down_n: what its fixings take downward where the floor has no friction at all, N; 0 for what hangs.
    """

    wall: str
    labels: tuple[str, ...]
    hangs: bool
    weight_n: float
    out_n: float
    height: float
    friction: float
    fixed: bool = False
    down_n: float = 0.0


def bodies_apart(piece: Piece, contacts: Iterable[Contact]) -> list[tuple[str, ...]]:
    """The labels of a piece in groups that nothing joins and that do not touch, in the order of the piece."""
    group = {p.label: [p.label] for p in piece.placements}
    pairs = [(c.a, c.b) for c in contacts] + [
        (j.a, j.b) for j in piece.joints if j.a in group and j.b in group
    ]
    for a, b in pairs:
        if group[a] is not group[b]:
            group[a] += group[b]
            for label in group[b]:
                group[label] = group[a]
    order = {p.label: n for n, p in enumerate(piece.placements)}
    apart = {id(one): one for one in group.values()}
    return [tuple(sorted(one, key=order.__getitem__)) for one in apart.values()]


def check_walls(
    piece: Piece,
    contacts: Iterable[Contact],
    grounded: Sequence[GroundContact],
    feet: Sequence[Foot],
    bodies: Mapping[str, Member],
    carried: Mapping[str, BoardLoad],
    spans: Mapping[str, Spanning],
) -> Iterator[OnWall]:
    """What each wall must take of each body that touches it.

    Raises: InputError for a body whose fixings leave no lever.
    """
    for labels in bodies_apart(piece, contacts) if piece.walls else ():
        own = set(labels)
        touching = [g for g in grounded if g.label in own]
        whole = all_mass(
            {label: bodies[label] for label in labels},
            {label: on for label, on in carried.items() if label in own},
            spans,
        )
        standing = [foot for foot in feet if foot.label in own]
        fixed = {j.a for j in piece.joints if j.b in own and any(f.sites for f in j.fasteners)}
        parts = [Mass(bodies[label].kg, bodies[label].centre) for label in labels]
        goods = contents_masses(bodies, {k: on for k, on in carried.items() if k in own}, spans)
        for wall in piece.walls:
            if any(g.ground == wall.name for g in touching):
                one = _on_wall(wall, labels, touching, standing, whole, parts, goods)
                yield replace(one, fixed=wall.name in fixed)


def _on_wall(
    wall: Wall,
    labels: tuple[str, ...],
    grounded: Sequence[GroundContact],
    feet: Sequence[Foot],
    whole: Mass,
    parts: Sequence[Mass],
    goods: Sequence[Mass],
) -> OnWall:
    """What one wall must take of one body."""
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
        friction = _friction(foot, out, height, parts, goods)
        reach = foot - dot(wall.point, out)
        down = push * height / reach if reach > 0 else 0.0
        return OnWall(wall.name, labels, False, weight, push, height, friction, down_n=down)
    fixed = [f.at[2] for f in feet if f.ground == wall.name]
    lever = sum(fixed) / max(len(fixed), 1) - min(touching, default=0.0)
    if not fixed or lever <= 0:
        raise InputError("wall", wall.name, "the piece has no fixing above where it bears on it")
    return OnWall(wall.name, labels, True, weight, weight * away / lever, lever, 0.0)


def _friction(foot: float, out: Vector, height: float, parts: Sequence[Mass], goods: Sequence[Mass]) -> float:
    """The friction that feet need so that a leaning piece stays, whichever of its boards are full.

    The wall pushes back with sum(w d) / h, d being how far each weight lies from the feet toward the wall,
    and the floor presses with sum(w): friction is their ratio. Goods raise it that lie further than the mean;
    so they are added from the furthest on as long as they do (hand-derived).
    """
    kg = sum(m.kg for m in parts)
    moment = sum(m.kg * (foot - dot(m.at, out)) for m in parts)
    for m in sorted(goods, key=lambda one: dot(one.at, out)):
        away = foot - dot(m.at, out)
        if kg > 0 and away <= moment / kg:
            break
        kg, moment = kg + m.kg, moment + m.kg * away
    return max(0.0, moment / (kg * height)) if kg > 0 else 0.0
