"""Walk through a shape of the kernel: the solids and faces it is made of, and their kinds."""

from __future__ import annotations

from typing import Any

import OCP.Standard
from OCP.BRep import BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Surface
from OCP.GeomAbs import GeomAbs_Plane
from OCP.TopAbs import TopAbs_EDGE, TopAbs_FACE, TopAbs_SOLID
from OCP.TopExp import TopExp_Explorer
from OCP.TopoDS import TopoDS


def _every(shape: Any, kind: Any, cast: Any) -> list[Any]:
    found = []
    explorer = TopExp_Explorer(shape, kind)
    while explorer.More():
        found.append(cast(explorer.Current()))
        explorer.Next()
    return found


def solids_in(shape: Any) -> list[Any]:
    """Every solid within `shape`, in the kernel's order."""
    return _every(shape, TopAbs_SOLID, TopoDS.Solid_s)


def faces_in(shape: Any) -> list[Any]:
    """Every face within `shape`, each as often as it is used, in the kernel's order."""
    return _every(shape, TopAbs_FACE, TopoDS.Face_s)


def edges_in(shape: Any) -> list[Any]:
    """Every edge within `shape`, each as often as it is used, in the kernel's order; none that is a point."""
    return [e for e in _every(shape, TopAbs_EDGE, TopoDS.Edge_s) if not BRep_Tool.Degenerated_s(e)]


def is_flat(shape: Any) -> bool:
    """Whether all faces of `shape` are planes."""
    return all(BRepAdaptor_Surface(face).GetType() == GeomAbs_Plane for face in faces_in(shape))


FAILURES: tuple[type[Exception], ...] = tuple(
    kind for kind in vars(OCP.Standard).values() if isinstance(kind, type) and issubclass(kind, Exception)
)
"""To be caught together."""
