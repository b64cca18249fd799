"""What a mesh model must satisfy before any file is written from it."""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from furnigen.core.errors import GeometryError
from furnigen.mesh.model import MeshInstance, MeshModel, PartMesh

RIGID = 1e-6
"""Largest deviation of a rotation from orthonormal: above the rounding of a chain of float64
products, far below what a reader of the files could notice (a micrometre on a metre)."""


def require_exportable(model: MeshModel) -> None:
    """Refuse a model that no format could hold correctly.

    Raises:
        GeometryError: nothing to write; a name that is empty, repeated or not printable; a face
            that names a missing corner; a size that is not a number; a placement that is not
            rigid (scaled, sheared, mirrored) or names a missing part.
    """
    if not model.instances:
        raise GeometryError(f"{model.name or 'the model'}: it has no parts to write; place at least one")
    _require_name("model", model.name)
    _require_unique("part name", [p.name for p in model.parts])
    _require_unique("label", [i.label for i in model.instances])
    for part in model.parts:
        _require_mesh(part)
    for instance in model.instances:
        _require_place(instance, len(model.parts))
    _require_rigid(model.instances)


def _require_name(kind: str, name: str) -> None:
    if not name or not name.isprintable():
        raise GeometryError(f"{kind} {name!r}: a name must be printable text and not empty")


def _require_unique(kind: str, names: Iterable[str]) -> None:
    seen: set[str] = set()
    for name in names:
        _require_name(kind, name)
        if name in seen:
            raise GeometryError(f"{kind} {name!r}: used twice; each must be unique in the model")
        seen.add(name)


def _require_mesh(part: PartMesh) -> None:
    v, f = part.vertices, part.faces
    if v.ndim != 2 or v.shape[1] != 3 or f.ndim != 2 or f.shape[1] != 3 or not len(f):
        raise GeometryError(f"part {part.name}: the mesh has no triangles")
    if not np.isfinite(v).all():
        raise GeometryError(f"part {part.name}: a corner of the mesh is not a finite number")
    if f.min() < 0 or f.max() >= len(v):
        raise GeometryError(f"part {part.name}: a triangle names corner {f.max()} of {len(v)}")
    _require_name(f"material of part {part.name}", part.material)
    if not all(0.0 <= c <= 1.0 for c in part.colour):
        raise GeometryError(f"part {part.name}: colour {part.colour} is outside 0 to 1")


def _require_place(instance: MeshInstance, parts: int) -> None:
    if not 0 <= instance.part < parts:
        raise GeometryError(f"{instance.label}: it names part {instance.part}, of {parts} in the model")
    for name in instance.path:
        _require_name(f"assembly of {instance.label}", name)
    if instance.matrix.shape != (4, 4) or not np.isfinite(instance.matrix).all():
        raise GeometryError(f"{instance.label}: its placement is not a 4 x 4 matrix of finite numbers")


def _require_rigid(instances: tuple[MeshInstance, ...]) -> None:
    matrices = np.array([i.matrix for i in instances])
    turns = matrices[:, :3, :3]
    slip = np.abs(turns @ turns.transpose(0, 2, 1) - np.eye(3)).max(axis=(1, 2))
    rigid = (slip <= RIGID) & (np.linalg.det(turns) > 0)
    rigid &= (matrices[:, 3] == (0.0, 0.0, 0.0, 1.0)).all(axis=1)
    if not rigid.all():
        label = instances[int(np.argmin(rigid))].label
        raise GeometryError(f"{label}: its placement scales, shears or mirrors; only turns and shifts fit")
