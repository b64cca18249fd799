"""Which parts touch, over what area and facing which way: opposite flat faces in one plane.

Every flat face is a few convex pieces of three or four corners, so the area two faces share is a sum of
convex clips, done for the whole model at once and exact for any outline, tilt or window.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from itertools import repeat

import numpy as np

from furnigen.core.array_types import Floats, Ints
from furnigen.mesh.flat_arrays import cross_products, expand, group_sums, products
from furnigen.mesh.polygon_clipping import area_and_centroid, clip_convex
from furnigen.mesh.scene import Scene

Point = tuple[float, float, float]

# Pairs looked at together: enough to drown numpy's cost per call, few enough to stay in the cache.
BLOCK = 2048


@dataclass(frozen=True, slots=True)
class Patch:
    """One flat face of a contact.

    Attributes:
        area_mm2: area shared.
        normal: unit normal from a towards b.
        centre: centroid, world mm.
        lo, hi: world bounds, mm.
    """

    area_mm2: float
    normal: Point
    centre: Point
    lo: Point
    hi: Point


@dataclass(frozen=True, eq=False)
class FacePatches:
    """Many faces in arrays: (n,) areas, mm², (n, 3) unit normals from a to b, centroids and bounds, mm."""

    area: Floats
    normal: Floats
    centre: Floats
    lo: Floats
    hi: Floats

    @cached_property
    def patches(self) -> tuple[Patch, ...]:
        """The faces one by one, made when the first is asked for."""
        points = (points_of(column) for column in (self.normal, self.centre, self.lo, self.hi))
        return tuple(map(Patch, self.area.tolist(), *points))


@dataclass(frozen=True, eq=False, slots=True)
class ContactTable:
    """All contacts of a model in arrays: a long run has tens of thousands, which few ask for one by one.

    Attributes:
        whole: each contact as one face: all its area, the normal of its largest patch, the common centroid.
        parts: the patches of all contacts.
        first: n + 1 indices, the first patch of each contact.
        copy: (n,) the first copy of each contact, by its place in the model; rising.
    """

    whole: FacePatches
    parts: FacePatches
    first: list[int]
    copy: Ints


@dataclass(frozen=True, slots=True)
class Contact:
    """Two placed copies that touch on one or more flat faces.

    Attributes:
        a, b: labels, in model order.
        area_mm2: area of all patches.
        table: where the rest is kept.
        row: the contact's row in the table.
    """

    a: str
    b: str
    area_mm2: float
    table: ContactTable = field(repr=False, compare=False)
    row: int = field(repr=False)

    @property
    def normal(self) -> Point:
        """Unit normal, from a towards b, of the largest patch."""
        return self._whole.normal

    @property
    def centre(self) -> Point:
        """Centroid of all patches, world mm."""
        return self._whole.centre

    @property
    def lo(self) -> Point:
        """Low corner of the world bounds of all patches, mm."""
        return self._whole.lo

    @property
    def hi(self) -> Point:
        """High corner of the world bounds of all patches, mm."""
        return self._whole.hi

    @property
    def patches(self) -> tuple[Patch, ...]:
        """The flat faces, in the order of a's and then b's faces."""
        first, last = self.table.first[self.row], self.table.first[self.row + 1]
        return self.table.parts.patches[first:last]

    @property
    def _whole(self) -> Patch:
        return self.table.whole.patches[self.row]


def find_contacts(scene: Scene) -> tuple[Contact, ...]:
    """Every pair of copies whose flat faces touch, in model order; edges and corners do not count."""
    blocks = [
        _patches(scene, at, min(at + BLOCK, len(scene.pairs))) for at in range(0, len(scene.pairs), BLOCK)
    ]
    if not blocks:
        return ()
    row, *columns = (np.concatenate(column) for column in zip(*blocks, strict=True))
    return _gathered(scene, row, FacePatches(*columns))


def _patches(scene: Scene, start: int, stop: int) -> tuple[Ints, Floats, Floats, Floats, Floats, Floats]:
    """Rows start to stop of scene.pairs: the row of each patch, then its columns of `FacePatches`."""
    row, one, two = _facing(scene, start, stop)
    area, centre, lo, hi = _shared_areas(scene, row, one, two)
    i, j = scene.pairs[row, 0], scene.pairs[row, 1]
    normal = _turned(scene, i, scene.facets.normal[one])
    away = np.einsum("pi,pi->p", centre - _placed(scene, j, scene.facets.centre[two]), normal)
    extent = np.linalg.norm(hi - lo, axis=1)
    real = (np.abs(away) <= scene.tol.contact_gap_mm) & scene.tol.is_face(area, extent)
    return row[real], area[real], normal[real], centre[real], lo[real], hi[real]


def _gathered(scene: Scene, row: Ints, parts: FacePatches) -> tuple[Contact, ...]:
    """Contacts from their patches, which come sorted by the pair (row of scene.pairs) they belong to."""
    if not len(row):
        return ()
    starts = np.flatnonzero(np.diff(row, prepend=-1))
    first = np.append(starts, len(row))
    total = np.add.reduceat(parts.area, starts)
    group = np.repeat(np.arange(len(starts)), np.diff(first))
    # the first of the largest; a part in a billion keeps rounding from choosing among equals
    largest = np.flatnonzero(np.maximum.reduceat(parts.area, starts)[group] * (1.0 - 1e-9) <= parts.area)
    chosen = largest[np.unique(group[largest], return_index=True)[1]]
    whole = FacePatches(
        total,
        parts.normal[chosen],
        np.add.reduceat(parts.area[:, None] * parts.centre, starts) / total[:, None],
        np.minimum.reduceat(parts.lo, starts),
        np.maximum.reduceat(parts.hi, starts),
    )
    labels = [instance.label for instance in scene.model.instances]
    pairs = scene.pairs[row[starts]]
    one, two = pairs.T.tolist()
    table = ContactTable(whole, parts, first.tolist(), pairs[:, 0])
    return tuple(
        map(
            Contact,
            map(labels.__getitem__, one),
            map(labels.__getitem__, two),
            total.tolist(),
            repeat(table),
            range(len(starts)),
        )
    )


def points_of(rows: Floats) -> list[Point]:
    """Rows of (n, 3) as tuples, without negative zeros."""
    return list(zip(*(rows.T + 0.0).tolist(), strict=True))


def _turned(scene: Scene, copy: Ints, direction: Floats) -> Floats:
    out: Floats = np.matmul(scene.turn.take(copy, axis=0), direction[:, :, None])[:, :, 0]
    return out


def _placed(scene: Scene, copy: Ints, point: Floats) -> Floats:
    return _turned(scene, copy, point) + scene.shift[copy]


def _facing(scene: Scene, start: int, stop: int) -> tuple[Ints, Ints, Ints]:
    """Faces of pairs start to stop that may touch: (row of scene.pairs, facet of a, facet of b), sorted."""
    gap, facets = scene.tol.contact_gap_mm, scene.facets
    i, j = scene.pairs[start:stop].T
    lo = np.maximum(scene.lo[i], scene.lo[j]) - gap
    hi = np.minimum(scene.hi[i], scene.hi[j]) + gap
    sides = []
    for copy in (i, j):
        # only the faces that reach the box both copies share
        row, k = expand(np.diff(scene.facet_first)[copy])
        placed = scene.facet_first[copy[row]] + k
        near = _meeting((scene.facet_lo, scene.facet_hi, placed), (lo, hi, row), 0.0)
        sides.append((np.searchsorted(row[near], np.arange(len(i) + 1)), placed[near]))
    (first_a, placed_a), (first_b, placed_b) = sides
    row, a, b = products(first_a[:-1], np.diff(first_a), first_b[:-1], np.diff(first_b))
    a, b = placed_a[a], placed_b[b]
    near = _meeting((scene.facet_lo, scene.facet_hi, a), (scene.facet_lo, scene.facet_hi, b), gap)
    row, a, b = row[near], a[near], b[near]
    i, j = i[row], j[row]
    one = facets.mesh_first[scene.part[i]] + a - scene.facet_first[i]
    two = facets.mesh_first[scene.part[j]] + b - scene.facet_first[j]
    normal = _turned(scene, i, facets.normal[one])
    opposite = np.einsum("pi,pi->p", normal, _turned(scene, j, facets.normal[two])) < -np.cos(
        scene.tol.facing_rad
    )
    return start + row[opposite], one[opposite], two[opposite]


def _meeting(one: tuple[Floats, Floats, Ints], two: tuple[Floats, Floats, Ints], gap_mm: float) -> Ints:
    """Of pairs of boxes those that come within a gap: (low corners, high corners, which of them) of both."""
    (lo_a, hi_a, a), (lo_b, hi_b, b) = one, two
    rows = np.arange(len(a))
    # most are told apart along the first axis
    for axis in range(3):
        near = lo_a[a, axis] - gap_mm <= hi_b[b, axis]
        near &= lo_b[b, axis] - gap_mm <= hi_a[a, axis]
        rows, a, b = rows[near], a[near], b[near]
    return rows


def _shared_areas(scene: Scene, row: Ints, one: Ints, two: Ints) -> tuple[Floats, Floats, Floats, Floats]:
    """Area, centroid and bounds of what each pair of facing facets shares, seen along the first's normal."""
    facets = scene.facets
    i, j = scene.pairs[row, 0], scene.pairs[row, 1]
    normal, along = _turned(scene, i, facets.normal[one]), _turned(scene, i, facets.along[one])
    frame = np.stack([along, cross_products(normal, along)], axis=2)
    origin = _placed(scene, i, facets.centre[one])
    pieces = np.diff(facets.piece_first)
    which, p, q = products(facets.piece_first[one], pieces[one], facets.piece_first[two], pieces[two])
    flat = []
    for copy, piece in ((i, p), (j, q)):
        c = copy[which]
        world = facets.pieces.take(piece, axis=0) @ scene.turn.take(c, axis=0).transpose(0, 2, 1)
        flat.append((world + (scene.shift[c] - origin[which])[:, None, :]) @ frame.take(which, axis=0))
    # the second facet is seen from behind, so its outline runs the other way
    clipped, poly, _ = clip_convex(flat[0], flat[1][:, ::-1])
    which = which[clipped]
    area, middle = area_and_centroid(poly)
    total = group_sums(which, area, len(row))
    moment = group_sums(which, area[:, None] * middle, len(row)) / np.where(total > 0.0, total, 1.0)[:, None]
    centre = origin + np.matmul(frame, moment[:, :, None])[:, :, 0]
    lo, hi = centre.copy(), centre.copy()
    if len(which):
        world = poly @ frame.take(which, axis=0).transpose(0, 2, 1) + origin[which][:, None, :]
        corners = np.ascontiguousarray(world.transpose(1, 2, 0))
        starts = np.flatnonzero(np.diff(which, prepend=-1))
        for out, least in ((lo, np.minimum), (hi, np.maximum)):
            out[which[starts]] = least.reduceat(least.reduce(corners, axis=0), starts, axis=1).T
    return total, centre, lo, hi


def touching_plane(scene: Scene, point: Floats, normal: Floats) -> tuple[Ints, Ints]:
    """Placed facets that lie in a plane and face it: (copy, facet), in model order.

    Args:
        scene: the model made ready.
        point: (3,) a point of the plane, mm.
        normal: (3,) unit normal of the plane, towards the side the parts are on.
    """
    reach = np.abs(normal)
    half, middle = (scene.hi - scene.lo) / 2.0, (scene.hi + scene.lo) / 2.0
    # only copies whose bounds reach the plane
    near = np.flatnonzero(np.abs((middle - point) @ normal) <= half @ reach + scene.tol.contact_gap_mm)
    counts = np.diff(scene.facets.mesh_first)[scene.part[near]]
    row, k = expand(counts)
    copy = near[row]
    facet = scene.facets.mesh_first[scene.part[copy]] + k
    facing = _turned(scene, copy, scene.facets.normal[facet]) @ normal < -np.cos(scene.tol.facing_rad)
    copy, facet = copy[facing], facet[facing]
    away = (_placed(scene, copy, scene.facets.centre[facet]) - point) @ normal
    touching = np.abs(away) <= scene.tol.contact_gap_mm
    return copy[touching], facet[touching]
