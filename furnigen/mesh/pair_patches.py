"""What pairs of placed copies share: their opposite flat faces in one plane, each pair of a kind once.

Every flat face is convex pieces of three or four corners, so the area two faces share is a sum of convex
clips (`shared_areas`), done for many faces at once and exact for any outline, tilt or window.

Along a run, and from one variant of a family to the next, most pairs are the same two meshes in the same
position to each other. Each kind of pair is worked out once, as seen from the first copy's origin, at shifts
rounded to a millionth of a micrometre: what is kept of it is what would be worked out, wherever it stands.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from itertools import count

import numpy as np

from furnigen.core.array_types import Floats, Ints
from furnigen.core.caches import CONTACT_PAIRS, Kept, while_alive
from furnigen.mesh.flat_arrays import blocks_of, concatenated, expand, first_of, product_blocks
from furnigen.mesh.scene import Scene
from furnigen.mesh.shared_areas import shared_areas
from furnigen.mesh.tolerances import Tolerances

BLOCK = 2048
"""Pairs of copies looked at together: enough to drown numpy's cost per call, few enough for the cache."""
MOST_FACE_PAIRS = 500_000
"""Faces of those pairs, and pairs of faces, looked at together: some 50 MB."""
SHIFT_DIGITS = 9
"""Decimals of a millimetre to which the position of a pair's second copy from its first is rounded."""
_ROUNDING_MM = 1e-6
"""Added to the gap by which faces are chosen for a closer look, for rounding."""

PairKind = tuple[int, int, bytes]
"""Posture of either copy, and the shift from the first to the second."""

_next_number = count()
_mesh_numbers = while_alive()
_postures: Kept[tuple[int, bytes, Tolerances], int] = Kept(CONTACT_PAIRS)
_patches: Kept[PairKind, Floats] = Kept(CONTACT_PAIRS)


def touching_faces(scene: Scene) -> tuple[Ints, Floats, Floats, Floats, Floats, Floats]:
    """The faces that the pairs of a scene share.

    Returns: the row of scene.pairs of each face, rising, areas (n,), mm², unit normals from the first to the
        second copy, centroids and world bounds, low and high, each (n, 3), mm.
    """
    kinds: dict[PairKind, int] = {}
    shift = _between(scene, scene.pairs)
    which = np.array([kinds.setdefault(kind, len(kinds)) for kind in _kinds(scene, shift)], dtype=np.int64)
    found = [_patches.get(kind) for kind in kinds]
    new = [k for k, one in enumerate(found) if one is None]
    if new:
        rows = np.full(len(kinds), -1)
        rows[which[::-1]] = np.arange(len(which))[::-1]  # the first pair of each kind
        names = list(kinds)
        for k, table in zip(new, _worked_out(scene, rows[new], shift), strict=True):
            found[k] = _patches.keep(names[k], table)
    tables = [one for one in found if one is not None]
    first = first_of(np.array([len(one) for one in tables], dtype=np.int64))
    row, within = expand(np.diff(first)[which])
    table = np.concatenate(tables)[first[which[row]] + within]
    table[:, 4:] += np.tile(scene.shift[scene.pairs[row, 0]], 3)
    return row, table[:, 0], table[:, 1:4], table[:, 4:7], table[:, 7:10], table[:, 10:]


def _between(scene: Scene, pairs: Ints) -> Floats:
    """(k, 3) from the origin of each pair's first copy to that of its second, rounded, mm."""
    apart = scene.shift[pairs[:, 1]] - scene.shift[pairs[:, 0]]
    out: Floats = np.round(apart, SHIFT_DIGITS) + 0.0
    return out


def _kinds(scene: Scene, shift: Floats) -> list[PairKind]:
    """What each pair is; pairs of one kind share the same faces."""
    turns = (scene.turn + 0.0).tobytes()
    wide = len(turns) // max(len(scene.part), 1)
    numbers = []
    for mesh in scene.model.parts:
        number = _mesh_numbers.get(mesh)
        if number is None:
            number = _mesh_numbers[mesh] = next(_next_number)
        numbers.append(number)
    postures = []
    for k, part in enumerate(scene.part.tolist()):
        name = (numbers[part], turns[k * wide : (k + 1) * wide], scene.tol)
        posture = _postures.get(name)
        postures.append(_postures.keep(name, next(_next_number)) if posture is None else posture)
    shifts = shift.tobytes()
    return [
        (postures[i], postures[j], shifts[24 * k : 24 * k + 24])
        for k, (i, j) in enumerate(scene.pairs.tolist())
    ]


