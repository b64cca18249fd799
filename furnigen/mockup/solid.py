"""Solids of the boolean engine made ready to be printed: corners on a fine grid, exact in every file.

A binary STL holds single-precision corners, a 3MF decimal ones. On a grid of 2^-14 mm, up to 512 mm, both
hold the very same corner, so what is proven of a mesh holds in every file written from it.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from manifold3d import Error, Manifold, Mesh64, OpType

from furnigen.errors import GeometryError
from furnigen.mesh.model import Floats, Ints
from furnigen.mesh.ragged import joined_sets

GRID_MM = 2.0**-14
COARSE_MM = 2.0**-10
"""Grid of corners before parts are joined: faces that touch in the piece lie in one plane to the last bit."""
_SHIFT = 0.2360679775
"""Part of a step: no size in mm or inches over a usual denominator comes near a border between two steps."""
SIMPLER_MM = 2e-3
"""Corners are merged where no face moves by more: below what any printer resolves."""


def snapped(points: Floats, grid: float = COARSE_MM) -> Floats:
    """Points on the grid, without negative zeros (mm)."""
    out: Floats = np.floor(points / grid + 0.5 + _SHIFT) * grid + 0.0
    return out


def on_grid(solid: Manifold) -> Manifold:
    """A solid with those corners that lie on the coarse grid but for rounding put on it.

    Where a cut crosses an edge the engine's corner may be off by the last bit, and faces that should touch do
    not.
    """
    v, f = mesh_of(solid)
    near = np.round(v / COARSE_MM) * COARSE_MM
    return solid_of(np.where(np.abs(v - near) < 1e-7, near, v), f, "a piece of the mockup")


def solid_of(vertices: Floats, faces: Ints, what: str) -> Manifold:
    """A closed mesh as a solid.

    Errors: GeometryError naming `what` when it is no closed mesh.
    """
    made = Manifold(
        Mesh64(np.ascontiguousarray(vertices, np.float64), np.ascontiguousarray(faces, np.uint64))
    )
    if made.status() != Error.NoError or made.is_empty():
        raise GeometryError(f"{what}: its mesh is no closed solid ({made.status().name})")
    return made


def joined(solids: Sequence[Manifold]) -> Manifold:
    """The union of some solids; empty for none."""
    return solids[0] if len(solids) == 1 else Manifold.batch_boolean(list(solids), OpType.Add)


def mesh_of(solid: Manifold) -> tuple[Floats, Ints]:
    """(n, 3) corners, mm, and (m, 3) corner numbers, as the engine has them."""
    mesh = solid.to_mesh64()
    return np.asarray(mesh.vert_properties)[:, :3].copy(), np.asarray(mesh.tri_verts).astype(np.int64)


def printable_mesh(solid: Manifold) -> tuple[Floats, Ints]:
    """The mesh of a solid with its corners on the fine grid: each place once, no triangle without area."""
    v, f = mesh_of(solid.simplify(SIMPLER_MM))
    v = np.round(v / GRID_MM) * GRID_MM + 0.0
    v, index = np.unique(v, axis=0, return_inverse=True)
    f = index.reshape(-1)[f]
    real = (f[:, 0] != f[:, 1]) & (f[:, 1] != f[:, 2]) & (f[:, 2] != f[:, 0])
    f = _without_fins(v, f[real].astype(np.int64))
    used, index = np.unique(f, return_inverse=True)
    return v[used], index.reshape(-1, 3).astype(np.int64)


def _without_fins(v: Floats, f: Ints) -> Ints:
    """The triangles without fins: triangles of no area, joined to each other only, along a seam.

    Booleans of faces in one plane leave some, their corners doubled; once each place is one corner, four
    triangles meet at an edge.
    """
    edges = np.sort(np.stack([f.reshape(-1), np.roll(f, -1, axis=1).reshape(-1)], axis=1), axis=1)
    key = edges[:, 0] * len(v) + edges[:, 1]
    values, index, count = np.unique(key, return_inverse=True, return_counts=True)
    crowded = (count > 2)[index.reshape(-1)].reshape(-1, 3)
    if not crowded.any():
        return f
    a, b, c = v[f[:, 0]], v[f[:, 1]], v[f[:, 2]]
    longest = np.max([np.linalg.norm(q - p, axis=1) for p, q in ((a, b), (b, c), (c, a))], axis=0)
    thin = np.linalg.norm(np.cross(b - a, c - a), axis=1) <= 2 * GRID_MM * longest
    # fins that share an edge go together, and only when their rims cancel
    thin_edges = np.flatnonzero(np.repeat(thin, 3))
    links = np.stack([thin_edges // 3, len(f) + index.reshape(-1)[thin_edges]], axis=1)
    root = joined_sets(len(f) + len(values), links)
    start, end = f.reshape(-1), np.roll(f, -1, axis=1).reshape(-1)
    way = np.where(start < end, 1.0, -1.0)
    kept = np.ones(len(f), dtype=bool)
    for group in np.unique(root[: len(f)][thin & crowded.any(axis=1)]):
        mine = thin & (root[: len(f)] == group)
        rows = np.repeat(mine, 3)
        if not np.bincount(index.reshape(-1)[rows], way[rows]).any():
            kept &= ~mine
    return f[kept]


def pieces_of(solid: Manifold, crumb_mm3: float) -> list[Manifold]:
    """The separate pieces of a solid larger than a crumb, the largest first; hollows are left out."""
    found = [p for p in solid.decompose() if p.volume() > crumb_mm3]
    return sorted(found, key=lambda p: (-round(p.volume(), 6), p.bounding_box()))
