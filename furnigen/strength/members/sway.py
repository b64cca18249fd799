"""A piece pushed sideways: its uprights and boards as a frame whose joints give, its back, its legs.

Boards and rails that run from upright to upright tie them at their height by the joints at their ends, of the
stiffness in furnigen/catalogue/data/turning.csv (`end_restraint`); so does a board that runs across the push
and is joined to uprights in both rows. A board that lies on a rung turns it too. A panel along the push
braces by its shear. Where all uprights stand in one row they bend and shear as boards in their own plane
(`furnigen.strength.model.in_plane`). Legs stand below the frame and sway with their joints.

All joints of a frame count with their mean stiffness. The table's values are orders of size without a
published source, so a piece is judged with its joints at their low end, and the high end is said beside it.

A frame that leans as a whole, each height z by theta z, moves its weight out by theta z: it folds when
W theta z_centre exceeds K h theta at the top, so the weight counts at the top with z_centre / h.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from math import inf

from furnigen.catalogue.loads import GRAVITY
from furnigen.catalogue.materials import Material
from furnigen.construction.load_path import SupportPlace
from furnigen.core.pose import Vector, dot
from furnigen.joints.joint import Joint
from furnigen.strength.formulas.shear import panel_shear_modulus
from furnigen.strength.formulas.tipping import Mass
from furnigen.strength.members.boards import Board
from furnigen.strength.members.bracing import BracingEffect, bracing_effects
from furnigen.strength.members.end_restraint import (
    LIES,
    TABLE_BOARD_MM,
    Held,
    held_at,
    held_end,
    turning_words,
)
from furnigen.strength.model.carriers import Carriers
from furnigen.strength.model.in_plane import SHEAR_SHARE, bends_as, cantilever_stiffness, size_along
from furnigen.strength.model.members import LEG, LEVEL, RAIL, UPRIGHT, Member, column_section_of
from furnigen.strength.model.racking import Rack, Racking, find_turning, push_racks, turning_row
from furnigen.strength.model.stations import Station, reach_of
from furnigen.strength.model.strips import across_of
from furnigen.strength.solver.frame import fastener_slip, panel_shear, sway_safety
from furnigen.strength.solver.together import Ask, Steps

SAME_LINE_MM = 30.0
"""Uprights nearer than this along the push stand in one line."""
SAME_LEVEL_MM = 1.0
"""Levels nearer than this, to each other or to an end of the frame, are one height."""
BRACES_SHARE = 0.05
"""A board that has this share of the stiffness of all in a row is named among what holds them."""
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
        safety: how many times its weight and load it could carry before it folds, joints at the low end of
            their range; inf where a wall holds it.
        at_best: the same with joints at the high end of their range.
        racking: of the frame, joints at the low end; None where none was needed.
        panels: labels of what braces it.
        joint: assumption on the softest joint.
        turned: joints that resist, each with its moment over that of the most loaded joint of `racking`.
        frame: the frame, where joints alone resist, and its weight and load as they count at its top, N.
    """

    way: str
    by: str
    safety: float
    at_best: float
    racking: Racking | None
    panels: tuple[str, ...]
    joint: str
    turned: tuple[tuple[Joint, float], ...] = ()
    frame: tuple[Rack, float] | None = None

    @cached_property
    def would(self) -> tuple[BracingEffect, ...]:
        """What a back and a brace would make of it, where joints alone resist; worked out when asked for."""
        return () if self.frame is None else bracing_effects(*self.frame)


@dataclass(frozen=True)
class _Level:
    """A member that ties uprights: its height, mm, stiffness in bending, against shear and along, N mm² and
    N, how its ends are held, and whether it runs from face to face of them or lies on something of theirs.
    """

    z: float
    ei: float
    shear: float
    ea: float
    ends: tuple[Held, ...]
    framed: bool


def sideways_in_steps(
    boards: tuple[Board, ...], bodies: Mapping[str, Member], ground: Carriers, whole: Mass, *, walls: bool
) -> Steps[tuple[Sideways, ...]]:
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
            found.append((yield from _frame(way, d, boards, bodies, ground, whole)))
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


