"""How far each place of a stack of boards sinks, as a sum of unknown deflections of the boards below it.

The unknowns are the deflections of the places on boards where something stands (`furnigen.strength.stack`).
They are found from the ground upward: a board's stations sink as what carries them does.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from furnigen.pose import Vector
from furnigen.strength.body import Body
from furnigen.strength.rigid import Array, Rigid
from furnigen.strength.spanning import SAME_STATION_MM, Spanning, Station

Sum = dict[int, float]
"""A linear combination of unknown deflections: index and factor."""


@dataclass
class SinkingBoard:
    """A board in the making: where each place on it is, and what it sinks by as a sum of unknowns.

    `places` begin with the stations that act, whose numbers are in `acting`; `idle` are the others.
    """

    span: Spanning
    acting: list[int]
    places: list[tuple[float, Sum]] = field(default_factory=list)
    idle: dict[int, Sum] = field(default_factory=dict)

    @property
    def sinks(self) -> bool:
        """Whether any place on it may sink."""
        return any(total for _, total in self.places)


def condensed(places: Array, ei: float, turning: Array) -> Array:
    """Stiffness of a beam against sinking of its places, its turns condensed out.

    Args:
        places: rising, mm.
        ei: N mm².
        turning: stiffness of each place against turning, N mm per radian.
    """
    n = len(places)
    size = np.diff(places)
    p, q, r = 12 * ei / size**3, 6 * ei / size**2, ei / size
    own = np.stack([p, q, -p, q, q, 4 * r, -q, 2 * r, -p, -q, p, -q, q, 2 * r, -q, 4 * r], axis=1)
    k = np.zeros((2 * n, 2 * n))
    for i, block in enumerate(own.reshape(-1, 4, 4)):
        k[2 * i : 2 * i + 4, 2 * i : 2 * i + 4] += block
    turns = k[1::2, 1::2] + np.diag(turning)
    return np.asarray(k[::2, ::2] - k[::2, 1::2] @ np.linalg.solve(turns, k[1::2, ::2]))


def _added(total: Sum, part: Sum, factor: float) -> None:
    for index, value in part.items():
        total[index] = total.get(index, 0.0) + factor * value


class Sinking:
    """Finds the unknowns and what each place is of them, from the ground upward."""

    def __init__(
        self,
        bodies: Mapping[str, Body],
        spans: Mapping[str, Spanning],
        off: set[tuple[str, int]],
        rigid: Mapping[str, Rigid],
    ) -> None:
        self.bodies, self.rigid = bodies, rigid
        self.owner = {other: label for label, span in spans.items() for other in span.others}
        self.boards = {
            label: SinkingBoard(span, [i for i in range(len(span.stations)) if (label, i) not in off])
            for label, span in spans.items()
        }
        self.count = 0

    def sink(self, label: str, p: Vector) -> Sum:
        """How far a body sinks at a point, as a sum of unknowns; nothing for the ground."""
        label = self.owner.get(label, label)
        if label in self.boards:
            return self._on_board(self.boards[label], p)
        if label not in self.rigid:
            return {}
        total: Sum = {}
        rigid = self.rigid[label]
        for bearing, part in zip(rigid.points, rigid.handed(p), strict=True):
            if part != 0.0:
                _added(total, self.sink(bearing.place.by, bearing.at), part)
        return total

    def _on_board(self, board: SinkingBoard, p: Vector) -> Sum:
        at = board.span.at(p)
        self.rest(board)
        for known, total in board.places:
            if abs(known - at) < SAME_STATION_MM:
                return total
        new: Sum = {self.count: 1.0}
        self.count += 1
        board.places.append((at, new))
        return new

    def rest(self, board: SinkingBoard) -> None:
        """Where a board's stations stand."""
        if board.places:
            return
        span = board.span
        sums = [self._station(s, parts) for s, parts in zip(span.stations, span.parts, strict=True)]
        board.places = [(board.span.stations[i].at, sums[i]) for i in board.acting]
        board.idle = {i: total for i, total in enumerate(sums) if i not in board.acting}

    def _station(self, station: Station, parts: tuple[float, ...]) -> Sum:
        total: Sum = {}
        for place, part in zip(station.places, parts, strict=True):
            _added(total, self.sink(place.by, place.centre), part)
        return total
