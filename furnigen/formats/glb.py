"""glTF 2.0 binary (GLB): what a viewer, a phone or a web page shows.

Own code, not trimesh's writer: that one names nodes and meshes, but shares a corner between faces
or smooths over every edge (so boards look like soap), places copies by bare matrices and costs
more time to import than all four mesh formats take to write. The Khronos validator passes what is
written here without an error, a warning or a hint.

glTF is metres with Y up and the front towards +Z (glTF 2.0, section 3.4, from memory), furnigen
millimetres with Z up and the front towards -Y. The corners themselves are converted, so no node
scales or tilts: every node is a plain turn and shift.
"""

from __future__ import annotations

import json
import struct
from typing import Any, NamedTuple

import numpy as np

from furnigen.core.array_types import Floats, Ints
from furnigen.formats.assembly_tree import AssemblyTree, assembly_tree
from furnigen.formats.borders import Borders, border_png, border_width_mm
from furnigen.formats.exportable import require_exportable
from furnigen.formats.shading import shaded_corners
from furnigen.mesh.model import MeshModel, PartMesh

_METRES = 0.001
_Y_UP = np.array([[1.0, 0.0, 0.0], [0.0, 0.0, 1.0], [0.0, -1.0, 0.0]])
_ROUGHNESS = 0.6  # oiled or satin-lacquered wood; taste, no source

_FLOAT, _UINT16, _UINT32 = 5126, 5123, 5125
_SHORT_INDICES = 65535
"""Corners that two bytes can number: the number 65535 itself is reserved (glTF 2.0, section 3.7.2.1)."""
_LINEAR, _MIPMAPS, _CLAMP = 9729, 9987, 33071
_ARRAY_BUFFER, _ELEMENT_ARRAY_BUFFER = 34962, 34963

Json = dict[str, Any]


def glb_bytes(model: MeshModel, *, borders: bool = True) -> bytes:
    """The whole piece: one mesh per distinct part, one named node per copy, assemblies above them.

    Metres, Y up. Node names are placement labels and assembly names, mesh names part names,
    material names material names with the material's colour.

    Args:
        borders: whether the edges of flat faces are darkened, for viewers that draw no lines.

    Raises:
        GeometryError: see `require_exportable`.
    """
    require_exportable(model)
    materials = _Materials()
    buffers = _Buffers(_Buffer(), _Buffer(), _Buffer(), _Buffer())
    buffers.image.add(border_png())
    accessors: list[Json] = []
    width = border_width_mm(_diagonal_mm(model)) if borders else None
    meshes = [_mesh(part, width, materials, buffers, accessors) for part in model.parts]
    nodes: list[Json] = []
    root = _add_assembly(assembly_tree(model), nodes)
    document: Json = {
        "asset": {"version": "2.0", "generator": "furnigen"},
        "scene": 0,
        "scenes": [{"name": model.name, "nodes": [root]}],
        "nodes": nodes,
        "meshes": meshes,
        "materials": materials.written,
        "textures": [{"sampler": 0, "source": 0}],
        "samplers": [{"magFilter": _LINEAR, "minFilter": _MIPMAPS, "wrapS": _CLAMP, "wrapT": _CLAMP}],
        "images": [{"name": "border", "bufferView": 3, "mimeType": "image/png"}],
        "accessors": accessors,
        "bufferViews": buffers.views(),
        "buffers": [{"byteLength": sum(b.length for b in buffers)}],
    }
    text = json.dumps(document, ensure_ascii=False, separators=(",", ":"), allow_nan=False).encode()
    text += b" " * (-len(text) % 4)
    binary = b"".join(b.joined() for b in buffers)
    binary += b"\0" * (-len(binary) % 4)
    return b"".join(
        (
            struct.pack("<4sII", b"glTF", 2, 12 + 8 + len(text) + 8 + len(binary)),
            struct.pack("<I4s", len(text), b"JSON"),
            text,
            struct.pack("<I4s", len(binary), b"BIN\0"),
            binary,
        )
    )


