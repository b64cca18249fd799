"""Isometric line views with hidden lines removed, computed exactly from the flat faces of meshes.

Every front-facing convex piece of a face hides what lies behind its plane within its outline. Within one such
piece a straight edge is hidden along one interval, found by clipping it with the sides of the piece and its
plane. So lines end where they must, at any size of paper, and no picture is made of dots.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from math import sqrt
from typing import Any

import numpy as np

from furnigen.core.array_types import Floats, Ints
from furnigen.core.caches import LIGHT_MESHES, kept
from furnigen.core.pose import Vector
from furnigen.mesh.facets import facets_of
from furnigen.mesh.light_mesh import light_mesh, without_hardware_holes
from furnigen.mesh.model import PartMesh
from furnigen.mesh.tolerances import Tolerances
from furnigen.parts.part import Part

FEATURE_COS = 0.9
"""An edge between faces that turn by less (26 degrees) is drawn only where it is an outline: it stands for a
curved face. Our own choice, to suit the facets of `LIGHT_ANGLE_RADIANS`."""
BEHIND_MM = 0.05
"""What lies less than this behind a face touches it, and is not hidden by it."""
SEAM_MM = 1e-4
"""Pieces hide this much beyond their sides."""
EDGE_ON = 1e-3
"""Faces seen under a smaller cosine than this hide nothing."""

RIGHT: Vector = (sqrt(0.5), sqrt(0.5), 0.0)
UP: Vector = (-sqrt(1 / 6), sqrt(1 / 6), sqrt(2 / 3))
NEAR: Vector = (sqrt(1 / 3), -sqrt(1 / 3), sqrt(1 / 3))
"""Axes of the paper in the room: to the right, up, and towards who looks (from the front, right and above);
each axis of the room foreshortened alike (ISO 5456-3)."""
AXES = np.array([RIGHT, UP, NEAR])


@dataclass(frozen=True, eq=False)
class Skeleton:
    """What is drawn of one part, in its own frame (mm).

    Attributes:
        edges: (e, 2, 3) ends of the edges between its faces.
        sides: (e, 2, 3) outward normals of the two faces at each.
        pieces: (k, 4, 3) convex pieces of its faces, counter-clockwise from outside.
        normals: (k, 3) outward normals of their faces.
    """

    edges: Floats
    sides: Floats
    pieces: Floats
    normals: Floats


def skeleton_of(mesh: PartMesh) -> Skeleton:
    """The edges and faces of a closed mesh.

    Raises: GeometryError for a mesh that is not closed.
    """
    faces = facets_of([(mesh.name, mesh.vertices, mesh.faces)], Tolerances())
    once = faces.edge_facet[:, 0] < faces.edge_facet[:, 1]
    starts, runs = faces.corners[once], faces.edge[once]
    ends = np.stack([starts, starts + runs], axis=1)
    normals = faces.normal[faces.edge_facet[once]]
    owner = np.repeat(np.arange(len(faces.normal)), np.diff(faces.piece_first))
    return Skeleton(ends, normals, faces.pieces, faces.normal[owner])


@kept(LIGHT_MESHES)
def part_skeleton(part: Part) -> Skeleton:
    """What is drawn of a part of a described form, without its holes for hardware.

    Raises: GeometryError for a form that only the kernel can make.
    """
    return skeleton_of(light_mesh(without_hardware_holes(part)))


@dataclass(frozen=True, eq=False)
class Shown:
    """One copy of a part where a picture shows it.

    Attributes:
        name: what it is known by in the picture.
        skeleton: of its part.
        matrix: (4, 4) from the part's frame to the room (mm).
        offset: moves it in the room (mm).
    """

    name: str
    skeleton: Skeleton
    matrix: Floats
    offset: Vector = (0.0, 0.0, 0.0)


class Picture:
    """Several copies of parts seen isometrically; coordinates on paper are mm of the room, foreshortened.

    Args:
        shown: what is in it.
    """

    def __init__(self, shown: Sequence[Shown]) -> None:
        self.shown = tuple(shown)
        edges, sides, pieces, normals = [], [], [], []
        edge_owner, piece_owner = [], []
        for k, one in enumerate(self.shown):
            turn = AXES @ one.matrix[:3, :3]
            move = AXES @ (one.matrix[:3, 3] + np.array(one.offset))
            s = one.skeleton
            edges.append(s.edges @ turn.T + move)
            sides.append(s.sides @ turn.T)
            pieces.append(s.pieces @ turn.T + move)
            normals.append(s.normals @ turn.T)
            edge_owner.append(np.full(len(s.edges), k))
            piece_owner.append(np.full(len(s.pieces), k))
        self.edges: Floats = np.concatenate([np.empty((0, 2, 3)), *edges])
        normal: Floats = np.concatenate([np.empty((0, 2, 3)), *sides])
        front = normal[:, :, 2] > EDGE_ON
        sharp = np.einsum("ij,ij->i", normal[:, 0], normal[:, 1]) < FEATURE_COS
        drawn = front.any(axis=1) & (sharp | ~front.all(axis=1))
        self.edges = self.edges[drawn]
        self.edge_owner: Ints = np.concatenate([np.empty(0, np.int64), *edge_owner])[drawn]
        all_pieces: Floats = np.concatenate([np.empty((0, 4, 3)), *pieces])
        all_normals: Floats = np.concatenate([np.empty((0, 3)), *normals])
        facing = all_normals[:, 2] > EDGE_ON
        self.pieces, self.normals = all_pieces[facing], all_normals[facing]
        self.piece_owner: Ints = np.concatenate([np.empty(0, np.int64), *piece_owner])[facing]

    @cached_property
    def bounds(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top of all edges (mm)."""
        flat = self.edges[:, :, :2].reshape(-1, 2)
        (x0, y0), (x1, y1) = flat.min(axis=0), flat.max(axis=0)
        return float(x0), float(y0), float(x1), float(y1)

    @cached_property
    def _planes(self) -> Floats:
        """(k, 3): nearness of each piece is a u + b v + c."""
        n = self.normals
        slope = -n[:, :2] / n[:, 2:]
        c = self.pieces[:, 0, 2] - np.einsum("ij,ij->i", slope, self.pieces[:, 0, :2])
        return np.concatenate([slope, c[:, None]], axis=1)

    @cached_property
    def _sides(self) -> Floats:
        """(k, 4, 3): a u + b v + c is above 0 inside each side of a piece; 0 for one without length."""
        p = self.pieces[:, :, :2]
        run = p[:, [1, 2, 3, 0]] - p
        a, b = -run[:, :, 1], run[:, :, 0]
        # a line along the seam of two pieces is hidden by both
        wider = SEAM_MM * np.hypot(a, b)
        return np.stack([a, b, wider - (a * p[:, :, 0] + b * p[:, :, 1])], axis=2)

    @cached_property
    def _spans(self) -> tuple[Floats, Floats]:
        """(k, 3) low and high corners of the pieces."""
        return self.pieces.min(axis=1), self.pieces.max(axis=1)

    def visible_edges(self) -> list[tuple[int, Floats]]:
        """The visible stretches of all edges: number of the copy, and (n, 2, 2) ends of its stretches."""
        owner, lines = self._visible(self.edges)
        owner = self.edge_owner[owner]
        return [(k, lines[owner == k]) for k in range(len(self.shown)) if np.any(owner == k)]

    def visible_lines(self, lines: Iterable[tuple[Vector, Vector]]) -> list[Floats]:
        """The visible stretches, (n, 2, 2) each, of straight lines in the room (mm)."""
        ends = np.array(list(lines), dtype=np.float64).reshape(-1, 2, 3) @ AXES.T
        owner, seen = self._visible(ends)
        return [seen[owner == k] for k in range(len(ends))]

    def _visible(self, edges: Floats) -> tuple[Ints, Floats]:
        """Visible stretches of lines: which line each is of, and (n, 2, 2) its ends."""
        lo, hi = edges.min(axis=1), edges.max(axis=1)
        plo, phi = self._spans
        near = (
            (lo[:, None, 0] < phi[None, :, 0])
            & (hi[:, None, 0] > plo[None, :, 0])
            & (lo[:, None, 1] < phi[None, :, 1])
            & (hi[:, None, 1] > plo[None, :, 1])
            & (lo[:, None, 2] < phi[None, :, 2] - BEHIND_MM)
        )
        which, by = np.nonzero(near)
        start, run = edges[which, 0], edges[which, 1] - edges[which, 0]
        sides, plane = self._sides[by], self._planes[by]
        # each condition is value + t rate > 0
        value = np.empty((len(which), 5))
        rate = np.empty((len(which), 5))
        value[:, :4] = (
            sides[:, :, 0] * start[:, None, 0] + sides[:, :, 1] * start[:, None, 1] + sides[:, :, 2]
        )
        rate[:, :4] = sides[:, :, 0] * run[:, None, 0] + sides[:, :, 1] * run[:, None, 1]
        flat = ~sides[:, :, :2].any(axis=2)
        value[:, :4][flat] = 1.0
        value[:, 4] = (
            plane[:, 0] * start[:, 0] + plane[:, 1] * start[:, 1] + plane[:, 2] - start[:, 2] - BEHIND_MM
        )
        rate[:, 4] = plane[:, 0] * run[:, 0] + plane[:, 1] * run[:, 1] - run[:, 2]
        with np.errstate(divide="ignore", invalid="ignore"):
            meet = -value / rate
        begins = np.where(rate > 1e-12, meet, np.where((rate >= -1e-12) & (value <= 0), np.inf, -np.inf))
        ends = np.where(rate < -1e-12, meet, np.inf)
        t0, t1 = np.maximum(begins.max(axis=1), 0.0), np.minimum(ends.min(axis=1), 1.0)
        hides = t1 - t0 > 1e-9
        return _left_over(edges, which[hides], t0[hides], t1[hides])

    def visible_areas(self, names: Iterable[str] | None = None) -> dict[tuple[str, int], list[Floats]]:
        """What is seen of the faces of some copies: rings, (n, 2) each, by name and way it faces.

        Args:
            names: of the copies; all when None.

        The way is 0 for faces that look upward, 1 to the left or right, 2 to the front or back.
        """
        from manifold3d import CrossSection, FillRule

        chosen = {one.name for one in self.shown} if names is None else set(names)
        lo, hi = self._spans
        found: dict[tuple[str, int], list[Any]] = {}
        for k in range(len(self.pieces)):
            name = self.shown[self.piece_owner[k]].name
            if name not in chosen:
                continue
            over = np.flatnonzero(
                (lo[:, 0] < hi[k, 0])
                & (hi[:, 0] > lo[k, 0])
                & (lo[:, 1] < hi[k, 1])
                & (hi[:, 1] > lo[k, 1])
                & (hi[:, 2] > lo[k, 2] + BEHIND_MM)
            )
            covers = self._in_front(over[over != k], k)
            seen = CrossSection([self.pieces[k, :, :2]], FillRule.NonZero)
            if covers:
                seen = seen - CrossSection(covers, FillRule.NonZero)
            if not seen.is_empty():
                found.setdefault((name, self._facing(k)), []).extend(seen.to_polygons())
        return {
            key: [np.asarray(r) for r in CrossSection(rings, FillRule.Positive).to_polygons()]
            for key, rings in found.items()
        }

    def _facing(self, k: int) -> int:
        room = self.normals[k] @ AXES
        most = int(np.argmax(np.abs(room)))
        return (1, 2, 0)[most]

    def _in_front(self, others: Ints, k: int) -> list[Floats]:
        """The parts of some pieces that lie in front of the plane of piece k."""
        rings = self.pieces[others]
        a, b, c = self._planes[k]
        ahead = rings[:, :, 2] - (a * rings[:, :, 0] + b * rings[:, :, 1] + c) - BEHIND_MM
        whole, some = (ahead > 0).all(axis=1), (ahead > 0).any(axis=1)
        found = list(rings[whole][:, :, :2])
        for ring, above in zip(rings[some & ~whole], ahead[some & ~whole].tolist(), strict=True):
            corners = ring[:, :2].tolist()
            kept = []
            for i, j in ((0, 1), (1, 2), (2, 3), (3, 0)):
                (x, y), (x1, y1) = corners[i], corners[j]
                if above[i] > 0:
                    kept.append((x, y))
                if (above[i] > 0) != (above[j] > 0):
                    t = above[i] / (above[i] - above[j])
                    kept.append((x + t * (x1 - x), y + t * (y1 - y)))
            if len(kept) >= 3:
                found.append(np.array(kept))
        return found


