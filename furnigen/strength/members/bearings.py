"""Bearings: where one part rests on another, the pressure there, and what the softer of the two bears.

A board carried at one place alone presses its bearing unevenly. Rigid, on an even bed of length w along it
and width b, its load F and the moment M about the middle of the bed press, at the edge, with

    F / (b w) + 6 M / (b w²)                    where a joint holds it both ways (a housing, screws)
    2 F / (3 b (w/2 - e)),   e = M / F          where it only lies there, beyond the middle third (e > w/6)

the first being P / (b w) (4 + 6 e / w) for a load at e from the face of a housing w deep (hand-derived).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from furnigen.construction.load_path import BEARS, SupportPlace
from furnigen.strength.formulas.allowable import LOAD_FACTOR, find_allowable
from furnigen.strength.members.board_stack import BoardStack, RestingBoard
from furnigen.strength.members.boards import Board
from furnigen.strength.model.members import Member

WHOLE_LOAD = 0.999
"""An edge that the load all but reaches is pressed by a line: counted as this far out. Our own choice."""


@dataclass(frozen=True)
class Pressure:
    """A bearing under load.

    Attributes:
        by, label: what carries and what is carried.
        newton: load at its most, N.
        mpa: pressure, N/mm².
        allowed_mpa: design strength of the softer wood over the load factor; None where not known.
        source: where that comes from, or of what it is not known.
        moment: that turns what is carried on it, where it is all that carries it, N mm.
    """

    by: str
    label: str
    newton: float
    mpa: float
    allowed_mpa: float | None
    source: str
    moment: float = 0.0


def bearing_limit(
    pair: tuple[Member, Member], climate: int, duration: str = "permanent"
) -> tuple[float | None, str]:
    """Pressure square to grain or face that the softer of two parts bears (N/mm²), and where that is from.

    None, and of which material, where it is not known of one.
    """
    known: list[tuple[float, str]] = []
    for body in pair:
        bears = find_allowable(body.material, duration, climate)
        if bears.bearing_mpa is None or bears.bearing_source is None:
            return None, body.material.name
        known.append((bears.bearing_mpa / LOAD_FACTOR, bears.bearing_source.text))
    return min(known)


def edge_mpa(newton: float, moment: float, width: float, length: float, *, two_way: bool) -> float:
    """Largest pressure of something rigid on its only bearing, N/mm²; see the module docstring.

    Args:
        newton, moment: N down, and N mm about the middle of the bearing.
        width, length: of the bearing across the turn and along it, mm.
        two_way: whether a joint holds it both ways.
    """
    if two_way or 6 * moment <= newton * length:
        return newton / (width * length) + 6 * moment / (width * length**2)
    out = min(moment / newton, WHOLE_LOAD * length / 2)
    return 2 * newton / (3 * width * (length / 2 - out))


def _at_one_place(resting: RestingBoard) -> tuple[float, float, float] | None:
    """The load of a board carried at one place, its moment and the pressure at the edge of its bearing."""
    turned, one = resting.turned, resting.span.one_place
    if turned is None or one is None or one.high - one.low <= 0:
        return None
    area = sum(p.area_mm2 for p in resting.span.stations[0].places)
    if area <= 0:
        return None
    length = one.high - one.low
    width = area / length
    mpa = edge_mpa(turned.newton, turned.moment, width, length, two_way=one.two_way)
    return turned.newton, turned.moment, mpa


def check_bearings(
    stack: BoardStack, boards: tuple[Board, ...], bodies: Mapping[str, Member], climate: int = 1
) -> tuple[Pressure, ...]:
    """Every bearing between two parts, at the most it may carry, in a climate (service class)."""
    # what comes down on each bearing, and how much more where a bay is full while its neighbour is empty
    most: dict[tuple[str, str, SupportPlace], list[float]] = {}
    for push in stack.pushes:
        most.setdefault((push.by, push.label, push.place), [0.0, 1.0])[0] += push.dead + push.live
    alone: dict[str, tuple[float, float, float]] = {}
    for board in boards:
        if board.result is None:
            continue
        turned = _at_one_place(board.resting)
        if turned is not None:
            alone[board.label] = turned
            continue
        every = board.resting.force.sum(1).tolist()
        for station, full, largest in zip(board.span.stations, every, board.result.most, strict=True):
            if full > 1.0:
                for place in station.places:
                    one = most.get((place.by, board.label, place))
                    if one is not None:
                        one[1] = max(one[1], largest / full)
    found = []
    for (by, label, place), (newton, more) in most.items():
        if place.kind != BEARS or place.area_mm2 <= 0 or newton <= 0 or by not in bodies:
            continue
        limit, source = bearing_limit((bodies[by], bodies[label]), climate)
        if label in alone:
            whole, moment, mpa = alone[label]
            found.append(Pressure(by, label, whole, mpa, limit, source, moment))
            continue
        newton *= more
        found.append(Pressure(by, label, newton, newton / place.area_mm2, limit, source))
    return tuple(found)
