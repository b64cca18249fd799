"""How far each place of a stack of boards sinks, as a sum of unknown deflections of the boards below it.

The unknowns are the deflections of the places on boards where something stands
(`furnigen.strength.members.board_stack`).
They are found from the ground upward: a board's stations sink as what carries them does. A station that only
pushes may be let go: its deflection is an unknown too, which is that of what carries it while it acts.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Protocol

import numpy as np

from furnigen.construction.load_path import SupportPlace
from furnigen.core.pose import Vector
from furnigen.strength.model.spanning import Spanning
from furnigen.strength.model.stations import SAME_STATION_MM, Station
from furnigen.strength.solver.load_sharing import Array


class Rigid(Protocol):
    """What hands a load on to its places without bending: by shares, or by its only place."""

    def passed(self, p: Vector) -> Iterator[tuple[SupportPlace, Vector, float]]:
        """Where a load at a point of the room comes down: places, the points there, and shares."""


Sum = dict[int, float]
"""A linear combination of unknown deflections: index and factor."""


@dataclass
class SettlingBoard:
    """A board in the making.

    Attributes:
        span: the board.
        places: its stations, then where else something stands on it: mm along it, and what it sinks by.
        under: of each station, what that sinks by which carries it.
        loose: of stations that may be let go, their unknowns.
        live_load: places on which something stands.
    """

    span: Spanning
    places: list[tuple[float, Sum]] = field(default_factory=list)
    under: list[Sum] = field(default_factory=list)
    loose: dict[int, int] = field(default_factory=dict)
    live_load: set[int] = field(default_factory=set)


def _added(total: Sum, part: Sum, factor: float) -> None:
    for index, value in part.items():
        total[index] = total.get(index, 0.0) + factor * value


class Settlement:
    """Finds the unknowns and what each place is of them, from the ground upward.

    Attributes:
        boards: every board that spans, by label.
        count: how many unknowns there are.
    """

    def __init__(self, spans: Mapping[str, Spanning], rigid: Mapping[str, Rigid]) -> None:
        self.boards = {label: SettlingBoard(span) for label, span in spans.items()}
        self.count = 0
        self._rigid = rigid
        self._owner = {other: label for label, span in spans.items() for other in span.others}
        self._known: dict[tuple[str, float, float], Sum] = {}
        self._loose: dict[int, Sum] = {}

    def carrier(self, label: str) -> str:
        """The board that a label is glued to and bends with, or else itself."""
        return self._owner.get(label, label)

    def sink(self, label: str, p: Vector) -> Sum:
        """How far a body sinks at a point, as a sum of unknowns; nothing for the ground."""
        label = self.carrier(label)
        if label in self.boards:
            return self._on_board(self.boards[label], p)
        if label not in self._rigid:
            return {}
        key = (label, p[0], p[1])  # all that hangs on an upright at one place sinks alike
        total = self._known.get(key)
        if total is None:
            total = self._known[key] = {}
            for place, at, part in self._rigid[label].passed(p):
                if part != 0.0:
                    _added(total, self.sink(place.by, at), part)
        return total

    def _unknown(self) -> Sum:
        self.count += 1
        return {self.count - 1: 1.0}

    def _on_board(self, board: SettlingBoard, p: Vector) -> Sum:
        at = board.span.at(p)
        self.rest(board)
        for i, (known, total) in enumerate(board.places):
            if abs(known - at) < SAME_STATION_MM:
                board.live_load.add(i)
                return total
        new = self._unknown()
        board.live_load.add(len(board.places))
        board.places.append((at, new))
        return new

    def rest(self, board: SettlingBoard) -> None:
        """Where a board's stations stand."""
        if board.places:
            return
        stations = board.span.stations
        board.under = [self._station(s, parts) for s, parts in zip(stations, board.span.parts, strict=True)]
        for i, (station, under) in enumerate(zip(stations, board.under, strict=True)):
            total = under
            if not station.holds_down and len(stations) > 2:  # of two a board needs both
                board.loose[i] = self.count
                self._loose[self.count] = under
                total = self._unknown()
            board.places.append((station.at, total))

    def _station(self, station: Station, parts: tuple[float, ...]) -> Sum:
        if parts == (1.0,):
            return self.sink(station.places[0].by, station.places[0].centre)
        total: Sum = {}
        for place, part in zip(station.places, parts, strict=True):
            _added(total, self.sink(place.by, place.centre), part)
        return total

    def groups(self) -> list[tuple[list[int], list[str]]]:
        """Unknowns that have to do with each other, and the boards on them: each group settles by itself.

        The unknowns of a group rise; boards that nothing under them lets settle are a group without any.
        """
        root = list(range(self.count))

        def find(index: int) -> int:
            while root[index] != index:
                root[index] = root[root[index]]
                index = root[index]
            return index

        def join(indices: list[int]) -> None:
            for other in indices[1:]:
                one, two = sorted((find(indices[0]), find(other)))
                root[two] = one

        on = {label: [i for _, total in b.places for i in total] for label, b in self.boards.items()}
        for indices in on.values():
            join(indices)
        for index, under in self._loose.items():
            join([index, *under])
        unknowns: dict[int, list[int]] = {}
        for index in range(self.count):
            unknowns.setdefault(find(index), []).append(index)
        boards: dict[int, list[str]] = {}
        for label, indices in on.items():
            boards.setdefault(find(indices[0]) if indices else -1, []).append(label)
        found = [(indices, boards.get(first, [])) for first, indices in unknowns.items()]
        return [*found, ([], boards[-1])] if -1 in boards else found

    def left(self, off: Collection[int], unknowns: Sequence[int]) -> Array:
        """(count, n) every unknown of a group from the n that are left so, while all loose stations but `off`
        act."""
        place = {index: i for i, index in enumerate(unknowns)}
        found, n = np.zeros((len(place), len(place))), 0
        for index, i in place.items():
            under = self._loose.get(index)
            if under is None or index in off:
                found[i, n] = 1.0
                n += 1
            else:  # what carries it was found before it
                for below, factor in under.items():
                    found[i] += factor * found[place[below]]
        return found[:, :n]
