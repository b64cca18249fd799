"""Is a solid a board, and how long, wide and thick: from its flat faces, whatever way it was drawn."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

from OCP.Bnd import Bnd_Box
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepGProp import BRepGProp
from OCP.GeomAbs import GeomAbs_CurveType, GeomAbs_SurfaceType
from OCP.gp import gp_Ax3, gp_Dir, gp_Pnt, gp_Trsf
from OCP.GProp import GProp_GProps
from OCP.TopLoc import TopLoc_Location

from furnigen.core.pose import Vector, cross, dot, unit
from furnigen.kernel.shapes import edges_in, faces_in

PARALLEL = 1e-4
"""Sine of the angle below which two faces count as parallel: 0.2 mm over two metres."""
ON_MM = 0.01
"""A face this near the outside of a board lies on it."""
LEAST_FACE = 0.05
"""Share of length x width that each broad face must have at least: a ring of narrow members has more."""


@dataclass(frozen=True)
class BoardSize:
    """A board as it was measured.

    Attributes:
        length_mm, width_mm, thickness_mm: of the block that holds it, longest first; along its own axes where
            these are known to be those.
        volume_mm3: of the solid.
        area_mm2: of its surface.
        own_axes: whether length, width and thickness are those along its own x, y and z.
    """

    length_mm: float
    width_mm: float
    thickness_mm: float
    volume_mm3: float
    area_mm2: float
    own_axes: bool = False


@dataclass(frozen=True)
class _Flat:
    """One flat face: its normal, how far along it the plane lies, its area (mm, mm²)."""

    normal: Vector
    at: float
    area: float


def board_size(shape: Any, *, own_axes: bool = False) -> BoardSize | str:
    """The size of a board-like solid, or in a clause why it is none.

    A board has two broad flat faces, parallel, all of it between them, no further apart than it is wide.

    Args:
        own_axes: its length is known to lie along its x, its width along y: so it is with parts of ours,
            whose length is that along the grain.
    """
    flats = list(_flat_faces(shape))
    if not flats:
        return "it has no flat face"
    for normal in _directions(flats):
        along = _longest_edge(shape, normal)
        size = _extents(shape, normal, along)
        length, width = max(size[:2]), min(size[:2])
        thickness = size[2]
        if thickness > width + ON_MM:
            continue
        ends = [f for f in flats if abs(dot(f.normal, normal)) > 1 - PARALLEL**2]
        offsets = [f.at if dot(f.normal, normal) > 0 else -f.at for f in ends]
        top, under = max(offsets), min(offsets)
        if abs(top - under - thickness) > ON_MM:
            continue
        least = LEAST_FACE * length * width
        areas = [
            sum(f.area for f, at in zip(ends, offsets, strict=True) if abs(at - side) < ON_MM)
            for side in (top, under)
        ]
        if min(areas) < least:
            continue
        volume, area = _measures(shape)
        if own_axes and _square_to_axes(normal) and _square_to_axes(along):
            return BoardSize(*_extents(shape, (0.0, 0.0, 1.0), (1.0, 0.0, 0.0)), volume, area, True)
        return BoardSize(length, width, thickness, volume, area)
    return "it has no two broad flat faces that are parallel"


def _flat_faces(shape: Any) -> Iterable[_Flat]:
    for face in faces_in(shape):
        surface = BRepAdaptor_Surface(face)
        if surface.GetType() != GeomAbs_SurfaceType.GeomAbs_Plane:
            continue
        plane = surface.Plane()
        axis, point = plane.Axis().Direction(), plane.Location()
        normal: Vector = (axis.X(), axis.Y(), axis.Z())
        props = GProp_GProps()
        BRepGProp.SurfaceProperties_s(face, props)
        yield _Flat(normal, dot(normal, (point.X(), point.Y(), point.Z())), props.Mass())


def _directions(flats: list[_Flat]) -> list[Vector]:
    """Directions square to flat faces, those with most area first; opposite ones are one."""
    found: list[tuple[Vector, float]] = []
    for f in flats:
        for k, (normal, area) in enumerate(found):
            if abs(dot(normal, f.normal)) > 1 - PARALLEL**2:
                found[k] = (normal, area + f.area)
                break
        else:
            found.append((f.normal, f.area))
    return [normal for normal, _ in sorted(found, key=lambda n: -n[1])[:6]]


def _longest_edge(shape: Any, normal: Vector) -> Vector:
    """Direction of the longest straight edge square to `normal`; any direction there where there is none.

    Edges of one direction on one line or not are added up: a long edge notched ten times is still long.
    """
    found: list[tuple[Vector, float]] = []
    for edge in edges_in(shape):
        curve = BRepAdaptor_Curve(edge)
        if curve.GetType() != GeomAbs_CurveType.GeomAbs_Line:
            continue
        d = curve.Line().Direction()
        way: Vector = (d.X(), d.Y(), d.Z())
        if abs(dot(way, normal)) > PARALLEL:
            continue
        long = abs(curve.LastParameter() - curve.FirstParameter())
        for k, (other, total) in enumerate(found):
            if abs(dot(other, way)) > 1 - PARALLEL**2:
                found[k] = (other, total + long)
                break
        else:
            found.append((way, long))
    if found:
        return max(found, key=lambda f: f[1])[0]
    helper: Vector = (1.0, 0.0, 0.0) if abs(normal[0]) < 0.9 else (0.0, 1.0, 0.0)
    return unit(cross(helper, normal))


def _extents(shape: Any, normal: Vector, along: Vector) -> Vector:
    """Extents along the edge, across it, and along the normal (mm)."""
    turn = gp_Trsf()
    turn.SetTransformation(gp_Ax3(gp_Pnt(0, 0, 0), gp_Dir(*normal), gp_Dir(*along)))
    box = Bnd_Box()
    BRepBndLib.AddOptimal_s(shape.Moved(TopLoc_Location(turn)), box, False, False)
    x0, y0, z0, x1, y1, z1 = box.Get()
    gap = 2 * box.GetGap()
    return (x1 - x0 - gap, y1 - y0 - gap, z1 - z0 - gap)


def _square_to_axes(direction: Vector) -> bool:
    return max(map(abs, direction)) > 1 - PARALLEL**2


def _measures(shape: Any) -> tuple[float, float]:
    """Volume (mm³) and surface (mm²)."""
    solid, surface = GProp_GProps(), GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, solid)
    BRepGProp.SurfaceProperties_s(shape, surface)
    return abs(solid.Mass()), surface.Mass()
