"""The equations of boards that carry each other (`furnigen.strength.members.board_stack`), set up and solved.

Boards that have to do with each other settle together, as one group of equations.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from itertools import islice

import numpy as np

from furnigen.catalogue.loads import Load
from furnigen.core.finding import without_noise
from furnigen.strength.members.settlement import Settlement, SettlingBoard, Sum
from furnigen.strength.solver.condensed_stiffness import ClampedBoard, clamped_reactions, sinking_stiffness
from furnigen.strength.solver.load_sharing import Array
from furnigen.strength.solver.together import Ask, Steps


def held_board(
    board: SettlingBoard, even: tuple[float, float], load: Load | None
) -> tuple[ClampedBoard, list[int]]:
    """A board with all its places held, and which of them is where from its low end.

    What only stands on it does not keep it from turning.
    """
    span = board.span
    places = [without_noise(at) for at, _ in board.places]
    turning = [s.turning for s in span.stations] + [0.0] * (len(places) - len(span.stations))
    rising = sorted(range(len(places)), key=places.__getitem__)
    points = load.points(span.length) if load else ()
    held = ClampedBoard(
        span.length,
        span.bending,
        tuple([places[i] for i in rising]),
        tuple([turning[i] for i in rising]),
        without_noise(even[0]),
        without_noise(even[1]),
        points,
    )
    return held, rising


class _Group:
    """Boards that settle together, as one set of equations.

    Args:
        settling: all unknowns.
        unknowns: those of the group, rising.
        held: its boards with all their places held.
        rows: of each board, where its places are among those of all.
    """

    def __init__(
        self,
        settling: Settlement,
        unknowns: Sequence[int],
        held: Mapping[str, tuple[ClampedBoard, list[int]]],
        rows: Mapping[str, slice],
    ) -> None:
        self._settling, self._unknowns = settling, unknowns
        self.place = {index: i for i, index in enumerate(unknowns)}
        alike: dict[ClampedBoard, list[list[int]]] = {}
        count = 0
        own: dict[str, int] = {}
        for label, (board, rising) in held.items():
            own[label] = count
            alike.setdefault(board, []).append([count + i for i in rising])
            count += len(rising)
        size = len(unknowns)
        self.rows = np.array(
            [row for label in held for row in range(rows[label].start, rows[label].stop)], int
        )
        self._of = np.zeros((count, size))  # every place from the unknowns
        for label, start in own.items():
            for row, (_, total) in enumerate(settling.boards[label].places, start):
                for index, factor in total.items():
                    self._of[row, self.place[index]] = factor
        self._rows = [np.array(of) for of in alike.values()]  # of each kind, the places of its boards
        self.kinds = tuple(alike)
        self.sinks = size > 0
        self._pushes: Sequence[Array] = ()
        self._stiff: Sequence[Array] = ()
        self._k, self.f = np.zeros((size, size)), np.zeros((size, 2))

    def set_up(self, pushes: Sequence[Array], stiff: Sequence[Array]) -> None:
        """Put in what each kind of board pushes with while its places are held, and how stiff it is there.

        Args:
            stiff: nothing where no place of the group sinks.
        """
        self._pushes, self._stiff = pushes, stiff
        for of, push, one in zip(self._rows, pushes, stiff, strict=False):
            sums = self._of[of]
            self._k += np.tensordot(sums, one @ sums, ((0, 1), (0, 1)))
            self.f += sums.sum(0).T @ push

    def settle(self, off: Collection[int]) -> tuple[Array, Array, Array]:
        """As `SettlingWhole.settle`, of the group."""
        left = self._settling.left(off, self._unknowns)
        unknowns = np.zeros_like(self.f)
        if left.size:
            unknowns = left @ np.linalg.solve(left.T @ self._k @ left, left.T @ self.f)
        sunk = self._of @ unknowns
        force = np.empty_like(sunk)
        for of, push in zip(self._rows, self._pushes, strict=True):
            force[of] = push
        for of, stiff in zip(self._rows, self._stiff, strict=False):  # none where nothing sinks
            force[of] -= stiff @ sunk[of]
        return unknowns, sunk, force


class SettlingWhole:
    """The equations of all boards, group by group.

    Attributes:
        settling: its unknowns.
        rows: of each board, where its places are among those of all.
    """

    def __init__(self, settling: Settlement, held: Mapping[str, tuple[ClampedBoard, list[int]]]) -> None:
        self.settling = settling
        self.rows: dict[str, slice] = {}
        self._places = 0
        for label, (_, rising) in held.items():
            self.rows[label] = slice(self._places, self._places + len(rising))
            self._places += len(rising)
        self._groups = []
        for unknowns, labels in settling.groups():
            group = _Group(settling, unknowns, {label: held[label] for label in labels}, self.rows)
            self._groups.append((group, unknowns))

    def set_up(self, weights: Sequence[tuple[Sum, float, float]]) -> Steps[None]:
        """Find the equations.

        Args:
            weights: of what is rigid and of what lies on it: what each sinks by, and N, dead and live.
        """
        groups = [group for group, _ in self._groups]
        pushes = iter((yield Ask(clamped_reactions, [k for g in groups for k in g.kinds])))
        stiff = iter((yield Ask(sinking_stiffness, [k for g in groups if g.sinks for k in g.kinds])))
        group_of: dict[int, _Group] = {}
        for group, unknowns in self._groups:
            many = len(group.kinds)
            group.set_up(list(islice(pushes, many)), list(islice(stiff, many)) if group.sinks else ())
            group_of |= dict.fromkeys(unknowns, group)
        for total, *weight in weights:
            for index, factor in total.items():
                group = group_of[index]
                group.f[group.place[index]] += factor * np.array(weight)

    def settle(self, off: Collection[int]) -> tuple[Array, Array, Array]:
        """The piece at rest with these loose stations let go, each under dead and live load.

        Returns:
            (count, 2) the unknowns, mm; (places, 2) what each place of all boards sinks by, mm, and with what
            force what carries it, or what stands on it, pushes it upward, N.
        """
        unknowns = np.zeros((self.settling.count, 2))
        sunk, force = np.zeros((self._places, 2)), np.zeros((self._places, 2))
        for group, indices in self._groups:
            unknowns[indices], sunk[group.rows], force[group.rows] = group.settle(off)
        return unknowns, sunk, force
