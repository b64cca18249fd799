"""The masses of a piece: its parts, and the goods on its boards, all of them or whichever part tips it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from furnigen.catalogue.loads import GRAVITY, Load
from furnigen.core.pose import Vector
from furnigen.strength.formulas.partial_loads import Goods
from furnigen.strength.formulas.tipping import Mass, centre_of
from furnigen.strength.model.demands import BoardLoad
from furnigen.strength.model.goods_room import even_load_n
from furnigen.strength.model.members import Member
from furnigen.strength.model.spanning import Spanning

CONTENTS_MM = 125.0
"""Centre of mass of what lies on a board above it: half of a book. Common practice, no source."""
ROW_DEEP_MM = 200.0
"""How deep a row of goods counted by the metre is, and a single thing: it may stand at the front or at the
back of a deeper board. Our own choice; a book of A4 is 210 mm deep."""
STRIPS = 4
"""What is counted by the surface may lie on any of so many strips of a board's depth. Our own choice."""


def masses_of(bodies: Iterable[Member]) -> list[Mass]:
    """Every part with its centre of mass."""
    return [Mass(b.kg, b.centre) for b in bodies]


def _along(body: Member, span: Spanning | None) -> tuple[Vector, float]:
    """The level way along a board that single things are measured on, and its length that way, mm."""
    if span is not None:
        return span.along, span.length
    x, y = body.box.size[:2]
    return ((1.0, 0.0, 0.0), x) if x >= y else ((0.0, 1.0, 0.0), y)


def _above(body: Member, way: Vector = (0.0, 0.0, 0.0), off: float = 0.0) -> Vector:
    """Where goods on a board have their centre of mass: above the middle of its surface, or off it along
    a level way, mm."""
    x, y, _ = body.pose.apply(body.form.centroid_mm)
    return (x + off * way[0], y + off * way[1], body.box.hi[2] + CONTENTS_MM)


def _singles(body: Member, load: Load, span: Spanning | None) -> list[Mass]:
    along, length = _along(body, span)
    x, y, _ = body.box.centre
    found = []
    for at, newton in load.points(length):
        off = at - length / 2
        place = (x + off * along[0], y + off * along[1], body.box.hi[2] + CONTENTS_MM)
        found.append(Mass(newton / GRAVITY, place))
    return found


def contents_masses(
    bodies: Mapping[str, Member], carried: Mapping[str, BoardLoad], spans: Mapping[str, Spanning]
) -> list[Mass]:
    """What lies on the boards, all full: spread evenly over each, single things where they stand.

    Args:
        spans: boards that span, by label: the places of single things are measured along the span.
    """
    found = []
    for label, on in carried.items():
        body = bodies[label]
        kg = even_load_n(on.load, body.form) / GRAVITY
        if kg > 0:
            found.append(Mass(kg, _above(body)))
        found += _singles(body, on.load, spans.get(label))
    return found


def goods_of(
    bodies: Mapping[str, Member], carried: Mapping[str, BoardLoad], spans: Mapping[str, Spanning]
) -> list[Goods]:
    """All that may lie on the boards or not, and where in their depth.

    A row of goods by the metre, and a single thing, may stand at the front or at the back of a board deeper
    than ROW_DEEP_MM; goods by the surface may lie on any strips of its depth; what is spread evenly, and what
    lies on a board that is no rectangle, stays where it is.
    """
    found = []
    for label, on in carried.items():
        body, load = bodies[label], on.load
        board = body.form.as_board
        plain = board is not None and board.rectangular
        short = min((0, 1), key=lambda i, of=body: of.form.blank_mm[i])  # type: ignore[misc]
        depth, way = body.form.blank_mm[short], body.direction(short)
        room = max(depth - ROW_DEEP_MM, 0.0) / 2 if plain else 0.0
        offsets = (0.0, -room, room) if room else (0.0,)

        def part(of: Load, body: Member = body) -> float:
            return even_load_n(of, body.form) / GRAVITY

        row = part(Load("", line_kg_m=load.line_kg_m))
        if row > 0:
            found.append(Goods(label, row, tuple(_above(body, way, off) for off in offsets)))
        surface, strips = part(Load("", area_kg_m2=load.area_kg_m2)), STRIPS if plain else 1
        if surface > 0:
            middles = [((n + 0.5) / strips - 0.5) * depth for n in range(strips)]
            found += [Goods(label, surface / strips, (_above(body, way, off),)) for off in middles]
        spread = part(Load("", spread_kg=load.spread_kg))
        if spread > 0:
            found.append(Goods(label, spread, (_above(body),)))
        for one in _singles(body, load, spans.get(label)):
            x, y, z = one.at
            places = tuple((x + off * way[0], y + off * way[1], z) for off in offsets)
            found.append(Goods(label, one.kg, places))
    return found


def all_mass(
    bodies: Mapping[str, Member], carried: Mapping[str, BoardLoad], spans: Mapping[str, Spanning]
) -> Mass:
    """The piece and all that lies on it as one mass."""
    return centre_of([*masses_of(bodies.values()), *contents_masses(bodies, carried, spans)])
