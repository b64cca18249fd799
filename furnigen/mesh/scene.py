"""A mesh model made ready for its checks: facets per part, boxes per copy, and the copies that come near."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from furnigen.core.array_types import Floats, Ints
from furnigen.core.errors import GeometryError
from furnigen.mesh.broadphase import meeting_boxes
from furnigen.mesh.facets import Facets
from furnigen.mesh.flat_arrays import blocks_of, expand, first_of
from furnigen.mesh.kept_facets import known_facets
from furnigen.mesh.model import MeshModel
from furnigen.mesh.tolerances import Tolerances

_ASIDE_MM = 1000.0
"""How far apart pieces that are looked at together are thought to stand."""

BLOCK = 100_000
"""Corners placed at a time: some 15 MB."""


@dataclass(frozen=True, eq=False)
class Scene:
    """What interference, contact and support checks share; made once by `scene_of`.

    Attributes:
        model: the meshes and their copies.
        tol: the tolerances of all checks of this scene.
        facets: flat faces of the parts, in part order.
        part: (n,) part of each copy.
        turn: (n, 3, 3) rotation of each copy.
        shift: (n, 3) shift of each copy, mm.
        lo, hi: (n, 3) world bounds of each copy, mm.
        facet_first: (n + 1,) first placed facet of each copy; placed facets follow part order within a copy.
        facet_lo, facet_hi: world bounds of every placed facet, mm.
        pairs: (k, 2) copies i < j whose bounds come within the contact gap.
    """

    model: MeshModel
    tol: Tolerances
    facets: Facets
    part: Ints
    turn: Floats
    shift: Floats
    lo: Floats
    hi: Floats
    facet_first: Ints
    facet_lo: Floats
    facet_hi: Floats
    pairs: Ints

    def of_copies(self, first: int, last: int) -> Scene:
        """Copies `first` up to, not including, `last` alone, without what comes near in them."""
        own = slice(first, last)
        begin, end = self.facet_first[first], self.facet_first[last]
        return replace(
            self,
            model=replace(self.model, instances=self.model.instances[own]),
            part=self.part[own],
            turn=self.turn[own],
            shift=self.shift[own],
            lo=self.lo[own],
            hi=self.hi[own],
            facet_first=self.facet_first[first : last + 1] - begin,
            facet_lo=self.facet_lo[begin:end],
            facet_hi=self.facet_hi[begin:end],
            pairs=np.empty((0, 2), dtype=np.int64),
        )

    def turned(self, copy: Ints, direction: Floats) -> Floats:
        """(n, 3) directions of the frames of n copies, in the world."""
        out: Floats = np.matmul(self.turn.take(copy, axis=0), direction[:, :, None])[:, :, 0]
        return out

    def placed(self, copy: Ints, point: Floats) -> Floats:
        """(n, 3) points of the frames of n copies, in the world, mm."""
        return self.turned(copy, point) + self.shift[copy]

    def placed_facet(self, copy: Ints, facet: Ints) -> Ints:
        """Rows of `facet_lo` and `facet_hi` of facets of n copies."""
        return self.facet_first[copy] + facet - self.facets.mesh_first[self.part[copy]]

    def label(self, copy: int) -> str:
        """The label of one placed copy."""
        return self.model.instances[copy].label


def scene_of(model: MeshModel, tol: Tolerances | None = None, apart: Ints | None = None) -> Scene:
    """Check the meshes and placements of a model and find which copies come near each other.

    Args:
        apart: (n,) which of several pieces each copy belongs to: those of different ones never come near.

    Raises:
        GeometryError: a part's mesh is not a closed solid, or a placement is not rigid; the message names it.
    """
    tol = tol or Tolerances()
    facets = known_facets(model.parts, tol)
    matrices = np.array([i.matrix for i in model.instances], dtype=np.float64).reshape(-1, 4, 4)
    part = np.array([i.part for i in model.instances], dtype=np.int64)
    turn, shift = np.ascontiguousarray(matrices[:, :3, :3]), np.ascontiguousarray(matrices[:, :3, 3])
    # what is not a number is no rotation either
    known = np.where(np.all(np.isfinite(matrices), axis=(1, 2), keepdims=True), turn, 0.0)
    stretch = np.abs(known @ known.transpose(0, 2, 1) - np.eye(3)).max(axis=(1, 2), initial=0.0)
    rigid = (stretch <= tol.rigid) & (np.linalg.det(known) > 0.0)
    for i in np.flatnonzero(~rigid):
        raise GeometryError(
            f"placement {model.instances[i].label}: its matrix scales, skews or mirrors;"
            " only a rotation and a shift can place a part"
        )

    counts = np.diff(facets.mesh_first)[part]
    facet_first = first_of(counts)
    if len(part):
        # the corners of some copies at a time
        corners = np.diff(facets.corner_first[facets.mesh_first])[part]
        blocks = [
            _facet_bounds(facets, part[own], turn[own], shift[own]) for own in blocks_of(corners, BLOCK)
        ]
        facet_lo, facet_hi = (np.concatenate(column) for column in zip(*blocks, strict=True))
        lo = np.minimum.reduceat(facet_lo, facet_first[:-1])
        hi = np.maximum.reduceat(facet_hi, facet_first[:-1])
    else:
        facet_lo = facet_hi = lo = hi = np.empty((0, 3))
    aside = np.zeros((len(lo), 3))
    if apart is not None and len(lo):
        aside[:, 0] = apart * (hi[:, 0].max() - lo[:, 0].min() + _ASIDE_MM)
    pairs = meeting_boxes(lo + aside, hi + aside, tol.contact_gap_mm)
    return Scene(model, tol, facets, part, turn, shift, lo, hi, facet_first, facet_lo, facet_hi, pairs)


def _facet_bounds(facets: Facets, part: Ints, turn: Floats, shift: Floats) -> tuple[Floats, Floats]:
    """World bounds of the placed facets of n copies, copy by copy: low and high corners, mm."""
    copy, within = expand(np.diff(facets.mesh_first)[part])
    facet = facets.mesh_first[part[copy]] + within
    counts = np.diff(facets.corner_first)[facet]
    row, k = expand(counts)
    local = facets.corners.take(facets.corner_first[facet[row]] + k, axis=0)
    owner = copy[row]
    world = np.matmul(turn.take(owner, axis=0), local[:, :, None])[:, :, 0] + shift.take(owner, axis=0)
    starts = first_of(counts)[:-1]
    return np.minimum.reduceat(world, starts), np.maximum.reduceat(world, starts)
