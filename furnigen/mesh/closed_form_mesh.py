"""The mesh of a part as far as its description gives it: flat faces, and round forms before their cuts."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from furnigen.core.array_types import Floats, Ints
from furnigen.mesh.ruled_mesh import ruled_mesh
from furnigen.parts.cuts import Cut
from furnigen.parts.flat_faces import Face, Polyhedron
from furnigen.parts.part import Part
from furnigen.parts.polyhedron import polyhedron_of

Mesh = tuple[Floats, Ints]
"""(n, 3) corners, mm, and (m, 3) corner numbers, counter-clockwise seen from outside."""


def closed_form_mesh(
    part: Part, *, tolerance_mm: float, angle_radians: float
) -> tuple[Mesh, tuple[Cut, ...]] | None:
    """The closed mesh of a part, and those of its cuts that are not taken out of it yet.

    None for a form that can not be drawn from its description.

    Args:
        tolerance_mm: largest distance between the mesh and a round form.
        angle_radians: largest turn between neighbouring facets of one.
    """
    flat = polyhedron_of(part.form, part.cuts)
    if flat is not None:
        return flat_mesh(flat[0]), flat[1]
    ruled = ruled_mesh(part.form, tolerance_mm=tolerance_mm, angle_radians=angle_radians)
    return None if ruled is None else (ruled, part.cuts)


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
