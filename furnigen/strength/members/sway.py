"""A piece pushed sideways: its uprights and boards as a frame whose joints give, its back, its legs.

Boards and rails that run from upright to upright tie them at their height by the joints at their ends, of the
stiffness in furnigen/catalogue/data/turning.csv (see `furnigen.strength.members.end_restraint`). A board that
lies on a rung turns it too. A panel along the push braces by its shear; an upright wide along the push is a
wall by itself. Legs stand below the frame and sway with their joints. All joints of a frame count with their
mean stiffness; the table's values are orders of size, so the high end of the range is told too.

A frame that leans as a whole, each height z by theta z, moves its weight out by theta z: it folds when
W theta z_centre exceeds K h theta at the top, so the weight counts at the top with z_centre / h.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import inf

from furnigen.catalogue.loads import GRAVITY
from furnigen.core.pose import Vector, dot
from furnigen.strength.formulas.back_stiffening import panel_shear_modulus
from furnigen.strength.formulas.tipping import Mass
from furnigen.strength.members.boards import Board
from furnigen.strength.members.bracing import BACK_WORDS, BRACE_WORDS, BracingEffect, with_back, with_brace
from furnigen.strength.members.end_restraint import TABLE_BOARD_MM, Held, held_at, held_end, turning_words
from furnigen.strength.model.carriers import Carriers
from furnigen.strength.model.members import LEG, LEVEL, RAIL, UPRIGHT, Member, column_section_of
from furnigen.strength.model.racking import Rack, Racking, find_turning, push_sideways, turning_row
from furnigen.strength.model.stations import Station
from furnigen.strength.model.strips import across_of
from furnigen.strength.solver.frame import fastener_slip, panel_shear, sway_safety

SAME_LINE_MM = 30.0
"""Uprights nearer than this along the push stand in one line."""
SAME_LEVEL_MM = 1.0
"""Levels nearer than this, to each other or to an end of the frame, are one height."""
WALL_ASPECT = 4.0
"""An upright this many times wider than thick is a wall along its width."""
WALL_STANDS = 1 / 8
"""Of several in a row along the push, one narrower than this share of its height is none. Our own choice."""
TALL_SHARE = 0.6
"""An upright that reaches over this share of the frame's height is one of its uprights."""
BAY_SHARE = 0.8
"""Panels that cover this share of the frame's width brace it."""
NARROW_PANEL_MM = 100.0
"""A narrower panel braces nothing."""


@dataclass(frozen=True)
class Sideways:
    """How a piece resists a push along one level direction.

    Attributes:
        way: "left-right", "front-back" or "on its legs".
        by: what resists: "joints", "a back", "its own panels", "legs", "the wall".
        safety: how many times its weight and load it could carry before it folds; inf where panels hold it.
        at_best: the same with joints at the high end of their range.
        racking: of the frame; None where none was needed.
        panels: labels of what braces it.
        joint: assumption on the softest joint.
        would: what a back and a brace would make of it, where joints alone resist.
    """

    way: str
    by: str
    safety: float
    at_best: float
    racking: Racking | None
    panels: tuple[str, ...]
    joint: str
    would: tuple[BracingEffect, ...] = ()


@dataclass(frozen=True)
class _Level:
    """A member that ties uprights: its height, stiffness in bending and along, and how its ends are held."""

    z: float
    ei: float
    ea: float
    ends: tuple[Held, ...]


def check_sideways(
    boards: tuple[Board, ...], bodies: Mapping[str, Member], ground: Carriers, whole: Mass, *, walls: bool
) -> tuple[Sideways, ...]:
    """How a piece resists a push left-right and front-back.

    Args:
        whole: the piece and all that lies on it as one mass.
        walls: whether it is fixed to a wall.
    """
    found: list[Sideways | None] = []
    for way, d in (("left-right", (1.0, 0.0, 0.0)), ("front-back", (0.0, 1.0, 0.0))):
        if walls:
            found.append(Sideways(way, "the wall", inf, inf, None, (), ""))
        else:
            found.append(_frame(way, d, boards, bodies, ground, whole))
    if not walls:
        found.append(_legs(bodies, ground, whole.kg * GRAVITY))
    return tuple(one for one in found if one is not None)


def _uprights_at(station: Station, bodies: Mapping[str, Member], ground: Carriers) -> list[Member]:
    """Uprights that carry a station, directly or through a rung."""
    found = []
    for place in station.places:
        if place.by not in bodies:
            continue
        carrier = bodies[place.by]
        if carrier.kind == UPRIGHT:
            found.append(carrier)
        elif carrier.kind in (RAIL, LEVEL):
            under = [bodies[p.by] for p in ground.places[carrier.label] if p.by in bodies]
            found += [body for body in under if body.kind == UPRIGHT]
    return found


