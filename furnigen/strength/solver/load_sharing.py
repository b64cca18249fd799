"""How something rigid hands a load on to its bearings.

A load at a point goes to the bearings in the shares that balance force and moments with the least squares
over their areas, as a stiff foot does on even ground.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from math import hypot
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from furnigen.construction.load_path import BEARS, SupportPlace
from furnigen.core.pose import Vector

Array = NDArray[np.float64]

LONG_BEARING_MM = 100.0
"""A longer bearing of something rigid counts at two points, so that it can lean on one end of it."""
NO_SPREAD_MM2 = 1.0
"""Points that spread no more than a millimetre about a line hold nothing about it."""
GAUSS = 0.5 / 3**0.5
"""Where two points stand for an even pressure, as a share of its length from the middle."""


class Bearing(NamedTuple):
    """One point of a place where something rigid is carried."""

    place: SupportPlace
    at: Vector
    area: float


def acting_places(places: tuple[SupportPlace, ...]) -> tuple[SupportPlace, ...]:
    """Of all the places that could carry something rigid, those that do: what bears, else what holds."""
    bearing = tuple(p for p in places if p.kind == BEARS)
    return bearing or places


def load_shares(points: Sequence[tuple[float, float]], areas: Sequence[float]) -> Array:
    """(n, 3) shares of a load at (x, y) on each point: share = a + b x + c y.

    They balance force and moments as far as the points allow, with the least squares over the areas.
    """
    p = np.asarray(points, dtype=float)
    a = np.asarray(areas, dtype=float)
    a = a / a.sum() if a.sum() > 0 else np.full(len(a), 1 / len(a))
    middle = a @ p
    arm = p - middle
    spread = (arm * a[:, None]).T @ arm
    slope = (arm * a[:, None]) @ inverse_inertia(spread)
    return np.column_stack([a - slope @ middle, slope])


def shares_in_line(points: Sequence[float], areas: Sequence[float], at: float) -> tuple[float, ...]:
    """What each of some points in a line takes of a load in that line, as `load_shares` has it.

    Args:
        points, at: places along the line, mm.
        areas: of the points, above zero.
    """
    whole = sum(areas)
    middle = sum(p * a for p, a in zip(points, areas, strict=True)) / whole
    spread = sum(a * (p - middle) ** 2 for p, a in zip(points, areas, strict=True)) / whole
    slope = (at - middle) / spread if spread > NO_SPREAD_MM2 else 0.0
    return tuple([a / whole * (1 + (p - middle) * slope) for p, a in zip(points, areas, strict=True)])


def inverse_inertia(spread: Array) -> Array:
    """Inverse of the (2, 2) spread of some points, mm², without the ways they can not balance a moment.

    Points within a millimetre of one line hold nothing about it.
    """
    (xx, xy), (_, yy) = spread.tolist()
    large = (xx + yy) / 2 + hypot((xx - yy) / 2, xy)  # the two principal values
    small = (xx * yy - xy * xy) / large if large > 0 else 0.0
    least = max(NO_SPREAD_MM2, 1e-6 * large)
    if small > least:
        return np.asarray(np.array([[yy, -xy], [-xy, xx]]) / (large * small))
    if large > least:
        return np.asarray((spread - small * np.eye(2)) / ((large - small) * large))
    return np.zeros((2, 2))


class LoadSharing:
    """Something rigid on its bearings.

    Attributes:
        points: its bearings.
    """

    def __init__(self, points: Sequence[Bearing]) -> None:
        self.points = tuple(points)
        self._share = load_shares([(b.at[0], b.at[1]) for b in points], [b.area for b in points])
        self._known: dict[tuple[float, float], tuple[float, ...]] = {}

    def handed(self, p: Vector) -> tuple[float, ...]:
        """What each bearing takes of a load at a point of the room, as a share."""
        found = self._known.get(p[:2])
        if found is None:
            found = tuple((self._share @ np.array([1.0, p[0], p[1]])).tolist())
            self._known[p[:2]] = found
        return found

    def passed(self, p: Vector) -> Iterator[tuple[SupportPlace, Vector, float]]:
        """Where a load at a point of the room comes down: places, the points there, and shares."""
        for bearing, part in zip(self.points, self.handed(p), strict=True):
            yield bearing.place, bearing.at, part


def bearing_points(places: Sequence[SupportPlace]) -> list[Bearing]:
    """The points that stand for places where something rigid is carried."""
    found = []
    for p in places:
        size = [h - a for a, h in zip(p.lo, p.hi, strict=True)]
        longest = max((0, 1), key=lambda i: size[i])
        area = max(p.area_mm2, 1.0)
        if size[longest] <= LONG_BEARING_MM:
            found.append(Bearing(p, p.centre, area))
            continue
        for side in (-GAUSS, GAUSS):
            at = list(p.centre)
            at[longest] += side * size[longest]
            found.append(Bearing(p, (at[0], at[1], at[2]), area / 2))
    return found
