"""A solid with flat faces only, as its corners and faces, and how an outline is drawn up to one."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from furnigen.core.pose import Vector, cross, unit
from furnigen.parts.forms.outline import Outline

Loop = tuple[int, ...]


@dataclass(frozen=True)
class Face:
    """A flat face.

    Attributes:
        normal: outward, of length 1.
        loops: corner numbers around it, counter-clockwise seen from outside; then those of each opening in
            it, clockwise.
    """

    normal: Vector
    loops: tuple[Loop, ...]


@dataclass(frozen=True)
class Polyhedron:
    """A closed solid with flat faces. Each edge of a face is an edge of just one other, the other way round.

    Attributes:
        corners: where they are, in the part's own frame (mm).
        faces: its faces, always in the same order.
    """

    corners: tuple[Vector, ...]
    faces: tuple[Face, ...]


def drawn_up(outline: Outline, windows: tuple[Outline, ...], thickness: float) -> Polyhedron:
    """A counter-clockwise outline as thick as its board (mm), its windows left open."""
    corners: list[Vector] = []
    low: list[Loop] = []
    high: list[Loop] = []
    sides: list[Face] = []
    for loop in (outline, *(w[::-1] for w in windows)):
        n, start = len(loop), len(corners)
        corners += [(x, y, 0.0) for x, y in loop]
        corners += [(x, y, float(thickness)) for x, y in loop]
        low.append(tuple(range(start + n - 1, start - 1, -1)))
        high.append(tuple(range(start + n, start + 2 * n)))
        for i, j in pairwise([*range(n), 0]):
            (x0, y0), (x1, y1) = loop[i], loop[j]
            normal = unit((y1 - y0, x0 - x1, 0.0))
            sides.append(Face(normal, ((start + i, start + j, start + n + j, start + n + i),)))
    return Polyhedron(
        tuple(corners), (Face((0.0, 0.0, -1.0), tuple(low)), Face((0.0, 0.0, 1.0), tuple(high)), *sides)
    )


def frustum_between(low: Sequence[Vector], high: Sequence[Vector]) -> Polyhedron:
    """The solid between two four-cornered ends, its sides plane; each end counter-clockwise from above."""
    corners = (*low, *high)
    loops = [(3, 2, 1, 0), (4, 5, 6, 7), *((i, (i + 1) % 4, (i + 1) % 4 + 4, i + 4) for i in range(4))]
    return Polyhedron(corners, tuple(Face(_normal(corners, loop), (loop,)) for loop in loops))


def _normal(corners: Sequence[Vector], loop: Loop) -> Vector:
    """The outward normal of a convex loop."""
    (ax, ay, az), (bx, by, bz), (cx, cy, cz) = (corners[k] for k in loop[:3])
    return unit(cross((bx - ax, by - ay, bz - az), (cx - ax, cy - ay, cz - az)))