def _into_line(lines: list[list[Member]], body: Member, d: Vector) -> None:
    at = dot(body.centre, d)
    for line in lines:
        if abs(dot(line[0].centre, d) - at) < SAME_LINE_MM:
            if body not in line:
                line.append(body)
            return
    lines.append([body])


def _levels(
    d: Vector, boards: tuple[Board, ...], bodies: Mapping[str, Member], ground: Carriers
) -> tuple[list[list[Member]], list[_Level]]:
    """Lines of uprights across a push, and the members along it that tie them."""
    lines: list[list[Member]] = []
    levels: list[_Level] = []
    for board in boards:
        if abs(dot(board.span.along, d)) < 1 - 1e-6:
            continue
        ends: list[Held] = []
        for station in board.span.stations:
            carriers = _uprights_at(station, bodies, ground)
            held = held_at(board, station, bodies, ground)
            if carriers and not (held.by and ends and held.by == ends[-1].by):
                ends.append(held)
            for body in carriers:
                _into_line(lines, body, d)
        if len(ends) > 1:
            section, material = board.span.section, board.span.body.material
            stiff = section.area * material.moe_mpa
            levels.append(_Level(board.span.body.box.centre[2], section.bending, stiff, tuple(ends)))
    spanning = {board.label for board in boards}
    for label, body in bodies.items():
        if body.kind in (RAIL, LEVEL) and label not in spanning and abs(dot(body.direction(0), d)) > 1 - 1e-6:
            level = _rail(body, d, lines, bodies, ground)
            if level is not None:
                levels.append(level)
    return lines, levels


def _rail(
    body: Member, d: Vector, lines: list[list[Member]], bodies: Mapping[str, Member], ground: Carriers
) -> _Level | None:
    """A rail joined between uprights that does not span, such as one that lies on the floor."""
    ends = []
    high, across = body.box.size[2], across_of(d)
    thick = abs(dot(body.box.size, across))
    for b, joint in ground.joined.get(body.label, ()):
        if b in bodies and bodies[b].kind == UPRIGHT:
            ends.append(held_end(joint, thick, high, bodies[b]))
            _into_line(lines, bodies[b], d)
    if len(ends) < 2:
        return None
    moe = body.material.moe_mpa
    return _Level(body.box.centre[2], moe * thick * high**3 / 12, moe * thick * high, tuple(ends))


def _frame(
    way: str,
    d: Vector,
    boards: tuple[Board, ...],
    bodies: Mapping[str, Member],
    ground: Carriers,
    whole: Mass,
) -> Sideways | None:
    lines, levels = _levels(d, boards, bodies, ground)
    if not lines:  # nothing spans along the push: uprights wide along it stand alone
        lines = [[b] for b in bodies.values() if b.kind == UPRIGHT and _is_wall(b, d, alone=True)]
    if not lines:
        return None
    low = min(b.box.lo[2] for line in lines for b in line)
    high = max(b.box.hi[2] for line in lines for b in line)
    tall = [line for line in lines if max(b.box.size[2] for b in line) > TALL_SHARE * (high - low)]
    walls = tuple(b.label for line in tall for b in line if _is_wall(b, d, alone=len(tall) == 1))
    if walls:
        return Sideways(way, "its own panels", inf, inf, None, walls, "")
    if len(tall) < 2 or not levels:
        return None
    places = sorted(sum(dot(b.centre, d) for b in line) / len(line) for line in tall)
    heights = _apart([level.z - low for level in levels], high - low)
    shear, panels = _back(d, places, bodies, ground, high - low)
    ends = [end for level in levels for end in level.ends]
    # the frame has a member in every bay at every height: it shares out what all real members have together
    cells = len(heights) * (len(tall) - 1)
    ei, ea = (
        sum(getattr(level, what) * (len(level.ends) - 1) for level in levels) / cells for what in ("ei", "ea")
    )
    rack = Rack(
        uprights=tuple(places),
        levels=tuple(heights),
        height=high - low,
        upright_ei=min(sum(b.material.moe_mpa * _second_moment(b, d) for b in line) for line in tall),
        level_ei=ei,
        upright_ea=min(sum(b.material.moe_mpa * _area(b) for b in line) for line in tall),
        level_ea=ea,
        joint=sum(end.usual for end in ends) / (2 * cells),
        back=shear,
    )
    racking = push_sideways(rack)
    best = racking
    if not panels:
        best = push_sideways(replace(rack, joint=sum(end.best for end in ends) / (2 * cells)))

    def safety(of: Racking) -> float:
        at_top = whole.kg * GRAVITY * max(whole.at[2] - low, 1.0) / (high - low)
        return sway_safety(of.stiffness, at_top, high - low)

    softest = min(ends, key=lambda end: end.usual)
    if panels:
        return Sideways(way, "a back", safety(racking), safety(best), racking, panels, softest.words)
    would = []
    if len(heights) > 1:  # a back or a brace needs two levels to hold on to
        for words, added in ((BACK_WORDS, with_back(rack)), (BRACE_WORDS, with_brace(rack))):
            stiff = push_sideways(added)
            would.append(BracingEffect(words, stiff.stiffness, safety(stiff)))
    return Sideways(way, "joints", safety(racking), safety(best), racking, (), softest.words, tuple(would))


