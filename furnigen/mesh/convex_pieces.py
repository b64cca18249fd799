"""Convex solids: a part cut into them, and how deep many placed pairs of them run into each other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from furnigen.core.array_types import Floats, Ints
from furnigen.mesh.facets import Facets, facets_of
from furnigen.mesh.flat_arrays import expand, first_of
from furnigen.mesh.tolerances import Bools, Tolerances

if TYPE_CHECKING:
    from manifold3d import Manifold

Solid = tuple[Floats, Floats, Floats]
"""Corners, face directions and edge directions, each padded to a power of two by repeating its last."""
ConvexBody = tuple[Floats, Ints]

# More pieces than this and the exact boolean of the whole part is the cheaper question (measured: one
# boolean costs as much as about a hundred piece pairs).
MOST_PIECES = 24
# Edge-by-edge axes of two tessellated curves run to thousands; leaving them out only lets a few more pairs
# through to the exact boolean.
MOST_CROSS_AXES = 1024
# Projections computed at once: 250,000 doubles are 2 MB and stay in the processor's cache.
BLOCK = 250_000


@dataclass(frozen=True, eq=False)
class ConvexSet:
    """Many convex solids, each padded to one size by repeating its last entry.

    Attributes:
        corners: (n, v, 3) mm.
        normals: (n, k, 3) unit face directions, one of each opposite pair.
        edges: (n, e, 3) unit edge directions, one of each opposite pair.
    """

    corners: Floats
    normals: Floats
    edges: Floats

    def moved(self, which: Ints, turn: Floats, shift: Floats) -> ConvexSet:
        """Solids `which` (m,), each after its own rotation (m, 3, 3) and shift (m, 3)."""
        back = turn.transpose(0, 2, 1)
        return ConvexSet(
            self.corners[which] @ back + shift[:, None, :],
            self.normals[which] @ back,
            self.edges[which] @ back,
        )


def convex_set(facets: Facets, meshes: Sequence[int]) -> list[Solid]:
    """The convex `meshes` of `facets` as solids."""
    if not len(meshes):
        return []
    chosen = np.asarray(meshes, dtype=np.int64)
    first, last = facets.mesh_first[chosen], facets.mesh_first[chosen + 1]
    edge = facets.edge / np.linalg.norm(facets.edge, axis=1)[:, None]
    edge_first = np.searchsorted(facets.edge_facet[:, 0], [first, last])
    columns = (
        _distinct(facets.corners, facets.corners, facets.corner_first[first], facets.corner_first[last]),
        _distinct(facets.normal, _one_way(facets.normal), first, last),
        _distinct(edge, _one_way(edge), *edge_first),
    )
    return list(zip(*columns, strict=True))


def _one_way(vectors: Floats) -> Floats:
    """What opposite unit vectors have in common; those equal to 1e-7 count as the same direction."""
    rounded = np.round(vectors, 7)
    lead = np.take_along_axis(rounded, np.argmax(rounded != 0.0, axis=1)[:, None], axis=1)
    out: Floats = rounded * np.sign(lead) + 0.0
    return out


def _distinct(rows: Floats, key: Floats, first: Ints, last: Ints) -> list[Floats]:
    """Of each run of rows (first to last) those of different keys, padded to a power of two."""
    owner, k = expand(last - first)
    place = first[owner] + k
    order = np.lexsort((*key[place].T, owner))
    ranked = np.column_stack([owner, key[place]])[order]
    new = np.append(True, np.any(ranked[1:] != ranked[:-1], axis=1))
    kept = np.sort(order[new])
    count = np.bincount(owner[kept], minlength=len(first))
    size = np.array([1 << (n - 1).bit_length() for n in count.tolist()])
    padded, k = expand(size)
    pick = first_of(count)[padded] + np.minimum(k, count[padded] - 1)
    return np.split(rows[place[kept[pick]]], np.cumsum(size)[:-1])


def convex_pieces(solids: Sequence[Manifold], tol: Tolerances) -> list[list[Solid] | None]:
    """Each solid cut into convex pieces along the planes of its hollow edges (Chazelle's notching, 1984).

    Returns:
        The pieces of each solid, or None for one of more than `MOST_PIECES` pieces.
    """
    done: list[list[Solid] | None] = [[] for _ in solids]
    waiting = list(enumerate(solids))
    while waiting:
        # all bodies of a round are looked at in one go
        facets = facets_of([("piece", *corners_and_triangles(body)) for _, body in waiting], tol)
        whole = np.flatnonzero(facets.convex).tolist()
        for m, piece in zip(whole, convex_set(facets, whole), strict=True):
            finished = done[waiting[m][0]]
            if finished is not None:
                finished.append(piece)
        cut = []
        for m in np.flatnonzero(~facets.convex).tolist():
            owner, body = waiting[m]
            if done[owner] is None:
                continue
            halves = _halves(facets, m, body, tol)
            if halves:
                cut += [(owner, half) for half in halves]
            else:
                done[owner] = None
        load = np.bincount([o for o, _ in cut], minlength=len(done))
        for owner, finished in enumerate(done):
            if finished is not None and len(finished) + load[owner] > MOST_PIECES:
                done[owner] = None
        waiting = [(owner, body) for owner, body in cut if done[owner] is not None]
    return done


def corners_and_triangles(solid: Manifold) -> ConvexBody:
    """The mesh of a solid of the boolean engine: (n, 3) corners in mm, (t, 3) corner indices."""
    mesh = solid.to_mesh64()
    return np.asarray(mesh.vert_properties)[:, :3], np.asarray(mesh.tri_verts).astype(np.int64)


def _halves(facets: Facets, mesh: int, body: Manifold, tol: Tolerances) -> list[Manifold]:
    """The bodies one cut leaves; none when no cut helps."""
    f0, f1 = facets.mesh_first[mesh : mesh + 2]
    e0, e1 = np.searchsorted(facets.edge_facet[:, 0], [f0, f1])
    hollow = facets.edge_facet[e0:e1][facets.reflex[e0:e1]] - f0
    halves = [body]
    off = tol.penetration_mm / 100.0
    if len(hollow):
        normal = facets.normal[f0:f1]
        away = np.einsum("fi,fi->f", normal, facets.centre[f0:f1])
        k = _cutting_facet(normal, away, hollow)
        if k is None:
            return []
        # a cut in the very plane of a face leaves flaps without thickness; this far off it leaves steps too
        # low to count as hollow
        halves = list(body.split_by_plane(tuple(normal[k]), float(away[k]) + off))
    parts = [part for half in halves for part in half.decompose()]
    # what lies between the cut and a face it meant to follow is a film, thinner than any overlap that counts
    parts = [part for part in parts if part.volume() > off * part.surface_area()]
    return parts if len(parts) > 1 else []


def _cutting_facet(normal: Floats, away: Floats, hollow: Ints) -> int | None:
    """The facet in whose plane a cut resolves most hollow edges, as that of the floors of all grooves does.

    Args:
        normal, away: (f, 3) normals and (f,) distances of the planes of all facets.
        hollow: (e, 2) the facets that meet at each hollow edge, in both directions.

    Returns:
        None when even the busiest planes, one after the other, leave some edge hollow after as many cuts as
        pieces are wanted: the wall of a round bore is such a case.
    """
    used = np.unique(hollow)
    _, first, same = np.unique(
        np.round(np.column_stack([normal[used], away[used]]), 6) + 0.0,
        axis=0,
        return_index=True,
        return_inverse=True,
    )
    planes = same.reshape(-1)[np.searchsorted(used, hollow)]
    chosen = None
    for _ in range(MOST_PIECES):
        busiest = int(np.argmax(np.bincount(planes[:, 0])))
        chosen = int(used[first[busiest]]) if chosen is None else chosen
        planes = planes[np.all(planes != busiest, axis=1)]
        if not len(planes):
            return chosen
    return None


class SolidShelf:
    """Convex solids gathered in groups of like size, so that pairs are tested group by group."""

    def __init__(self, solids: Sequence[Solid]) -> None:
        groups: dict[tuple[int, ...], list[int]] = {}
        for i, solid in enumerate(solids):
            groups.setdefault(tuple(map(len, solid)), []).append(i)
        self.kind = np.zeros(len(solids), dtype=np.int64)
        self.place = np.zeros(len(solids), dtype=np.int64)
        self.sets: list[ConvexSet] = []
        for k, mine in enumerate(groups.values()):
            self.kind[mine], self.place[mine] = k, np.arange(len(mine))
            self.sets.append(ConvexSet(*(np.array([solids[i][c] for i in mine]) for c in range(3))))

    def boxes(self, which: Ints, turn: Floats, shift: Floats) -> tuple[Floats, Floats]:
        """World bounds of solids `which` (m,) after their placements."""
        lo, hi = np.empty((len(which), 3)), np.empty((len(which), 3))
        for k, group in enumerate(self.sets):
            rows = np.flatnonzero(self.kind[which] == k)
            world = (
                group.corners[self.place[which[rows]]] @ turn[rows].transpose(0, 2, 1) + shift[rows, None, :]
            )
            lo[rows], hi[rows] = world.min(axis=1), world.max(axis=1)
        return lo, hi

    def run_into(
        self, a: tuple[Ints, Floats, Floats], b: tuple[Ints, Floats, Floats], depth_mm: float
    ) -> Bools:
        """Whether each of m pairs of placed solids overlaps by more than `depth_mm` along every axis.

        The axes are the face directions of both and the cross products of their edges: two convex solids
        apart are apart along one of them (separating axis theorem; Gottschalk, Lin, Manocha 1996).

        Args:
            a: solid numbers (m,), rotations (m, 3, 3) and shifts (m, 3).
            b: the same of the other solid of each pair.
            depth_mm: overlaps this shallow are touching.
        """
        out = np.zeros(len(a[0]), dtype=bool)
        group = self.kind[a[0]] * len(self.sets) + self.kind[b[0]]
        for g in np.unique(group):
            left, right = self.sets[g // len(self.sets)], self.sets[g % len(self.sets)]
            rows = np.flatnonzero(group == g)
            axes = max(
                left.normals.shape[1] + right.normals.shape[1], left.edges.shape[1] * right.edges.shape[1]
            )
            step = max(
                1, BLOCK // (min(axes, MOST_CROSS_AXES) * (left.corners.shape[1] + right.corners.shape[1]))
            )
            for at in range(0, len(rows), step):
                part = rows[at : at + step]
                one = left.moved(self.place[a[0][part]], a[1][part], a[2][part])
                two = right.moved(self.place[b[0][part]], b[1][part], b[2][part])
                out[part] = _overlap(one, two, depth_mm)
        return out


def _overlap(a: ConvexSet, b: ConvexSet, depth_mm: float) -> Bools:
    deep = _deep(a.corners, b.corners, np.concatenate([a.normals, b.normals], axis=1), depth_mm)
    rows = np.flatnonzero(deep)
    if len(rows) and a.edges.shape[1] * b.edges.shape[1] <= MOST_CROSS_AXES:
        axes = np.cross(a.edges[rows, :, None, :], b.edges[rows, None, :, :]).reshape(len(rows), -1, 3)
        length = np.linalg.norm(axes, axis=2, keepdims=True)
        # edges parallel within a microradian have no cross direction: their face directions cover the case
        axes = np.where(length > 1e-6, axes / np.maximum(length, 1e-6), a.normals[rows, :1])
        deep[rows] = _deep(a.corners[rows], b.corners[rows], axes, depth_mm)
    return deep


def _deep(a: Floats, b: Floats, axes: Floats, depth_mm: float) -> Bools:
    base = a[:, :1]
    one = (a - base) @ axes.transpose(0, 2, 1)
    two = (b - base) @ axes.transpose(0, 2, 1)
    shared = np.minimum(one.max(axis=1), two.max(axis=1)) - np.maximum(one.min(axis=1), two.min(axis=1))
    out: Bools = np.all(shared > depth_mm, axis=1)
    return out
