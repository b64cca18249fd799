"""Boards with all their places held where they are: what they push with there, and how stiff they are."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np

from furnigen.strength.solver.beam import Beam, BeamSupport, PointLoad, SpreadLoad, two_way_reactions
from furnigen.strength.solver.load_sharing import Array


class ClampedBoard(NamedTuple):
    """All that the pushes and the stiffness of a board hang on.

    Attributes:
        length: mm.
        bending: EI, N mm².
        places: where it is held or something stands on it, rising, mm.
        turning: stiffness of each place against turning, N mm per radian.
        own, live: even part of its own weight and of what lies on it, N/mm.
        points: (place mm, force N) of the single things that lie on it.
    """

    length: float
    bending: float
    places: tuple[float, ...]
    turning: tuple[float, ...]
    own: float
    live: float
    points: tuple[tuple[float, float], ...]

    def beams(self) -> tuple[Beam, Beam]:
        """The board under dead and under live load."""
        supports = tuple(
            BeamSupport(at, turning) for at, turning in zip(self.places, self.turning, strict=True)
        )
        live = (SpreadLoad(0.0, self.length, self.live),) if self.live > 0 else ()
        points = tuple(PointLoad(at, force) for at, force in self.points)
        return (
            Beam(self.length, self.bending, supports, (SpreadLoad(0.0, self.length, self.own),)),
            Beam(self.length, self.bending, supports, live, points),
        )


def clamped_reactions(boards: Sequence[ClampedBoard]) -> list[Array]:
    """What each board pushes with at its places: (places, 2) under dead and live load, N."""
    pushes = two_way_reactions([beam for board in boards for beam in board.beams()])
    return [np.array(pair).T for pair in zip(pushes[::2], pushes[1::2], strict=True)]


def sinking_stiffness(boards: Sequence[ClampedBoard]) -> list[Array]:
    """(places, places) of each board, against the sinking of its places, N/mm."""
    found: dict[ClampedBoard, Array] = {}
    counted: dict[int, list[ClampedBoard]] = {}
    for board in boards:
        counted.setdefault(len(board.places), []).append(board)
    for some in counted.values():
        places, turning = (np.array([getattr(b, of) for b in some]) for of in ("places", "turning"))
        stiff = condensed_stiffness(places, np.array([b.bending for b in some]), turning)
        found.update(zip(some, stiff, strict=True))
    return [found[board] for board in boards]


def condensed_stiffness(places: Array, ei: Array, turning: Array) -> Array:
    """(B, S, S) stiffness of beams against sinking of their places, their turns condensed out, N/mm.

    Args:
        places: (B, S) rising, mm.
        ei: (B,) N mm².
        turning: (B, S) stiffness of each place against turning, N mm per radian.
    """
    count, n = places.shape
    size = np.diff(places, axis=1)
    r = ei[:, None] / size
    q, p = 6 * r / size, 12 * r / size**2
    own = np.stack([p, q, -p, q, q, 4 * r, -q, 2 * r, -p, -q, p, -q, q, 2 * r, -q, 4 * r], axis=2)
    k = np.zeros((count, 2 * n, 2 * n))
    for i in range(n - 1):
        k[:, 2 * i : 2 * i + 4, 2 * i : 2 * i + 4] += own[:, i].reshape(count, 4, 4)
    turns = k[:, 1::2, 1::2]
    turns[:, range(n), range(n)] += turning
    gone = k[:, ::2, 1::2] @ np.linalg.solve(turns, k[:, 1::2, ::2])
    return np.asarray(k[:, ::2, ::2] - gone)
