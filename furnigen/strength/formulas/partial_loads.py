"""Tipping with the worst part of the load: whichever shelves are full, wherever their goods stand.

A piece tips over a line at the slope t = D / Z, D being the sum of weight times the distance inside that
line, Z the sum of weight times height. Goods at the distance d and the height z lower that slope just when d
< z t. So the worst part of the load at a slope t is all goods of which d - z t is negative (where they may
stand in several places, the least of these), and the slope it gives is at most t. Starting from the empty
piece and taking the worst part at each slope in turn (W. Dinkelbach, Management Science 13, 1967, for the
ratio of two sums, from memory) ends, after a few rounds, at the least slope of all parts: no subsets are
tried.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from furnigen.core.pose import Vector
from furnigen.strength.formulas.tipping import Edge, Mass, TippingStability, find_tipping_stability


@dataclass(frozen=True, slots=True)
class Goods:
    """What may lie on a board, or not.

    Attributes:
        label: the board.
        kg: its mass.
        places: where its centre of mass may be, mm.
    """

    label: str
    kg: float
    places: tuple[Vector, ...]


@dataclass(frozen=True, slots=True)
class WorstTip:
    """How a piece tips over one line under the worst part of its load.

    Attributes:
        edge: the line, with the load on.
        kg: the whole mass then.
        on: what lies on it: board, kg and place of each.
    """

    edge: Edge
    kg: float
    on: tuple[tuple[str, float, Vector], ...]


def _worst_part(edge: Edge, goods: Sequence[Goods], slope: float) -> tuple[tuple[str, float, Vector], ...]:
    """All goods that make a piece at this slope tip more easily, each at its worst place."""
    found = []
    for one in goods:
        rated = [(-edge.beyond(at) - at[2] * slope, at) for at in one.places]
        least, at = min(rated, key=lambda pair: pair[0])
        if least < 0:
            found.append((one.label, one.kg, at))
    return tuple(found)


def _with(
    standing: TippingStability, edge: Edge, on: Sequence[tuple[str, float, Vector]]
) -> tuple[TippingStability, Edge]:
    """The piece with these goods on it, and the same line then."""
    masses = [Mass(standing.kg, standing.centre), *(Mass(kg, at) for _, kg, at in on)]
    loaded = find_tipping_stability(masses, standing.footprint)
    return loaded, next(e for e in loaded.edges if (e.a, e.b) == (edge.a, edge.b))


def with_worst_goods(
    standing: TippingStability, edge: Edge, goods: Sequence[Goods], slope: float
) -> tuple[TippingStability, Edge]:
    """The piece with the part of its load that holds it least from tipping over a line, and that line.

    Args:
        standing: the empty piece.
        slope: of the floor, rise over run; 0 for a level one.
    """
    return _with(standing, edge, _worst_part(edge, goods, slope))


def find_worst_tip(standing: TippingStability, edge: Edge, goods: Sequence[Goods]) -> WorstTip:
    """The least tilt at which an empty piece and any part of its load tip over one line.

    >>> feet = [(-100, -100), (100, -100), (100, 100), (-100, 100)]
    >>> empty = find_tipping_stability([Mass(10, (0, 0, 500))], feet)
    >>> goods = [Goods("low", 30.0, ((0, 0, 100),)), Goods("high", 30.0, ((0, 0, 900),))]
    >>> worst = find_worst_tip(empty, empty.side("front")[0], goods)
    >>> [label for label, _, _ in worst.on], round(worst.edge.tilt_degrees, 3)
    (['high'], 7.125)
    """
    now, line = standing, edge
    on: tuple[tuple[str, float, Vector], ...] = ()
    while True:
        slope = line.inside / now.centre[2]
        more = _worst_part(edge, goods, slope)
        then, same_line = _with(standing, edge, more)
        if more == on or same_line.inside / then.centre[2] >= slope:
            return WorstTip(line, now.kg, on)
        now, line, on = then, same_line, more
