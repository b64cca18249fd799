"""Flat faces of meshes that were met before: found once for each mesh, and put together for each scene."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np

from furnigen.core.caches import while_alive
from furnigen.mesh.facets import Facets, facets_of
from furnigen.mesh.model import PartMesh
from furnigen.mesh.tolerances import Tolerances

_KNOWN: dict[Tolerances, Any] = {}
_OF_FACETS = ("normal", "centre", "along", "area")
_OF_CORNERS = ("corners", "edge", "reflex")


def known_facets(meshes: Sequence[PartMesh], tol: Tolerances) -> Facets:
    """The flat faces of some meshes; what is new of them is found for all at once.

    Raises: as `facets_of`.
    """
    known = _KNOWN.setdefault(tol, while_alive())
    new = list(dict.fromkeys(mesh for mesh in meshes if mesh not in known))
    if new or not meshes:
        found = facets_of([(mesh.name, mesh.vertices, mesh.faces) for mesh in new], tol)
        for number, mesh in enumerate(new):
            known[mesh] = _of_mesh(found, number)
        if new == list(meshes):
            return found
    return _together([known[mesh] for mesh in meshes])


def _of_mesh(facets: Facets, number: int) -> Facets:
    """One mesh of several, as parts of the same arrays."""
    first, last = facets.mesh_first[number : number + 2].tolist()
    corners = slice(facets.corner_first[first], facets.corner_first[last])
    pieces = slice(facets.piece_first[first], facets.piece_first[last])
    triangles = slice(facets.triangle_first[number], facets.triangle_first[number + 1])
    own = facets.triangle_facet[triangles]
    return Facets(
        mesh_first=np.array([0, last - first]),
        **{name: getattr(facets, name)[first:last] for name in _OF_FACETS},
        corner_first=facets.corner_first[first : last + 1] - corners.start,
        **{name: getattr(facets, name)[corners] for name in _OF_CORNERS},
        piece_first=facets.piece_first[first : last + 1] - pieces.start,
        pieces=facets.pieces[pieces],
        edge_facet=facets.edge_facet[corners] - first,
        triangle_facet=np.where(own < 0, own, own - first),
        triangle_first=np.array([0, len(own)]),
        convex=facets.convex[number : number + 1],
    )


def _together(each: Sequence[Facets]) -> Facets:
    """Some meshes in one."""
    many = [len(one.area) for one in each]
    before = np.cumsum([0, *many])
    edge_facet = [one.edge_facet + first for one, first in zip(each, before[:-1], strict=True)]
    triangles = [
        np.where(one.triangle_facet < 0, one.triangle_facet, one.triangle_facet + first)
        for one, first in zip(each, before[:-1], strict=True)
    ]
    return Facets(
        mesh_first=before,
        **{
            name: np.concatenate([getattr(one, name) for one in each])
            for name in (*_OF_FACETS, *_OF_CORNERS, "pieces", "convex")
        },
        corner_first=_running([one.corner_first for one in each]),
        piece_first=_running([one.piece_first for one in each]),
        edge_facet=np.concatenate(edge_facet),
        triangle_facet=np.concatenate(triangles),
        triangle_first=_running([one.triangle_first for one in each]),
    )


def _running(each: Sequence[Any]) -> Any:
    """(n + 1,) first of each, from that of several parts."""
    before = np.cumsum([0, *(int(one[-1]) for one in each)])
    tails = [one[1:] + first for one, first in zip(each, before[:-1], strict=True)]
    return np.concatenate([np.zeros(1, dtype=np.int64), *tails])
