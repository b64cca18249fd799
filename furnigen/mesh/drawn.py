"""The mesh of a part as far as its description gives it: flat faces, and round forms before their cuts."""

from __future__ import annotations

from furnigen.mesh.flat import flat_mesh
from furnigen.mesh.model import Floats, Ints
from furnigen.mesh.rulings import ruled_mesh
from furnigen.parts.cuts import Cut
from furnigen.parts.part import Part
from furnigen.parts.polyhedron import polyhedron_of

Mesh = tuple[Floats, Ints]
"""(n, 3) corners, mm, and (m, 3) corner numbers, counter-clockwise seen from outside."""


def drawn_mesh(
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
