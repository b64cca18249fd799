"""Proof that a mesh bounds a solid: closed, manifold, consistently wound, not self-intersecting.

Read from the corners and triangles alone, as any reader of the files must, whatever made them.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from furnigen.core.array_types import Floats, Ints
from furnigen.mesh.broadphase import meeting_boxes
from furnigen.mesh.flat_arrays import joined_sets
from furnigen.mesh.polygon_clipping import area_and_centroid, clip_convex
from furnigen.mockup.wall_thickness import thinnest_wall

THROUGH_MM = 1e-3
"""An edge goes through a face when it reaches this far beyond it either way: a hundredth of a fine layer."""
FOLDED_MM = 1e-3
"""Faces in one plane that cover each other over a wider strip are folded."""


@dataclass(frozen=True, slots=True)
class MeshProof:
    """Result for one mesh.

    Attributes:
        open_edges: edges that are not shared by exactly two triangles running opposite ways along it.
        pinched: corners where two sheets of surface meet in one point only.
        crossings: pairs of triangles that go through each other, or cover each other in one plane.
        volume_mm3: enclosed, by the divergence theorem.
        wall_mm: the thinnest wall; not more than `reach_mm`, up to which it was measured.
        wall_at: middle of that wall (mm).
        reach_mm: how thick walls were looked for.
    """

    open_edges: int
    pinched: int
    crossings: int
    volume_mm3: float
    wall_mm: float
    wall_at: tuple[float, float, float]
    reach_mm: float

    @property
    def sound(self) -> bool:
        """Whether it bounds a solid, its faces outward."""
        return not self.open_edges and not self.pinched and not self.crossings and self.volume_mm3 > 0.0


def prove_mesh(vertices: Floats, faces: Ints, reach_mm: float) -> MeshProof:
    """Check one mesh.

    Args:
        vertices: (n, 3) corners, each place once, mm.
        faces: (m, 3) corner numbers.
        reach_mm: walls thicker than this are not measured.
    """
    edges, corners = weak_places(vertices, faces)
    wall, at = thinnest_wall(vertices, faces, reach_mm)
    return MeshProof(
        len(edges),
        len(corners),
        crossings(vertices, faces),
        mesh_volume(vertices, faces),
        wall,
        (float(at[0]), float(at[1]), float(at[2])),
        reach_mm,
    )


def mesh_volume(vertices: Floats, faces: Ints) -> float:
    """Enclosed volume (mm³), measured from the middle of the mesh to keep all digits."""
    a, b, c = (vertices[faces[:, k]] - vertices.mean(axis=0) for k in range(3))
    return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6.0)


def weak_places(vertices: Floats, faces: Ints) -> tuple[Ints, Ints]:
    """(k, 2) edges that two opposite triangles do not share, and corners that pinch two sheets together."""
    start, end = faces.reshape(-1), np.roll(faces, -1, axis=1).reshape(-1)
    n = len(vertices)
    key, back = start * n + end, end * n + start
    order = np.argsort(key, kind="stable")
    ordered = key[order]
    place = np.searchsorted(ordered, back)
    once = np.searchsorted(ordered, key, side="right") - np.searchsorted(ordered, key) == 1
    once &= np.searchsorted(ordered, back, side="right") - place == 1
    if not once.all():
        bad = np.sort(np.stack([start, end], axis=1)[~once], axis=1)
        return np.unique(bad, axis=0), np.empty(0, dtype=np.int64)
    twin = order[np.minimum(place, len(order) - 1)]
    # the triangle over an edge has the edge's start as its own corner: the next one round that point
    corner = np.arange(len(start))
    after = twin // 3 * 3 + (twin % 3 + 1) % 3
    root = joined_sets(len(start), np.stack([corner, after], axis=1))
    fans = np.bincount(start[np.unique(root)], minlength=n)
    return np.empty((0, 2), dtype=np.int64), np.flatnonzero(fans > 1)


def crossings(vertices: Floats, faces: Ints) -> int:
    """Pairs of triangles that go through each other, or cover each other in one plane."""
    corners = vertices[faces]
    pairs = meeting_boxes(corners.min(axis=1), corners.max(axis=1), 0.0)
    if not len(pairs):
        return 0
    i, j = pairs.T
    shared = (faces[i][:, :, None] == faces[j][:, None, :]).any(axis=2).sum(axis=1)
    bad = _pierces(corners, faces, i, j) | _pierces(corners, faces, j, i)
    # an edge between them is shared by every pair of neighbours: only a fold is wrong there
    bad &= shared < 2
    bad |= _covers(corners, i, j)
    return int(bad.sum())


def _pierces(
    corners: Floats, faces: Ints, i: Ints, j: Ints
) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """Whether an edge of triangle i goes through triangle j."""
    a, b, c = corners[j][:, 0], corners[j][:, 1], corners[j][:, 2]
    normal = np.cross(b - a, c - a)
    size = np.linalg.norm(normal, axis=1)
    normal = normal / np.where(size > 0, size, 1.0)[:, None]
    height = np.einsum("ijk,ik->ij", corners[i] - a[:, None], normal)
    out = np.zeros(len(i), dtype=bool)
    for k in range(3):
        p, q = corners[i][:, k], corners[i][:, (k + 1) % 3]
        hp, hq = height[:, k], height[:, (k + 1) % 3]
        through = ((hp > THROUGH_MM) & (hq < -THROUGH_MM)) | ((hp < -THROUGH_MM) & (hq > THROUGH_MM))
        if not through.any():
            continue
        rows = np.flatnonzero(through & (size > 0))
        t = hp[rows] / (hp[rows] - hq[rows])
        x = p[rows] + t[:, None] * (q[rows] - p[rows])
        inside = np.ones(len(rows), dtype=bool)
        for s, e in ((a, b), (b, c), (c, a)):
            along = e[rows] - s[rows]
            inward = np.cross(normal[rows], along) / np.linalg.norm(along, axis=1)[:, None]
            inside &= np.einsum("ij,ij->i", x - s[rows], inward) > THROUGH_MM
        out[rows[inside]] = True
    return out


def _covers(corners: Floats, i: Ints, j: Ints) -> np.ndarray[tuple[int, ...], np.dtype[np.bool_]]:
    """Whether two triangles lie in one plane and over each other."""
    one, two = corners[i], corners[j]
    normal = np.cross(one[:, 1] - one[:, 0], one[:, 2] - one[:, 0])
    size = np.linalg.norm(normal, axis=1)
    normal = normal / np.where(size > 0, size, 1.0)[:, None]
    height = np.abs(np.einsum("ijk,ik->ij", two - one[:, :1], normal)).max(axis=1)
    out = np.zeros(len(i), dtype=bool)
    rows = np.flatnonzero((height < THROUGH_MM) & (size > 0))
    if not len(rows):
        return out
    u = one[rows, 1] - one[rows, 0]
    u /= np.linalg.norm(u, axis=1)[:, None]
    frame = np.stack([u, np.cross(normal[rows], u)], axis=2)
    base = one[rows][:, :1]
    mine, other = np.matmul(one[rows] - base, frame), np.matmul(two[rows] - base, frame)
    turned = np.einsum(
        "ij,ij->i", normal[rows], np.cross(two[rows, 1] - two[rows, 0], two[rows, 2] - two[rows, 0])
    )
    other = np.where((turned < 0)[:, None, None], other[:, ::-1], other)
    hit, poly, _ = clip_convex(mine, other)
    if len(hit):
        area, _ = area_and_centroid(poly)
        extent = np.linalg.norm(np.ptp(poly, axis=1), axis=1)
        out[rows[hit[area > FOLDED_MM * np.maximum(extent, FOLDED_MM)]]] = True
    return out