class _Lines:
    """Uprights in lines across a push along `d`, in the order in which the first of each was met."""

    def __init__(self, d: Vector) -> None:
        self.lines: list[list[Member]] = []
        self._d = d
        self._places: list[tuple[float, float]] = []  # where the first of each stands, and how wide it is
        self._met: set[str] = set()

    def add(self, body: Member) -> None:
        """Put an upright into the first line it stands in, or a line of its own, once."""
        if body.label in self._met:
            return
        self._met.add(body.label)
        at, wide = dot(body.centre, self._d), size_along(body, self._d)
        for line, (place, width) in zip(self.lines, self._places, strict=True):
            # wide boards that lie beside each other over half of their width stand in one row
            if abs(place - at) < max(SAME_LINE_MM, (wide + width) / 4):
                line.append(body)
                return
        self.lines.append([body])
        self._places.append((at, wide))


def _levels(
    d: Vector, boards: tuple[Board, ...], bodies: Mapping[str, Member], ground: Carriers
) -> tuple[list[list[Member]], list[_Level]]:
    """Lines of uprights across a push, and the members along it that tie them."""
    lines = _Lines(d)
    levels: list[_Level] = []
    for board in boards:
        if abs(dot(board.span.along, d)) < 1 - 1e-6:
            levels += _across(board, d, lines, bodies, ground)
            continue
        ends: list[Held] = []
        for station in board.span.stations:
            carriers = _uprights_at(station, bodies, ground)
            held = held_at(board, station, bodies, ground)
            if carriers and not (held.by and ends and held.by == ends[-1].by):
                ends.append(held)
            for body in carriers:
                lines.add(body)
        if len(ends) > 1:
            section, material = board.span.section, board.span.body.material
            along, shear = section.area * material.moe_mpa, _shear_of(material, section.area)
            height = board.span.body.box.centre[2]
            places = [p.by for station in board.span.stations for p in station.places]
            framed = all(_is_upright(label, bodies) for label in places)
            levels.append(_Level(height, section.bending, shear, along, tuple(ends), framed))
    spanning = {board.label for board in boards}
    for label, body in bodies.items():
        if body.kind in (RAIL, LEVEL) and label not in spanning and abs(dot(body.direction(0), d)) > 1 - 1e-6:
            level = _rail(body, d, lines, bodies, ground)
            if level is not None:
                levels.append(level)
    return lines.lines, levels


def _rail(
    body: Member, d: Vector, lines: _Lines, bodies: Mapping[str, Member], ground: Carriers
) -> _Level | None:
    """A rail joined between uprights that does not span, such as one that lies on the floor."""
    ends = []
    high, across = body.box.size[2], across_of(d)
    thick = abs(dot(body.box.size, across))
    for b, joint in ground.joined.get(body.label, ()):
        if b in bodies and bodies[b].kind == UPRIGHT:
            ends.append(held_end(joint, thick, high, bodies[b]))
            lines.add(bodies[b])
    if len(ends) < 2:
        return None
    moe, area = body.material.moe_mpa, thick * high
    shear = _shear_of(body.material, area)
    second = thick * high**3 / 12
    return _Level(body.box.centre[2], moe * second, shear, moe * area, tuple(ends), True)


def _shear_of(material: Material, area: float) -> float:
    return SHEAR_SHARE * panel_shear_modulus(material) * area


def _across(
    board: Board, d: Vector, lines: _Lines, bodies: Mapping[str, Member], ground: Carriers
) -> list[_Level]:
    """A board across the push, on uprights before and behind: each station ties them with its share of it."""
    span, found = board.span, []
    pairs = []
    for station in span.stations:
        held: dict[str, SupportPlace] = {p.by: p for p in station.places if _is_upright(p.by, bodies)}
        middles = [dot(bodies[label].centre, d) for label in held]
        if held and max(middles) - min(middles) > SAME_LINE_MM:
            pairs.append(held)
    for held in pairs:
        thick, wide = span.body.box.size[2], span.length / len(pairs)
        ends = []
        for label, place in held.items():
            joint = ground.joints.get((label, board.label))
            low, high = reach_of(place, span.along)
            ends.append(LIES if joint is None else held_end(joint, high - low, thick, bodies[label]))
            lines.add(bodies[label])
        moe, area = span.body.modulus(d), wide * thick
        shear = _shear_of(span.body.material, area)
        height = span.body.box.centre[2]
        second = wide * thick**3 / 12
        found.append(_Level(height, moe * second, shear, moe * area, tuple(ends), False))
    return found


def _is_upright(label: str, bodies: Mapping[str, Member]) -> bool:
    return label in bodies and bodies[label].kind == UPRIGHT


