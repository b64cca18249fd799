"""Boards and rails as beams: which way each bends, where it is carried, how its ends are held, its section.

A board or rail bends along one level direction over *stations*, the places along it where something carries
it: of its two directions the one with the longest stretch between stations. What carries it only along one
of its edges (a back in a rabbet) is no station: the other edge is free to sag.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from itertools import pairwise
from math import hypot
from typing import NamedTuple

import numpy as np

from furnigen.loadpath import SupportPlace
from furnigen.parts.forms import Prism, Rod
from furnigen.piece import Joint
from furnigen.pose import Vector, dot
from furnigen.strength.beam import bearing_places
from furnigen.strength.body import LEVEL, RAIL, UPRIGHT, Body
from furnigen.strength.carry import Ground
from furnigen.strength.racking import find_turning
from furnigen.strength.rigid import shares
from furnigen.strength.section import Section
from furnigen.strength.strips import across_of, along_share, find_strips, gaps_of, section_of

SAME_STATION_MM = 2.0
"""What stands this near to a station of a board stands on that station. Stations nearer to each other than
the board is thick are one: a beam knows nothing so close."""
STRIP_ASPECT = 3.0
"""A bearing this many times longer along a board than across it runs along it."""
LONG_SHARE = 0.5
"""A rail that lies on the ground with more than this share of its length does not bend."""
END_MM = 60.0
"""A station this near a board's end holds the end."""
DEEP = 1 / 3
"""A rail higher than this share of its length is no beam: it does not bend so that one would see it."""
BACKED_SHARE = 0.8
"""A back along at least this share of a board holds its edge straight."""

TABLE_KINDS = (
    ("pin", "pins"), ("cross bolt", "bolted"), ("bolt", "bolted"), ("dowel", "dowelled"),
    ("cross-lap", "cross-lap"), ("lap", "cross-lap"), ("tenon", "tenon"), ("mitre", "mitre"),
    ("rabbet", "rabbet"), ("housing", "housing"), ("tongue", "housing"), ("dado", "housing"),
)  # fmt: skip
"""Words in the kind of a joint, and the row of furnigen/data/turning.csv that stands for it."""


@lru_cache(maxsize=256)
def _row_of(kind: str) -> str | None:
    return next((row for word, row in TABLE_KINDS if word in kind), None)


def turning_row(joint: Joint) -> str:
    """The kind of joint whose stiffness against turning stands for this one."""
    row = _row_of(joint.kind)
    if row is not None:
        return row
    screwed = any("screw" in f.kind and f.sites for f in joint.fasteners)
    return "screwed" if screwed else "butt"


def joint_words(joint: Joint) -> str:
    """A joint as its stiffness was taken: its kind, the row that stands for it, and glue."""
    row = turning_row(joint)
    kind = joint.kind if row in joint.kind else f"{joint.kind} ({row})"
    return f"{kind}, {'glued' if joint.glued else 'dry'}"


