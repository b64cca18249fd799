"""The thinnest wall of a mesh, measured: how far apart opposite faces are where they lie over each other."""

from __future__ import annotations

import numpy as np

from furnigen.core.array_types import Floats, Ints
from furnigen.mesh.broadphase import meeting_boxes
from furnigen.mesh.polygon_clipping import area_and_centroid, clip_convex
from furnigen.mockup.print_solids import COARSE_MM

OPPOSITE_DEGREES = 11.7
"""Faces opposite within this angle are the two sides of a wall; a blunter wedge is a corner, which ends in
nothing at every scale. Not a whole number: legs and posts lean by those, and rounding must not decide."""
SEEN_MM2 = 0.01
"""Faces that lie over each other by less are no wall: a square of a tenth of a millimetre."""
EDGE_MM = 1e-3
"""Faces nearer than this at a corner of theirs meet there: a hundredth of a fine layer."""
LOST_MM = 2 * COARSE_MM
"""What the grid of corners may take off a wall: a corner is moved by less than a step at either side."""


def thinnest_wall(vertices: Floats, faces: Ints, reach_mm: float) -> tuple[float, Floats]:
    """The least distance between opposite faces with solid between them, and where it is.

    Args:
        reach_mm: walls thicker than this are not looked at.

    Returns:
        the thickness (mm), `reach_mm` when no wall is thinner; (3,) the middle of that wall (mm).
    """
    corners = vertices[faces]
    lo, hi = corners.min(axis=1), corners.max(axis=1)
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    double = np.linalg.norm(normal, axis=1)
    flat = double > 1e-9
    normal = normal / np.where(flat, double, 1.0)[:, None]
    pairs = meeting_boxes(lo, hi, reach_mm)
    i, j = np.concatenate([pairs, pairs[:, ::-1]]).T
    facing = np.einsum("ij,ij->i", normal[i], normal[j]) < -np.cos(np.radians(OPPOSITE_DEGREES))
    facing &= flat[i] & flat[j]
    i, j = i[facing], j[facing]
    # the other face must lie on the inner side, in part at least
    depth = np.einsum("ijk,ik->ij", corners[j] - corners[i][:, :1], -normal[i])
    inside = (depth.max(axis=1) > 1e-6) & (depth.min(axis=1) < reach_mm)
    i, j = i[inside], j[inside]
    u = corners[i][:, 1] - corners[i][:, 0]
    u /= np.linalg.norm(u, axis=1)[:, None]
    frame = np.stack([u, np.cross(normal[i], u)], axis=2)
    base = corners[i][:, :1]
    mine, other = (np.matmul(corners[k] - base, frame) for k in (i, j))
    rows, poly, _ = clip_convex(mine, other[:, ::-1])
    if not len(rows):
        return reach_mm, np.zeros(3)
    area, middle = area_and_centroid(poly)
    seen = area > SEEN_MM2
    rows, poly, middle = rows[seen], poly[seen], middle[seen]
    i, j = i[rows], j[rows]
    # the outline of what lies over each other, in space, its middle last
    flat = np.concatenate([poly, middle[:, None]], axis=1)
    at = corners[i][:, :1] + np.einsum("nij,nkj->nki", frame[rows], flat)
    away = np.einsum("nkj,nj->nk", corners[j][:, :1] - at, normal[j])
    thick = away / np.einsum("ij,ij->i", -normal[i], normal[j])[:, None]
    # a wedge is as thick as its thin end, but one that ends in an edge counts by its middle
    whole = np.argmin(thick, axis=1)
    whole = np.where(thick.min(axis=1) < EDGE_MM, thick.shape[1] - 1, whole)
    row = np.arange(len(thick))
    thick, at = thick[row, whole], at[row, whole]
    known = (thick > EDGE_MM) & (thick < reach_mm)
    if not known.any():
        return reach_mm, np.zeros(3)
    k = int(np.argmin(np.where(known, thick, np.inf)))
    where: Floats = at[k] - normal[i[k]] * thick[k] / 2
    return float(thick[k]), where