def _frame(
    way: str,
    d: Vector,
    boards: tuple[Board, ...],
    bodies: Mapping[str, Member],
    ground: Carriers,
    whole: Mass,
) -> Steps[Sideways | None]:
    lines, levels = _levels(d, boards, bodies, ground)
    standing = [b for b in bodies.values() if b.kind == UPRIGHT]
    if not standing:
        return None
    of_frame = [b for line in lines for b in line] or standing
    low, high = min(b.box.lo[2] for b in of_frame), max(b.box.hi[2] for b in of_frame)
    height = high - low
    tall = [line for line in lines if max(b.box.size[2] for b in line) > TALL_SHARE * height]

    at_top = whole.kg * GRAVITY * max(whole.at[2] - low, 1.0) / height

    def safety(stiffness: float) -> float:
        return sway_safety(stiffness, at_top, height)

    if len(tall) < 2:
        return _in_one_row(way, d, [b for b in standing if b.box.size[2] > TALL_SHARE * height], safety)
    if not levels:
        return None
    places = sorted(sum(dot(b.centre, d) for b in line) / len(line) for line in tall)
    heights = _apart([level.z - low for level in levels], height)
    shear, panels = _back(d, places, bodies, ground, height)
    ends = [end for level in levels for end in level.ends]
    # the frame has a member in every bay at every height: it shares out what all real members have together
    cells = len(heights) * (len(tall) - 1)

    def mean(what: str) -> float:
        return float(sum(getattr(level, what) * (len(level.ends) - 1) for level in levels)) / cells

    uprights = [[bends_as(b, d) for b in line] for line in tall]
    clear = min(b - a for a, b in pairwise(places))
    wide = min(size_along(b, d) for line in tall for b in line)
    rack = Rack(
        uprights=tuple(places),
        levels=tuple(heights),
        height=height,
        upright_ei=min(sum(one[0] for one in line) for line in uprights),
        level_ei=mean("ei"),
        upright_ea=min(sum(one[2] for one in line) for line in uprights),
        level_ea=mean("ea"),
        joint=sum(end.low for end in ends) / (2 * cells),
        back=shear,
        upright_shear=min(sum(one[1] for one in line) for line in uprights),
        level_shear=mean("shear"),
        upright_wide=min(wide, MOST_RIGID * clear) if all(level.framed for level in levels) else 0.0,
    )
    stiffest = replace(rack, joint=sum(end.best for end in ends) / (2 * cells))
    racking, best = yield Ask(push_racks, [rack, stiffest])
    told = (safety(racking.stiffness), safety(best.stiffness), racking)
    softest = min(ends, key=lambda end: end.low)
    if panels:
        return Sideways(way, "a back", *told, panels, softest.words)
    turned = tuple((e.joint, e.low / rack.joint) for e in ends if e.joint is not None and e.low > 0)
    return Sideways(way, "joints", *told, (), softest.words, turned, (rack, at_top))


MOST_RIGID = 0.9
"""At most this share of the distance of two uprights lies within them."""


def _in_one_row(way: str, d: Vector, row: list[Member], safety: Callable[[float], float]) -> Sideways | None:
    """Uprights in a single row along the push: each bends and shears as a board in its own plane."""
    stiff = {b.label: cantilever_stiffness(b, d) for b in row}
    whole = sum(stiff.values())
    if whole <= 0:
        return None
    most = max(stiff.values())
    held = tuple(label for label, one in stiff.items() if one > BRACES_SHARE * most)
    return Sideways(way, "its own panels", safety(whole), safety(whole), None, held, "")


def _apart(levels: list[float], top: float) -> list[float]:
    """Heights of levels from the foot to the top of a frame, those too near to tell apart as one, mm."""
    kept: list[float] = []
    for z in sorted(levels):
        at = 0.0 if z < SAME_LEVEL_MM else top if z > top - SAME_LEVEL_MM else z
        if not kept or at - kept[-1] >= SAME_LEVEL_MM:
            kept.append(at)
    return kept


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
    low, best, words = 0.0, 0.0, "legs that are not joined"
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
        low += _in_series(turning.low * lever / tall**2, bend)
        best += _in_series(turning.high * lever / tall**2, bend)
    tall = max(b.box.size[2] for b in legs)
    safety, at_best = (sway_safety(stiff, weight_n, tall) for stiff in (low, best))
    return Sideways("on its legs", "legs", safety, at_best, None, tuple(b.label for b in legs), words)


def _in_series(a: float, b: float) -> float:
    return a * b / (a + b) if a > 0 and b > 0 else 0.0
