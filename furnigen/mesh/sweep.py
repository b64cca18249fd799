"""Which parts stand in the way of which, along a straight way out: an exact sweep of meshes.

A part moved along a direction runs into another exactly where one of its faces that look forward meets, ahead
of it, a face of the other that looks back. Seen along the direction both are plane polygons, so the question
is whether they overlap there and how far apart they are: no swept solid has to be built, and no part has to
be convex. (They are apart at the start, and a line enters a solid through a face that looks back along it.)

Equal copies that differ by a shift along the direction alone are a line, as are the shelves of one level of a
long run. Whether a copy runs into another that lies wholly ahead of it depends on their lines alone, so it is
found once for two lines; only copies that lie beside each other are looked at one by one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from furnigen.core.array_types import Floats, Ints
from furnigen.mesh.flat_arrays import (
    blocks_of,
    concatenated,
    cross_products,
    expand,
    first_of,
    lower_bounds,
    numbers_of,
    product_blocks,
)
from furnigen.mesh.polygon_clipping import area_and_centroid, clip_convex
from furnigen.mesh.scene import Scene
from furnigen.mesh.tolerances import Bools

Point = tuple[float, float, float]

SIDELONG = 1e-6
"""Faces that lean this little to the direction (cosine) slide along: over 1 m they gain a micrometre."""
BLOCK = 200_000
"""Pairs of face pieces, of lines, or of copies, looked at together, to bound the memory of large models."""
SAME_TURN = 1e9
"""Turns that agree to a part in this many are the same."""
SAME_SHIFT = 1e6
"""Shifts that agree to a millimetre in this many are the same: far below any tolerance."""

Found = tuple[Ints, Ints, Floats]
"""Pairs in arrays: mover, blocker, and how far the mover gets (mm)."""


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
        self._kind = _kinds(scene)
        self._copy = copy
        # coordinates first and pieces last: arrays run fastest along their last axis
        self._corners = np.ascontiguousarray(corners.transpose(2, 1, 0))
        self._normal = np.ascontiguousarray(normal.T)
        curved = np.array([p.curved for p in scene.model.parts], dtype=bool)
        self._curved = curved[scene.part]
        # two round faces that fit leave slivers as thick as both facets are off
        self._round_mm = max(2.0 * deflection_mm, scene.tol.contact_width_mm)
        self._blockers: dict[Point, list[int]] = {}

    def blocking(self, direction: Point) -> Blocking:
        """Which copies run into which when moved along `direction` (a unit vector), and how soon."""
        nothing = np.empty(0, dtype=np.int64)
        mover, blocker, free = concatenated(list(self._found([direction])), (nothing, nothing, np.empty(0)))
        size = len(self._scene.part)
        pair, where = np.unique(mover * size + blocker, return_inverse=True)
        least = np.full(len(pair), np.inf)
        np.minimum.at(least, where, free)
        mover, blocker = np.divmod(pair, size) if size else (pair, pair)
        return Blocking(mover, blocker, least)

    def blockers(self, direction: Point) -> list[int]:
        """For each copy those it runs into along `direction` (a unit vector), as the bits of a number."""
        self.sweep([direction])
        x, y, z = direction
        return self._blockers[x + 0.0, y + 0.0, z + 0.0]

    def sweep(self, directions: Iterable[Point]) -> None:
        """Sweep along several directions at once, for `blockers` to look up: most of it is a fixed cost.

        A direction and its opposite are swept as one.
        """
        found: dict[Point, None] = {}
        for direction in directions:
            x, y, z = (c + 0.0 for c in direction)
            if (x, y, z) not in self._blockers and (0.0 - x, 0.0 - y, 0.0 - z) not in found:
                found[x, y, z] = None
        new = list(found)
        size = len(self._scene.part)
        together = max(1, BLOCK // max(size**2, len(self._copy), 1))
        for at in range(0, len(new), together):
            ways = new[at : at + together]
            there = np.zeros((len(ways) * size, (size + 7) // 8), dtype=np.uint8)
            back = there.copy()
            for mover, blocker, _ in self._found(ways):
                i, j = mover % max(size, 1), blocker % max(size, 1)
                np.bitwise_or.at(there, (mover, j >> 3), (1 << (j & 7)).astype(np.uint8))
                # what runs into another one way is run into by it the other way
                np.bitwise_or.at(back, (blocker, i >> 3), (1 << (i & 7)).astype(np.uint8))
            for k, (x, y, z) in enumerate(ways):
                rows = slice(k * size, (k + 1) * size)
                self._blockers[x, y, z] = numbers_of(there[rows])
                self._blockers[0.0 - x, 0.0 - y, 0.0 - z] = numbers_of(back[rows])

    def _found(self, ways: Sequence[Point]) -> Iterator[Found]:
        """What stands in the way along each of some directions, in blocks; a pair may come several times.

        Copy c along way w is number w * copies + c.
        """
        view = _View(self._scene, self._kind, self._copy, self._corners, self._normal, ways)
        # what is slimmer, seen along the way, is no face
        width = self._scene.tol.contact_width_mm
        slack = self._round_mm + self._scene.tol.contact_gap_mm
        for one, two in view.meeting_lines(width):
            apart = self._apart(view, one, two, width)
            for row, i, beside, ahead, end in view.reach(one, two, slack):
                hits = np.flatnonzero(np.isfinite(apart[row]))
                for at, j in view.members(hits, ahead, end):
                    free = apart[row[at]] + view.along[j] - view.along[i[at]]
                    yield i[at], j, np.maximum(free, 0.0)
                for at, j in view.members(np.arange(len(row)), beside, ahead):
                    mover = i[at]
                    near = (j != mover) & (view.copy_hi[2, j] > view.copy_lo[2, mover] - slack)
                    yield from self._beside(view, mover[near], j[near], width, slack)

    def _apart(self, view: _View, one: Ints, two: Ints, width: float) -> Floats:
        """How far the copies of n pairs of lines are apart, were both their frames level with each other.

        Returns: (n,) mm, along the way; infinite where none of one line runs into any of the other that lies
        wholly ahead of it.
        """
        out = np.full(len(one), np.inf)
        rows = np.flatnonzero(view.first_hi[one] <= view.last_lo[two])
        i, j = view.of_line[one[rows]], view.of_line[two[rows]]
        for row, p, q in self._near(view, i, j, width):
            met, gap, _ = self._meeting(view, p, q)
            np.minimum.at(out, rows[row[met]], gap)
        out[rows] -= view.along[j] - view.along[i]
        return out

    def _beside(self, view: _View, i: Ints, j: Ints, width: float, slack: float) -> Iterator[Found]:
        """Which copies run into which that do not lie wholly ahead of them."""
        for row, p, q in self._near(view, i, j, width):
            far = view.hi[2, q] > view.lo[2, p] - slack
            row, p, q = row[far], p[far], q[far]
            met, gap, middle = self._meeting(view, p, q)
            mover, blocker = i[row[met]], j[row[met]]
            # not yet passed: apart by no less than two fitting faces may seem to overlap
            seeming = np.where(
                self._both_round(mover, blocker), self._round_mm, self._scene.tol.contact_gap_mm
            )
            ahead = middle > -seeming
            yield mover[ahead], blocker[ahead], np.maximum(gap[ahead], 0.0)

    def _near(self, view: _View, i: Ints, j: Ints, width: float) -> Iterator[tuple[Ints, Ints, Ints]]:
        """Forward pieces of copies i, and backward pieces of copies j that they may meet.

        Returns: blocks of (row of i and j, piece, piece).
        """
        for rows in blocks_of(view.ahead.count[i] + view.behind.count[j], BLOCK):
            mine, many_a = view.meeting_pieces(view.ahead, i[rows], j[rows], width)
            other, many_b = view.meeting_pieces(view.behind, j[rows], i[rows], width)
            starts = first_of(many_a)[:-1], first_of(many_b)[:-1]
            for row, p, q in product_blocks(starts[0], many_a, starts[1], many_b, BLOCK):
                p, q = mine[p], other[q]
                near = _overlap(view.lo, view.hi, p, view.lo, view.hi, q, width)
                yield rows.start + row[near], p[near], q[near]

    def _both_round(self, mover: Ints, blocker: Ints) -> Bools:
        size = len(self._scene.part)
        out: Bools = self._curved[mover % size] & self._curved[blocker % size]
        return out

    def _meeting(self, view: _View, p: Ints, q: Ints) -> tuple[Ints, Floats, Floats]:
        """Of pairs of a forward face piece p and a backward one q, those that cover each other.

        Returns: which pairs, and how far the second lies ahead: where it is nearest, and in the middle of
        what they share (mm).
        """
        one, two = view.corners.take(p, axis=2), view.corners.take(q, axis=2)
        base = one[:, :1].copy()
        one -= base
        two -= base
        # the second piece is seen from behind, so its outline runs the other way
        rows, poly, _ = clip_convex(one[:2].transpose(2, 1, 0), two[:2, ::-1].transpose(2, 1, 0))
        p, q, corner = p[rows], q[rows], two[:, 0].take(rows, axis=1)
        area, middle = area_and_centroid(poly)
        extent = np.linalg.norm(poly.max(axis=1) - poly.min(axis=1), axis=1)
        both_round = self._both_round(view.copy[p], view.copy[q])
        thick = np.where(both_round, self._round_mm, self._scene.tol.contact_width_mm)
        # how far the second plane lies ahead of the first: both rise evenly across what is seen
        front, back = view.normal.take(p, axis=1), view.normal.take(q, axis=1)
        rise = front[:2] / front[2] - back[:2] / back[2]
        ahead = np.sum(corner * back, axis=0) / back[2]
        gap = ahead + rise[0] * poly[:, :, 0].T + rise[1] * poly[:, :, 1].T
        met = area > thick * extent
        return rows[met], gap.min(axis=0)[met], (ahead + np.sum(rise * middle.T, axis=0))[met]


@dataclass(frozen=True, eq=False)
class _Looking:
    """The pieces that look forward, or back, by copy: `pieces[first[c]]` is copy c's first of `count[c]`."""

    pieces: Ints
    first: Ints
    count: Ints


