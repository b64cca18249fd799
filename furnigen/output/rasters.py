"""Triangles to pixels, off screen: the only module that touches VTK.

VTK is asked for nothing but which triangle a pixel sees, how it is turned and how far it is; the
light is reckoned elsewhere, in arrays. VTK tries EGL and then OSMesa, so no display is needed.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray, vtk_to_numpy
from vtkmodules.vtkCommonCore import vtkFloatArray, vtkPoints, vtkUnsignedCharArray
from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkImageData, vtkPolyData
from vtkmodules.vtkCommonMath import vtkMatrix4x4
from vtkmodules.vtkIOImage import vtkPNGWriter
from vtkmodules.vtkRenderingCore import vtkActor, vtkPolyDataMapper, vtkRenderer, vtkRenderWindow
from vtkmodules.vtkRenderingOpenGL2 import vtkOpenGLRenderer  # noqa: F401  registers the OpenGL classes

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Ints = NDArray[np.int64]
Owners = NDArray[np.int32]
Bytes = NDArray[np.uint8]

NOTHING = -1
"""The owner of a pixel that sees no triangle."""


@dataclass(frozen=True, eq=False)
class Triangles:
    """All triangles of a scene.

    Attributes:
        points: (n, 3) corners.
        normals: (n, 3) unit normals at the corners.
        faces: (m, 3) corner indices.
        owners: (m,) whose each triangle is, 0 to 2**24 - 2.
    """

    points: Floats
    normals: Floats
    faces: Ints
    owners: Ints


class Rasters:
    """Views of one set of triangles."""

    def __init__(self, triangles: Triangles) -> None:
        self._window = vtkRenderWindow()
        self._window.SetOffScreenRendering(1)
        self._window.SetMultiSamples(0)
        self._renderer = vtkRenderer()
        self._renderer.SetBackground(1.0, 1.0, 1.0)
        # nothing is ever outside the view, and the cullers would ask a camera that knows no view
        self._renderer.GetCullers().RemoveAllItems()
        self._window.AddRenderer(self._renderer)
        self._mesh = _polydata(triangles)
        codes = triangles.owners
        self._owner_colours = np.column_stack([codes >> 16, codes >> 8, codes]).astype(np.uint8)
        self._normal_colours = np.round(127.5 + 127.5 * triangles.normals).astype(np.uint8)
        self._mapper = vtkPolyDataMapper()
        self._mapper.SetInputData(self._mesh)
        self._mapper.SetColorModeToDirectScalars()
        actor = vtkActor()
        actor.SetMapper(self._mapper)
        actor.GetProperty().LightingOff()
        actor.GetProperty().SetInterpolationToFlat()
        self._renderer.AddActor(actor)

    def look(self, projection: Floats, width: int, height: int) -> None:
        """Set what the next calls see.

        Args:
            projection: (4, 4) from the world to clip space, OpenGL convention.
            width: pixels.
            height: pixels.
        """
        self._window.SetSize(width, height)
        camera = self._renderer.GetActiveCamera()
        # a camera at the origin that looks along -Z: its own view is the identity
        camera.SetPosition(0.0, 0.0, 0.0)
        camera.SetFocalPoint(0.0, 0.0, -1.0)
        camera.SetViewUp(0.0, 1.0, 0.0)
        matrix = vtkMatrix4x4()
        matrix.DeepCopy(projection.ravel().tolist())
        camera.SetExplicitProjectionTransformMatrix(matrix)
        camera.UseExplicitProjectionTransformMatrixOn()

    def owners(self) -> Owners:
        """(height, width) whose triangle each pixel sees, or NOTHING; the top row first."""
        rgb = self._colours(self._mesh.GetCellData(), self._owner_colours)
        codes: Owners = np.zeros(rgb.shape[:2], np.int32)
        for channel in range(3):
            codes = codes << 8 | rgb[..., channel]
        codes[codes == 0xFFFFFF] = NOTHING
        return codes

    def normals(self) -> Singles:
        """(height, width, 3) unit normals; meaningless where a pixel sees nothing."""
        rgb = self._colours(self._mesh.GetPointData(), self._normal_colours)
        n: Singles = rgb.astype(np.float32)
        n -= np.float32(127.5)
        n /= np.sqrt(np.einsum("ijk,ijk->ij", n, n))[..., None]
        return n

    def depths(self) -> Singles:
        """(height, width) depth in the view, 0 near to 1 far, of one fresh drawing."""
        self._mapper.ScalarVisibilityOff()
        self._window.Render()
        width, height = self._window.GetSize()
        values = vtkFloatArray()
        self._window.GetZbufferData(0, 0, width - 1, height - 1, values)
        rows: Singles = _from_vtk(values).reshape(height, width)[::-1]
        return rows

    def _colours(self, attributes: Any, colours: Bytes) -> Bytes:
        for data in (self._mesh.GetCellData(), self._mesh.GetPointData()):
            data.SetScalars(None)
        attributes.SetScalars(_to_vtk(colours))
        self._mapper.ScalarVisibilityOn()
        if attributes is self._mesh.GetCellData():
            self._mapper.SetScalarModeToUseCellData()
        else:
            self._mapper.SetScalarModeToUsePointData()
        self._window.Render()
        width, height = self._window.GetSize()
        pixels = vtkUnsignedCharArray()
        self._window.GetPixelData(0, 0, width - 1, height - 1, 0, pixels, 0)
        rows: Bytes = _from_vtk(pixels).reshape(height, width, 3)[::-1]
        return rows

    def close(self) -> None:
        """Give the graphics memory back."""
        self._window.Finalize()


# vtkmodules carries no types for these three


def _to_vtk(array: NDArray[Any]) -> Any:
    return numpy_to_vtk(array, deep=True)  # type: ignore[no-untyped-call]


def _to_vtk_ids(array: Ints) -> Any:
    return numpy_to_vtkIdTypeArray(array.astype(np.int64), deep=True)  # type: ignore[no-untyped-call]


def _from_vtk(array: Any) -> NDArray[Any]:
    values: NDArray[Any] = vtk_to_numpy(array)  # type: ignore[no-untyped-call]
    return values


def _polydata(triangles: Triangles) -> vtkPolyData:
    points = vtkPoints()
    points.SetData(_to_vtk(triangles.points.astype(np.float32)))
    cells = vtkCellArray()
    corners = _to_vtk_ids(triangles.faces.ravel())
    starts = _to_vtk_ids(np.arange(0, triangles.faces.size + 1, 3))
    cells.SetData(starts, corners)
    mesh = vtkPolyData()
    mesh.SetPoints(points)
    mesh.SetPolys(cells)
    return mesh


def png(pixels: Bytes) -> bytes:
    """(height, width, 3) sRGB bytes, the top row first, as a PNG without date or machine in it."""
    height, width, _ = pixels.shape
    image = vtkImageData()
    image.SetDimensions(width, height, 1)
    flat = np.ascontiguousarray(pixels[::-1]).reshape(-1, 3)
    image.GetPointData().SetScalars(_to_vtk(flat))
    writer = vtkPNGWriter()
    writer.WriteToMemoryOn()
    writer.SetCompressionLevel(9)
    writer.SetInputData(image)
    writer.Write()
    return _from_vtk(writer.GetResult()).tobytes()
