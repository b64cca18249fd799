"""Where parts overlap: every pair of placed copies that share solid, measured by exact mesh booleans.

Boxes that meet (broad phase), then convex solids that run into each other (separating axes), then the exact
boolean of the two meshes in double precision, done once for each relation of two parts however often it
repeats. Only what remains is measured and reported.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from furnigen.core.array_types import Floats, Ints
from furnigen.core.caches import while_alive
from furnigen.core.errors import GeometryError
from furnigen.mesh.convex_pieces import (
    ConvexBody,
    Solid,
    SolidShelf,
    convex_pieces,
    convex_set,
    corners_and_triangles,
)
from furnigen.mesh.facets import facets_of
from furnigen.mesh.flat_arrays import expand, first_of, product_blocks
from furnigen.mesh.model import PartMesh
from furnigen.mesh.scene import Scene
from furnigen.mesh.tolerances import Bools, Tolerances

if TYPE_CHECKING:
    from weakref import WeakKeyDictionary

    from manifold3d import Manifold

Point = tuple[float, float, float]

BLOCK = 100_000
"""Pairs of convex pieces looked at together, to bound the memory of large models."""


@dataclass(frozen=True, slots=True)
class Overlap:
    """Two placed copies that share solid.

    Attributes:
        a, b: labels, in model order.
        volume_mm3: volume shared.
        centre: centre of mass of the shared solid, world mm.
        lo, hi: world bounds of the shared solid, mm.
    """

    a: str
    b: str
    volume_mm3: float
    centre: Point
    lo: Point
    hi: Point


@dataclass(frozen=True, slots=True)
class CurvedFit:
    """Two placed copies that touch along a curved face, as a dowel touches its bore.

    Their flat-faceted meshes overlap by slivers no thicker than the facets depart from the true curve.

    Attributes:
        a, b: labels, in model order.
        sliver_mm3: volume of the slivers.
    """

    a: str
    b: str
    sliver_mm3: float


@dataclass(frozen=True, slots=True)
class Interference:
    """All overlaps of a model, and the curved fits told apart from them, both in model order."""

    overlaps: tuple[Overlap, ...]
    curved_fits: tuple[CurvedFit, ...]


@dataclass(frozen=True, eq=False)
class _Shared:
    """The shared solid of one relation, in the frame of part a."""

    is_fit: bool
    volume: float
    centre: Floats
    corners: Floats


def find_interference(scene: Scene, deflection_mm: float = 0.0) -> Interference:
    """Every pair of copies that overlaps by more than touching.

    Args:
        scene: the model made ready.
        deflection_mm: how far the flat facets of curved faces may lie from the true face; overlaps this
            explains (mean thickness at most twice this, both meshes being off, and bounded mostly by curved
            faces of a part marked `curved`) are curved fits.

    Raises:
        GeometryError: the boolean engine refuses a mesh; the message names the part.
    """
    pairs = _candidates(scene)
    solids = _Solids(scene)
    pairs = pairs[solids.run_into(pairs)]
    back = scene.turn[pairs[:, 0]].transpose(0, 2, 1)
    turn = back @ scene.turn[pairs[:, 1]]
    shift = np.matmul(back, (scene.shift[pairs[:, 1]] - scene.shift[pairs[:, 0]])[:, :, None])
    relation = np.concatenate([turn, shift], axis=2)
    # a micrometre's thousandth: far below any tolerance, far above the rounding of a pose
    keys = np.round(np.concatenate([turn * 1e9, shift * 1e6], axis=2)) + 0.0
    known: dict[tuple[int, int, bytes], _Shared | None] = {}
    overlaps, fits = [], []
    for k, (i, j) in enumerate(pairs.tolist()):
        a, b = int(scene.part[i]), int(scene.part[j])
        key = (a, b, keys[k].tobytes())
        if key not in known:
            known[key] = _shared(scene, solids, a, b, relation[k], deflection_mm)
        found = known[key]
        if found is None:
            continue
        if found.is_fit:
            fits.append(CurvedFit(scene.label(i), scene.label(j), found.volume))
            continue
        world = found.corners @ scene.turn[i].T + scene.shift[i]
        centre = scene.turn[i] @ found.centre + scene.shift[i]
        overlaps.append(
            Overlap(
                scene.label(i),
                scene.label(j),
                found.volume,
                _point(centre),
                _point(world.min(axis=0)),
                _point(world.max(axis=0)),
            )
        )
    return Interference(tuple(overlaps), tuple(fits))


def _point(p: Floats) -> Point:
    x, y, z = p.tolist()
    return (x, y, z)


def _candidates(scene: Scene) -> Ints:
    """The near pairs whose bounds overlap by more than touching."""
    i, j = scene.pairs[:, 0], scene.pairs[:, 1]
    shared = np.minimum(scene.hi[i], scene.hi[j]) - np.maximum(scene.lo[i], scene.lo[j])
    out: Ints = scene.pairs[np.all(shared > scene.tol.penetration_mm, axis=1)]
    return out


@dataclass(frozen=True, eq=False)
class _Shape:
    """A part as convex solids that hold all of it.

    Attributes:
        solids: the part itself, its hull, or its pieces.
        whole: whether nothing closer will be had: not while a hollow part's hull might yet be cut to pieces.
    """

    solids: list[Solid]
    whole: bool


_SHAPES: dict[Tolerances, WeakKeyDictionary[PartMesh, _Shape]] = {}
"""Shapes of meshes by tolerances, for as long as the meshes live: a family keeps the meshes that its variants
share."""


class _Solids:
    """The parts of a scene as solids of the boolean engine, each made once, and as convex pieces."""

    def __init__(self, scene: Scene) -> None:
        self.scene = scene
        self._solid: dict[int, Manifold] = {}

    def solid(self, part: int) -> Manifold:
        """The part as a solid; every face carries its facet's number, which booleans keep."""
        if part not in self._solid:
            from manifold3d import Error, Manifold, Mesh64

            mesh, facets = self.scene.model.parts[part], self.scene.facets
            mine = facets.triangle_facet[facets.triangle_first[part] : facets.triangle_first[part + 1]]
            # slivers are no facet: a number past all facets, of its own for each
            ids = np.where(mine >= 0, mine, len(facets.area) + np.arange(len(mine)))
            made = Manifold(
                Mesh64(
                    np.ascontiguousarray(mesh.vertices, dtype=np.float64),
                    np.ascontiguousarray(mesh.faces, dtype=np.uint64),
                    face_id=ids.astype(np.uint64),
                )
            )
            if made.status() != Error.NoError:
                raise GeometryError(
                    f"part {mesh.name}: its mesh is no solid the boolean engine can read"
                    f" ({made.status().name}); a closed solid is needed"
                )
            self._solid[part] = made
        return self._solid[part]

    def run_into(self, pairs: Ints) -> Bools:
        """Whether any convex piece of one copy of each pair runs into one of the other."""
        part = self.scene.part[pairs]
        kept = _SHAPES.setdefault(self.scene.tol, while_alive())
        meshes = self.scene.model.parts
        used = np.unique(part).tolist()
        kept |= self._shapes([m for m in used if meshes[m] not in kept])
        hit = self._any_hit(pairs, {m: kept[meshes[m]].solids for m in used})
        uncut = [m for m in np.unique(part[hit]).tolist() if not kept[meshes[m]].whole]
        if uncut:
            for m, pieces in zip(
                uncut, convex_pieces([self.solid(m) for m in uncut], self.scene.tol), strict=True
            ):
                kept[meshes[m]] = _Shape(kept[meshes[m]].solids if pieces is None else pieces, whole=True)
            again = np.flatnonzero(hit & np.any(np.isin(part, uncut), axis=1))
            hit[again] = self._any_hit(pairs[again], {m: kept[meshes[m]].solids for m in used})
        return hit

    def _shapes(self, parts: list[int]) -> dict[PartMesh, _Shape]:
        """Some parts themselves where they are convex, else their hulls."""
        meshes, facets = self.scene.model.parts, self.scene.facets
        convex = [m for m in parts if facets.convex[m]]
        hollow = [m for m in parts if not facets.convex[m]]
        out = {meshes[m]: _Shape([s], True) for m, s in zip(convex, convex_set(facets, convex), strict=True)}
        if hollow:
            hulls = facets_of([("hull", *self._hull(m)) for m in hollow], self.scene.tol)
            solids = convex_set(hulls, range(len(hollow)))
            out |= {meshes[m]: _Shape([s], False) for m, s in zip(hollow, solids, strict=True)}
        return out

    def _hull(self, part: int) -> ConvexBody:
        """The convex hull of a part; its box where rounding folds the hull of a fine curve flat on itself."""
        corners, triangles = corners_and_triangles(self.solid(part).hull())
        start, end = triangles.reshape(-1), np.roll(triangles, -1, axis=1).reshape(-1)
        if len(np.unique(start * len(corners) + end)) == len(start):
            return corners, triangles
        from manifold3d import Manifold

        lo, hi = corners.min(axis=0), corners.max(axis=0)
        return corners_and_triangles(Manifold.cube((hi - lo).tolist()).translate(lo.tolist()))

    def _any_hit(self, pairs: Ints, shapes: dict[int, list[Solid]]) -> Bools:
        scene = self.scene
        out = np.zeros(len(pairs), dtype=bool)
        if not len(pairs):
            return out
        first, count = (
            np.zeros(len(scene.model.parts), dtype=np.int64),
            np.zeros(len(scene.model.parts), np.int64),
        )
        flat: list[Solid] = []
        for m, solids in shapes.items():
            first[m], count[m] = len(flat), len(solids)
            flat += solids
        shelf = SolidShelf(flat)
        # every piece of every copy concerned, placed once however many pairs it is in
        copies, place = np.unique(pairs, return_inverse=True)
        place = place.reshape(-1, 2)
        held = count[scene.part[copies]]
        owner, k = expand(held)
        copy, piece = copies[owner], first[scene.part[copies[owner]]] + k
        head = first_of(held)
        lo, hi = shelf.boxes(piece, scene.turn[copy], scene.shift[copy])
        one, two = place.T
        for row, p, q in product_blocks(head[one], held[one], head[two], held[two], BLOCK):
            near = np.flatnonzero(
                np.all(np.minimum(hi[p], hi[q]) - np.maximum(lo[p], lo[q]) > scene.tol.penetration_mm, axis=1)
            )
            a, b = ((piece[n], scene.turn[copy[n]], scene.shift[copy[n]]) for n in (p[near], q[near]))
            out[row[near][shelf.run_into(a, b, scene.tol.penetration_mm)]] = True
        return out


