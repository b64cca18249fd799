"""Parts and placements for the mesh checks, built straight from corners with the boolean engine."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from manifold3d import CrossSection, Manifold
from numpy.typing import NDArray

from furnigen.mesh.model import MeshInstance, MeshModel, PartMesh

Outline = Sequence[tuple[float, float]]


def part(name: str, solid: Manifold, curved: bool = False) -> PartMesh:
    """A part mesh from a solid of the boolean engine, in double precision."""
    mesh = solid.to_mesh64()
    corners = np.array(mesh.vert_properties)[:, :3]
    return PartMesh(
        name, corners, np.array(mesh.tri_verts).astype(np.int64), (0.6, 0.5, 0.4), "birch", curved=curved
    )


def block(lo: Sequence[float], hi: Sequence[float]) -> Manifold:
    size = [b - a for a, b in zip(lo, hi, strict=True)]
    return Manifold.cube(tuple(size)).translate(tuple(lo))


def prism(outline: Outline, height: float, axis: str = "z") -> Manifold:
    """An outline (counter-clockwise) drawn up by `height` along z, or laid along x (outline in y, z)."""
    up = Manifold.extrude(CrossSection([list(outline)]), height)
    return up if axis == "z" else up.rotate((90.0, 0.0, 90.0))


def star(radii: Sequence[float]) -> list[tuple[float, float]]:
    """An outline with its corners at equal angles and these distances: hollow where the distances say so."""
    angles = 2 * np.pi * np.arange(len(radii)) / len(radii)
    return [(r * np.cos(t), r * np.sin(t)) for r, t in zip(radii, angles, strict=True)]


def drawn_up(outline: Sequence[Outline], height: float) -> Manifold:
    """Several outlines (holes clockwise) drawn up along z."""
    return Manifold.extrude(CrossSection([list(o) for o in outline]), height)


def at(
    x: float = 0.0, y: float = 0.0, z: float = 0.0, turn: NDArray[np.float64] | None = None
) -> NDArray[np.float64]:
    """A placement matrix: a rotation (3, 3), then a shift."""
    out = np.eye(4)
    if turn is not None:
        out[:3, :3] = turn
    out[:3, 3] = x, y, z
    return out


def turned(axis: Sequence[float], degrees: float) -> NDArray[np.float64]:
    """Rotation about an axis (Rodrigues' formula)."""
    k = np.asarray(axis, dtype=float) / np.linalg.norm(axis)
    cross = np.array([[0, -k[2], k[1]], [k[2], 0, -k[0]], [-k[1], k[0], 0]])
    t = np.radians(degrees)
    return np.eye(3) + np.sin(t) * cross + (1 - np.cos(t)) * cross @ cross


def model(*placed: tuple[str, PartMesh, NDArray[np.float64]]) -> MeshModel:
    """A model from (label, part, placement); the same part object is one distinct part."""
    parts: list[PartMesh] = []
    instances = []
    for label, mesh, matrix in placed:
        known = next((k for k, p in enumerate(parts) if p is mesh), None)
        if known is None:
            known = len(parts)
            parts.append(mesh)
        instances.append(MeshInstance(label, known, matrix))
    return MeshModel("test", tuple(parts), tuple(instances))
