"""The flat faces of closed meshes: triangles joined across flat edges, checked and measured once per part."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cached_property

import numpy as np

from furnigen.core.array_types import Floats, Ints
from furnigen.core.errors import GeometryError
from furnigen.mesh.flat_arrays import cross_products, first_of, group_sums, joined_sets
from furnigen.mesh.tolerances import Bools, Tolerances

Mesh = tuple[str, Floats, Ints]


@dataclass(frozen=True, eq=False)
class Facets:
    """Flat faces of several meshes; those of mesh m run from mesh_first[m] to before mesh_first[m + 1].

    Attributes:
        mesh_first: (m + 1,) first facet of each mesh.
        normal: (f, 3) outward unit normals.
        centre: (f, 3) centroids, mm.
        along: (f, 3) unit vector in the facet, along one of its edges.
        area: (f,) mm².
        corner_first: (f + 1,) first boundary corner of each facet.
        corners: (c, 3) boundary corners, mm.
        piece_first: (f + 1,) first convex piece of each facet.
        pieces: (k, 4, 3) convex pieces counter-clockwise from outside; a triangle repeats its last corner.
        edge_facet: (e, 2) the facet on the left and on the right of each directed sharp edge.
        edge: (e, 3) the directed sharp edges, mm; each appears once in each direction.
        reflex: (e,) whether the solid's inner angle at the edge is over 180°.
        triangle_facet: (t,) facet of every triangle of all meshes, -1 for a sliver.
        triangle_first: (m + 1,) first triangle of each mesh.
        convex: (m,) whether each mesh bounds a convex solid.
    """

    mesh_first: Ints
    normal: Floats
    centre: Floats
    along: Floats
    area: Floats
    corner_first: Ints
    corners: Floats
    piece_first: Ints
    pieces: Floats
    edge_facet: Ints
    edge: Floats
    reflex: Bools
    triangle_facet: Ints
    triangle_first: Ints
    convex: Bools

    @cached_property
    def piece_bounds(self) -> tuple[Floats, Floats]:
        """(k, 3) low and high corners of the convex pieces, mm."""
        return self.pieces.min(axis=1), self.pieces.max(axis=1)


def facets_of(meshes: Sequence[Mesh], tol: Tolerances) -> Facets:
    """Flat faces of closed meshes, each given as (name, (n, 3) corners in mm, (t, 3) corner indices).

    Raises:
        GeometryError: a mesh is open, inside out, empty, or not finite; the message names it.
    """
    vertex_first = first_of(np.array([len(v) for _, v, _ in meshes], dtype=np.int64))
    triangle_first = first_of(np.array([len(f) for _, _, f in meshes], dtype=np.int64))
    points = np.concatenate([np.empty((0, 3)), *(np.asarray(v, dtype=np.float64) for _, v, _ in meshes)])
    named = np.concatenate([np.empty((0, 3), np.int64), *(np.asarray(f, np.int64) for _, _, f in meshes)])
    mesh_of = np.repeat(np.arange(len(meshes)), np.diff(triangle_first))
    known = (named >= 0) & (named < np.diff(vertex_first)[mesh_of][:, None])
    if not (np.all(np.diff(triangle_first)) and np.all(np.isfinite(points)) and np.all(known)):
        _refuse(meshes)
    names = [name for name, _, _ in meshes]
    tris = named + vertex_first[mesh_of][:, None]
    # directed edge e belongs to triangle e // 3 and runs from its corner e % 3 to the next
    start, end = tris.reshape(-1), tris[:, [1, 2, 0]].reshape(-1)
    opposite = tris[:, [2, 0, 1]].reshape(-1)
    twin = _twins(start, end, len(points), mesh_of, names)

    begins = points.take(start, axis=0)
    edges = points.take(end, axis=0) - begins
    a, b, c = begins.reshape(-1, 3, 3).transpose(1, 0, 2)
    normals = cross_products(edges[2::3], edges[::3])
    double_area = _lengths(normals)
    volume = group_sums(mesh_of, np.einsum("ij,ij->i", a, normals) / 6.0, len(meshes))
    surface = group_sums(mesh_of, double_area / 2.0, len(meshes))
    for m in np.flatnonzero(~(volume > 1e-9 * surface**1.5)):
        raise GeometryError(
            f"part {names[m]}: its mesh encloses {volume[m]:.3g} mm³;"
            " a solid with its faces outward is needed"
        )
    sliver = double_area <= tol.flat_mm * _lengths(edges).reshape(-1, 3).max(axis=1)
    normal = np.where(sliver[:, None], 0.0, normals / np.where(sliver, 1.0, double_area)[:, None])

    left = np.repeat(np.arange(len(tris)), 3)
    right = left[twin]
    facing = normal.take(left, axis=0)
    height = np.einsum("ij,ij->i", facing, points.take(opposite[twin], axis=0) - begins)
    flat = (np.abs(height) <= tol.flat_mm) & (np.abs(height[twin]) <= tol.flat_mm)
    flat |= np.einsum("ij,ij->i", facing, normal.take(right, axis=0)) > np.cos(tol.flat_rad)
    flat &= ~(sliver[left] | sliver[right])
    # each edge is there in both directions
    links = np.flatnonzero(flat & (left < right))
    root = joined_sets(len(tris), np.stack([left[links], right[links]], axis=1))
    roots = np.flatnonzero((root == np.arange(len(tris))) & ~sliver)
    number = np.full(len(tris), -1)
    number[roots] = np.arange(len(roots))
    facet = number[root]
    mesh_first = np.searchsorted(mesh_of[roots], np.arange(len(meshes) + 1))

    good = facet >= 0
    count = len(roots)
    weight = double_area[good] / 2.0
    area = group_sums(facet[good], weight, count)
    facet_normal = group_sums(facet[good], normals[good], count)
    facet_normal /= _lengths(facet_normal)[:, None]
    middle = (a + b + c)[good] / 3.0
    centre = group_sums(facet[good], weight[:, None] * middle, count) / area[:, None]

    border = np.flatnonzero((facet[left] != facet[right]) & good[left])
    border = border[np.argsort(facet[left[border]], kind="stable")]
    owner = facet[left[border]]
    corner_first = np.searchsorted(owner, np.arange(count + 1))
    edge = edges.take(border, axis=0)
    along = edge[corner_first[:-1]]
    along -= np.einsum("ij,ij->i", along, facet_normal)[:, None] * facet_normal
    along /= _lengths(along)[:, None]
    across = cross_products(facet_normal, along)
    corners = begins.take(border, axis=0)

    quads, quad_facet = _quads(
        owner, corners, start[border], end[border], centre, facet_normal, along, across
    )
    single = np.ones(count + 1, dtype=bool)
    single[quad_facet] = False
    rest = np.flatnonzero(good & single[facet])
    mine = np.zeros(len(tris), dtype=bool)
    mine[rest] = True
    within = np.flatnonzero(flat & (left < right) & mine[left] & mine[right])
    pairs, corner = _in_pairs(within, start, end, opposite, twin, points, normal)
    mine[left[pairs]] = mine[right[pairs]] = False
    rest = np.flatnonzero(mine)
    corner = np.concatenate([corner, tris[rest][:, [0, 1, 2, 2]]])
    pieces = np.concatenate([quads, points.take(corner, axis=0)])
    piece_facet = np.concatenate([quad_facet, facet[left[pairs]], facet[rest]])
    by_facet = np.argsort(piece_facet, kind="stable")

    # a step this low makes no pocket that anything could enter
    low = tol.contact_gap_mm / 10.0
    reflex = ~flat & (height > low) & (height[twin] > low)
    used = np.zeros(len(points), dtype=bool)
    used[start] = True
    vertices = np.diff(first_of(used)[vertex_first])
    euler = vertices - np.diff(triangle_first) // 2
    has_reflex = np.bincount(mesh_of[left[reflex]], minlength=len(meshes)) > 0
    return Facets(
        mesh_first=mesh_first,
        normal=facet_normal,
        centre=centre,
        along=along,
        area=area,
        corner_first=corner_first,
        corners=corners,
        piece_first=np.searchsorted(piece_facet[by_facet], np.arange(count + 1)),
        pieces=pieces[by_facet],
        edge_facet=np.stack([owner, facet[right[border]]], axis=1),
        edge=edge,
        reflex=reflex[border],
        triangle_facet=facet,
        triangle_first=triangle_first,
        # closed, connected (Euler number 2) and nowhere hollow: convex (Tietze and Nakajima)
        convex=~has_reflex & (euler == 2),
    )


def _refuse(meshes: Sequence[Mesh]) -> None:
    """Say which mesh is empty, not finite, or names corners it has not."""
    for name, v, f in meshes:
        if len(f) == 0:
            raise GeometryError(f"part {name}: its mesh has no faces; a closed solid is needed")
        if not np.all(np.isfinite(v)):
            raise GeometryError(f"part {name}: its mesh has a corner that is not a finite number")
        if f.min() < 0 or f.max() >= len(v):
            raise GeometryError(f"part {name}: its mesh names corner {f.max()} of {len(v)}")


def _lengths(vectors: Floats) -> Floats:
    """(n,) lengths of (n, 3) vectors."""
    out: Floats = np.sqrt(np.einsum("ij,ij->i", vectors, vectors))
    return out


def _twins(start: Ints, end: Ints, points: int, mesh_of: Ints, names: Sequence[str]) -> Ints:
    """(3 t,) the opposite directed edge of every directed edge, or an error that names the open mesh."""
    key, reverse = start * points + end, end * points + start
    order = np.argsort(key, kind="stable")
    ordered = key[order]
    place = np.minimum(np.searchsorted(ordered, reverse), max(len(ordered) - 1, 0))
    lost = ordered[place] != reverse
    twice = np.zeros(len(key), dtype=bool)
    twice[order[1:]] = ordered[1:] == ordered[:-1]
    bad = lost | twice | (start == end)
    if np.any(bad):
        mesh = int(mesh_of[np.flatnonzero(bad)[0] // 3])
        mine = bad.reshape(-1, 3)[mesh_of == mesh]
        raise GeometryError(
            f"part {names[mesh]}: its mesh is not closed, {int(mine.sum())} edges are not shared by exactly"
            " two faces; a closed solid is needed"
        )
    out: Ints = order[place]
    return out


def _in_pairs(
    edges: Ints, start: Ints, end: Ints, opposite: Ints, twin: Ints, points: Floats, normal: Floats
) -> tuple[Ints, Ints]:
    """Triangles of a flat face put together in pairs that are convex: half the pieces are a quarter the cuts.

    Args:
        edges: directed edges between two triangles of one face, each once.
        start, end, opposite, twin: of every directed edge.
        normal: (t, 3) of the triangles.

    Returns: (k,) the edges across which two triangles are put together, each triangle at most once, the
        longest edges first, and (k, 4) corners counter-clockwise.
    """
    corner = np.stack([start[edges], opposite[twin[edges]], end[edges], opposite[edges]], axis=1)
    place = points.take(corner, axis=0)
    side = np.roll(place, -1, axis=1) - place
    facing = normal.take(edges // 3, axis=0)
    for k in (1, 3):  # at the ends of the common edge
        turn = np.einsum("ij,ij->i", cross_products(side[:, k], side[:, (k + 1) % 4]), facing)
        kept = turn >= 0.0
        edges, corner, side, facing, place = edges[kept], corner[kept], side[kept], facing[kept], place[kept]
    long = _lengths(place[:, 2] - place[:, 0])
    chosen: list[int] = []
    taken: set[int] = set()
    one, two = (edges // 3).tolist(), (twin[edges] // 3).tolist()
    for k in np.argsort(-long, kind="stable").tolist():
        if one[k] not in taken and two[k] not in taken:
            taken.update((one[k], two[k]))
            chosen.append(k)
    return edges[chosen], corner[chosen]


def _quads(
    owner: Ints,
    corners: Floats,
    start: Ints,
    end: Ints,
    centre: Floats,
    normal: Floats,
    along: Floats,
    across: Floats,
) -> tuple[Floats, Ints]:
    """The facets that are convex with three or four corners: (k, 4, 3) corners and (k,) facet numbers.

    A single convex outline is met in the order of the angle about its centroid; anything else (a ring, a
    notch, an outline that touches itself) is met in some other order or turns the wrong way.
    """
    arm = corners - centre.take(owner, axis=0)
    x, y = (np.einsum("ij,ij->i", arm, axis.take(owner, axis=0)) for axis in (along, across))
    order = np.lexsort((np.arctan2(y, x), owner))
    first = np.searchsorted(owner, np.arange(len(centre) + 1))
    follow = np.arange(1, len(order) + 1)
    follow[first[1:] - 1] = first[:-1]
    point, owner = corners.take(order, axis=0), owner[order]
    edge = point.take(follow, axis=0) - point
    turn = np.einsum("ij,ij->i", cross_products(edge, edge.take(follow, axis=0)), normal.take(owner, axis=0))
    size = _lengths(edge)
    # sine of the turn: below a millionth of a radian an outline runs straight on
    sine = turn / np.maximum(size * size[follow], 1e-300)
    wrong = (end[order] != start[order][follow]) | (sine < -1e-6)
    kept = np.zeros(len(order), dtype=bool)
    kept[follow] = sine > 1e-6
    number = np.bincount(owner[kept], minlength=len(centre))
    plain = (np.bincount(owner[wrong], minlength=len(centre)) == 0) & (number >= 3) & (number <= 4)
    chosen = np.flatnonzero(plain)
    head = first_of(np.bincount(owner[kept], minlength=len(centre)))[chosen]
    index = head[:, None] + np.minimum(np.arange(4)[None, :], number[chosen][:, None] - 1)
    return point[np.flatnonzero(kept)[index]] if len(chosen) else np.empty((0, 4, 3)), chosen
