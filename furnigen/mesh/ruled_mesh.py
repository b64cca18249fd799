"""Meshes of round rods and legs, from their description: two rings of corners joined by rulings.

The level sections of a leaned leg are alike, so equal angles on its two end ellipses lie on one
straight ruling of the cone, and the facets between are plane. The mesh is convex, as the solid is,
and has a tenth of the triangles the kernel's own mesh of a cone has.
"""

from __future__ import annotations

from math import acos, ceil, pi

import numpy as np

from furnigen.core.array_types import Floats, Ints
from furnigen.parts.forms.form import Form
from furnigen.parts.forms.rod import Rod
from furnigen.parts.forms.turned_leg import TurnedLeg


def sides(radius_mm: float, tolerance_mm: float, angle_radians: float) -> int:
    """How many chords a circle of `radius_mm` takes: a multiple of four, so the mesh reaches its bounds.

    A chord of n sides stands off by r (1 - cos(pi / n)).
    """
    by_chord = pi / acos(1 - tolerance_mm / radius_mm) if tolerance_mm < radius_mm else 0.0
    return 4 * max(1, ceil(max(by_chord, 2 * pi / angle_radians) / 4 - 1e-9))


def _rings(form: Rod | TurnedLeg, tolerance_mm: float, angle_radians: float) -> tuple[Floats, Floats]:
    """The corners of the two ends, each counter-clockwise seen from the second end."""
    if isinstance(form, Rod):
        r = form.diameter / 2
        turn = 2 * pi / (n := sides(r, tolerance_mm, angle_radians)) * np.arange(n)
        start = np.column_stack([np.zeros(n), r + r * np.cos(turn), r + r * np.sin(turn)])
        return start, start + np.array([form.length, 0.0, 0.0])
    widest = max(max(form.section(z)[:2]) for z in (0.0, form.height))
    turn = 2 * pi / (n := sides(widest, tolerance_mm, angle_radians)) * np.arange(n)
    rings = []
    for z in (0.0, form.height):
        along, across, centre = form.section(z)
        rings.append(np.column_stack([along * np.cos(turn), across * np.sin(turn), np.zeros(n)]) + centre)
    return rings[0], rings[1]


def ruled_mesh(form: Form, *, tolerance_mm: float, angle_radians: float) -> tuple[Floats, Ints] | None:
    """The closed convex mesh of a rod or turned leg: (n, 3) corners, mm, and (m, 3) corner numbers.

    None for any other form. Counter-clockwise seen from outside.

    Args:
        tolerance_mm: largest distance between the mesh and the form.
        angle_radians: largest turn between neighbouring facets.
    """
    if not isinstance(form, Rod | TurnedLeg):
        return None
    first, second = _rings(form, tolerance_mm, angle_radians)
    n = len(first)
    i = np.arange(n)
    j = (i + 1) % n
    fan = np.arange(1, n - 1)
    centre = np.zeros(n - 2, dtype=np.int64)
    faces = np.concatenate([
        np.column_stack([i, j, j + n]),
        np.column_stack([i, j + n, i + n]),
        np.column_stack([centre, fan + 1, fan]),
        np.column_stack([centre, fan, fan + 1]) + n,
    ])  # fmt: skip
    return np.concatenate([first, second]), faces.astype(np.int64)
