"""What stands on the floor or hangs on a wall, and which parts no chain of contacts holds up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from furnigen.core.array_types import Floats
from furnigen.core.errors import InputError
from furnigen.mesh.contacts import Contact, points_of, touching_plane
from furnigen.mesh.flat_arrays import expand, joined_sets
from furnigen.mesh.interference import CurvedFit
from furnigen.mesh.scene import Scene
from furnigen.mesh.tolerances import Bools
from furnigen.piece.description import Wall

Point = tuple[float, float, float]


FLOOR_PLACE = Wall("floor", (0.0, 0.0, 0.0), (0.0, 0.0, 1.0))


@dataclass(frozen=True, slots=True)
class GroundContact:
    """One placed copy that touches the floor or a wall.

    Attributes:
        label: the copy.
        ground: name of the floor or wall.
        area_mm2: area of its faces in the plane.
        centre: centroid of those faces, world mm.
        outline: convex hull of those faces, world mm, counter-clockwise seen from the room.
    """

    label: str
    ground: str
    area_mm2: float
    centre: Point
    outline: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class HeldModel:
    """How a model is held up.

    Attributes:
        grounded: contacts with the floor and the walls, floor first, then in model order.
        floating: islands of labels that touch each other but neither floor nor wall, in model order.
        sunk: labels that reach below the floor or behind a wall by more than the contact gap.
    """

    grounded: tuple[GroundContact, ...]
    floating: tuple[tuple[str, ...], ...]
    sunk: tuple[str, ...]


def find_support(
    scene: Scene,
    contacts: Sequence[Contact],
    walls: Sequence[Wall] = (),
    curved_fits: Sequence[CurvedFit] = (),
) -> HeldModel:
    """Follow contacts from the floor and the walls, and name what they do not reach.

    Args:
        scene: the model made ready.
        contacts: its contacts.
        walls: planes that carry parts as well as the floor does.
        curved_fits: pairs held along a curved face (a dowel in its bore), which link like contacts.

    Raises:
        InputError: a wall whose normal has no direction.
    """
    grounded: list[GroundContact] = []
    sunk = np.zeros(len(scene.part), dtype=bool)
    for ground in (FLOOR_PLACE, *walls):
        normal = np.asarray(ground.normal, dtype=np.float64)
        length = float(np.linalg.norm(normal))
        if not length > 0.0 or not np.isfinite(length):
            raise InputError(
                f"normal of {ground.name}", ground.normal, "must be a direction", "such as (0, -1, 0)"
            )
        normal /= length
        point = np.asarray(ground.point, dtype=np.float64)
        grounded += _grounded(scene, ground.name, point, normal)
        sunk |= _sunk(scene, point, normal)
    number = {instance.label: k for k, instance in enumerate(scene.model.instances)}
    links = [(number[c.a], number[c.b]) for c in contacts] + [(number[f.a], number[f.b]) for f in curved_fits]
    root = joined_sets(len(number), np.array(links, dtype=np.int64).reshape(-1, 2))
    held = {int(root[number[g.label]]) for g in grounded}
    islands: dict[int, list[str]] = {}
    for label, k in number.items():
        if int(root[k]) not in held:
            islands.setdefault(int(root[k]), []).append(label)
    return HeldModel(
        tuple(grounded),
        tuple(tuple(labels) for labels in islands.values()),
        tuple(label for label, k in number.items() if sunk[k]),
    )


def _sunk(scene: Scene, point: Floats, normal: Floats) -> Bools:
    """Copies with a corner behind the plane; those whose bounds stay in front are not looked at."""
    deepest = np.where(normal > 0.0, scene.lo, scene.hi) - point
    behind = deepest @ normal < -scene.tol.contact_gap_mm
    for k in np.flatnonzero(behind):
        corners = scene.model.world_vertices(scene.model.instances[k])
        behind[k] = bool(np.min((corners - point) @ normal) < -scene.tol.contact_gap_mm)
    return behind


def _grounded(scene: Scene, name: str, point: Floats, normal: Floats) -> list[GroundContact]:
    copy, facet = touching_plane(scene, point, normal)
    if not len(copy):
        return []
    facets = scene.facets
    starts = np.flatnonzero(np.diff(copy, prepend=-1))
    area = np.add.reduceat(facets.area[facet], starts)
    placed = np.matmul(scene.turn[copy], facets.centre[facet][:, :, None])[:, :, 0] + scene.shift[copy]
    centre = np.add.reduceat(facets.area[facet][:, None] * placed, starts) / area[:, None]
    centre -= ((centre - point) @ normal)[:, None] * normal
    row, k = expand(np.diff(facets.corner_first)[facet])
    local = facets.corners[facets.corner_first[facet[row]] + k]
    world = np.matmul(scene.turn[copy[row]], local[:, :, None])[:, :, 0] + scene.shift[copy[row]] - point
    u = np.cross(np.eye(3)[np.argmin(np.abs(normal))], normal)
    u /= np.linalg.norm(u)
    v = np.cross(normal, u)
    flat = np.stack([world @ u, world @ v], axis=1)
    corner_starts = np.searchsorted(copy[row], copy[starts])
    extent = np.linalg.norm(
        np.maximum.reduceat(flat, corner_starts) - np.minimum.reduceat(flat, corner_starts), axis=1
    )
    points = list(map(tuple, flat.tolist()))
    ends = [*corner_starts[1:].tolist(), len(points)]
    hulls = [_hull(points[s:e]) for s, e in zip(corner_starts.tolist(), ends, strict=True)]
    corners = np.array([p for hull in hulls for p in hull])
    outline = iter(points_of(point + corners[:, :1] * u + corners[:, 1:] * v))
    outlines = [tuple(next(outline) for _ in hull) for hull in hulls]
    centres = points_of(centre)
    face = scene.tol.is_face(area, extent)
    return [
        GroundContact(scene.label(int(copy[starts[g]])), name, float(area[g]), centres[g], outlines[g])
        for g in np.flatnonzero(face)
    ]


def _hull(points: list[tuple[float, float]]) -> list[tuple[float, float]]:
    """Counter-clockwise corners of the convex hull of plane points (Andrew's monotone chain, 1979)."""
    ordered = sorted(set(points))
    halves: list[tuple[float, float]] = []
    for run in (ordered, ordered[::-1]):
        chain: list[tuple[float, float]] = []
        for p in run:
            while len(chain) > 1 and _turn(chain[-2], chain[-1], p) <= 0.0:
                chain.pop()
            chain.append(p)
        halves += chain[:-1]
    return halves


def _turn(a: tuple[float, float], b: tuple[float, float], c: tuple[float, float]) -> float:
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
