"""Meshes of parts with flat faces only, from their description: the corners there are and no others.

A corner of one face may lie within an edge of a third: it is a corner of the faces on both sides of that
edge, so triangles meet corner to corner everywhere.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from furnigen.mesh.model import Floats, Ints
from furnigen.parts.polyhedron import Face, Polyhedron

_EVEN_MM = 1e-6
"""A face of four corners whose opposite sides differ by less is a parallelogram."""


def flat_mesh(polyhedron: Polyhedron) -> tuple[Floats, Ints]:
    """The closed mesh of a polyhedron: (n, 3) corners, mm, and (m, 3) corner numbers.

    Counter-clockwise seen from outside, with the fewest triangles there are.
    """
    corners = np.array(polyhedron.corners)
    plain = [face.loops[0] for face in polyhedron.faces if len(face.loops) == 1 and len(face.loops[0]) == 4]
    a, b, c, d = (corners[list(k)] for k in zip(*plain, strict=True)) if plain else [np.empty((0, 3))] * 4
    # opposite sides alike: any two triangles will do
    even = np.abs(a + c - b - d).max(axis=1) < _EVEN_MM
    alike = {loop for loop, is_even in zip(plain, even.tolist(), strict=True) if is_even}
    faces: list[Sequence[int]] = []
    for face in polyhedron.faces:
        if face.loops[0] in alike:
            first, second, third, fourth = face.loops[0]
            faces += [(first, second, third), (first, third, fourth)]
        else:
            faces += _triangles(face, corners)
    return corners, np.array(faces, dtype=np.int64)


def _triangles(face: Face, corners: Floats) -> list[list[int]]:
    """The triangles of one face, seen along the axis it looks along most."""
    from manifold3d import triangulate

    axis = max(range(3), key=lambda i: abs(face.normal[i]))
    seen = [(axis + 1) % 3, (axis + 2) % 3]
    if face.normal[axis] < 0:
        seen.reverse()
    loops = [corners[list(loop)][:, seen] for loop in face.loops]
    number = np.concatenate([np.array(loop) for loop in face.loops])
    found: list[list[int]] = number[triangulate(loops)].tolist()
    return found
