"""Which parts stand in the way of which, along a straight way out: an exact sweep of meshes.

A part moved along a direction runs into another exactly where one of its faces that look forward meets, ahead
of it, a face of the other that looks back. Seen along the direction both are plane polygons, so the question
is whether they overlap there and how far apart they are: no swept solid has to be built, and no part has to
be convex. (They are apart at the start, and a line enters a solid through a face that looks back along it.)
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from furnigen.core.array_types import Floats, Ints
from furnigen.mesh.flat_arrays import cross_products, expand, first_of, products
from furnigen.mesh.polygon_clipping import area_and_centroid, clip_convex
from furnigen.mesh.scene import Scene
from furnigen.mesh.tolerances import Bools

Point = tuple[float, float, float]

SIDELONG = 1e-6
"""Faces that lean this little to the direction (cosine) slide along: over 1 m they gain a micrometre."""
BLOCK = 200_000
"""Pairs of face pieces, or of copies, looked at together, to bound the memory of large models."""


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
        turn = scene.turn.take(copy, axis=0)
        corners = facets.pieces[piece] @ turn.transpose(0, 2, 1) + scene.shift[copy][:, None, :]
        normal = np.matmul(turn, facets.normal[facet][:, :, None])[:, :, 0]
        self._scene = scene
        self._copy = copy
        # coordinates first and pieces last: arrays run fastest along their last axis
        self._corners = np.ascontiguousarray(corners.transpose(2, 1, 0))
        self._normal = np.ascontiguousarray(normal.T)
        curved = np.array([p.curved for p in scene.model.parts], dtype=bool)
        self._curved = curved[scene.part]
        # two round faces that fit leave slivers as thick as both facets are off
        self._round_mm = max(2.0 * deflection_mm, scene.tol.contact_width_mm)
        self._swept: dict[Point, Blocking] = {}

    def blocking(self, direction: Point) -> Blocking:
        """Which copies run into which when moved along `direction` (a unit vector), however far."""
        self.sweep([direction])
        x, y, z = direction
        return self._swept[x + 0.0, y + 0.0, z + 0.0]

    def sweep(self, directions: Iterable[Point]) -> None:
        """Sweep along several directions at once, for `blocking` to look up: most of it is a fixed cost.

        A direction and its opposite are swept as one.
        """
        found: dict[Point, None] = {}
        for direction in directions:
            x, y, z = (c + 0.0 for c in direction)
            if (x, y, z) not in self._swept and (0.0 - x, 0.0 - y, 0.0 - z) not in found:
                found[x, y, z] = None
        new = list(found)
        together = max(1, BLOCK // max(len(self._scene.part) ** 2, len(self._copy), 1))
        for at in range(0, len(new), together):
            ways = new[at : at + together]
            for (x, y, z), there in zip(ways, self._along(ways), strict=True):
                self._swept[x, y, z] = there
                # what runs into another one way is run into by it the other way, as soon
                self._swept[0.0 - x, 0.0 - y, 0.0 - z] = Blocking(there.blocker, there.mover, there.free_mm)

    def _along(self, ways: Sequence[Point]) -> list[Blocking]:
        """What stands in the way along each of some directions."""
        view = _View(self._scene, self._copy, self._corners, self._normal, ways)
        nothing = np.empty(0, dtype=np.int64)
        found = [self._among(view, p, q) for p, q in self._near(view)] or [(nothing, nothing, np.empty(0))]
        mover, blocker, free = (np.concatenate(column) for column in zip(*found, strict=True))
        size = len(self._scene.part)
        pair, where = np.unique(mover * size + blocker % size, return_inverse=True)
        least = np.full(len(pair), np.inf)
        np.minimum.at(least, where, free)
        mover, blocker = np.divmod(pair, size) if size else (pair, pair)
        ends = np.searchsorted(mover, size * np.arange(len(ways) + 1)).tolist()
        return [
            Blocking(mover[i:j] - k * size, blocker[i:j], least[i:j])
            for k, (i, j) in enumerate(pairwise(ends))
        ]

    def _near(self, view: _View) -> Iterator[tuple[Ints, Ints]]:
        """Pieces that look forward, and those that look back they may meet, pair by pair, in blocks."""
        # what is slimmer, seen along the way, is no face
        width = self._scene.tol.contact_width_mm
        slack = self._round_mm + self._scene.tol.contact_gap_mm
        i, j = view.meeting_copies(width, slack)
        mine, many_a = view.meeting_pieces(view.ahead, i, j, width)
        other, many_b = view.meeting_pieces(view.behind, j, i, width)
        start_a, start_b = first_of(many_a), first_of(many_b)
        load = first_of(many_a * many_b)
        start = 0
        while start < len(i):
            stop = max(int(np.searchsorted(load, load[start] + BLOCK, side="right")) - 1, start + 1)
            run = slice(start, stop)
            _, p, q = products(start_a[:-1][run], many_a[run], start_b[:-1][run], many_b[run])
            p, q = mine[p], other[q]
            near = _overlap(view.lo, view.hi, p, view.lo, view.hi, q, width)
            near &= view.hi[2, q] > view.lo[2, p] - slack
            yield p[near], q[near]
            start = stop

    def _among(self, view: _View, p: Ints, q: Ints) -> tuple[Ints, Ints, Floats]:
        """Of pairs of a forward face piece p and a backward one q, those that run into each other."""
        one, two = view.corners.take(p, axis=2), view.corners.take(q, axis=2)
        base = one[:, :1].copy()
        one -= base
        two -= base
        # the second piece is seen from behind, so its outline runs the other way
        rows, poly, _ = clip_convex(one[:2].transpose(2, 1, 0), two[:2, ::-1].transpose(2, 1, 0))
        p, q, corner = p[rows], q[rows], two[:, 0].take(rows, axis=1)
        area, middle = area_and_centroid(poly)
        extent = np.linalg.norm(poly.max(axis=1) - poly.min(axis=1), axis=1)
        mover, blocker = view.copy[p], view.copy[q]
        size = len(self._scene.part)
        both_round = self._curved[mover % size] & self._curved[blocker % size]
        thick = np.where(both_round, self._round_mm, self._scene.tol.contact_width_mm)
        # how far the second plane lies ahead of the first: both rise evenly across what is seen
        front, back = view.normal.take(p, axis=1), view.normal.take(q, axis=1)
        rise = front[:2] / front[2] - back[:2] / back[2]
        ahead = np.sum(corner * back, axis=0) / back[2]
        gap = ahead + rise[0] * poly[:, :, 0].T + rise[1] * poly[:, :, 1].T
        # not yet passed: apart by no less than two fitting faces may seem to overlap
        slack = np.where(both_round, self._round_mm, self._scene.tol.contact_gap_mm)
        met = (area > thick * extent) & (ahead + np.sum(rise * middle.T, axis=0) > -slack)
        return mover[met], blocker[met], np.maximum(gap.min(axis=0)[met], 0.0)


class _View:
    """A model seen along several ways, once for each: copy c along way w is number w * copies + c here.

    Attributes:
        copy: (m,) the copy each piece seen belongs to, rising.
        corners: (3, 4, m) corners of the pieces: two coordinates across the way, and how far along it, mm.
        normal: (3, m) their normals, likewise.
        lo, hi: (3, m) bounds of the pieces, likewise.
        ahead, behind: the pieces that look forward, and back.
        copy_lo, copy_hi: (3, ways, copies) bounds of the copies, likewise.
    """

    def __init__(
        self, scene: Scene, copy: Ints, corners: Floats, normal: Floats, ways: Sequence[Point]
    ) -> None:
        d = np.asarray(ways, dtype=np.float64)
        u = cross_products(np.eye(3)[np.argmin(np.abs(d), axis=1)], d)
        u /= np.linalg.norm(u, axis=1)[:, None]
        self._axes = axes = np.stack([u, cross_products(d, u), d])  # (3, ways, 3)
        count, size = len(ways), len(scene.part)
        seen = axes.reshape(-1, 3) @ corners.reshape(3, -1)
        self.corners = seen.reshape(3, count, 4, -1).transpose(0, 2, 1, 3).reshape(3, 4, -1)
        self.normal = (axes.reshape(-1, 3) @ normal).reshape(3, -1)
        self.copy = (size * np.arange(count)[:, None] + copy).reshape(-1)
        self.lo, self.hi = self.corners.min(axis=1), self.corners.max(axis=1)
        self.ahead = np.flatnonzero(self.normal[2] > SIDELONG)
        self.behind = np.flatnonzero(self.normal[2] < -SIDELONG)
        ends = axes[..., None] * scene.lo.T, axes[..., None] * scene.hi.T
        self.copy_lo, self.copy_hi = np.minimum(*ends).sum(axis=2), np.maximum(*ends).sum(axis=2)

    def meeting_copies(self, width_mm: float, slack_mm: float) -> tuple[Ints, Ints]:
        """Copies, and those that they may run into: as wide as a face in their way, and not behind."""
        lo, hi = self.copy_lo, self.copy_hi
        # the blocker must reach as far ahead as the mover's rear
        meets = hi[2][:, None, :] > lo[2][:, :, None] - slack_mm
        for low, high in zip(lo[:2], hi[:2], strict=True):
            meets &= low[:, :, None] + width_mm < high[:, None, :]
            meets &= low[:, None, :] + width_mm < high[:, :, None]
        size = lo.shape[2]
        own = np.arange(size)
        meets[:, own, own] = False
        way, i, j = np.nonzero(meets)
        return way * size + i, way * size + j

    def meeting_pieces(self, pieces: Ints, of: Ints, other: Ints, width_mm: float) -> tuple[Ints, Ints]:
        """Of pairs of copies the first's pieces that meet the other's bounds: one pair's after another's, and
        how many for each."""
        first = np.searchsorted(self.copy[pieces], np.arange(self.copy_lo[0].size + 1))
        pair, k = expand(np.diff(first)[of])
        mine = pieces[first[of[pair]] + k]
        lo, hi = self.copy_lo.reshape(3, -1), self.copy_hi.reshape(3, -1)
        kept = _overlap(self.lo, self.hi, mine, lo, hi, other[pair], width_mm)
        return mine[kept], np.bincount(pair[kept], minlength=len(of))


def _overlap(
    lo_a: Floats, hi_a: Floats, a: Ints, lo_b: Floats, hi_b: Floats, b: Ints, width_mm: float
) -> Bools:
    """Whether rectangles a and b of two lists of bounds share one at least this wide both ways."""
    out: Bools = np.ones(len(a), dtype=bool)
    for axis in range(2):
        lo = np.maximum(lo_a[axis].take(a), lo_b[axis].take(b))
        out &= np.minimum(hi_a[axis].take(a), hi_b[axis].take(b)) - lo > width_mm
    return out


def directions_of(vectors: Sequence[Point]) -> list[Point]:
    """Each direction once, and its opposite after it, in the order first met; equal to 1e-6."""
    found: dict[tuple[float, ...], Point] = {}
    for v in vectors:
        for x, y, z in (v, (-v[0], -v[1], -v[2])):
            way = (x + 0.0, y + 0.0, z + 0.0)
            found.setdefault(tuple(round(c, 6) + 0.0 for c in way), way)
    return list(found.values())
