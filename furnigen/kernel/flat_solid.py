"""Solids of the kernel with flat faces only, put together from their corners and faces.

Nothing is fitted, cut or healed: planes, straight edges and corners go in as they are, each edge once, so
the solid is closed because the polyhedron is (`furnigen.parts.flat_faces`).
"""

from __future__ import annotations

from typing import Any

from OCP.BRep import BRep_Builder
from OCP.Geom import Geom_Line, Geom_Plane
from OCP.gp import gp_Ax3, gp_Dir, gp_Pnt
from OCP.TopAbs import TopAbs_FORWARD, TopAbs_REVERSED
from OCP.TopoDS import TopoDS_Edge, TopoDS_Face, TopoDS_Shell, TopoDS_Solid, TopoDS_Vertex, TopoDS_Wire

from furnigen.parts.flat_faces import Polyhedron

CLOSE_MM = 1e-7
"""How near a corner is to its edges and an edge to its faces: the kernel's own usual."""


def flat_solid(polyhedron: Polyhedron) -> Any:
    """The OCP TopoDS_Solid of a polyhedron, its faces in the same order (mm)."""
    build = BRep_Builder()
    corners = []
    for p in polyhedron.corners:
        corner = TopoDS_Vertex()
        build.MakeVertex(corner, gp_Pnt(*p), CLOSE_MM)
        corners.append(corner)
    edges: dict[tuple[int, int], Any] = {}

    def edge(i: int, j: int) -> Any:
        """The edge from one corner to another: that of the face beyond it, the other way round."""
        if (j, i) in edges:
            return edges[j, i].Reversed()
        a, b = polyhedron.corners[i], polyhedron.corners[j]
        start = gp_Pnt(*a)
        made = edges[i, j] = TopoDS_Edge()
        line = Geom_Line(start, gp_Dir(b[0] - a[0], b[1] - a[1], b[2] - a[2]))
        build.MakeEdge(made, line, CLOSE_MM)
        build.Add(made, corners[i].Oriented(TopAbs_FORWARD))
        build.Add(made, corners[j].Oriented(TopAbs_REVERSED))
        build.Range(made, 0.0, start.Distance(gp_Pnt(*b)))
        return made

    shell = TopoDS_Shell()
    build.MakeShell(shell)
    for face in polyhedron.faces:
        first, second = (polyhedron.corners[k] for k in face.loops[0][:2])
        along = gp_Dir(*(y - x for x, y in zip(first, second, strict=True)))
        made = TopoDS_Face()
        plane = Geom_Plane(gp_Ax3(gp_Pnt(*first), gp_Dir(*face.normal), along))
        build.MakeFace(made, plane, CLOSE_MM)
        for loop in face.loops:
            wire = TopoDS_Wire()
            build.MakeWire(wire)
            for i, j in zip(loop, (*loop[1:], loop[0]), strict=True):
                build.Add(wire, edge(i, j))
            wire.Closed(True)
            build.Add(made, wire)
        build.Add(shell, made)
    shell.Closed(True)
    solid = TopoDS_Solid()
    build.MakeSolid(solid)
    build.Add(solid, shell)
    return solid
