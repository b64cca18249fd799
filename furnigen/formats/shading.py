"""Corner normals for display: flat across a sharp edge, smooth over a turned leg."""

from __future__ import annotations

import numpy as np

from furnigen.core.array_types import Floats, Ints

CREASE_DEG = 30.0
"""Faces that meet at more than this keep a sharp edge. Tessellated turnings step by about 15°;
the shallowest edge of furniture that should read as an edge is the 45° chamfer."""


def shaded_corners(
    vertices: Floats, faces: Ints, crease_deg: float = CREASE_DEG
) -> tuple[Floats, Floats, Ints]:
    """A mesh whose corners carry normals.

    Each corner of each triangle takes the mean normal of the triangles round that point whose own
    normal is within `crease_deg` of its own, weighted by their angle at the point (so the way a
    flat face was cut into triangles does not tilt it).

    Args:
        vertices: (n, 3) points, any unit.
        faces: (m, 3) corner indices, counter-clockwise seen from outside.
        crease_deg: largest angle smoothed over, degrees.

    Returns:
        (k, 3) points, (k, 3) unit normals, (m, 3) indices; a point is repeated for each normal.
    """
    corners = vertices[faces]
    ahead = np.roll(corners, -1, axis=1) - corners
    behind = np.roll(corners, 1, axis=1) - corners
    angles = np.arctan2(np.linalg.norm(np.cross(ahead, behind), axis=2), np.sum(ahead * behind, axis=2))
    normals = _unit(np.cross(ahead[:, 0], behind[:, 0]))

    owners = np.repeat(np.arange(len(faces)), 3)
    points = faces.reshape(-1)
    own, other = _pairs_sharing_a_point(points)
    alike = np.sum(normals[owners[own]] * normals[owners[other]], axis=1) >= np.cos(np.radians(crease_deg))
    own, other = own[alike], other[alike]
    sums = np.zeros((len(points), 3))
    np.add.at(sums, own, normals[owners[other]] * angles.reshape(-1, 1)[other])
    smooth = _unit(sums)

    # corners of one point and one normal become one vertex; 1e-6 only joins rounding noise
    keys = np.column_stack([points, np.round(smooth * 1e6).astype(np.int64)])
    _, first, index = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    return vertices[points[first]], smooth[first], index.reshape(-1, 3)


def _unit(vectors: Floats) -> Floats:
    """Unit vectors; a null one (of a triangle without area) points up, any direction will do."""
    lengths = np.linalg.norm(vectors, axis=1, keepdims=True)
    up = np.broadcast_to(np.array([0.0, 0.0, 1.0]), vectors.shape).copy()
    units: Floats = np.divide(vectors, lengths, out=up, where=lengths > 0)
    return units


def _pairs_sharing_a_point(points: Ints) -> tuple[Ints, Ints]:
    """All ordered pairs of corners (itself included) that stand at the same point."""
    order = np.argsort(points, kind="stable")
    _, starts, counts = np.unique(points[order], return_index=True, return_counts=True)
    group_start = np.repeat(starts, counts)
    group_size = np.repeat(counts, counts)
    own = np.repeat(np.arange(len(points)), group_size)
    step = np.arange(len(own)) - np.repeat(np.cumsum(group_size) - group_size, group_size)
    return order[own], order[np.repeat(group_start, group_size) + step]
