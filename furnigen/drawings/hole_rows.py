"""Rows of holes that a section shows on the board behind it, such as those for shelf pins."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

from furnigen.core.pose import Vector
from furnigen.drawings.cut_tables import equal_step
from furnigen.parts.cuts import Bore
from furnigen.piece.description import Piece

LEAST = 3
"""Fewer holes than this in line are no row."""
SAME_MM = 0.05


@dataclass(frozen=True)
class HoleRow:
    """Holes one above the other in a side that faces left.

    Attributes:
        y: of the row, in the room (mm).
        heights: of the holes, upward, in the room (mm).
        diameter: mm.
        foot, front: where the board they are in begins, below and at the front: their datums (mm).
        x: of the face they are in (mm).
    """

    y: float
    heights: tuple[float, ...]
    diameter: float
    foot: float
    front: float
    x: float

    @property
    def step(self) -> float:
        """From hole to hole, where all steps are equal; 0 where they are not (mm)."""
        return equal_step(self.heights)


def hole_rows(piece: Piece, x: float) -> tuple[HoleRow, ...]:
    """The rows in the first board beyond a plane at `x` that has any, from the front to the back."""
    found: list[HoleRow] = []
    for placement in piece.placements:
        box = piece.bounds_of(placement)
        if box.lo[0] < x:
            continue
        holes: dict[tuple[float, float], list[Vector]] = {}
        for cut in piece.part_of(placement).cuts:
            if isinstance(cut, Bore) and placement.pose.turn(cut.direction)[0] > 0.999:
                at = placement.pose.apply(cut.start)
                holes.setdefault((round(at[1], 1), round(cut.diameter, 2)), []).append(at)
        for (_, diameter), points in holes.items():
            heights = tuple(sorted(p[2] for p in points))
            if len(heights) >= LEAST and min(b - a for a, b in pairwise(heights)) > SAME_MM:
                found.append(HoleRow(points[0][1], heights, diameter, box.lo[2], box.lo[1], box.lo[0]))
    if not found:
        return ()
    nearest = min(row.x for row in found)
    return tuple(sorted((r for r in found if r.x < nearest + SAME_MM), key=lambda r: r.y))