class _Buffer:
    """Arrays put end to end."""

    def __init__(self) -> None:
        self.chunks: list[bytes] = []
        self.length = 0

    def add(self, data: bytes) -> int:
        """Append and return the offset, bytes."""
        offset = self.length
        self.chunks.append(data)
        self.length += len(data)
        return offset

    def joined(self) -> bytes:
        return b"".join(self.chunks)


class _Buffers(NamedTuple):
    """What the corners and the triangles of all meshes are written to, and the texture of borders."""

    points: _Buffer
    places: _Buffer
    indices: _Buffer
    image: _Buffer

    def views(self) -> list[Json]:
        """One view for each, in this order."""
        of_corners: Json = {"buffer": 0, "target": _ARRAY_BUFFER}
        of_triangles: Json = {"buffer": 0, "target": _ELEMENT_ARRAY_BUFFER}
        starts = np.cumsum([0, *(b.length for b in self)]).tolist()
        return [
            {**of_corners, "byteLength": self.points.length, "byteStride": 12},
            {**of_corners, "byteOffset": starts[1], "byteLength": self.places.length, "byteStride": 8},
            {**of_triangles, "byteOffset": starts[2], "byteLength": self.indices.length},
            {"buffer": 0, "byteOffset": starts[3], "byteLength": self.image.length},
        ]


def _diagonal_mm(model: MeshModel) -> float:
    """Of the box of all copies."""
    bounds = [(part.vertices.min(axis=0), part.vertices.max(axis=0)) for part in model.parts]
    low, high = np.full(3, np.inf), np.full(3, -np.inf)
    for instance in model.instances:
        lo, hi = bounds[instance.part]
        turn, shift = instance.matrix[:3, :3], instance.matrix[:3, 3]
        middle, half = turn @ ((lo + hi) / 2) + shift, np.abs(turn) @ ((hi - lo) / 2)
        low, high = np.minimum(low, middle - half), np.maximum(high, middle + half)
    return float(np.linalg.norm(high - low))


class _Materials:
    """One glTF material for each material and colour in use."""

    def __init__(self) -> None:
        self.written: list[Json] = []
        self._index: dict[tuple[str, tuple[float, float, float]], int] = {}

    def index(self, part: PartMesh) -> int:
        key = (part.material, part.colour)
        if key not in self._index:
            self._index[key] = len(self.written)
            # baseColorFactor is linear (glTF 2.0, section 3.9.2), as PartMesh.colour is
            look = {
                "baseColorFactor": [*(float(c) for c in part.colour), 1.0],
                "baseColorTexture": {"index": 0},
                "metallicFactor": 0.0,
                "roughnessFactor": _ROUGHNESS,
            }
            self.written.append({"name": part.material, "pbrMetallicRoughness": look})
        return self._index[key]


def _mesh(
    part: PartMesh, width_mm: float | None, materials: _Materials, buffers: _Buffers, accessors: list[Json]
) -> Json:
    vertices, normals, inside, faces = _drawn(part, width_mm)
    # + 0.0 turns a negative zero into zero, so equal places give equal bytes
    position = (vertices @ _Y_UP.T * _METRES + 0.0).astype("<f4")
    normal = (normals @ _Y_UP.T + 0.0).astype("<f4")
    place = np.column_stack([inside, np.full(len(inside), 0.5)]).astype("<f4")
    # two bytes for each corner of a triangle where they do: most of a file is those
    short = len(position) <= _SHORT_INDICES
    index = faces.astype("<u2" if short else "<u4")
    whole = index.tobytes()
    first = len(accessors)
    of_points: Json = {"bufferView": 0, "componentType": _FLOAT, "count": len(position), "type": "VEC3"}
    accessors += [
        {
            **of_points,
            "byteOffset": buffers.points.add(position.tobytes()),
            "min": [float(c) for c in position.min(axis=0)],
            "max": [float(c) for c in position.max(axis=0)],
        },
        {**of_points, "byteOffset": buffers.points.add(normal.tobytes())},
        {
            "bufferView": 1,
            "byteOffset": buffers.places.add(place.tobytes()),
            "componentType": _FLOAT,
            "count": len(place),
            "type": "VEC2",
        },
        {
            "bufferView": 2,
            "byteOffset": buffers.indices.add(whole + b"\0" * (-len(whole) % 4)),
            "componentType": _UINT16 if short else _UINT32,
            "count": index.size,
            "type": "SCALAR",
        },
    ]
    primitive = {
        "attributes": {"POSITION": first, "NORMAL": first + 1, "TEXCOORD_0": first + 2},
        "indices": first + 3,
        "material": materials.index(part),
    }
    return {"name": part.name, "primitives": [primitive]}


