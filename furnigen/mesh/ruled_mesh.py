"""Meshes of forms that are all that lies between two convex ends, such as round rods and legs, or several
such pieces in a row.

The form gives the corners of both ends (`Form.rings`); straight lines join those of the same number, and the
facets between are plane. The mesh is convex, as the solid is, and that of a cone has a tenth of the triangles
of the kernel's own.
"""

from __future__ import annotations

from math import acos, ceil, pi

import numpy as np

from furnigen.core.array_types import Floats, Ints
from furnigen.parts.forms.form import Form


def sides(radius_mm: float, tolerance_mm: float, angle_radians: float) -> int:
    """How many chords a circle of `radius_mm` takes: a multiple of four, so the mesh reaches its bounds.

    A chord of n sides stands off by r (1 - cos(pi / n)).
    """
    by_chord = pi / acos(1 - tolerance_mm / radius_mm) if tolerance_mm < radius_mm else 0.0
    return 4 * max(1, ceil(max(by_chord, 2 * pi / angle_radians) / 4 - 1e-9))


def ruled_mesh(form: Form, *, tolerance_mm: float, angle_radians: float) -> tuple[Floats, Ints] | None:
    """The closed mesh of a form between two ends: (n, 3) corners, mm, and (m, 3) corner numbers.

    None for a form not made so. Counter-clockwise seen from outside.

    Args:
        tolerance_mm: largest distance between the mesh and the form.
        angle_radians: largest turn between neighbouring facets.
    """
    ends = form.rings(lambda radius: sides(radius, tolerance_mm, angle_radians))
    if ends is None:
        return None
    n, last = len(ends[0]), len(ends) - 1
    i = np.arange(n)
    j = (i + 1) % n
    fan = np.arange(1, n - 1)
    centre = np.zeros(n - 2, dtype=np.int64)
    between = np.concatenate([np.column_stack([i, j, j + n]), np.column_stack([i, j + n, i + n])])
    faces = np.concatenate([
        *(between + k * n for k in range(last)),
        np.column_stack([centre, fan + 1, fan]),
        np.column_stack([centre, fan, fan + 1]) + last * n,
    ])  # fmt: skip
    return np.concatenate(ends), faces.astype(np.int64)