def _seen_from_first(scene: Scene, rows: Ints, shift: Floats) -> Scene:
    """Some pairs of a scene, each as two copies of its own, with the origin of the first at zero."""
    copy = scene.pairs[rows].reshape(-1)
    place = np.zeros((len(copy), 3))
    place[1::2] = shift[rows]
    moved = place - scene.shift[copy]
    owner, within = expand(np.diff(scene.facet_first)[copy])
    facet = scene.facet_first[copy[owner]] + within
    return replace(
        scene,
        part=scene.part[copy],
        turn=scene.turn[copy],
        shift=place,
        lo=scene.lo[copy] + moved,
        hi=scene.hi[copy] + moved,
        facet_first=first_of(np.diff(scene.facet_first)[copy]),
        facet_lo=scene.facet_lo[facet] + moved[owner],
        facet_hi=scene.facet_hi[facet] + moved[owner],
        pairs=np.arange(len(copy)).reshape(-1, 2),
    )


def _worked_out(scene: Scene, rows: Ints, shift: Floats) -> Sequence[Floats]:
    """(faces, 13) of each of some rows of scene.pairs: area, normal, centroid, low and high corner."""
    faces = np.diff(scene.facet_first)[scene.pairs[rows]].sum(axis=1)
    tables: list[Floats] = []
    for some in blocks_of(faces + MOST_FACE_PAIRS // BLOCK, MOST_FACE_PAIRS):
        row, table = _of_block(_seen_from_first(scene, rows[some], shift))
        ends = np.searchsorted(row, np.arange(1, len(rows[some])))
        tables += [one.copy() for one in np.split(table, ends)]
    return tables


def _of_block(scene: Scene) -> tuple[Ints, Floats]:
    """The row of scene.pairs of each face, rising, and its table."""
    row, one, two = _facing(scene)
    area, centre, lo, hi = shared_areas(scene, row, one, two)
    i, j = scene.pairs[row, 0], scene.pairs[row, 1]
    normal = scene.turned(i, scene.facets.normal[one])
    away = np.einsum("pi,pi->p", centre - scene.placed(j, scene.facets.centre[two]), normal)
    extent = np.linalg.norm(hi - lo, axis=1)
    real = (np.abs(away) <= scene.tol.contact_gap_mm) & scene.tol.is_face(area, extent)
    return row[real], np.hstack([area[:, None], normal, centre, lo, hi])[real]


def _facing(scene: Scene) -> tuple[Ints, Ints, Ints]:
    """Faces of the pairs that may touch: (row of scene.pairs, facet of a, facet of b), sorted."""
    gap, facets = scene.tol.contact_gap_mm + _ROUNDING_MM, scene.facets
    i, j = scene.pairs.T
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
    found = []
    for row, a, b in product_blocks(
        first_a[:-1], np.diff(first_a), first_b[:-1], np.diff(first_b), MOST_FACE_PAIRS
    ):
        a, b = placed_a[a], placed_b[b]
        near = _meeting((scene.facet_lo, scene.facet_hi, a), (scene.facet_lo, scene.facet_hi, b), gap)
        found.append((row[near], a[near], b[near]))
    row, a, b = concatenated(found, [np.empty(0, dtype=np.int64)] * 3)
    i, j = i[row], j[row]
    one = facets.mesh_first[scene.part[i]] + a - scene.facet_first[i]
    two = facets.mesh_first[scene.part[j]] + b - scene.facet_first[j]
    normal = scene.turned(i, facets.normal[one])
    opposite = np.einsum("pi,pi->p", normal, scene.turned(j, facets.normal[two])) < -np.cos(
        scene.tol.facing_rad
    )
    return row[opposite], one[opposite], two[opposite]


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
