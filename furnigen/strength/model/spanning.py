"""Boards and rails as beams: which way each bends, where it is carried, how its ends are held, its section.

A board or rail bends along one level direction over *stations*, the places along it where something carries
it: of its two directions the one with the longest stretch between stations. What carries it only along one
of its edges (a back in a rabbet) is no station: the other edge is free to sag.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import pairwise
from math import hypot

from furnigen.construction.load_path import SupportPlace
from furnigen.core.finding import without_noise
from furnigen.core.pose import Vector, dot
from furnigen.strength.formulas.section import Section
from furnigen.strength.model.carriers import Carriers
from furnigen.strength.model.members import LEVEL, RAIL, Member, turns_a_corner
from furnigen.strength.model.net_sections import NetSection, find_net_sections
from furnigen.strength.model.one_place import OnePlace, at_one_place, find_one_place
from furnigen.strength.model.plates import BOARD_ALONE, PlateShares, find_plate
from furnigen.strength.model.stations import (
    Reaching,
    Station,
    Stop,
    longest_mm,
    reach_of,
    reaching,
    stations_at,
    stops_of,
    stops_within,
    with_necks,
)
from furnigen.strength.model.strips import across_of, along_share, find_strips, gaps_of, section_of
from furnigen.strength.solver.load_sharing import shares_in_line

STRIP_ASPECT = 3.0
"""A bearing this many times longer along a board than across it runs along it."""
LONG_SHARE = 0.5
"""A rail that lies on the ground with more than this share of its length does not bend."""
DEEP = 1 / 3
"""A rail higher than this share of its length is no beam: it does not bend so that one would see it."""
BACKED_SHARE = 0.8
"""A back along at least this share of a board holds its edge straight. Our own choice."""
HANGS_MM = 100.0
"""A back reaches at least so much further up and down than its board is thick. Our own choice."""


@dataclass(frozen=True)
class Spanning:
    """A board or rail as a beam.

    Attributes:
        body: the board; of several glued into one, the widest.
        others: labels glued to it that bend with it.
        along: level unit vector it bends along.
        across: level unit vector square to that.
        start, length: where it begins along `along`, and how long it is (mm).
        depth: its size across, mm.
        section: of the board alone.
        plate: what is left of its sag and stress by all that is glued along it or holds an edge.
        over_supports: the same of what of it runs on over the supports, where strips stop there.
        strips: the strips glued along it, in the order of `plate`; of a strip in pieces, the first.
        cuts: where joints cut it, and what they leave.
        stations: where it is carried.
        backed: labels of backs that hold one of its edges straight.
        one_place: how it is carried where that is one place alone; None for what spans between places.
    """

    body: Member
    others: tuple[str, ...]
    along: Vector
    across: Vector
    start: float
    length: float
    depth: float
    section: Section
    plate: PlateShares
    over_supports: PlateShares
    strips: tuple[Member, ...]
    cuts: tuple[NetSection, ...]
    stations: tuple[Station, ...]
    backed: tuple[str, ...]
    one_place: OnePlace | None = None

    @property
    def bending(self) -> float:
        """EI of the beam that sags as the board does where it sags most, N mm²."""
        return self.section.bending / self.plate.most

    def at(self, p: Vector) -> float:
        """How far along it a point of the room lies, within its ends, mm."""
        return min(max(dot(p, self.along) - self.start, 0.0), self.length)

    @cached_property
    def parts(self) -> tuple[tuple[float, ...], ...]:
        """For each station the share of each of its places, for a load in the middle of the board's depth."""
        middle = dot(self.body.box.centre, self.across)
        found: list[tuple[float, ...]] = []
        for station in self.stations:
            found.append(self.shares(station.places, middle))
        return tuple(found)

    def shares(self, places: Sequence[SupportPlace], off: float) -> tuple[float, ...]:
        """What each place of a station takes of a load so far across the room, as shares."""
        if len(places) == 1:
            return (1.0,)
        return shares_in_line(
            [dot(p.centre, self.across) for p in places], [max(p.area_mm2, 1.0) for p in places], off
        )

    @property
    def longest_mm(self) -> float:
        """Its longest stretch between stations, an overhang counting twice."""
        return longest_mm(self.stations, self.length)


def _level(v: Vector) -> Vector:
    long = hypot(v[0], v[1])
    return (v[0] / long, v[1] / long, 0.0)


