"""Solids of the boolean engine made ready to be printed: corners on a fine grid, exact in every file.

A binary STL holds single-precision corners, a 3MF decimal ones. On a grid of 2^-14 mm, up to 512 mm, both
hold the very same corner, so what is proven of a mesh holds in every file written from it.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from manifold3d import Error, Manifold, Mesh64, OpType

from furnigen.core.array_types import Floats, Ints
from furnigen.core.errors import GeometryError
from furnigen.mesh.flat_arrays import joined_sets

GRID_MM = 2.0**-14
COARSE_MM = 2.0**-10
"""Grid of corners before parts are joined: faces that touch in the piece lie in one plane to the last bit."""
_SHIFT = 0.2360679775
"""Part of a step: no size in mm or inches over a usual denominator comes near a border between two steps."""
SIMPLER_MM = 2e-3
"""Corners are merged where no face moves by more: below what any printer resolves."""

HAIR_MM = 2e-3
"""Corners nearer than this, where a solid lies at an angle, were one before it was turned."""
SLIVER_MM, SLIM = 0.02, 50.0
"""Triangles less high than this, a tenth of a layer, and so many times as long, are slivers."""
ROUNDS = 4
"""How often slivers are looked for after others were traded."""


def snapped(points: Floats, grid: float = COARSE_MM) -> Floats:
    """Points on the grid, without negative zeros (mm)."""
    out: Floats = np.floor(points / grid + 0.5 + _SHIFT) * grid + 0.0
    return out


def on_grid(solid: Manifold) -> Manifold:
    """A solid with those corners that lie on the coarse grid but for rounding put on it.

    Where a cut crosses an edge the engine's corner may be off by the last bit, and faces that should touch do
    not.
    """
    v, f = solid_mesh(solid)
    near = np.round(v / COARSE_MM) * COARSE_MM
    return solid_of(np.where(np.abs(v - near) < 1e-7, near, v), f, "a piece of the mockup")


def solid_of(vertices: Floats, faces: Ints, what: str) -> Manifold:
    """A closed mesh as a solid.

    Raises: GeometryError naming `what` when it is no closed mesh.
    """
    made = Manifold(
        Mesh64(np.ascontiguousarray(vertices, np.float64), np.ascontiguousarray(faces, np.uint64))
    )
    if made.status() != Error.NoError or made.is_empty():
        raise GeometryError(f"{what}: its mesh is no closed solid ({made.status().name})")
    return made


def union(solids: Sequence[Manifold]) -> Manifold:
    """The union of some solids; empty for none."""
    return solids[0] if len(solids) == 1 else Manifold.batch_boolean(list(solids), OpType.Add)


def solid_mesh(solid: Manifold) -> tuple[Floats, Ints]:
    """(n, 3) corners, mm, and (m, 3) corner numbers, as the engine has them."""
    mesh = solid.to_mesh64()
    return np.asarray(mesh.vert_properties)[:, :3].copy(), np.asarray(mesh.tri_verts).astype(np.int64)


def printable_mesh(solid: Manifold, hair: float = 0.0) -> tuple[Floats, Ints]:
    """The mesh of a solid with its corners on the fine grid: each place once, no triangle without area.

    Args:
        hair: edges shorter than this are shrunk to one corner (mm).
    """
    v, f = solid_mesh(solid.simplify(SIMPLER_MM))
    v = np.round(v / GRID_MM) * GRID_MM + 0.0
    v, index = np.unique(v, axis=0, return_inverse=True)
    f = index.reshape(-1)[f]
    if hair:
        edges = np.stack([f.reshape(-1), np.roll(f, -1, axis=1).reshape(-1)], axis=1)
        short = np.linalg.norm(v[edges[:, 0]] - v[edges[:, 1]], axis=1) < hair
        f = joined_sets(len(v), edges[short])[f]
    real = (f[:, 0] != f[:, 1]) & (f[:, 1] != f[:, 2]) & (f[:, 2] != f[:, 0])
    f = without_slivers(v, _without_fins(v, f[real].astype(np.int64)))
    used, index = np.unique(f, return_inverse=True)
    return v[used], index.reshape(-1, 3).astype(np.int64)


def _without_fins(v: Floats, f: Ints) -> Ints:
    """The triangles without fins: triangles of no area, joined to each other along a seam.

    Booleans of faces in one plane leave some, their corners doubled; once each place is one corner, four
    triangles meet at an edge. Those whose rims cancel go; others with a rim of three corners become one.
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
    instead: list[tuple[int, ...]] = []
    for group in np.unique(root[: len(f)][thin & crowded.any(axis=1)]):
        mine = thin & (root[: len(f)] == group)
        rows = np.repeat(mine, 3)
        rim = np.bincount(index.reshape(-1)[rows], way[rows], minlength=len(values)).astype(np.float64)
        corners = _rim_of_three(values, rim, len(v)) if mine.sum() > 1 else None
        if corners is not None:
            instead.append(corners)
        if corners is not None or not rim.any():
            kept &= ~mine
    return np.concatenate([f[kept], np.array(instead, dtype=np.int64).reshape(-1, 3)])