def _shared(
    scene: Scene, solids: _Solids, a: int, b: int, relation: Floats, deflection_mm: float
) -> _Shared | None:
    """What part a shares with part b placed by `relation` (3, 4) in a's frame; None when they only touch."""
    tol = scene.tol
    one, two = solids.solid(a), solids.solid(b).transform(relation)
    whole = one ^ two
    if whole.volume() <= tol.overlap_volume_mm3:
        return None
    shared = _without_flaps(one, two, whole)
    thickness = 2.0 * shared.volume() / shared.surface_area()
    if thickness <= max(2.0 * deflection_mm, tol.penetration_mm) and _is_curved(
        scene, a, b, shared, deflection_mm
    ):
        return _Shared(True, shared.volume(), np.zeros(3), np.empty((0, 3)))
    if thickness <= tol.penetration_mm:
        return None
    corners, _ = corners_and_triangles(shared)
    parts = scene.model.parts
    volume, centre = _measured(f"parts {parts[a].name} and {parts[b].name}", whole)
    return _Shared(False, volume, centre, corners)


def _without_flaps(one: Manifold, two: Manifold, shared: Manifold) -> Manifold:
    """The shared solid without the flaps of no thickness left where the two also touch.

    A shelf too long for its housing touches the housing's cheeks beside the overlap; the flaps there would
    widen the bounds and thin the mean. The second solid, shrunk about the middle of the overlap by a tenth of
    a millimetre in a kilometre, leaves the cheeks: little next to any tolerance, much next to rounding.
    """
    box = np.array(shared.bounding_box())
    middle = (box[:3] + box[3:]) / 2.0
    shrink = 1e-7
    smaller = np.column_stack([np.eye(3) * (1.0 - shrink), middle * shrink])
    return one ^ two.transform(smaller)