def _not_edges(places: list[Reaching], d: Vector, middle: float) -> list[Reaching]:
    """The bearings without those along one edge only."""
    across = across_of(d)
    long, sides = set(), []
    for n, (place, (low, high)) in enumerate(places):
        side = reach_of(place, across)
        if high - low > STRIP_ASPECT * max(side[1] - side[0], 1.0):
            long.add(n)
            sides.append(side)
    if sides and (min(s[0] for s in sides) > middle or max(s[1] for s in sides) < middle):
        return [p for n, p in enumerate(places) if n not in long]
    return places


def find_spanning(
    body: Member,
    places: Mapping[str, tuple[SupportPlace, ...]],
    bodies: Mapping[str, Member],
    ground: Carriers,
) -> Spanning | None:
    """A board or rail as a beam; None for what does not bend, or lies on all that carries it.

    Args:
        places: where each body is carried, by label.
    """
    if body.kind not in (LEVEL, RAIL) or turns_a_corner(body.form):
        return None
    first = _level(body.direction(0))
    ways = (first, across_of(first)) if body.kind == LEVEL else (first,)
    real = [o for d in ways if (o := _laid(body, d, places, bodies, ground)) is not None]
    longest = max(real, key=lambda o: round(longest_mm(o.stops, o.length), 3), default=None)
    least = 0.0 if longest is None else round(longest_mm(longest.stops, longest.length), 3)
    over = _overhanging(body, ways, places[body.label], bodies, ground, least)
    if over is not None or longest is None:
        return over
    return _spanning(longest, bodies, ground)


def _overhanging(
    body: Member,
    ways: Sequence[Vector],
    places: Sequence[SupportPlace],
    bodies: Mapping[str, Member],
    ground: Carriers,
    least: float,
) -> Spanning | None:
    """A board carried at one place, along the way that it reaches furthest beyond it.

    Args:
        least: the longest stretch of the board where it spans the other way, mm: an overhang counts twice,
            and must be more.
    """
    found: list[tuple[OnePlace, Vector]] = []
    for way in ways:
        d = _upward(way)
        side = body.extent(across_of(d))
        kept = reaching(places, d)
        if body.kind == LEVEL:
            kept = _not_edges(kept, d, (side[0] + side[1]) / 2)
        low, high = body.extent(d)
        one = None
        if kept and at_one_place(kept, high - low) and not _lies_on_ground(kept, high - low, bodies):
            one = find_one_place(body, d, [p for p, _ in kept], bodies, ground)
        if one is not None and 2 * one.free > least:
            found.append((one, d))
    if not found:
        return None
    one, d = max(found, key=lambda o: round(o[0].free, 3))
    (low, high), side = body.extent(d), body.extent(across_of(d))
    laid = _Laid(body, d, across_of(d), low, high - low, side[1] - side[0], one.stops, [], [])
    return replace(_spanning(laid, bodies, ground), stations=one.stations, one_place=one)


def _upward(d: Vector) -> Vector:
    """A level way, turned to run toward +x or +y."""
    return (-d[0], -d[1], 0.0) if max(d, key=abs) < 0 else d


@dataclass(frozen=True)
class _Laid:
    """A board laid over what carries it along one direction: its stations and section are not known yet.

    Attributes:
        body, along, across, start, length, depth: as in `Spanning`.
        stops: where it is carried, from its low end.
        lines: labels of strips glued on, each in one piece or several.
        gaps: from where to where it bends as if bare, mm from its low end.
    """

    body: Member
    along: Vector
    across: Vector
    start: float
    length: float
    depth: float
    stops: tuple[Stop, ...]
    lines: list[tuple[str, ...]]
    gaps: list[tuple[float, float]]


def _laid(
    body: Member,
    d: Vector,
    places: Mapping[str, tuple[SupportPlace, ...]],
    bodies: Mapping[str, Member],
    ground: Carriers,
) -> _Laid | None:
    d = _upward(d)
    low, high = body.extent(d)
    if body.kind == RAIL and body.box.size[2] > DEEP * (high - low):
        return None
    lines = find_strips(body, d, bodies, ground)
    laid = _with_strips(body, d, lines, places, bodies, ground)
    if laid is None or all(stops_within(laid.stops, gap) for gap in laid.gaps):
        return laid
    # a strip that stops where nothing carries the board is no stiffener
    return _with_strips(body, d, [line for line in lines if len(line) == 1], places, bodies, ground)


