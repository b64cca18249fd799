"""Parts with flat faces only, as their corners and faces: exact, and before any kernel or mesh is asked.

A solid and a mesh are both drawn from it. Housings, rabbets, laps and mortises that are boxes square to a
rectangular board are taken out here, on the grid that all their sides lie on: that costs a small part of
what a boolean does (`tests/benchmarks/test_bench_cuts.py`).
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from furnigen.core.caches import POLYHEDRA, kept
from furnigen.core.pose import Box, Vector, axis_vector
from furnigen.parts.cuts import SAME_MM, BoxCut, Cut
from furnigen.parts.flat_faces import Face, Polyhedron
from furnigen.parts.forms.form import Form
from furnigen.parts.forms.outline import polygon_area
from furnigen.parts.volume.moments import square_box

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt


@kept(POLYHEDRA)
def polyhedron_of(form: Form, cuts: tuple[Cut, ...] = ()) -> tuple[Polyhedron, tuple[Cut, ...]] | None:
    """The polyhedron of a part, with those of its cuts taken out that leave it one.

    Returns: it and the cuts that are left to take out; None for a form that has round faces, or is not known.
    """
    windows = form.block_openings
    if windows is not None:
        boxes = [square_box(c) if isinstance(c, BoxCut) else None for c in cuts]
        out = [b for b in (*windows, *boxes) if b is not None]
        less = _less_boxes(form.blank_mm, out) if out else None
        if less is not None:
            return less, tuple(c for c, box in zip(cuts, boxes, strict=True) if box is None)
    whole = form.polyhedron()
    return None if whole is None else (whole, cuts)


# -- a block less boxes ------------------------------------------------------------------------------


def _less_boxes(blank: Vector, boxes: Sequence[Box]) -> Polyhedron | None:
    """A block less some boxes; None where what stays touches itself in an edge, or is not one skin."""
    steps = [_steps([v for b in boxes for v in (b.lo[i], b.hi[i])], blank[i]) for i in range(3)]
    grid = _Grid(steps)
    faces = grid.faces(boxes)
    if faces is None:
        return None
    # each step round a face, and which face that is: the same step back belongs to the face beyond it
    owner = {step: n for n, (_, loops) in enumerate(faces) for loop in loops for step in _around(loop)}
    if len(owner) < sum(len(loop) for _, loops in faces for loop in loops) or not _one_skin(faces, owner):
        return None
    number: dict[int, int] = {}
    drawn = []
    for normal, loops in faces:
        # what lies straight between two corners, with the same face beyond, is no corner
        kept = (
            [
                b
                for a, b, c in zip([loop[-1], *loop[:-1]], loop, [*loop[1:], loop[0]], strict=True)
                if b - a != c - b or owner[b, a] != owner[c, b]
            ]
            for loop in loops
        )
        drawn.append(
            Face(normal, tuple(tuple(number.setdefault(k, len(number)) for k in loop) for loop in kept))
        )
    return Polyhedron(tuple(grid.place(k) for k in number), tuple(drawn))


def _steps(values: Sequence[float], most: float) -> list[float]:
    """Rising coordinates from 0 to `most`, those that count as the same kept once."""
    kept = [0.0]
    for v in sorted(values):
        if kept[-1] + SAME_MM < v < most - SAME_MM:
            kept.append(v)
    return [*kept, float(most)]


def _around(loop: Sequence[int]) -> Iterator[tuple[int, int]]:
    return zip(loop, [*loop[1:], loop[0]], strict=True)


_GridFace = tuple[Vector, list[list[int]]]
"""A normal, and the nodes round the face and its openings, one grid step after the other."""


def _one_skin(faces: Sequence[_GridFace], owner: dict[tuple[int, int], int]) -> bool:
    """Whether every face can be reached from every other over edges."""
    reached, wave = {0}, [0]
    while wave:
        for loop in faces[wave.pop()][1]:
            for a, b in _around(loop):
                other = owner[b, a]
                if other not in reached:
                    reached.add(other)
                    wave.append(other)
    return len(reached) == len(faces)


class _Grid:
    """The cells between all sides of some boxes; nodes are numbered, the last axis fastest.

    Args:
        steps: coordinates along each axis, rising (mm).
    """

    def __init__(self, steps: Sequence[Sequence[float]]) -> None:
        self._steps = steps
        self._strides = (len(steps[1]) * len(steps[2]), len(steps[2]), 1)

    def _index(self, node: int, axis: int) -> int:
        return node // self._strides[axis] % len(self._steps[axis])

    def place(self, node: int) -> Vector:
        """Where a node is."""
        x, y, z = (self._steps[axis][self._index(node, axis)] for axis in range(3))
        return (x, y, z)

    def faces(self, boxes: Sequence[Box]) -> list[_GridFace] | None:
        """The faces of what stays when boxes are taken out; None where nothing does, or loops touch."""
        import numpy as np

        wood = np.ones([len(s) - 1 for s in self._steps], dtype=bool)
        for box in boxes:
            low, high = (
                [bisect_left(s, v - SAME_MM) for s, v in zip(self._steps, end, strict=True)]
                for end in (box.lo, box.hi)
            )
            wood[low[0] : high[0], low[1] : high[1], low[2] : high[2]] = False
        found: list[_GridFace] = []
        for axis in range(3):
            for sign in (-1, 1):
                following = self._following(wood, axis, sign)
                if following is None:
                    return None
                normal = axis_vector(axis, float(sign))
                planes: dict[int, list[list[int]]] = {}
                while following:
                    first, node = following.popitem()
                    loop = [first]
                    while node != first:
                        loop.append(node)
                        node = following.pop(node)
                    planes.setdefault(self._index(first, axis), []).append(loop)
                for loops in planes.values():
                    found += [(normal, face) for face in self._nested(loops, axis, sign)]
        return found or None

    def _following(self, wood: npt.NDArray[np.bool_], axis: int, sign: int) -> dict[int, int] | None:
        """From each node round the faces that look one way, the next; None where two loops touch."""
        import numpy as np

        def beyond(cells: npt.NDArray[np.bool_], along: int, by: int) -> npt.NDArray[np.bool_]:
            """For each cell the one next to it, none outside."""
            out = np.zeros_like(cells)
            here, there = [slice(None)] * 3, [slice(None)] * 3
            here[along], there[along] = (slice(0, -1), slice(1, None))[::by]
            out[tuple(here)] = cells[tuple(there)]
            return out

        skin = wood & ~beyond(wood, axis, sign)
        one, two = ((axis + 1) % 3, (axis + 2) % 3)[::sign]
        p, q = self._strides[one], self._strides[two]
        low = self._strides[axis] if sign > 0 else 0
        following: dict[int, int] = {}
        count = 0
        for along, by, start, end in (
            (two, -1, 0, p),
            (one, 1, p, p + q),
            (two, 1, p + q, q),
            (one, -1, q, 0),
        ):
            i, j, k = np.nonzero(skin & ~beyond(skin, along, by))
            cell = i * self._strides[0] + j * self._strides[1] + k * self._strides[2] + low
            following.update(zip((cell + start).tolist(), (cell + end).tolist(), strict=True))
            count += len(cell)
        return following if len(following) == count else None

    def _nested(self, loops: list[list[int]], axis: int, sign: int) -> list[list[list[int]]]:
        """The loops of one plane as faces: each loop round wood, and the openings within it."""
        one, two = ((axis + 1) % 3, (axis + 2) % 3)[::sign]
        outlines = [[(self._index(k, one), self._index(k, two)) for k in loop] for loop in loops]
        areas = [polygon_area(tuple(outline)) for outline in outlines]
        faces = {n: [loops[n]] for n in sorted(range(len(loops)), key=lambda n: areas[n]) if areas[n] > 0}
        for n, area in enumerate(areas):
            if area < 0:
                # the smallest that has it inside
                around = next(m for m in faces if _inside(outlines[n], outlines[m]))
                faces[around].append(loops[n])
        return list(faces.values())


def _inside(opening: Sequence[tuple[int, int]], outline: Sequence[tuple[int, int]]) -> bool:
    """Whether an opening lies within an outline of grid steps: how often a ray to the left meets it."""
    x, y = min(opening)  # its lower left corner: the cell up and right of it is open
    upright = (a[0] for a, b in pairwise([*outline, outline[0]]) if min(a[1], b[1]) == y != max(a[1], b[1]))
    return sum(at <= x for at in upright) % 2 == 1
