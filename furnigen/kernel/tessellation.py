"""From a solid to the closed triangle mesh of it.

The kernel meshes each face for itself, and gives every edge's nodes as numbers into the mesh of
either face. The faces are joined by those numbers, edge by edge, not by comparing coordinates: so
the mesh closes wherever the solid does, however loose the tolerances of a foreign file are.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from OCP.BRep import BRep_Tool
from OCP.BRepMesh import BRepMesh_IncrementalMesh
from OCP.BRepTools import BRepTools
from OCP.TopAbs import TopAbs_EDGE, TopAbs_REVERSED, TopAbs_VERTEX
from OCP.TopExp import TopExp, TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS
from OCP.TopTools import TopTools_IndexedMapOfShape

from furnigen.core.array_types import Floats, Ints
from furnigen.core.errors import GeometryError
from furnigen.kernel.shapes import faces_in

TOLERANCE_MM = 0.1
"""Default of the largest distance between a chord and the curve or surface it stands for, mm."""
ANGLE_RADIANS = 0.35
"""Default of the largest turn between neighbouring chords: a dowel too thin for `TOLERANCE_MM` to
matter still gets 18 sides, and looks round."""


class _Corners:
    """Numbers the corners of a mesh: one per vertex of the solid, then one per inner node of an edge."""

    def __init__(self, shape: Any) -> None:
        self._vertices, self._edges = TopTools_IndexedMapOfShape(), TopTools_IndexedMapOfShape()
        TopExp.MapShapes_s(shape, TopAbs_VERTEX, self._vertices)
        TopExp.MapShapes_s(shape, TopAbs_EDGE, self._edges)
        self.count = self._vertices.Extent()
        self._along: dict[int, list[int]] = {}

    def along(self, edge: Any, nodes: int) -> list[int]:
        """The corners along an edge, in the order of its curve; the same for each of its faces."""
        number = self._edges.FindIndex(edge)
        corners = self._along.get(number)
        if corners is None:
            first = self._vertices.FindIndex(TopExp.FirstVertex_s(edge, False)) - 1
            last = self._vertices.FindIndex(TopExp.LastVertex_s(edge, False)) - 1
            if BRep_Tool.Degenerated_s(edge):  # the whole edge is one point, such as a cone's apex
                return [first] * nodes
            corners = [first, *range(self.count, self.count + nodes - 2), last]
            self.count += nodes - 2
            self._along[number] = corners
        if len(corners) != nodes:
            raise GeometryError("the kernel's mesh does not fit together along an edge")
        return corners

    def inner(self, count: int) -> range:
        """New corners for nodes inside a face."""
        start, self.count = self.count, self.count + count
        return range(start, self.count)


def _face(face: Any, corners: _Corners) -> tuple[list[int], Floats, Ints]:
    """One face's nodes as (corner numbers, coordinates), and its triangles of corner numbers."""
    location = TopLoc_Location()
    mesh = BRep_Tool.Triangulation_s(face, location)
    if mesh is None:
        raise GeometryError("the kernel could not mesh one of its faces")
    count = mesh.NbNodes()
    number = [-1] * (count + 1)
    explorer = TopExp_Explorer(face, TopAbs_EDGE)
    while explorer.More():
        edge = TopoDS.Edge_s(explorer.Current())
        polygon = BRep_Tool.PolygonOnTriangulation_s(edge, mesh, location)
        if polygon is None:
            raise GeometryError("the kernel could not mesh one of its edges")
        nodes = [polygon.Node(i) for i in range(1, polygon.NbNodes() + 1)]
        for node, corner in zip(nodes, corners.along(edge, len(nodes)), strict=True):
            number[node] = corner
        explorer.Next()
    loose = [i for i in range(1, count + 1) if number[i] < 0]
    for node, corner in zip(loose, corners.inner(len(loose)), strict=True):
        number[node] = corner
    points = np.array([mesh.Node(i).Coord() for i in range(1, count + 1)], dtype=np.float64)
    if not location.IsIdentity():
        points = _moved(points, location)
    triangles = np.array([mesh.Triangle(i).Get() for i in range(1, mesh.NbTriangles() + 1)], dtype=np.int64)
    if face.Orientation() == TopAbs_REVERSED:
        triangles = triangles[:, ::-1]
    return number[1:], points, np.asarray(number, dtype=np.int64)[triangles]


def location_matrix(location: Any) -> Floats:
    """The (4, 4) matrix of a location of the kernel, mm, column-vector convention."""
    t = location.Transformation()
    out = np.eye(4)
    out[:3] = [[t.Value(r, c) for c in range(1, 5)] for r in range(1, 4)]
    return out


def _moved(points: Floats, location: Any) -> Floats:
    m = location_matrix(location)
    out: Floats = points @ m[:3, :3].T + m[:3, 3]
    return out


def triangles(
    shape: Any, *, tolerance_mm: float = TOLERANCE_MM, angle_radians: float = ANGLE_RADIANS
) -> tuple[Floats, Ints]:
    """The closed mesh of one solid where it stands: (n, 3) corners, mm, and (m, 3) corner numbers.

    Counter-clockwise seen from outside, every corner used, the same each time. A flat face gets the
    fewest triangles there are.

    Args:
        shape: an OCP solid.
        tolerance_mm: largest distance between mesh and solid; the volumes differ by at most this
            times the area of the curved faces.
        angle_radians: largest turn between neighbouring chords.

    Raises: GeometryError when the kernel can not mesh it.
    """
    # a mesh left from an earlier call would be kept where it is finer, and the result depend on it
    BRepTools.Clean_s(shape)
    # the kernel keeps to half the angle it is given (measured on cylinders)
    BRepMesh_IncrementalMesh(shape, tolerance_mm, False, 2 * angle_radians, False)
    corners = _Corners(shape)
    parts = [_face(face, corners) for face in faces_in(shape)]
    BRepTools.Clean_s(shape)
    points = np.empty((corners.count, 3))
    for numbers, coordinates, _ in parts:
        points[numbers] = coordinates
    faces = np.concatenate([f for _, _, f in parts])
    thin = (faces[:, 0] == faces[:, 1]) | (faces[:, 1] == faces[:, 2]) | (faces[:, 2] == faces[:, 0])
    used, flat = np.unique(faces[~thin], return_inverse=True)
    return points[used], flat.reshape(-1, 3).astype(np.int64)
