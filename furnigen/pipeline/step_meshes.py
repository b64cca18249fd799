"""The meshes of any STEP file, for the checks."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

import numpy as np
from OCP.BRep import BRep_Tool
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.ShapeAnalysis import ShapeAnalysis_ShapeTolerance
from OCP.TopAbs import TopAbs_VERTEX
from OCP.TopExp import TopExp
from OCP.TopoDS import TopoDS
from OCP.TopTools import TopTools_IndexedMapOfShape

from furnigen.core.array_types import Floats, Ints
from furnigen.core.errors import GeometryError
from furnigen.kernel.shapes import FAILURES, faces_in, is_flat
from furnigen.kernel.step_reader import StepFile, StepSolid, read_step
from furnigen.kernel.tessellation import ANGLE_RADIANS, TOLERANCE_MM, triangles
from furnigen.mesh.facets import facets_of
from furnigen.mesh.model import MeshInstance, MeshModel, PartMesh
from furnigen.mesh.tolerances import Tolerances

_OTHERS = (0.5, 2.0, 0.2, 5.0, 0.05)
"""Shares of the tolerance asked for that are tried where a solid does not mesh at it: the nearest first."""
_VOLUME_SHARE = 1e-6
"""How well the kernel knows the volume of a solid by itself."""
_LARGEST = 1
FINEST_SHARE = 1e-5
"""Share of a solid's size that a mesh of it need not be finer than: 0.02 mm for a board of two metres. A file
that is in metres by mistake would take all memory else."""


@dataclass(frozen=True)
class MeasuredSolid:
    """One distinct solid, measured as far as it can be.

    Attributes:
        solid: as it was read.
        mesh: closed; None where none could be made.
        tolerance_mm: at which it was meshed.
        fault: why there is no mesh, or no volume; "" where there are both.
        volume_mm3: as the kernel measures it (mm³).
        loose_mm: the widest gap the kernel allows between its faces, edges and corners (mm).
        valid: whether the kernel finds nothing amiss in how it is put together.
        faces: how many it has.
        size_mm: of the box about its corners (mm); None without corners.
    """

    solid: StepSolid
    mesh: PartMesh | None
    tolerance_mm: float
    fault: str
    volume_mm3: float
    loose_mm: float
    valid: bool
    faces: int
    size_mm: tuple[float, float, float] | None


def mesh_volume_mm3(vertices: Floats, faces: Ints) -> float:
    """Volume inside a closed mesh, by the divergence theorem (mm³)."""
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6.0)


def _mesh_area_mm2(vertices: Floats, faces: Ints) -> float:
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    return float(np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2.0)


def _outward(part: PartMesh) -> PartMesh:
    """The mesh with its triangles counter-clockwise seen from outside, however the file had them."""
    if mesh_volume_mm3(part.vertices, part.faces) < 0:
        return replace(part, faces=part.faces[:, ::-1])
    return part


def _meshed(solid: StepSolid, tolerance_mm: float, angle_radians: float) -> PartMesh:
    """Raises: GeometryError when the kernel can not mesh it at this tolerance, or the mesh is not closed."""
    try:
        vertices, faces = triangles(solid.shape, tolerance_mm=tolerance_mm, angle_radians=angle_radians)
        curved = not is_flat(solid.shape)
    except FAILURES as error:
        raise GeometryError(f"the kernel could not mesh it: {error}") from error
    mesh = _outward(PartMesh(solid.name, vertices, faces, solid.colour, solid.material, curved=curved))
    facets_of([(mesh.name, mesh.vertices, mesh.faces)], Tolerances())
    return mesh


def _meshed_somehow(
    solid: StepSolid, tolerance_mm: float, angle_radians: float
) -> tuple[PartMesh | None, float, str]:
    """A mesh and the tolerance it was made at; where there is none, what was wrong at the one asked for."""
    first = ""
    for share in (1.0, *_OTHERS):
        try:
            return _meshed(solid, tolerance_mm * share, angle_radians), tolerance_mm * share, ""
        except GeometryError as error:
            first = first or str(error).removeprefix(f"part {solid.name}: ")
    return None, tolerance_mm, first


def _corner_box(shape: Any) -> tuple[float, float, float] | None:
    vertices = TopTools_IndexedMapOfShape()
    TopExp.MapShapes_s(shape, TopAbs_VERTEX, vertices)
    if not vertices.Extent():
        return None
    points = np.array(
        [
            BRep_Tool.Pnt_s(TopoDS.Vertex_s(vertices.FindKey(i))).Coord()
            for i in range(1, vertices.Extent() + 1)
        ]
    )
    x, y, z = np.ptp(points, axis=0).tolist()
    return x, y, z


def measured(
    solid: StepSolid, tolerance_mm: float = TOLERANCE_MM, angle_radians: float = ANGLE_RADIANS
) -> MeasuredSolid:
    """Mesh and measure one solid; there is no error, whatever the solid is.

    Args:
        tolerance_mm, angle_radians: as in `furnigen.kernel.tessellation.triangles`; others near it are tried
            where the solid does not mesh so, and no finer one than FINEST_SHARE of its size.
    """
    shape = solid.shape
    loose = float(ShapeAnalysis_ShapeTolerance().Tolerance(shape, _LARGEST))
    properties = GProp_GProps()
    valid, volume = False, 0.0
    try:
        valid = bool(BRepCheck_Analyzer(shape).IsValid())
        BRepGProp.VolumeProperties_s(shape, properties)
        volume = abs(properties.Mass())
    except FAILURES:
        pass  # told by what was not found: no volume, not valid
    corners = _corner_box(shape)
    finest = FINEST_SHARE * max(corners) if corners else 0.0
    mesh, at, fault = _meshed_somehow(solid, max(tolerance_mm, finest), angle_radians)
    if mesh is not None:
        fault = _volume_fault(mesh, volume, at, loose)
    return MeasuredSolid(
        solid,
        None if fault else mesh,
        at,
        fault,
        volume,
        loose,
        valid,
        len(faces_in(shape)),
        corners,
    )


def _volume_fault(mesh: PartMesh, volume: float, tolerance_mm: float, loose_mm: float) -> str:
    """Why a closed mesh is not the solid; "" when it is."""
    meshed = mesh_volume_mm3(mesh.vertices, mesh.faces)
    if not np.isfinite(volume) or volume <= 0.0:
        return "the kernel finds no volume in it"
    within = (tolerance_mm + loose_mm) * _mesh_area_mm2(mesh.vertices, mesh.faces) + _VOLUME_SHARE * volume
    flat = not mesh.curved and loose_mm < tolerance_mm
    if abs(meshed - volume) > (_VOLUME_SHARE * volume + loose_mm * within / tolerance_mm if flat else within):
        return f"its faces enclose {volume:,.0f} mm³ and its mesh {meshed:,.0f} mm³"
    return ""


def measured_solids(file: StepFile, tolerance_mm: float, angle_radians: float) -> Iterator[MeasuredSolid]:
    """Every distinct solid of a file, measured in turn."""
    return (measured(solid, tolerance_mm, angle_radians) for solid in file.solids)


def model_of(file: StepFile, solids: list[MeasuredSolid]) -> MeshModel:
    """The meshes of a file and their copies, without the solids that have none."""
    numbers: dict[int, int] = {}
    meshes: list[PartMesh] = []
    for k, one in enumerate(solids):
        if one.mesh is not None:
            numbers[k] = len(meshes)
            meshes.append(one.mesh)
    copies = tuple(
        MeshInstance(c.label, numbers[c.solid], c.matrix, c.path) for c in file.copies if c.solid in numbers
    )
    return MeshModel(file.name, tuple(meshes), copies)


def step_mesh_model(
    path: str | Path, *, tolerance_mm: float = TOLERANCE_MM, angle_radians: float = ANGLE_RADIANS
) -> MeshModel:
    """The meshes of a STEP file, one for each distinct solid, and their placed copies.

    Args:
        tolerance_mm, angle_radians: as in `measured`.

    Raises: as `read_step`; GeometryError naming a solid that can not be meshed.
    """
    file = read_step(path)
    solids = []
    for one in measured_solids(file, tolerance_mm, angle_radians):
        if one.mesh is None:
            raise GeometryError(f"{path}: solid {one.solid.name!r}: {one.fault}")
        solids.append(one)
    return model_of(file, solids)
