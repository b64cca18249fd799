"""Stations: the places along a board where something carries it, and how the joints at its ends hold it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import NamedTuple

from furnigen.construction.load_path import SupportPlace
from furnigen.core.pose import Vector, dot
from furnigen.strength.model.carriers import Carriers
from furnigen.strength.model.members import UPRIGHT, Member
from furnigen.strength.model.racking import find_turning, joint_words, turning_row
from furnigen.strength.model.strips import across_of
from furnigen.strength.solver.beam import bearing_places

SAME_STATION_MM = 2.0
"""What stands this near to a station of a board stands on that station. Stations nearer to each other than
the board is thick are one: a beam knows nothing so close."""
END_MM = 60.0
"""A station this near a board's end holds the end."""


class Stop(NamedTuple):
    """A station to be: how its joints hold the board is not asked yet.

    Attributes:
        at: mm from the board's low end.
        places: what carries it there.
        held: whether a joint there may pull it down too.
    """

    at: float
    places: tuple[SupportPlace, ...]
    held: bool


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


def longest_mm(stations: Sequence[Station | Stop], length: float) -> float:
    """The longest stretch of a board between stations, an overhang counting twice, mm."""
    places = [s.at for s in stations]
    return max([*(b - a for a, b in pairwise(places)), 2 * places[0], 2 * (length - places[-1])])


def reach_of(place: SupportPlace, d: Vector) -> tuple[float, float]:
    """From where to where a bearing reaches along a level direction of the room, mm."""
    x, y, _ = d
    if abs(x) < 1 - 1e-9 and abs(y) < 1 - 1e-9:
        # the bounds of a bearing say little of a board askew in the room
        middle = dot(place.centre, d)
        return middle, middle
    low, high = place.lo[0] * x + place.lo[1] * y, place.hi[0] * x + place.hi[1] * y
    return (low, high) if low <= high else (high, low)


Reaching = tuple[SupportPlace, tuple[float, float]]
"""A bearing, and from where to where it reaches along some direction, mm."""


def reaching(places: Iterable[SupportPlace], d: Vector) -> list[Reaching]:
    """Bearings, and from where to where each reaches along a level direction of the room."""
    return [(place, reach_of(place, d)) for place in places]


def stops_of(places: Sequence[Reaching], low: float, high: float, height: float) -> tuple[Stop, ...]:
    """Where a board this high and reaching so far is carried, mm from its low end."""
    points: list[tuple[float, SupportPlace, bool]] = []
    for place, (a, b) in places:
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
        Stop(sum([p[0] for p in group]) / len(group), tuple(p[1] for p in group), any(p[2] for p in group))
        for group in groups
    )


def stations_at(
    stops: Sequence[Stop],
    body: Member,
    d: Vector,
    length: float,
    bodies: Mapping[str, Member],
    ground: Carriers,
) -> tuple[Station, ...]:
    """The stations of a board this long: its stops, and how the joints there hold its ends."""
    stations = []
    for stop in stops:
        ending = min(stop.at, length - stop.at) < END_MM and stop in (stops[0], stops[-1])
        turning, how = 0.0, "runs on over it"
        if ending:
            turning, how = _end(stop.places, body, d, bodies, ground)
        stations.append(Station(stop.at, stop.places, stop.held or turning > 0, turning, how))
    return tuple(stations)


def _end(
    places: tuple[SupportPlace, ...], body: Member, d: Vector, bodies: Mapping[str, Member], ground: Carriers
) -> tuple[float, str]:
    """How a board's end is held from turning, and why."""
    best, how = 0.0, "turns freely: it lies on what carries it"
    for place in places:
        joint = ground.joints.get((place.by, body.label))
        if joint is None or place.by not in bodies or bodies[place.by].kind != UPRIGHT:
            continue
        row = turning_row(joint)
        reach = reach_of(place, across_of(d))
        stiff = find_turning(row, glued=joint.glued)
        held = stiff.low * (reach[1] - reach[0])
        if held > best:
            best = held
            how = f"partly held: {joint_words(joint)}, low end of its range ({stiff.source.text})"
        elif best == 0.0:
            how = f"turns freely: {joint_words(joint)}"
    return best, how


def stops_within(stations: Sequence[Station | Stop], gap: tuple[float, float]) -> list[float]:
    """The inner stations over which a gap between strips lies."""
    return [s.at for s in stations[1:-1] if gap[0] <= s.at <= gap[1]]


def with_necks(
    stations: tuple[Station, ...], gaps: list[tuple[float, float]], softer: float
) -> tuple[Station, ...]:
    """The stations with the softness of the board over them.

    Args:
        softer: what a mm of the bare board turns more than one of the whole section, radian per N mm.
    """
    bare = {s.at: 0.0 for s in stations}
    for gap in gaps:
        within = stops_within(stations, gap)
        for at in within:  # of strips in several lines the widest gap counts: `softer` holds them all
            bare[at] = max(bare[at], (gap[1] - gap[0]) / len(within))
    return tuple(replace(s, neck=softer * bare[s.at]) for s in stations)
