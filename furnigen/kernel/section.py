"""A solid cut by an upright plane: what lies beyond it, and the outlines of the cut."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.BRepAlgoAPI import BRepAlgoAPI_Common
from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox
from OCP.BRepTools import BRepTools_WireExplorer
from OCP.GeomAbs import GeomAbs_Line
from OCP.gp import gp_Pnt, gp_Trsf
from OCP.TopAbs import TopAbs_REVERSED, TopAbs_WIRE
from OCP.TopExp import TopExp_Explorer
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS

from furnigen.core.pose import Pose, Vector
from furnigen.kernel.shapes import faces_in, solids_in

_ON_MM = 1e-4
_FAR_MM = 1e5


def beyond_plane(shape: Any, pose: Pose, x: float) -> tuple[list[Any], list[tuple[Vector, ...]]]:
    """What of a solid lies beyond the plane at `x` of the room, seen from its left, and where it is cut.

    Args:
        shape: OCP solid in its own frame.
        pose: where it stands.
        x: of the plane (mm).

    Returns: solids in the room's frame, and closed outlines in the plane, those of openings among them.
    """
    m, move = pose.matrix(), gp_Trsf()
    move.SetValues(*m[0], *m[1], *m[2])
    placed = shape.Moved(TopLoc_Location(move))
    box = BRepPrimAPI_MakeBox(gp_Pnt(x, -_FAR_MM, -_FAR_MM), gp_Pnt(x + _FAR_MM, _FAR_MM, _FAR_MM)).Solid()
    found = solids_in(BRepAlgoAPI_Common(placed, box).Shape())
    outlines = [loop for solid in found for face in faces_in(solid) for loop in _loops_in_plane(face, x)]
    return found, outlines


def _loops_in_plane(face: Any, x: float) -> Sequence[tuple[Vector, ...]]:
    """The outlines of a face, where all of it lies in the plane."""
    loops = []
    wires = TopExp_Explorer(face, TopAbs_WIRE)
    while wires.More():
        points: list[Vector] = []
        walk = BRepTools_WireExplorer(TopoDS.Wire_s(wires.Current()), face)
        while walk.More():
            points += _along(walk.Current())
            walk.Next()
        if not points or any(abs(p[0] - x) > _ON_MM for p in points):
            return []
        loops.append(tuple(points))
        wires.Next()
    return loops


def _along(edge: Any) -> list[Vector]:
    """Points of an edge in the direction it is used, without its last."""
    curve = BRepAdaptor_Curve(edge)
    first, last = curve.FirstParameter(), curve.LastParameter()
    steps = 1 if curve.GetType() == GeomAbs_Line else 24
    found = []
    for k in range(steps + 1):
        p = curve.Value(first + (last - first) * k / steps)
        found.append((p.X(), p.Y(), p.Z()))
    if edge.Orientation() == TopAbs_REVERSED:
        found.reverse()
    return found[:-1]