@dataclass(frozen=True)
class Station:
    """A place along a board where something carries it.

    Attributes:
        at: mm from the board's low end.
        places: what carries it there.
        holds_down: whether it may pull the board down too.
        turning: stiffness against turning, N mm per radian.
        how: the end condition in words, and why.
        neck: softness of the board over it, where its edge strips stop on either side, radian per N mm.
    """

    at: float
    places: tuple[SupportPlace, ...]
    holds_down: bool
    turning: float
    how: str
    neck: float = 0.0


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
        section: of the board and all that bends with it.
        bare: of what of it runs on over the supports; the same where no strip stops there.
        strips: bodies of the section's strips, in its order; of a strip in pieces, the first.
        stations: where it is carried.
        backed: labels of backs that hold one of its edges straight.
    """

    body: Body
    others: tuple[str, ...]
    along: Vector
    across: Vector
    start: float
    length: float
    depth: float
    section: Section
    bare: Section
    strips: tuple[Body, ...]
    stations: tuple[Station, ...]
    backed: tuple[str, ...]

    def at(self, p: Vector) -> float:
        """How far along it a point of the room lies, within its ends, mm."""
        return min(max(dot(p, self.along) - self.start, 0.0), self.length)

    @cached_property
    def parts(self) -> tuple[tuple[float, ...], ...]:
        """For each station the share of each of its places, for a load in the middle of the board's depth."""
        middle = dot(self.body.box.centre, self.across)
        found: list[tuple[float, ...]] = []
        for station in self.stations:
            points = [(dot(p.centre, self.across), 0.0) for p in station.places]
            if len(points) == 1:
                found.append((1.0,))
                continue
            share = shares(points, [max(p.area_mm2, 1.0) for p in station.places])
            found.append(tuple((share @ np.array([1.0, middle, 0.0])).tolist()))
        return tuple(found)

    @property
    def longest_mm(self) -> float:
        """Its longest stretch between stations, an overhang counting twice."""
        return longest_mm(self.stations, self.length)


def _level(v: Vector) -> Vector:
    long = hypot(v[0], v[1])
    return (v[0] / long, v[1] / long, 0.0)


def _range(place: SupportPlace, d: Vector) -> tuple[float, float]:
    """From where to where a bearing reaches along a level direction of the room, mm."""
    if max(abs(d[0]), abs(d[1])) < 1 - 1e-9:
        # the bounds of a bearing say little of a board askew in the room
        middle = dot(place.centre, d)
        return middle, middle
    ends = sorted((dot(place.lo, d), dot(place.hi, d)))
    return ends[0], ends[1]


def _size(place: SupportPlace, d: Vector) -> float:
    low, high = _range(place, d)
    return high - low


def _not_edges(places: list[SupportPlace], d: Vector, middle: float) -> list[SupportPlace]:
    """The bearings without those along one edge only."""
    across = across_of(d)
    long = [p for p in places if _size(p, d) > STRIP_ASPECT * max(_size(p, across), 1.0)]
    sides = [_range(p, across) for p in long]
    if sides and (min(s[0] for s in sides) > middle or max(s[1] for s in sides) < middle):
        return [p for p in places if p not in long]
    return places


def find_spanning(
    body: Body, places: Mapping[str, tuple[SupportPlace, ...]], bodies: Mapping[str, Body], ground: Ground
) -> Spanning | None:
    """A board or rail as a beam; None for what does not bend or has no two places to span between.

    Args:
        places: where each body is carried, by label.
    """
    if body.kind not in (LEVEL, RAIL) or not isinstance(body.form, Prism | Rod):
        return None
    first = _level(body.direction(0))
    options = [_laid(body, first, places, bodies, ground)]
    if body.kind == LEVEL:
        options.append(_laid(body, across_of(first), places, bodies, ground))
    real = [o for o in options if o is not None]
    longest = max(real, key=lambda o: round(longest_mm(o.stops, o.length), 3), default=None)
    return None if longest is None else _spanning(longest, bodies, ground)


class _Stop(NamedTuple):
    """A place where something carries a board along one direction, and what: a station to be."""

    at: float
    places: tuple[SupportPlace, ...]
    held: bool


@dataclass(frozen=True)
class _Laid:
    """A board laid over what carries it along one direction: its stations and section are not known yet.

    Attributes:
        body, along, across, start, length, depth: as in `Spanning`.
        stops: where it is carried, from its low end.
        lines: labels of strips glued on, each in one piece or several.
        gaps: from where to where it bends as if bare, mm from its low end.
    """

    body: Body
    along: Vector
    across: Vector
    start: float
    length: float
    depth: float
    stops: tuple[_Stop, ...]
    lines: list[tuple[str, ...]]
    gaps: list[tuple[float, float]]