def _rim_of_three(values: Ints, rim: Floats, count: int) -> tuple[int, ...] | None:
    """The corners of a rim of three edges, in its order; None for any other.

    Args:
        values: of each edge, its lower corner times `count` and its higher corner.
        rim: how often more each edge is run upward than downward.
    """
    edges = np.flatnonzero(rim)
    if len(edges) != 3 or np.any(np.abs(rim[edges]) != 1):
        return None
    after = {}
    for edge in edges.tolist():
        low, high = divmod(int(values[edge]), count)
        start, end = (low, high) if rim[edge] > 0 else (high, low)
        after[start] = end
    first = next(iter(after))
    second = after[first]
    third = after.get(second, -1)
    return (first, second, third) if len(after) == 3 and after.get(third) == first else None


def without_slivers(v: Floats, f: Ints) -> Ints:
    """The triangles, slivers traded for better ones: the edge a sliver shares at its longest side is turned.

    Readers compute the normal of a face in single precision, and of a sliver they compute noise.
    """
    f = f.copy()
    for _ in range(ROUNDS):
        slivers = slivers_of(v, f)
        if not len(slivers):
            break
        start, end = f.reshape(-1).tolist(), np.roll(f, -1, axis=1).reshape(-1).tolist()
        owner = {edge: k // 3 for k, edge in enumerate(zip(start, end, strict=True))}
        turned = set[int]()
        for t in slivers.tolist():
            p, q, r = np.roll(f[t], -_longest(v[f[t]])).tolist()
            u = owner.get((q, p), t)
            if turned & {t, u} or u == t:
                continue
            (s,) = set(f[u].tolist()) - {p, q}
            pair = np.array([[p, s, r], [s, q, r]])
            if (r, s) in owner or (s, r) in owner or not _better(v, pair, f[[t, u]], f[u], r):
                continue
            f[t], f[u] = pair
            turned |= {t, u}
            owner |= {(r, s): t, (s, r): u}
        if not turned:
            break
    return f


def slivers_of(v: Floats, f: Ints) -> Ints:
    """Which triangles are slivers."""
    height, longest = _heights(v[f])
    return np.flatnonzero((height < SLIVER_MM) & (height * SLIM < longest))


def _better(v: Floats, pair: Ints, old: Ints, plane: Ints, corner: int) -> bool:
    """Whether two triangles are less thin than two others, face the same way, and lie in the same plane."""
    a, b, c = v[plane]
    normal = np.cross(b - a, c - a)
    normal /= max(float(np.linalg.norm(normal)), GRID_MM**2)
    if abs(float((v[corner] - a) @ normal)) > SIMPLER_MM / 2:
        return False
    x, y, z = (v[pair[:, k]] for k in range(3))
    facing = np.cross(y - x, z - x) @ normal
    return bool((facing > 0.0).all() and _heights(v[pair])[0].min() > _heights(v[old])[0].min())


def _heights(corners: Floats) -> tuple[Floats, Floats]:
    """(n,) how high triangles (n, 3, 3) are over their longest edge, and how long that is."""
    a, b, c = corners[:, 0], corners[:, 1], corners[:, 2]
    longest: Floats = np.max([np.linalg.norm(q - p, axis=1) for p, q in ((a, b), (b, c), (c, a))], axis=0)
    high = np.linalg.norm(np.cross(b - a, c - a), axis=1) / np.where(longest > 0, longest, 1.0)
    return high, longest


def _longest(corners: Floats) -> int:
    """Which corner of a triangle its longest edge starts from."""
    return int(np.argmax(np.linalg.norm(np.roll(corners, -1, axis=0) - corners, axis=1)))


def separate_solids(solid: Manifold, crumb_mm3: float) -> list[Manifold]:
    """The separate pieces of a solid larger than a crumb, the largest first; hollows are left out."""
    found = [p for p in solid.decompose() if p.volume() > crumb_mm3]
    return sorted(found, key=lambda p: (-round(p.volume(), 6), p.bounding_box()))