def _drawn(part: PartMesh, width_mm: float | None) -> tuple[Floats, Floats, Floats, Ints]:
    """The corners of a part, their normals and places in the texture, and its triangles."""
    vertices, normals, faces = shaded_corners(part.vertices, part.faces, part.round_face)
    if width_mm is None:
        return vertices, normals, np.ones(len(vertices)), faces
    bordered = Borders(part.vertices, part.faces, width_mm)
    rest = faces[bordered.plain]
    used, plain = np.unique(rest, return_inverse=True)
    return (
        np.concatenate([vertices[used], bordered.points]),
        np.concatenate([normals[used], bordered.normals]),
        np.concatenate([np.ones(len(used)), bordered.inside]),
        np.concatenate([plain.reshape(-1, 3), bordered.faces + len(used)]),
    )


def _add_assembly(assembly: AssemblyTree, nodes: list[Json]) -> int:
    """Append the assembly and all below it; return its node index."""
    node: Json = {"name": assembly.name}
    index = len(nodes)
    nodes.append(node)
    children = []
    for instance in assembly.instances:
        children.append(len(nodes))
        nodes.append({"name": instance.label, "mesh": instance.part, **_placed(instance.matrix)})
    children += [_add_assembly(child, nodes) for child in assembly.children.values()]
    node["children"] = children
    return index


def _placed(matrix: Floats) -> Json:
    """Rotation and translation of a node; identities are left out."""
    rotation = _quaternion(_Y_UP @ matrix[:3, :3] @ _Y_UP.T)
    shift = [float(c) for c in _Y_UP @ matrix[:3, 3] * _METRES + 0.0]
    placed: Json = {}
    if rotation != [0.0, 0.0, 0.0, 1.0]:
        placed["rotation"] = rotation
    if any(shift):
        placed["translation"] = shift
    return placed


def _quaternion(r: Floats) -> list[float]:
    """The unit quaternion (x, y, z, w) of a rotation matrix.

    By its largest component, so no half turn loses digits (K. Shoemake 1985; Shepperd's method,
    from memory).
    """
    four_squares = np.array(
        [
            1 + r[0, 0] - r[1, 1] - r[2, 2],
            1 - r[0, 0] + r[1, 1] - r[2, 2],
            1 - r[0, 0] - r[1, 1] + r[2, 2],
            1 + r[0, 0] + r[1, 1] + r[2, 2],
        ]
    )
    x, y, z = r[2, 1] - r[1, 2], r[0, 2] - r[2, 0], r[1, 0] - r[0, 1]
    xy, xz, yz = r[0, 1] + r[1, 0], r[0, 2] + r[2, 0], r[1, 2] + r[2, 1]
    rows = np.array(
        [
            [four_squares[0], xy, xz, x],
            [xy, four_squares[1], yz, y],
            [xz, yz, four_squares[2], z],
            [x, y, z, four_squares[3]],
        ]
    )
    q = rows[int(np.argmax(four_squares))]
    q = q / np.linalg.norm(q)
    if q[3] < 0:
        q = -q
    return [float(c) for c in q + 0.0]