def longest_mm(stations: Sequence[Station | _Stop], length: float) -> float:
    """The longest stretch of a board between stations, an overhang counting twice, mm."""
    places = [s.at for s in stations]
    return max([*(b - a for a, b in pairwise(places)), 2 * places[0], 2 * (length - places[-1])])


def _laid(
    body: Body,
    d: Vector,
    places: Mapping[str, tuple[SupportPlace, ...]],
    bodies: Mapping[str, Body],
    ground: Ground,
) -> _Laid | None:
    if max(d, key=abs) < 0:  # runs toward +x or +y
        d = (-d[0], -d[1], 0.0)
    low, high = body.extent(d)
    if body.kind == RAIL and body.box.size[2] > DEEP * (high - low):
        return None
    lines = find_strips(body, d, bodies, ground)
    laid = _with_strips(body, d, lines, places, bodies, ground)
    if laid is None or all(_within(laid.stops, gap) for gap in laid.gaps):
        return laid
    # a strip that stops where nothing carries the board is no stiffener
    return _with_strips(body, d, [line for line in lines if len(line) == 1], places, bodies, ground)


def _with_strips(
    body: Body,
    d: Vector,
    lines: list[tuple[str, ...]],
    places: Mapping[str, tuple[SupportPlace, ...]],
    bodies: Mapping[str, Body],
    ground: Ground,
) -> _Laid | None:
    """A board along a direction with these strips glued on, each in one piece or several."""
    across = across_of(d)
    low, high = body.extent(d)
    side = body.extent(across)
    height = body.box.size[2]
    glued_on = [label for line in lines for label in line]
    mine = [p for p in places[body.label] if p.by not in glued_on]
    mine += [p for label in glued_on for p in places[label] if p.by not in (body.label, *glued_on)]
    if _lies_on_ground(mine, d, high - low, bodies):
        return None
    kept = _not_edges(mine, d, (side[0] + side[1]) / 2) if body.kind == LEVEL else mine
    if all(p == kept[0] for p in kept):
        return None
    stops = _stops(kept, d, low, high, height)
    if len(stops) < 2:
        return None
    gaps = gaps_of(lines, bodies, d, low)
    return _Laid(body, d, across, low, high - low, side[1] - side[0], stops, lines, gaps)


def _spanning(laid: _Laid, bodies: Mapping[str, Body], ground: Ground) -> Spanning:
    """The board as a beam: the sections of what is glued together, and what holds its edge."""
    body, d, lines = laid.body, laid.along, laid.lines
    stations = _stations(laid, bodies, ground)
    strips, section = section_of(body, d, [bodies[line[0]] for line in lines])
    bare, whole = section, [line for line in lines if len(line) == 1]
    if len(whole) < len(lines):
        bare = section_of(body, d, [bodies[line[0]] for line in whole])[1]
        stations = _with_necks(stations, laid.gaps, 1 / bare.bending - 1 / section.bending)
    backed = _backs(body, d, laid.length, bodies, ground) if body.kind == LEVEL else ()
    return Spanning(
        body,
        tuple(label for line in lines for label in line),
        d,
        laid.across,
        laid.start,
        laid.length,
        laid.depth,
        section,
        bare,
        strips,
        stations,
        backed,
    )


def _lies_on_ground(places: list[SupportPlace], d: Vector, length: float, bodies: Mapping[str, Body]) -> bool:
    return sum(_size(p, d) for p in places if p.by not in bodies) > LONG_SHARE * length


def _stops(
    places: list[SupportPlace], d: Vector, low: float, high: float, height: float
) -> tuple[_Stop, ...]:
    """Where a board this high and reaching so far along a direction is carried, mm from its low end."""
    points: list[tuple[float, SupportPlace, bool]] = []
    for place in places:
        a, b = _range(place, d)
        found = bearing_places(max(a, low), min(max(b, a), high), height) if b > low and a < high else (a,)
        held = place.joint != "" and len(found) == 1
        points += [(min(max(x, low), high) - low, place, held) for x in found]
    points.sort(key=lambda p: p[0])
    groups: list[list[tuple[float, SupportPlace, bool]]] = []
    for point in points:
        if groups and point[0] - groups[-1][0][0] < max(height, SAME_STATION_MM):
            groups[-1].append(point)
        else:
            groups.append([point])
    return tuple(
        _Stop(sum([p[0] for p in group]) / len(group), tuple(p[1] for p in group), any(p[2] for p in group))
        for group in groups
    )