def _apart(levels: list[float], top: float) -> list[float]:
    """Heights of levels from the foot to the top of a frame, those too near to tell apart as one, mm."""
    kept: list[float] = []
    for z in sorted(levels):
        at = 0.0 if z < SAME_LEVEL_MM else top if z > top - SAME_LEVEL_MM else z
        if not kept or at - kept[-1] >= SAME_LEVEL_MM:
            kept.append(at)
    return kept


def _is_wall(body: Member, d: Vector, *, alone: bool) -> bool:
    """Whether an upright is a wall along a direction; `alone` where no other stands beside it that way.

    Of several in a row each tips about its own foot, which a narrow one does as easily as a post.
    """
    low, high = body.extent(d)
    stands = alone or high - low > WALL_STANDS * body.box.size[2]
    return stands and high - low > WALL_ASPECT * body.form.blank_mm[2]


def _area(body: Member) -> float:
    section = column_section_of(body, body.box.centre[2])
    return section.area if section else body.form.blank_mm[1] * body.form.blank_mm[2]


def _second_moment(body: Member, d: Vector) -> float:
    """Of an upright bending along a direction, mm⁴."""
    section = column_section_of(body, body.box.centre[2])
    if section is None:
        width, thick = sorted(body.form.blank_mm[1:])
        return thick * width**3 / 12
    return section.least_i if abs(dot(section.thin, d)) > 0.7 else section.most_i


def _back(
    d: Vector, places: list[float], bodies: Mapping[str, Member], ground: Carriers, height: float
) -> tuple[float, tuple[str, ...]]:
    """(G t) of the panels along a push, fasteners included, N/mm, and their labels; 0 without."""
    found: list[tuple[float, str]] = []
    covered = 0.0
    for label, body in bodies.items():
        board = body.form.as_board
        if board is None or abs(dot(body.direction(2), across_of(d))) < 1 - 1e-6:
            continue
        low, high = body.extent(d)
        tall = body.box.size[2]
        joints = [j for _, j in ground.joined.get(label, ())]
        glued = bool(joints) and all(j.glued for j in joints)
        screws = [f for j in joints for f in j.fasteners if f.sites]
        if high - low < NARROW_PANEL_MM or tall < TALL_SHARE * height or not (glued or screws):
            continue
        pitch, slip = 0.0, inf
        if not glued:
            pitch = 2 * (high - low + tall) / sum(len(f.sites) for f in screws)
            slip = fastener_slip(body.material.density_kg_m3, screws[0].diameter_mm, drilled=True)
        g = panel_shear_modulus(body.material)
        found.append((panel_shear(g, board.thickness, high - low, tall, pitch, slip), label))
        covered += high - low
    if not found or covered < BAY_SHARE * (places[-1] - places[0]):
        return 0.0, ()
    return min(found)[0], tuple(label for _, label in found)


def _legs(bodies: Mapping[str, Member], ground: Carriers, weight_n: float) -> Sideways | None:
    """Legs below a case, each held in its joint and free to turn on the floor."""
    legs = [b for b in bodies.values() if b.kind == LEG]
    if not legs:
        return None
    usual, best, words = 0.0, 0.0, "legs that are not joined"
    for leg in legs:
        joint = next((j for _, j in ground.joined.get(leg.label, ()) if j.b == leg.label), None)
        section = column_section_of(leg, leg.box.centre[2])
        if joint is None or section is None:
            continue
        turning = find_turning(turning_row(joint), glued=joint.glued)
        size = leg.form.blank_mm[1]
        words = turning_words(joint)
        tall = leg.box.size[2]
        bend = 3 * leg.material.moe_mpa * section.least_i / tall**3
        lever = size * max(1.0, size / TABLE_BOARD_MM) ** 2
        usual += _in_series(turning.design * lever / tall**2, bend)
        best += _in_series(turning.high * lever / tall**2, bend)
    tall = max(b.box.size[2] for b in legs)
    safety, at_best = (sway_safety(stiff, weight_n, tall) for stiff in (usual, best))
    return Sideways("on its legs", "legs", safety, at_best, None, tuple(b.label for b in legs), words)


def _in_series(a: float, b: float) -> float:
    return a * b / (a + b) if a > 0 and b > 0 else 0.0
