"""Which parts touch, over what area and facing which way: opposite flat faces in one plane.

What two copies share is found by `pair_patches`; here it becomes contacts, in the order of the model.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import cached_property
from itertools import repeat

import numpy as np

from furnigen.core.array_types import Floats, Ints
from furnigen.mesh.flat_arrays import expand
from furnigen.mesh.pair_patches import touching_faces
from furnigen.mesh.scene import Scene

Point = tuple[float, float, float]


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
    if not len(scene.pairs):
        return ()
    row, *columns = touching_faces(scene)
    return _gathered(scene, row, FacePatches(*columns))


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
    facing = scene.turned(copy, scene.facets.normal[facet]) @ normal < -np.cos(scene.tol.facing_rad)
    copy, facet = copy[facing], facet[facing]
    away = (scene.placed(copy, scene.facets.centre[facet]) - point) @ normal
    touching = np.abs(away) <= scene.tol.contact_gap_mm
    return copy[touching], facet[touching]
