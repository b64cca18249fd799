"""Boards and rails as beams: which way each bends, where it is carried, how its ends are held, its section.

A board or rail bends along one level direction over *stations*, the places along it where something carries
it: of its two directions the one with the longest stretch between stations. What carries it only along one
of its edges (a back in a rabbet) is no station: the other edge is free to sag.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property
from math import hypot

import numpy as np

from furnigen.construction.load_path import SupportPlace
from furnigen.core.pose import Vector, dot
from furnigen.strength.formulas.section import Section
from furnigen.strength.model.carriers import Carriers
from furnigen.strength.model.members import LEVEL, RAIL, Member
from furnigen.strength.model.stations import (
    Station,
    Stop,
    longest_mm,
    reach_of,
    stations_at,
    stops_of,
    stops_within,
    with_necks,
)
from furnigen.strength.model.strips import across_of, along_share, find_strips, gaps_of, section_of
from furnigen.strength.solver.load_sharing import load_shares

STRIP_ASPECT = 3.0
"""A bearing this many times longer along a board than across it runs along it."""
LONG_SHARE = 0.5
"""A rail that lies on the ground with more than this share of its length does not bend."""
DEEP = 1 / 3
"""A rail higher than this share of its length is no beam: it does not bend so that one would see it."""
BACKED_SHARE = 0.8
"""A back along at least this share of a board holds its edge straight."""


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

    body: Member
    others: tuple[str, ...]
    along: Vector
    across: Vector
    start: float
    length: float
    depth: float
    section: Section
    bare: Section
    strips: tuple[Member, ...]
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
            share = load_shares(points, [max(p.area_mm2, 1.0) for p in station.places])
            found.append(tuple((share @ np.array([1.0, middle, 0.0])).tolist()))
        return tuple(found)

    @property
    def longest_mm(self) -> float:
        """Its longest stretch between stations, an overhang counting twice."""
        return longest_mm(self.stations, self.length)


def _level(v: Vector) -> Vector:
    long = hypot(v[0], v[1])
    return (v[0] / long, v[1] / long, 0.0)


def _not_edges(places: list[SupportPlace], d: Vector, middle: float) -> list[SupportPlace]:
    """The bearings without those along one edge only."""
    across = across_of(d)
    long, sides = [], []
    for place in places:
        along, side = reach_of(place, d), reach_of(place, across)
        if along[1] - along[0] > STRIP_ASPECT * max(side[1] - side[0], 1.0):
            long.append(place)
            sides.append(side)
    if sides and (min(s[0] for s in sides) > middle or max(s[1] for s in sides) < middle):
        return [p for p in places if p not in long]
    return places


def find_spanning(
    body: Member,
    places: Mapping[str, tuple[SupportPlace, ...]],
    bodies: Mapping[str, Member],
    ground: Carriers,
) -> Spanning | None:
    """A board or rail as a beam; None for what does not bend or has no two places to span between.

    Args:
        places: where each body is carried, by label.
    """
    if body.kind not in (LEVEL, RAIL):
        return None
    first = _level(body.direction(0))
    options = [_laid(body, first, places, bodies, ground)]
    if body.kind == LEVEL:
        options.append(_laid(body, across_of(first), places, bodies, ground))
    real = [o for o in options if o is not None]
    longest = max(real, key=lambda o: round(longest_mm(o.stops, o.length), 3), default=None)
    return None if longest is None else _spanning(longest, bodies, ground)


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
    if max(d, key=abs) < 0:  # runs toward +x or +y
        d = (-d[0], -d[1], 0.0)
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
    if _lies_on_ground(mine, d, high - low, bodies):
        return None
    kept = _not_edges(mine, d, (side[0] + side[1]) / 2) if body.kind == LEVEL else mine
    if all(p == kept[0] for p in kept):
        return None
    stops = stops_of(kept, d, low, high, height)
    if len(stops) < 2:
        return None
    gaps = gaps_of(lines, bodies, d, low)
    return _Laid(body, d, across, low, high - low, side[1] - side[0], stops, lines, gaps)


def _spanning(laid: _Laid, bodies: Mapping[str, Member], ground: Carriers) -> Spanning:
    """The board as a beam: the sections of what is glued together, and what holds its edge."""
    body, d, lines = laid.body, laid.along, laid.lines
    stations = stations_at(laid.stops, body, d, laid.length, bodies, ground)
    strips, section = section_of(body, d, [bodies[line[0]] for line in lines])
    bare, whole = section, [line for line in lines if len(line) == 1]
    if len(whole) < len(lines):
        bare = section_of(body, d, [bodies[line[0]] for line in whole])[1]
        stations = with_necks(stations, laid.gaps, 1 / bare.bending - 1 / section.bending)
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


def _lies_on_ground(
    places: list[SupportPlace], d: Vector, length: float, bodies: Mapping[str, Member]
) -> bool:
    ranges = [reach_of(p, d) for p in places if p.by not in bodies]
    return sum(high - low for low, high in ranges) > LONG_SHARE * length


def _backs(
    body: Member, d: Vector, length: float, bodies: Mapping[str, Member], ground: Carriers
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
        if fixed and face and tall and other.form.as_board:
            edge = other.extent(across_of(d))
            mine = body.extent(across_of(d))
            beside = edge[0] > (mine[0] + mine[1]) / 2 or edge[1] < (mine[0] + mine[1]) / 2
            hangs = other.box.size[2] > body.box.size[2] + 100.0
            if beside and hangs:
                found.append(b)
                share += max(0.0, along_share(body, other, d))
    return tuple(found) if share >= BACKED_SHARE else ()
