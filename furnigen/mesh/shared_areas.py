"""The area that two facing flat faces share, for many pairs of faces at once.

A face is a few convex pieces, or a thousand where it is bored through for pins. Only the pieces of either
face that reach the box both faces share are moved into the plane; of those, only the pairs whose bounds meet
there are cut. All arrays are made in blocks, so that memory does not grow with the model.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from furnigen.core.array_types import Floats, Ints
from furnigen.mesh.broadphase import meeting_boxes
from furnigen.mesh.flat_arrays import (
    blocks_of,
    concatenated,
    cross_products,
    expand,
    group_sums,
    product_blocks,
)
from furnigen.mesh.polygon_clipping import area_and_centroid, clip_convex
from furnigen.mesh.scene import Scene

BLOCK = 64_000
"""Pieces, and pairs of pieces, worked on at once: some 50 MB."""
MANY = 50_000
"""Two faces of more pairs of pieces than this are searched by the tree of `broadphase`, which takes longer to
begin."""
_ROUNDING_MM = 1e-6
"""Added to the boxes that pieces are chosen by, for rounding: only more pairs are looked at."""

Columns = tuple[Floats, Floats, Floats, Floats]


def shared_areas(scene: Scene, row: Ints, one: Ints, two: Ints) -> Columns:
    """What each of n pairs of facing facets shares, seen along the first's normal.

    Args:
        row: (n,) row of `scene.pairs`.
        one, two: (n,) facet of the first and of the second copy.

    Returns: areas (n,), mm², centroids (n, 3) and world bounds, low (n, 3) and high (n, 3), mm.
    """
    count = np.diff(scene.facets.piece_first)
    columns = [
        _of_block(scene, row[rows], one[rows], two[rows])
        for rows in blocks_of(count[one] + count[two], BLOCK)
    ]
    area, centre, lo, hi = concatenated(columns, (np.empty(0), *[np.empty((0, 3))] * 3))
    return area, centre, lo, hi


def _of_block(scene: Scene, row: Ints, one: Ints, two: Ints) -> Columns:
    facets = scene.facets
    i, j = scene.pairs[row, 0], scene.pairs[row, 1]
    normal, along = scene.turned(i, facets.normal[one]), scene.turned(i, facets.along[one])
    frame = np.stack([along, cross_products(normal, along)], axis=2)
    origin = scene.placed(i, facets.centre[one])
    # both boxes of a pair meet; what lies out of their common box by more than the two planes may part is
    # out of reach of the other face
    a, b = scene.placed_facet(i, one), scene.placed_facet(j, two)
    lo = np.maximum(scene.facet_lo[a], scene.facet_lo[b])
    hi = np.minimum(scene.facet_hi[a], scene.facet_hi[b])
    size = np.linalg.norm(scene.facet_hi[a] - scene.facet_lo[a], axis=1) + np.linalg.norm(
        scene.facet_hi[b] - scene.facet_lo[b], axis=1
    )
    spare = 2.0 * (scene.tol.contact_gap_mm + scene.tol.facing_rad * size) + _ROUNDING_MM
    box = (lo - spare[:, None], hi + spare[:, None])
    first_p, p = _reaching(scene, i, one, box)
    first_q, q = _reaching(scene, j, two, box)
    seen_p = _seen(scene, i, p, first_p, origin, frame)
    # the second facet is seen from behind, so its outline runs the other way
    seen_q = _seen(scene, j, q, first_q, origin, frame)[:, ::-1]
    found = []
    for which, m, n in _meeting(seen_p, first_p, seen_q, first_q):
        clipped, poly, _ = clip_convex(seen_p.take(m, axis=0), seen_q.take(n, axis=0))
        which = which[clipped]
        world = poly @ frame.take(which, axis=0).transpose(0, 2, 1) + origin[which][:, None, :]
        found.append((which, *area_and_centroid(poly), world.min(axis=1), world.max(axis=1)))
    nothing = np.empty((0, 3))
    which, area, middle, low, high = concatenated(
        found, (np.empty(0, dtype=np.int64), np.empty(0), np.empty((0, 2)), nothing, nothing)
    )
    total = group_sums(which, area, len(row))
    moment = group_sums(which, area[:, None] * middle, len(row)) / np.where(total > 0.0, total, 1.0)[:, None]
    centre = origin + np.matmul(frame, moment[:, :, None])[:, :, 0]
    lo, hi = centre.copy(), centre.copy()
    if len(which):
        starts = np.flatnonzero(np.diff(which, prepend=-1))
        lo[which[starts]] = np.minimum.reduceat(low, starts)
        hi[which[starts]] = np.maximum.reduceat(high, starts)
    return total, centre, lo, hi


def _reaching(scene: Scene, copy: Ints, facet: Ints, box: tuple[Floats, Floats]) -> tuple[Ints, Ints]:
    """Pieces of n placed facets that reach a world box each: (n + 1,) first of each, and the pieces."""
    facets = scene.facets
    lo, hi = box
    half, middle = (hi - lo) / 2.0, (hi + lo) / 2.0
    back = scene.turn.take(copy, axis=0).transpose(0, 2, 1)
    middle = np.matmul(back, (middle - scene.shift[copy])[:, :, None])[:, :, 0]
    half = np.matmul(np.abs(back), half[:, :, None])[:, :, 0]
    row, k = expand(np.diff(facets.piece_first)[facet])
    piece = facets.piece_first[facet[row]] + k
    low, high = facets.piece_bounds
    for axis in range(3):
        near = low[piece, axis] <= (middle + half)[row, axis]
        near &= high[piece, axis] >= (middle - half)[row, axis]
        row, piece = row[near], piece[near]
    return np.searchsorted(row, np.arange(len(copy) + 1)), piece


def _seen(scene: Scene, copy: Ints, piece: Ints, first: Ints, origin: Floats, frame: Floats) -> Floats:
    """Corners (k, 4, 2) of pieces in the plane of their pair: (n, 3) origins and (n, 3, 2) frames."""
    row = np.repeat(np.arange(len(copy)), np.diff(first))
    c = copy[row]
    world = scene.facets.pieces.take(piece, axis=0) @ scene.turn.take(c, axis=0).transpose(0, 2, 1)
    out: Floats = (world + (scene.shift[c] - origin[row])[:, None, :]) @ frame.take(row, axis=0)
    return out


def _meeting(
    seen_p: Floats, first_p: Ints, seen_q: Floats, first_q: Ints
) -> Iterator[tuple[Ints, Ints, Ints]]:
    """Pairs of pieces of either side whose bounds meet, in blocks: (pair of facets, piece, piece), sorted."""
    bounds = [bound(axis=1) for seen in (seen_p, seen_q) for bound in (seen.min, seen.max)]
    low_p, high_p, low_q, high_q = bounds
    count_p, count_q = np.diff(first_p), np.diff(first_q)
    many = count_p * count_q > MANY
    # runs of pairs of small faces, and each pair of large ones alone, in their order
    runs = np.flatnonzero(many[1:] | many[:-1]) + 1
    for rows in np.split(np.arange(len(many)), runs):
        if not len(rows):
            continue
        if many[rows[0]]:
            (r,) = rows.tolist()
            own_p, own_q = slice(first_p[r], first_p[r + 1]), slice(first_q[r], first_q[r + 1])
            m, n = _by_tree(low_p[own_p], high_p[own_p], low_q[own_q], high_q[own_q])
            for at in range(0, len(m), BLOCK):
                part = slice(at, at + BLOCK)
                yield np.full(len(m[part]), r), first_p[r] + m[part], first_q[r] + n[part]
            continue
        for which, m, n in product_blocks(first_p[rows], count_p[rows], first_q[rows], count_q[rows], BLOCK):
            keep = np.arange(len(which))
            for axis in range(2):
                near = low_p[m, axis] < high_q[n, axis]
                near &= low_q[n, axis] < high_p[m, axis]
                keep, m, n = keep[near], m[near], n[near]
            yield rows[0] + which[keep], m, n


def _by_tree(low_p: Floats, high_p: Floats, low_q: Floats, high_q: Floats) -> tuple[Ints, Ints]:
    """Which of some boxes (n, 2) meet which of others: (box, other box), sorted."""
    # the tree also finds what meets within one face: no more than what meets between the two
    flat = np.zeros((len(low_p) + len(low_q), 1))
    pairs = meeting_boxes(
        np.hstack([np.concatenate([low_p, low_q]), flat]),
        np.hstack([np.concatenate([high_p, high_q]), flat]),
        0.0,
    )
    pairs = pairs[(pairs[:, 0] < len(low_p)) & (pairs[:, 1] >= len(low_p))]
    return pairs[:, 0], pairs[:, 1] - len(low_p)
