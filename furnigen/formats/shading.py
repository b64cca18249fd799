"""Corner normals for display: flat across a sharp edge, smooth over a turned leg."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from furnigen.core.array_types import Floats, Ints
from furnigen.parts.solid_recipe import Frustum

CREASE_DEG = 30.0
"""Faces that meet at more than this keep a sharp edge. Tessellated turnings step by about 15°;
the shallowest edge of furniture that should read as an edge is the 45° chamfer."""


ON_FACE_MM = 2e-3
"""Corners no further from a round face than this lie on it: kernels place them to a micrometre."""


def shaded_corners(
    vertices: Floats, faces: Ints, round_face: Frustum | None = None, crease_deg: float = CREASE_DEG
) -> tuple[Floats, Floats, Ints]:
    """A mesh whose corners carry normals.

    Each corner of each triangle takes the mean normal of the triangles round that point whose own
    normal is within `crease_deg` of its own, weighted by their angle at the point (so the way a
    flat face was cut into triangles does not tilt it). Corners on the side of a round shape take its own
    normal there: the means of facets of a leaning cone are off by degrees.

    Args:
        vertices: (n, 3) points, any unit; mm with a round face.
        faces: (m, 3) corner indices, counter-clockwise seen from outside.
        round_face: the round shape of a turned part.
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
    if round_face is not None:
        exact, on = _round_normals(vertices[points], round_face)
        on &= np.sum(exact * normals[owners], axis=1) >= np.cos(np.radians(crease_deg))
        smooth[on] = exact[on]

    # corners of one point and one normal become one vertex; 1e-6 only joins rounding noise
    keys = np.column_stack([points, np.round(smooth * 1e6).astype(np.int64)])
    _, first, index = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    return vertices[points[first]], smooth[first], index.reshape(-1, 3)


def _round_normals(points: Floats, shape: Frustum) -> tuple[Floats, NDArray[np.bool_]]:
    """Outward normals of the side of a round shape at (n, 3) points, and which of them lie on it.

    A cone's normal leans by its slope out of the radius: radial - slope x axis, made a unit.
    """
    axis = np.array(shape.direction)
    out = points - np.array(shape.start)
    up = out @ axis
    radial = out - up[:, None] * axis
    distance = np.linalg.norm(radial, axis=1)
    slope = (shape.end_radius - shape.radius) / shape.length
    on = (np.abs(distance - (shape.radius + slope * up)) <= ON_FACE_MM) & (distance > ON_FACE_MM)
    normals = _unit(radial / np.where(distance > 0, distance, 1.0)[:, None] - slope * axis)
    return normals, on


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