def _stations(laid: _Laid, bodies: Mapping[str, Body], ground: Ground) -> tuple[Station, ...]:
    """The stations of a board: its stops, and how the joints there hold its ends."""
    stations = []
    for stop in laid.stops:
        ending = min(stop.at, laid.length - stop.at) < END_MM and stop in (laid.stops[0], laid.stops[-1])
        turning, how = 0.0, "runs on over it"
        if ending:
            turning, how = _end(stop.places, laid.body, laid.along, bodies, ground)
        stations.append(Station(stop.at, stop.places, stop.held or turning > 0, turning, how))
    return tuple(stations)


def _end(
    places: tuple[SupportPlace, ...], body: Body, d: Vector, bodies: Mapping[str, Body], ground: Ground
) -> tuple[float, str]:
    """How a board's end is held from turning, and why."""
    best, how = 0.0, "turns freely: it lies on what carries it"
    for place in places:
        joint = ground.joints.get((place.by, body.label))
        if joint is None or place.by not in bodies or bodies[place.by].kind != UPRIGHT:
            continue
        row = turning_row(joint)
        reach = _range(place, across_of(d))
        stiff = find_turning(row, glued=joint.glued)
        held = stiff.low * (reach[1] - reach[0])
        if held > best:
            best = held
            how = f"partly held: {joint_words(joint)}, low end of its range ({stiff.source.text})"
        elif best == 0.0:
            how = f"turns freely: {joint_words(joint)}"
    return best, how


def _within(stations: Sequence[Station | _Stop], gap: tuple[float, float]) -> list[float]:
    """The inner stations over which a gap between strips lies."""
    return [s.at for s in stations[1:-1] if gap[0] <= s.at <= gap[1]]


def _with_necks(
    stations: tuple[Station, ...], gaps: list[tuple[float, float]], softer: float
) -> tuple[Station, ...]:
    """The stations with the softness of the board over them.

    Args:
        softer: what a mm of the bare board turns more than one of the whole section, radian per N mm.
    """
    bare = {s.at: 0.0 for s in stations}
    for gap in gaps:
        within = _within(stations, gap)
        for at in within:  # of strips in several lines the widest gap counts: `softer` holds them all
            bare[at] = max(bare[at], (gap[1] - gap[0]) / len(within))
    return tuple(replace(s, neck=softer * bare[s.at]) for s in stations)


def _backs(
    body: Body, d: Vector, length: float, bodies: Mapping[str, Body], ground: Ground
) -> tuple[str, ...]:
    """Upright panels fixed along one edge of a level board."""
    found, share = [], 0.0
    for b, joint in ground.joined.get(body.label, ()):
        other = bodies.get(b)
        if other is None or other.kind == LEVEL:
            continue
        fixed = joint.glued or any(f.sites for f in joint.fasteners)
        face = abs(dot(other.direction(2), across_of(d))) > 1 - 1e-6
        tall = other.box.size[2] > 2 * body.box.size[2]
        if fixed and face and tall and isinstance(other.form, Prism):
            edge = other.extent(across_of(d))
            mine = body.extent(across_of(d))
            beside = edge[0] > (mine[0] + mine[1]) / 2 or edge[1] < (mine[0] + mine[1]) / 2
            hangs = other.box.size[2] > body.box.size[2] + 100.0
            if beside and hangs:
                found.append(b)
                share += max(0.0, along_share(body, other, d))
    return tuple(found) if share >= BACKED_SHARE else ()