def _is_curved(scene: Scene, a: int, b: int, shared: Manifold, deflection_mm: float) -> bool:
    """Whether most of the shared solid's surface comes from the curved faces of curved parts."""
    curved = [m for m in (a, b) if scene.model.parts[m].curved]
    if not curved:
        return False
    ids = np.concatenate(
        [_curved_facets(scene, m, max(deflection_mm, scene.tol.contact_gap_mm)) for m in curved]
    )
    mesh = shared.to_mesh64()
    corners = np.asarray(mesh.vert_properties)[np.asarray(mesh.tri_verts).astype(np.int64)]
    area = np.linalg.norm(np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]), axis=1)
    on_curve = np.isin(np.asarray(mesh.face_id).astype(np.int64), ids)
    return bool(area[on_curve].sum() >= 0.5 * area.sum())


def _curved_facets(scene: Scene, part: int, deflection_mm: float) -> Ints:
    """The facets of a part that stand for a piece of a curved face.

    A chord of width w whose neighbour turns by an angle t lies w tan(t/4) / 2 off its arc; a facet counts
    when that is within twice the deflection (a facet's width is known only as area over edge length) and the
    turn under 45°, sharper than any kernel tessellates.
    """
    facets = scene.facets
    f0, f1 = facets.mesh_first[part : part + 2]
    mine = (facets.edge_facet[:, 0] >= f0) & (facets.edge_facet[:, 0] < f1) & (facets.edge_facet[:, 1] >= 0)
    left, right = facets.edge_facet[mine].T
    cos = np.einsum("ij,ij->i", facets.normal[left], facets.normal[right])
    turn = np.arccos(np.clip(cos, -1.0, 1.0))
    width = facets.area[left] / np.linalg.norm(facets.edge[mine], axis=1)
    smooth = (turn < np.pi / 4.0) & (width * np.tan(turn / 4.0) / 2.0 <= 2.0 * deflection_mm)
    return np.unique(left[smooth])


def _measured(names: str, shared: Manifold) -> tuple[float, Floats]:
    """Volume and centre of mass of the overlap, by trimesh from the engine's double-precision solid.

    Measured from the middle of the overlap, so that far from the origin no digits are lost.

    Raises: GeometryError naming the parts when what the engine gives is not closed.
    """
    import trimesh

    corners, triangles = corners_and_triangles(shared)
    middle = (corners.min(axis=0) + corners.max(axis=0)) / 2.0
    mesh = trimesh.Trimesh(corners - middle, triangles, process=False)
    if not mesh.is_watertight:
        raise GeometryError(f"{names} overlap, but what they share is not closed and can not be measured")
    return float(mesh.volume), mesh.center_mass + middle