def _left_over(edges: Floats, which: Ints, t0: Floats, t1: Floats) -> tuple[Ints, Floats]:
    """The stretches of edges that no interval covers."""
    order = np.lexsort((t0, which))
    hidden: dict[int, list[tuple[float, float]]] = {}
    for k, a, b in zip(which[order].tolist(), t0[order].tolist(), t1[order].tolist(), strict=True):
        hidden.setdefault(k, []).append((a, b))
    flat = edges[:, :, :2]
    long = np.hypot(*(flat[:, 1] - flat[:, 0]).T)
    owner: list[int] = []
    stretches: list[tuple[float, float]] = []
    for k in range(len(edges)):
        least = 0.02 / max(float(long[k]), 1e-9)
        at = 0.0
        for a, b in hidden.get(k, ()):
            if a - at > least:
                owner.append(k)
                stretches.append((at, a))
            at = max(at, b)
        if 1.0 - at > least:
            owner.append(k)
            stretches.append((at, 1.0))
    of, t = np.array(owner, dtype=np.int64), np.array(stretches).reshape(-1, 2)
    start, run = flat[of, 0], flat[of, 1] - flat[of, 0]
    return of, start[:, None, :] + t[:, :, None] * run[:, None, :]


def flat_point(p: Vector) -> tuple[float, float]:
    """Where a point of the room lies in a picture (mm)."""
    u, v = AXES[:2] @ np.array(p)
    return float(u), float(v)


def skeletons_of(parts: Sequence[Part], made: Mapping[str, PartMesh]) -> tuple[Skeleton, ...]:
    """What is drawn of each part.

    Args:
        made: meshes, by name, of parts of a form that only the kernel can make.

    Raises: GeometryError for such a part without its mesh.
    """
    return tuple(skeleton_of(made[p.name]) if p.name in made else part_skeleton(p) for p in parts)
