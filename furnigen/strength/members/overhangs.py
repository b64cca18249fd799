"""Boards carried at one place, at rest: what they hand on, and what their bearing feels.

One place alone is statically determinate: force and moment there follow from where the loads stand. So these
boards are no part of the equations of `furnigen.strength.members.board_stack`: each load on one is handed on
at the point where it stands.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from furnigen.catalogue.loads import GRAVITY, Load
from furnigen.construction.load_path import SupportPlace
from furnigen.core.pose import Vector, dot
from furnigen.strength.model.goods_room import even_load_n
from furnigen.strength.model.members import Member
from furnigen.strength.model.one_place import moved_along
from furnigen.strength.model.spanning import Spanning
from furnigen.strength.solver.load_sharing import Array, LoadSharing

Loading = tuple[Vector, float, float]
"""A load at a point of the room: dead and live newtons."""


class HeldAtOnePlace:
    """A board carried at one place: hands each load on level with where it stands.

    Args:
        span: the board.
    """

    def __init__(self, span: Spanning) -> None:
        self.span = span
        self._places: tuple[SupportPlace, ...] = span.stations[0].places

    def passed(self, p: Vector) -> Iterator[tuple[SupportPlace, Vector, float]]:
        """Where a load at a point of the room comes down: places, the points there, and shares."""
        shares = self.span.shares(self._places, dot(p, self.span.across))
        for place, part in zip(self._places, shares, strict=True):
            yield place, moved_along(place, self.span.along, p), part


class TurnedSharing:
    """Something rigid that hands the moment of what is carried at one place on to what it stands on.

    Its bearings share a load as `LoadSharing` does; what they can not balance, such as the moment across a
    post as wide as its only bearing, goes on with the load, which comes down as far off as it stands.
    """

    def __init__(self, sharing: LoadSharing) -> None:
        self._sharing = sharing

    def passed(self, p: Vector) -> Iterator[tuple[SupportPlace, Vector, float]]:
        """Where a load at a point of the room comes down: places, the points there, and shares."""
        ones = list(self._sharing.passed(p))
        x, y = (p[i] - sum(part * at[i] for _, at, part in ones) for i in (0, 1))
        for place, at, part in ones:
            yield place, (at[0] + x, at[1] + y, at[2]), part


HandsOn = HeldAtOnePlace | TurnedSharing


def hand_on_moments(
    spans: Mapping[str, Spanning],
    bodies: Mapping[str, Member],
    places: Mapping[str, tuple[SupportPlace, ...]],
) -> set[str]:
    """Labels of what is rigid and stands between the ground and a board carried at one place."""
    found: set[str] = set()
    below = [p.by for s in spans.values() if s.one_place for p in s.stations[0].places]
    while below:
        label = below.pop()
        if label in bodies and label not in found and label not in spans:
            found.add(label)
            below += [p.by for p in places.get(label, ())]
    return found


def loads_on(body: Member, span: Spanning, loads: Mapping[str, Load]) -> list[Loading]:
    """A board's own weight and what lies on it, each at its middle; single things where they stand."""
    found: list[Loading] = [(body.centre, body.kg * GRAVITY, 0.0)]
    load = loads.get(body.label)
    if load is None:
        return found
    x, y, z = body.pose.apply(body.form.centroid_mm)
    found.append(((x, y, z), 0.0, even_load_n(load, body.form)))
    x, y, z = body.box.centre
    for at, newton in load.points(span.length):
        off = at + span.start - dot(body.box.centre, span.along)
        found.append(((x + off * span.along[0], y + off * span.along[1], z), 0.0, newton))
    return found


def handed_on(held: HandsOn, loads: Iterable[Loading]) -> Iterator[tuple[SupportPlace, Vector, float, float]]:
    """What each place takes of each load, dead and live newtons, at the very points that `passed` names: what
    is below settles under them. Loads at one point are one."""
    sums: dict[tuple[int, Vector], list[float]] = {}
    places: dict[int, SupportPlace] = {}
    for p, dead, live in loads:
        for n, (place, at, part) in enumerate(held.passed(p)):
            places[n] = place
            one = sums.setdefault((n, at), [0.0, 0.0])
            one[0], one[1] = one[0] + part * dead, one[1] + part * live
    for (n, at), (dead, live) in sums.items():
        yield places[n], at, dead, live


def station_forces(span: Spanning, loads: Iterable[Loading]) -> Array:
    """(stations, 2) upward force of each station under dead and live load, N: by the lever rule of a wide
    bearing's two edges."""
    ones = [(span.at(p), dead, live) for p, dead, live in loads]
    whole: Array = np.array([[dead, live] for _, dead, live in ones]).sum(0)
    if len(span.stations) == 1:
        return np.asarray(whole[None, :])
    a, b = span.stations[0].at, span.stations[-1].at
    about = np.array([[dead * (at - a), live * (at - a)] for at, dead, live in ones]).sum(0) / (b - a)
    return np.array([whole - about, about])


@dataclass(frozen=True)
class Turned:
    """What the only place of a board feels at its worst, with either end full or empty.

    Attributes:
        newton: down, N.
        moment: about its middle, N mm.
        at_rest: the same with all of its load, N mm.
    """

    newton: float
    moment: float
    at_rest: float


def worst_turned(span: Spanning, loads: Iterable[Loading], live_even: float) -> Turned:
    """The largest moment about the middle of the bearing, whichever side of it is full.

    Args:
        loads: on the board; live ones count where they are on a side that is full.
        live_even: even part of what lies on it, N over its whole length.
    """
    one = span.one_place
    assert one is not None
    middle = (one.low + one.high) / 2
    dead_n = dead_m = 0.0
    sides = {-1: [0.0, 0.0], 1: [0.0, 0.0]}
    for p, dead, live in loads:
        arm = span.at(p) - middle
        dead_n, dead_m = dead_n + dead, dead_m + dead * arm
        side = sides[1 if arm >= 0 else -1]
        side[0], side[1] = side[0] + live, side[1] + live * arm
    for sign, length in ((-1, middle), (1, span.length - middle)):
        newton = live_even * length / span.length
        sides[sign][0] += newton
        sides[sign][1] += sign * newton * length / 2
    cases: tuple[list[list[float]], ...] = ([], [sides[-1]], [sides[1]], [sides[-1], sides[1]])
    found = [(abs(dead_m + sum(s[1] for s in some)), dead_n + sum(s[0] for s in some)) for some in cases]
    moment, newton = max(found, key=lambda one: (round(one[0], 6), one[1]))
    return Turned(newton, moment, found[-1][0])