class _View:
    """A model seen along several ways, once for each: copy c along way w is number w * copies + c here.

    Attributes:
        copy: (m,) the copy each piece seen belongs to, rising.
        corners: (3, 4, m) corners of the pieces: two coordinates across the way, and how far along it, mm.
        normal: (3, m) their normals, likewise.
        lo, hi: (3, m) bounds of the pieces, likewise.
        ahead, behind: the pieces that look forward, and back.
        copy_lo, copy_hi: (3, copies) bounds of the copies, likewise.
        along: (copies,) how far along the way each copy's frame is, mm.
        of_line: (k,) a copy of each line.
        first_hi: (k,) where the first copy of each line ends along the way, mm.
        last_lo: (k,) where the last copy of each line begins, mm.
    """

    def __init__(
        self, scene: Scene, kind: Ints, copy: Ints, corners: Floats, normal: Floats, ways: Sequence[Point]
    ) -> None:
        d = np.asarray(ways, dtype=np.float64)
        u = cross_products(np.eye(3)[np.argmin(np.abs(d), axis=1)], d)
        u /= np.linalg.norm(u, axis=1)[:, None]
        axes = np.stack([u, cross_products(d, u), d])  # (3, ways, 3)
        count, size = len(ways), len(scene.part)
        seen = axes.reshape(-1, 3) @ corners.reshape(3, -1)
        self.corners = seen.reshape(3, count, 4, -1).transpose(0, 2, 1, 3).reshape(3, 4, -1)
        self.normal = (axes.reshape(-1, 3) @ normal).reshape(3, -1)
        self.copy = (size * np.arange(count)[:, None] + copy).reshape(-1)
        self.lo, self.hi = self.corners.min(axis=1), self.corners.max(axis=1)
        self.ahead = self._looking(np.flatnonzero(self.normal[2] > SIDELONG), count * size)
        self.behind = self._looking(np.flatnonzero(self.normal[2] < -SIDELONG), count * size)
        ends = axes[..., None] * scene.lo.T, axes[..., None] * scene.hi.T
        self.copy_lo = np.minimum(*ends).sum(axis=2).reshape(3, -1)
        self.copy_hi = np.maximum(*ends).sum(axis=2).reshape(3, -1)
        places = (axes.reshape(-1, 3) @ scene.shift.T).reshape(3, -1)
        self.along = places[2]
        self._lines(np.repeat(np.arange(count), size), np.tile(kind, count), places[:2])

    def _looking(self, pieces: Ints, copies: int) -> _Looking:
        first = np.searchsorted(self.copy[pieces], np.arange(copies + 1))
        return _Looking(pieces, first[:-1], np.diff(first))

    def _lines(self, way: Ints, kind: Ints, across: Floats) -> None:
        """Find the lines, way after way, and lay out the copies of each from its low end."""
        u, v = np.round(across * SAME_SHIFT).astype(np.int64)
        low = self.copy_lo[2]
        self._member = order = np.lexsort((low, v, u, kind, way))
        keys = np.stack([way, kind, u, v])[:, order]
        starts = np.flatnonzero(np.any(np.diff(keys, axis=1, prepend=-1 + keys[:, :1]) != 0, axis=0))
        self._first = np.append(starts, len(order))
        self._low = low[order]
        self.of_line = order[starts]
        self._way_of_line = way[self.of_line]
        if len(starts):
            high, size = self.copy_hi[2][order], (self.copy_hi[2] - low)[order]
            self.first_hi, self.last_lo = np.minimum.reduceat(high, starts), self._low[self._first[1:] - 1]
            self._longest = np.maximum.reduceat(size, starts)

    def meeting_lines(self, width_mm: float) -> Iterator[tuple[Ints, Ints]]:
        """Pairs of lines one of which covers the other by a face's width, either way round, in blocks."""
        if not len(self.of_line):
            return
        borders = np.flatnonzero(np.diff(self._way_of_line)) + 1
        lo, hi = self.copy_lo[:2, self.of_line], self.copy_hi[:2, self.of_line]
        for own in np.split(np.arange(len(self.of_line)), borders):
            low, high = lo[:, own], hi[:, own]
            step = max(1, BLOCK // len(own))
            for at in range(0, len(own), step):
                rows = slice(at, at + step)
                meets = np.ones((len(own[rows]), len(own)), dtype=bool)
                for axis in range(2):
                    meets &= low[axis, rows, None] + width_mm < high[axis]
                    meets &= low[axis] + width_mm < high[axis, rows, None]
                one, two = np.nonzero(meets)
                yield own[rows][one], own[two]

    def reach(self, one: Ints, two: Ints, slack_mm: float) -> Iterator[tuple[Ints, Ints, Ints, Ints, Ints]]:
        """Of pairs of lines each copy of the first, in blocks: (pair, copy, and in the second line where what
        is beside the copy begins, what is wholly ahead of it, and the end); for `members`."""
        for rows in blocks_of(np.diff(self._first)[one], BLOCK):
            pair, k = expand(np.diff(self._first)[one[rows]])
            line, other = one[rows][pair], two[rows][pair]
            i = self._member[self._first[line] + k]
            begin, end = self._first[other], self._first[other + 1]
            ahead = lower_bounds(self._low, begin, end, self.copy_hi[2, i])
            rear = self.copy_lo[2, i] - slack_mm - self._longest[other]
            yield rows.start + pair, i, lower_bounds(self._low, begin, ahead, rear), ahead, end

    def members(self, rows: Ints, begin: Ints, end: Ints) -> Iterator[tuple[Ints, Ints]]:
        """For some rows of `reach` the copies from one place up to another, in blocks: (row, copy)."""
        counts = (end - begin)[rows]
        for part in blocks_of(counts, BLOCK):
            row, k = expand(counts[part])
            at = rows[part][row]
            yield at, self._member[begin[at] + k]

    def meeting_pieces(self, looking: _Looking, of: Ints, other: Ints, width_mm: float) -> tuple[Ints, Ints]:
        """Of pairs of copies the first's pieces that meet the other's bounds: one pair's after another's, and
        how many for each."""
        pair, k = expand(looking.count[of])
        mine = looking.pieces[looking.first[of[pair]] + k]
        kept = _overlap(self.lo, self.hi, mine, self.copy_lo, self.copy_hi, other[pair], width_mm)
        return mine[kept], np.bincount(pair[kept], minlength=len(of))


def _kinds(scene: Scene) -> Ints:
    """(n,) copies of one part that are turned alike have one number."""
    turns = np.round(scene.turn.reshape(-1, 9) * SAME_TURN).astype(np.int64)
    rows = np.column_stack([scene.part, turns])
    return np.unique(rows, axis=0, return_inverse=True)[1].reshape(-1)


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
