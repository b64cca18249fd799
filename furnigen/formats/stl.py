"""Binary STL: the whole piece in place, or one file per distinct part.

Own code, not trimesh's writer: the format is one packed record per triangle, fewer lines than the
scene it would take to hand the meshes over, and importing trimesh would cost more time than all
four mesh formats take to write.

The record (80-byte header, uint32 count, then normal, three corners and a zero uint16, all
little-endian float32) is as its makers published it in 1989, from memory. STL knows no unit:
furnigen writes millimetres, which every slicer assumes.
"""

from __future__ import annotations

import struct

import numpy as np

from furnigen.core.array_types import Floats
from furnigen.formats.exportable import require_exportable
from furnigen.mesh.flat_arrays import cross_products
from furnigen.mesh.model import MeshModel

# Must not begin with "solid": readers take that for the text form.
_HEADER = b"binary STL, millimetres, Z up".ljust(80, b" ")
SLIVER = 5e-4
"""Normals that differ by more, by single and by double precision, are those of slivers."""
_RECORD = np.dtype([("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("attribute", "<u2")])


def stl_bytes(model: MeshModel) -> bytes:
    """The whole piece, every copy placed, millimetres, Z up.

    Raises:
        GeometryError: see `require_exportable`.
    """
    require_exportable(model)
    return _encode([model.world_vertices(i).take(model.parts[i.part].faces, 0) for i in model.instances])


def part_stls(model: MeshModel) -> dict[str, bytes]:
    """Each distinct part in its own frame, millimetres, by part name.

    Raises:
        GeometryError: see `require_exportable`.
    """
    require_exportable(model)
    return {part.name: _encode([part.vertices.take(part.faces, 0)]) for part in model.parts}


def _encode(groups: list[Floats]) -> bytes:
    # + 0.0 turns a negative zero into zero, so equal places give equal bytes
    corners = np.concatenate(groups) + 0.0
    normals = cross_products(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    lengths = np.linalg.norm(normals, axis=1, keepdims=True)
    records = np.zeros(len(corners), dtype=_RECORD)
    normals = np.divide(normals, lengths, out=np.zeros_like(normals), where=lengths > 0)
    records["normal"] = _as_readers_find(normals, corners) + 0.0
    records["corners"] = corners
    return _HEADER + struct.pack("<I", len(records)) + records.tobytes()


def _as_readers_find(normals: Floats, corners: Floats) -> Floats:
    """Normals, those of slivers as readers work them out in single precision.

    A reader compares the normal of each facet with its own. Of a facet some micrometres high, products
    rounded to single precision give another than exact ones, and it would call ours wrong.
    """
    one, two = (corners[:, k] - corners[:, 0] for k in (1, 2))
    rounded = np.empty_like(normals)
    for k, (i, j) in enumerate(((1, 2), (2, 0), (0, 1))):
        rounded[:, k] = (one[:, i] * two[:, j]).astype(np.float32) - one[:, j] * two[:, i]
    lengths = np.linalg.norm(rounded, axis=1, keepdims=True)
    rounded = np.divide(rounded, lengths, out=normals.copy(), where=lengths > 0)
    apart = np.abs(rounded - normals).max(axis=1, initial=0.0) > SLIVER
    return np.where(apart[:, None], rounded, normals)
