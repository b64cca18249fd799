"""Boards and rails carried at one place: cantilevers, and boards that lie on one support.

Such a board is fixed there as far as its joint holds it from turning: by the low end of the joint's range
(furnigen/catalogue/data/turning.csv), rigidly where it is fixed to a wall, not at all where it only lies. A
bearing wider than the board is thick holds it by its two edges instead, which only push unless a joint holds
it down. What carries it gets force and moment: each load is handed on where it stands, as if what carries the
board reached that far (`Spanning.one_place`), so its own bearings see the whole moment.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from furnigen.construction.load_path import HOLDS, SupportPlace, can_carry
from furnigen.core.facts import Fact
from furnigen.core.pose import Vector, dot
from furnigen.core.wording import in_words
from furnigen.strength.model.carriers import Carriers
from furnigen.strength.model.members import LEVEL, RAIL, Member
from furnigen.strength.model.racking import find_turning, joint_words, turning_row
from furnigen.strength.model.stations import Reaching, Station, Stop, reach_of
from furnigen.strength.model.strips import across_of
from furnigen.strength.solver.beam import bearing_places

LEAST_FREE = 2.0
"""A board that reaches less than this many times its thickness beyond its only support is no cantilever: it
is rigid. Our own choice."""

ONE_SHARE = 0.5
"""What carries a board along more than this share of it is no one place. Our own choice."""


@dataclass(frozen=True)
class OnePlace:
    """How a board is carried at its only place along one direction.

    Attributes:
        stops: where, from its low end: one, or the edges of a wide bearing.
        stations: the same, with how they hold it.
        free: how far it reaches beyond, mm.
        low, high: the bearing, from the board's low end, mm.
        two_way: whether a joint holds it up as well as down.
    """

    stops: tuple[Stop, ...]
    stations: tuple[Station, ...]
    free: float
    low: float
    high: float
    two_way: bool


def at_one_place(places: Sequence[Reaching], length: float) -> bool:
    """Whether all that carries a board this long lies side by side at one place along it."""
    lows, highs = [low for _, (low, _) in places], [high for _, (_, high) in places]
    return max(lows) <= min(highs) and max(highs) - min(lows) < ONE_SHARE * length


def find_one_place(
    body: Member,
    d: Vector,
    places: Sequence[SupportPlace],
    bodies: Mapping[str, Member],
    ground: Carriers,
) -> OnePlace | None:
    """How a board is carried along a direction, where all that carries it there lies at one place.

    None where it reaches no way beyond it, or where it is part of what hangs on a wall, whose uprights hold
    its front.

    Args:
        places: what carries it.
    """
    if body.kind not in (LEVEL, RAIL) or not places:
        return None
    carriers = {p.by for p in places}
    if ground.hangs and any(other not in carriers for other, _ in ground.joined.get(body.label, ())):
        return None
    start, end = body.extent(d)
    reaches = [reach_of(p, d) for p in places]
    low = max(min(r[0] for r in reaches), start) - start
    high = min(max(r[1] for r in reaches), end) - start
    length, height = end - start, body.box.size[2]
    if high < low or max(low, length - high) < LEAST_FREE * height:
        return None
    two_way = any(_held_down(p, body, ground) for p in places)
    found = bearing_places(low, high, height)
    if len(found) == 1:
        turning, how = _turning(places, body, d, bodies, ground)
        held = two_way or turning > 0
        stations: tuple[Station, ...] = (Station(found[0], tuple(places), held, turning, how),)
    else:
        words = "held down by its joint" if two_way else "it lies there"
        how = f"carried at one place {in_words(high - low, digits=0)} wide: {words}"
        stations = tuple(Station(at, tuple(places), two_way, 0.0, how) for at in (found[0], found[-1]))
    stops = tuple(Stop(s.at, s.places, s.holds_down) for s in stations)
    return OnePlace(stops, stations, max(low, length - high), low, high, two_way)


def _held_down(place: SupportPlace, body: Member, ground: Carriers) -> bool:
    """Whether a place may pull the board down too."""
    joint = ground.joints.get((place.by, body.label))
    return place.kind == HOLDS or (joint is not None and can_carry(joint))


def _turning(
    places: Sequence[SupportPlace],
    body: Member,
    d: Vector,
    bodies: Mapping[str, Member],
    ground: Carriers,
) -> tuple[float, str]:
    """How stiffly its joints hold a board from turning, N mm per radian, and why."""
    whole, words = 0.0, dict[str, None]()
    for place in places:
        joint = ground.joints.get((place.by, body.label))
        if joint is None and place.by not in bodies and Fact.FIXED_TO_THE_WALL in body.facts:
            return float("inf"), "held: fixed to the wall, whose fixings must take its moment"
        if joint is None:
            words["turns freely: it lies on what carries it"] = None
            continue
        stiff = find_turning(turning_row(joint), glued=joint.glued)
        reach = reach_of(place, across_of(d))
        whole += stiff.low * max(reach[1] - reach[0], 0.0)
        if stiff.low > 0:
            words[
                f"held as far as its joint goes: {joint_words(joint)}, low end of its range"
                f" ({stiff.source.text})"
            ] = None
        else:
            words[f"turns freely: {joint_words(joint)}"] = None
    return whole, "; ".join(words)


def moved_along(place: SupportPlace, d: Vector, p: Vector) -> Vector:
    """The point level with a place, as far along a direction as another point is."""
    off = dot(p, d) - dot(place.centre, d)
    return (place.centre[0] + off * d[0], place.centre[1] + off * d[1], place.centre[2])