def _with_strips(
    body: Member,
    d: Vector,
    lines: list[tuple[str, ...]],
    places: Mapping[str, tuple[SupportPlace, ...]],
    bodies: Mapping[str, Member],
    ground: Carriers,
) -> _Laid | None:
    """A board along a direction with these strips glued on, each in one piece or several."""
    across = across_of(d)
    low, high = body.extent(d)
    side = body.extent(across)
    height = body.box.size[2]
    glued_on = [label for line in lines for label in line]
    mine = [p for p in places[body.label] if p.by not in glued_on]
    mine += [p for label in glued_on for p in places[label] if p.by not in (body.label, *glued_on)]
    kept = reaching(mine, d)
    if _lies_on_ground(kept, high - low, bodies):
        return None
    if body.kind == LEVEL:
        kept = _not_edges(kept, d, (side[0] + side[1]) / 2)
    if all(p == kept[0][0] for p, _ in kept) or at_one_place(kept, high - low):
        return None
    stops = stops_of(kept, low, high, height)
    if len(stops) < 2:
        return None
    gaps = gaps_of(lines, bodies, d, low)
    length, depth = without_noise(high - low), without_noise(side[1] - side[0])
    return _Laid(body, d, across, low, length, depth, stops, lines, gaps)


def _spanning(laid: _Laid, bodies: Mapping[str, Member], ground: Carriers) -> Spanning:
    """The board as a beam: its section, and what strips glued along it and backs leave of its sag."""
    body, d, lines = laid.body, laid.along, laid.lines
    stations = tuple(_exact(s) for s in stations_at(laid.stops, body, d, laid.length, bodies, ground))
    section = section_of(body, d)
    backs, held = _backs(body, d, bodies, ground) if body.kind == LEVEL else ((), ())
    # strips in one piece first: they alone run on over the supports
    lines = sorted(lines, key=len)
    whole = [bodies[line[0]] for line in lines if len(line) == 1]
    strips = [bodies[line[0]] for line in lines]
    plate = over_supports = BOARD_ALONE
    if strips or held:
        plate = over_supports = find_plate(body, d, strips, held, stations, laid.length, section)
    if len(whole) < len(strips):
        over_supports = find_plate(body, d, whole, held, stations, laid.length, section)
        softer = max(0.0, over_supports.most - plate.most) / section.bending
        stations = with_necks(stations, laid.gaps, softer)
    return Spanning(
        body,
        tuple(label for line in lines for label in line),
        d,
        laid.across,
        laid.start,
        laid.length,
        laid.depth,
        section,
        plate,
        over_supports,
        tuple(strips),
        _not_borne(find_net_sections(body, d, laid.across), stations),
        stations,
        backs,
    )


def _exact(station: Station) -> Station:
    """A station without the rounding of where in the room it stands."""
    at, turning = without_noise(station.at), without_noise(station.turning)
    return Station(at, station.places, station.holds_down, turning, station.how, station.neck)


def _not_borne(cuts: tuple[NetSection, ...], stations: tuple[Station, ...]) -> tuple[NetSection, ...]:
    """The cuts that do not lie on a bearing which runs along the board: there nothing bends them."""
    borne = [(a.at, b.at) for a, b in pairwise(stations) if set(a.places) & set(b.places)]
    return tuple(c for c in cuts if not any(low <= c.start and c.end <= high for low, high in borne))


def _lies_on_ground(places: list[Reaching], length: float, bodies: Mapping[str, Member]) -> bool:
    return sum(high - low for p, (low, high) in places if p.by not in bodies) > LONG_SHARE * length


def _backs(
    body: Member, d: Vector, bodies: Mapping[str, Member], ground: Carriers
) -> tuple[tuple[str, ...], tuple[float, ...]]:
    """Upright panels fixed along edges of a level board, and which they hold, mm from its low edge."""
    across = across_of(d)
    low, high = body.extent(across)
    edges: dict[float, list[tuple[str, float]]] = {}
    for b, joint in ground.joined.get(body.label, ()):
        other = bodies.get(b)
        if other is None or other.kind == LEVEL or other.form.as_board is None:
            continue
        fixed = joint.glued or any(f.sites for f in joint.fasteners)
        face = abs(dot(other.direction(2), across)) > 1 - 1e-6
        tall = other.box.size[2] > max(2 * body.box.size[2], body.box.size[2] + HANGS_MM)
        edge = other.extent(across)
        if fixed and face and tall and not edge[0] <= (low + high) / 2 <= edge[1]:
            at = 0.0 if edge[1] < (low + high) / 2 else high - low
            edges.setdefault(round(at, 6), []).append((b, max(0.0, along_share(body, other, d))))
    holding = {at: ones for at, ones in edges.items() if sum(share for _, share in ones) >= BACKED_SHARE}
    return tuple(b for ones in holding.values() for b, _ in ones), tuple(sorted(holding))
