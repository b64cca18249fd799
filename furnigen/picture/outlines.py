"""The lines of a drawing: sharp edges, and outlines of what is round."""

from __future__ import annotations

import numpy as np

from furnigen.core.array_types import Floats, Ints
from furnigen.formats.shading import CREASE_DEG

_STEEPEST, _STEEPEST_OUTLINE = 1.2, 5.0


def outlines(vertices: Floats, faces: Ints, eye: Floats) -> tuple[Ints, Floats]:
    """Edges of a closed mesh that a drawing shows.

    Args:
        vertices: (n, 3) corners, any unit.
        faces: (m, 3) corner indices, counter-clockwise seen from outside.
        eye: (3,) where it is looked at from, in the frame of the corners.

    Returns:
        (k, 2) corner indices: edges whose faces meet at more than CREASE_DEG, and edges between a face that
        the eye sees and one turned away from it; and for each how steeply its faces lie to the line of sight:
        how much nearer they come for each step across it, at most 5.
    """
    a, b, c = (vertices[faces[:, i]] for i in range(3))
    middles = (a + b + c) / 3
    normals = np.cross(b - a, c - a)
    normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-12)
    sight = eye - a
    cosines = np.einsum("ij,ij->i", normals, sight) / np.linalg.norm(sight, axis=1)
    ends = np.sort(np.concatenate([faces[:, [0, 1]], faces[:, [1, 2]], faces[:, [2, 0]]]), axis=1)
    order = np.argsort(ends[:, 0] * len(vertices) + ends[:, 1], kind="stable")
    ends, owners = ends[order], np.tile(np.arange(len(faces)), 3)[order]
    pairs = np.flatnonzero((ends[:-1] == ends[1:]).all(axis=1))
    one, other = owners[pairs], owners[pairs + 1]
    bend = np.einsum("ij,ij->i", normals[one], normals[other])
    turns = (cosines[one] > 0) != (cosines[other] > 0)
    sharp = bend < np.cos(np.radians(CREASE_DEG))
    seen = (cosines[one] > 0) | (cosines[other] > 0)
    shown = seen & (sharp | (turns & (bend < 1 - 1e-9)))
    steep = np.sqrt(1 - np.minimum(cosines**2, 1)) / np.maximum(cosines, 1e-6)
    steep = np.where(cosines > 0, steep, 0.0)
    # only an outline of a convex edge has nothing of this mesh before it
    bulges = np.einsum("ij,ij->i", normals[one], middles[other] - middles[one]) < 0
    steep = np.minimum(
        np.maximum(steep[one], steep[other]), np.where(turns & bulges, _STEEPEST_OUTLINE, _STEEPEST)
    )
    return ends[pairs[shown]], steep[shown]
