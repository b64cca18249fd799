"""Which parts stand in the way of which, along a straight way out: an exact sweep of meshes.

A part moved along a direction runs into another exactly where one of its faces that look forward meets, ahead
of it, a face of the other that looks back. Seen along the direction both are plane polygons, so the question
is whether they overlap there and how far apart they are: no swept solid has to be built, and no part has to
be convex. (They are apart at the start, and a line enters a solid through a face that looks back along it.)
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from furnigen.mesh.clip import area_and_centroid, clip_convex
from furnigen.mesh.model import Floats, Ints
from furnigen.mesh.ragged import expand, first_of, products
from furnigen.mesh.scene import Scene

Point = tuple[float, float, float]

SIDELONG = 1e-6
"""Faces that lean this little to the direction (cosine) slide along: over 1 m they gain a micrometre."""
BLOCK = 200_000
"""Pairs of face pieces looked at together, to bound the memory of large models."""


@dataclass(frozen=True, eq=False)
class Blocking:
    """What stands in the way along one direction.

    Attributes:
        mover, blocker: (k,) copies: `mover`, moved along the direction, runs into `blocker`.
        free_mm: (k,) how far it gets, mm; 0 where they touch already.
    """

    mover: Ints
    blocker: Ints
    free_mm: Floats


class Sweeper:
    """The faces of a model laid out once, to be swept along any number of directions.

    Args:
        scene: the model made ready.
        deflection_mm: how far facets of curved faces may lie from the true face.
    """

    def __init__(self, scene: Scene, deflection_mm: float = 0.0) -> None:
        facets = scene.facets
        pieces = np.diff(facets.piece_first)
        mesh_pieces = np.diff(facets.piece_first[facets.mesh_first])
        copy, within = expand(mesh_pieces[scene.part])
        piece = facets.piece_first[facets.mesh_first][scene.part[copy]] + within
        facet = np.repeat(np.arange(len(pieces)), pieces)[piece]
        turn = scene.turn[copy]
        self._scene = scene
        self._copy = copy
        self._normal = np.matmul(turn, facets.normal[facet][:, :, None])[:, :, 0]
        self._corners = facets.pieces[piece] @ turn.transpose(0, 2, 1) + scene.shift[copy][:, None, :]
        curved = np.array([p.curved for p in scene.model.parts], dtype=bool)
        self._curved = curved[scene.part]
        # two round faces that fit leave slivers as thick as both facets are off
        self._round_mm = max(2.0 * deflection_mm, scene.tol.contact_width_mm)
        self._swept: dict[Point, Blocking] = {}

    def blocking(self, direction: Point) -> Blocking:
        """Which copies run into which when moved along `direction` (a unit vector), however far."""
        x, y, z = (c + 0.0 for c in direction)
        if (x, y, z) not in self._swept:
            found = self._sweep((x, y, z))
            self._swept[x, y, z] = found
            # what runs into another one way is run into by it the other way, as soon
            self._swept[0.0 - x, 0.0 - y, 0.0 - z] = Blocking(found.blocker, found.mover, found.free_mm)
        return self._swept[x, y, z]

    def _sweep(self, direction: Point) -> Blocking:
        d = np.asarray(direction, dtype=np.float64)
        u = np.cross(np.eye(3)[np.argmin(np.abs(d))], d)
        u /= np.linalg.norm(u)
        frame = np.stack([u, np.cross(d, u)], axis=1)
        lean = self._normal @ d
        ahead, behind = np.flatnonzero(lean > SIDELONG), np.flatnonzero(lean < -SIDELONG)
        found = [self._among(ahead[p], behind[q], d, frame) for p, q in self._near(ahead, behind, d, frame)]
        if not found:
            nothing = np.empty(0, dtype=np.int64)
            return Blocking(nothing, nothing, np.empty(0))
        mover, blocker, free = (np.concatenate(column) for column in zip(*found, strict=True))
        size = len(self._scene.part)
        pair, where = np.unique(mover * size + blocker, return_inverse=True)
        least = np.full(len(pair), np.inf)
        np.minimum.at(least, where, free)
        return Blocking(pair // size, pair % size, least)

    def _near(self, ahead: Ints, behind: Ints, d: Floats, frame: Floats) -> list[tuple[Ints, Ints]]:
        """Pairs (rows of `ahead`, rows of `behind`) that may meet, in blocks: by copies, then by bounds."""
        scene = self._scene
        slack = self._round_mm + scene.tol.contact_gap_mm
        corners = np.stack([np.where(bits, scene.hi, scene.lo) for bits in np.ndindex(2, 2, 2)], axis=1)
        flat, depth = corners @ frame, corners @ d
        lo, hi, top, low = flat.min(axis=1), flat.max(axis=1), depth.max(axis=1), depth.min(axis=1)
        # the blocker must reach as far ahead as the mover's rear
        meets = np.all((lo[:, None] < hi[None, :]) & (lo[None, :] < hi[:, None]), axis=2)
        meets &= top[None, :] > low[:, None] - slack
        np.fill_diagonal(meets, False)
        i, j = np.nonzero(meets)
        size = np.arange(len(scene.part) + 1)
        first_a, first_b = np.searchsorted(self._copy[ahead], size), np.searchsorted(self._copy[behind], size)
        count_a, count_b = np.diff(first_a), np.diff(first_b)
        low_a, high_a, back_a = _seen(self._corners[ahead], frame, d, nearest=True)
        low_b, high_b, front_b = _seen(self._corners[behind], frame, d, nearest=False)
        # of each pair of copies only the pieces that meet the other's bounds
        pair, k = expand(count_a[i])
        mine = first_a[i[pair]] + k
        kept = np.all((low_a[mine] < hi[j[pair]]) & (lo[j[pair]] < high_a[mine]), axis=1)
        mine, many_a = mine[kept], np.bincount(pair[kept], minlength=len(i))
        pair, k = expand(count_b[j])
        other = first_b[j[pair]] + k
        kept = np.all((low_b[other] < hi[i[pair]]) & (lo[i[pair]] < high_b[other]), axis=1)
        other, many_b = other[kept], np.bincount(pair[kept], minlength=len(j))
        start_a, start_b = first_of(many_a), first_of(many_b)
        out = []
        load = np.cumsum(many_a * many_b)
        start = 0
        while start < len(i):
            stop = int(np.searchsorted(load, (load[start - 1] if start else 0) + BLOCK, side="right"))
            stop = max(stop, start + 1)
            run = slice(start, stop)
            _, p, q = products(start_a[:-1][run], many_a[run], start_b[:-1][run], many_b[run])
            p, q = mine[p], other[q]
            near = np.all((low_a[p] < high_b[q]) & (low_b[q] < high_a[p]), axis=1)
            near &= front_b[q] > back_a[p] - slack
            out.append((p[near], q[near]))
            start = stop
        return out

    def _among(self, p: Ints, q: Ints, d: Floats, frame: Floats) -> tuple[Ints, Ints, Floats]:
        """Of pairs of a forward face piece p and a backward one q, those that run into each other."""
        one, two = self._corners[p], self._corners[q]
        base = one[:, :1]
        # the second piece is seen from behind, so its outline runs the other way
        rows, poly, _ = clip_convex((one - base) @ frame, ((two - base) @ frame)[:, ::-1])
        area, _ = area_and_centroid(poly)
        extent = np.linalg.norm(poly.max(axis=1) - poly.min(axis=1), axis=1) if len(poly) else area
        mover, blocker = self._copy[p[rows]], self._copy[q[rows]]
        both_round = self._curved[mover] & self._curved[blocker]
        thick = np.where(both_round, self._round_mm, self._scene.tol.contact_width_mm)
        gap = self._height(q[rows], base[rows], poly, d, frame) - self._height(
            p[rows], base[rows], poly, d, frame
        )
        # not yet passed: apart by no less than two fitting faces may seem to overlap
        slack = np.where(both_round, self._round_mm, self._scene.tol.contact_gap_mm)
        met = (area > thick * extent) & (gap.mean(axis=1) > -slack)
        return mover[met], blocker[met], np.maximum(gap[met].min(axis=1), 0.0)

    def _height(self, piece: Ints, base: Floats, poly: Floats, d: Floats, frame: Floats) -> Floats:
        """How far along d each piece's plane lies at corners of a plane polygon, from `base`."""
        normal = self._normal[piece]
        away = np.einsum("mi,mi->m", self._corners[piece][:, 0] - base[:, 0], normal)
        across = np.matmul(poly, (normal @ frame)[:, :, None])[:, :, 0]
        out: Floats = (away[:, None] - across) / (normal @ d)[:, None]
        return out


def _seen(corners: Floats, frame: Floats, d: Floats, nearest: bool) -> tuple[Floats, Floats, Floats]:
    """Bounds of pieces seen along d, and their nearest or furthest place along it."""
    flat, depth = corners @ frame, corners @ d
    return flat.min(axis=1), flat.max(axis=1), depth.min(axis=1) if nearest else depth.max(axis=1)


def directions_of(vectors: Sequence[Point]) -> list[Point]:
    """Each direction once, and its opposite after it, in the order first met; equal to 1e-6."""
    found: dict[tuple[float, ...], Point] = {}
    for v in vectors:
        for x, y, z in (v, (-v[0], -v[1], -v[2])):
            way = (x + 0.0, y + 0.0, z + 0.0)
            found.setdefault(tuple(round(c, 6) + 0.0 for c in way), way)
    return list(found.values())
