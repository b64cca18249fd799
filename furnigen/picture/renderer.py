"""From a mesh model to the pixels of its picture, drawn by VTK off screen.

Floor and wall with the piece's shadow, the piece with its ambient occlusion, and its lines; the window's
multisampling keeps them crisp. VTK tries EGL and then OSMesa, so no display is needed. Figures of tone are
taste, chosen by looking at pictures; no source.
"""

from __future__ import annotations

import zlib
from typing import Any

import numpy as np
import vtkmodules.vtkRenderingOpenGL2  # noqa: F401 - what draws; without it VTK's classes are empty
from numpy.typing import NDArray
from vtkmodules.util.numpy_support import numpy_to_vtk, numpy_to_vtkIdTypeArray, vtk_to_numpy
from vtkmodules.vtkCommonCore import vtkPoints, vtkUnsignedCharArray
from vtkmodules.vtkCommonDataModel import vtkCellArray, vtkImageData, vtkPolyData
from vtkmodules.vtkCommonMath import vtkMatrix4x4
from vtkmodules.vtkIOImage import vtkPNGWriter
from vtkmodules.vtkRenderingCore import (
    vtkActor,
    vtkCamera,
    vtkLight,
    vtkPolyDataMapper,
    vtkRenderer,
    vtkRenderWindow,
    vtkTexture,
)

from furnigen.core.array_types import Floats, Ints
from furnigen.core.colour import srgb
from furnigen.formats.shading import shaded_corners
from furnigen.mesh.model import MeshModel
from furnigen.picture.camera import FINE_PICTURE, Camera, View, facing
from furnigen.picture.lighting import AMBIENT, LAMPS, MAP_PX, Plane, Shadow, Singles, cast_shadow
from furnigen.picture.occlusion import Neighbours, neighbours
from furnigen.picture.outlines import outlines

Bytes = NDArray[np.uint8]

_FLOOR, _WALL = (0.955, 0.948, 0.935), (0.968, 0.964, 0.957)  # sRGB, where nothing shades them
_LINE = 0.50  # tone of a line, of its board's
_LINE_PX = 1.4  # thinner in small pictures, where a line weighs more
_LINE_NEARER = 1.0  # pixels, besides the slope of its faces
_GLOW = 0.55  # colour that light takes on between boards: more of a dark place's own colour
_TOO_FAR = 40.0  # diagonals of the piece: floor and wall end there, outside every picture


class Renderer:
    """One window, in which pictures of one view after another are drawn."""

    def __init__(self) -> None:
        self._window = vtkRenderWindow()
        self._window.SetOffScreenRendering(1)
        self._window.SetMultiSamples(8)

    def draw(self, model: MeshModel, view: View) -> Bytes:
        """The picture of the model, (height, width, 3) sRGB bytes, the top row first.

        Raises:
            RuntimeError: nothing of the model arrived in the picture: OpenGL does not work here.
        """
        view = facing(view, model.walls)
        points = np.concatenate([model.world_vertices(i) for i in model.instances])
        camera = Camera(points, view)
        piece, copies = _piece(model)
        planes = _planes(model, points, camera)
        shadows = self._shadows(piece, points, planes, camera)
        extents = points.max(axis=0) - points.min(axis=0)
        far = _TOO_FAR * float(np.linalg.norm(extents))
        n = view.samples
        layer = _layer(camera)
        near = neighbours(model, extents, [plane for plane, _ in planes])
        layer.AddActor(_shaded(piece, near, copies))
        layer.AddActor(_plain(camera.backdrop(), _FLOOR))
        for (plane, tone), shadow in zip(planes, shadows, strict=True):
            if model.walls:
                ends = np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * far
                layer.AddActor(_plain(plane.point - 0.5 * plane.normal + ends @ plane.axes, tone))
            layer.AddActor(_shadow(tone, shadow))
        layer.AddActor(_lines(model, camera, view))
        picture = self._pixels([layer], view.width * n, view.height * n, samples=8)
        mean = picture.reshape(view.height, n, view.width, n, 3).mean(axis=(1, 3)) if n > 1 else picture
        return _glow(mean)

    def _shadows(
        self, piece: vtkPolyData, points: Floats, planes: list[tuple[Plane, Any]], camera: Camera
    ) -> list[Shadow]:
        actor = _actor(piece, coloured=False)
        actor.GetProperty().SetColor(0, 0, 0)

        def silhouettes(projections: list[Floats]) -> Singles:
            across = int(np.ceil(np.sqrt(len(projections))))
            down = -(-len(projections) // across)
            renderers = []
            for k, projection in enumerate(projections):
                i, j = divmod(k, across)
                renderer = vtkRenderer()
                renderer.SetViewport(j / across, i / down, (j + 1) / across, (i + 1) / down)
                renderer.SetBackground(1, 1, 1)
                renderer.AddActor(actor)
                renderer.GetCullers().RemoveAllItems()
                renderer.SetActiveCamera(_camera(projection))
                renderers.append(renderer)
            dark = self._pixels(renderers, across * MAP_PX, down * MAP_PX)[::-1, :, 0]
            cells = dark.reshape(down, MAP_PX, across, MAP_PX).swapaxes(1, 2).reshape(-1, MAP_PX, MAP_PX)
            cells = cells[: len(projections)]
            if cells.all():
                raise RuntimeError("OpenGL drew nothing")
            hidden: Singles = np.float32(1) - cells.astype(np.float32) / np.float32(255)
            return hidden

        return [cast_shadow(points, plane, camera, silhouettes) for plane, _ in planes]

    def _pixels(self, layers: list[vtkRenderer], width: int, height: int, samples: int = 0) -> Bytes:
        window = self._window
        window.SetSize(width, height)
        window.SetMultiSamples(samples)
        for layer in layers:
            window.AddRenderer(layer)
        window.Render()
        data = vtkUnsignedCharArray()
        window.GetPixelData(0, 0, width - 1, height - 1, 0, data, 0)
        for layer in layers:
            window.RemoveRenderer(layer)
        pixels: Bytes = _from_vtk(data).reshape(height, width, 3)[::-1]
        return pixels


def _glow(picture: NDArray[Any]) -> Bytes:
    """The picture with more colour in dark places: light reflected between boards takes on their colour."""
    tones = picture.astype(np.float32)
    grey = tones @ np.array((0.3, 0.6, 0.1), np.float32)
    share = np.float32(_GLOW) * (1 - grey / np.float32(255))
    tones += (tones - grey[..., None]) * share[..., None]
    return np.clip(np.round(tones), 0, 255).astype(np.uint8)


def _piece(model: MeshModel) -> tuple[vtkPolyData, Ints]:
    """All triangles of the piece, with normals and colours at their corners; and each corner's copy."""
    shaded = []
    for part in model.parts:
        if part.curved:
            shaded.append(shaded_corners(part.vertices, part.faces))
        else:
            corners = part.vertices[part.faces]
            normals = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
            normals /= np.maximum(np.linalg.norm(normals, axis=1, keepdims=True), 1e-12)
            faces = np.arange(3 * len(corners)).reshape(-1, 3)
            shaded.append((corners.reshape(-1, 3), np.repeat(normals, 3, axis=0), faces))
    points, normals_, faces_, colours, copies = [], [], [], [], []
    count = 0
    for k, (instance, colour) in enumerate(zip(model.instances, _colours(model), strict=True)):
        v, n, f = shaded[instance.part]
        turn, shift = instance.matrix[:3, :3], instance.matrix[:3, 3]
        points.append(v @ turn.T + shift)
        normals_.append(n @ turn.T)
        faces_.append(f + count)
        colours.append(np.broadcast_to(colour, v.shape))
        copies.append(np.full(len(v), k))
        count += len(v)
    mesh = _mesh(np.concatenate(points), np.concatenate(faces_))
    mesh.GetPointData().SetNormals(_to_vtk(np.concatenate(normals_).astype(np.float32)))
    mesh.GetPointData().SetScalars(_to_vtk(_bytes(np.concatenate(colours))))
    return mesh, np.concatenate(copies)


def _colours(model: MeshModel) -> Floats:
    """sRGB of each copy: its material's, a little lighter, darker or warmer as boards are.

    The label decides, so the same piece always looks the same.
    """
    rows = []
    for i in model.instances:
        dice = zlib.crc32(i.label.encode())
        tone = 1 + 0.09 * ((dice & 0xFFFF) / 0xFFFF - 0.5)
        warmth = 0.03 * ((dice >> 16) / 0xFFFF - 0.5)
        rows.append(np.array(model.parts[i.part].colour) * tone * np.array([1 + warmth, 1, 1 - warmth]))
    colours: Floats = srgb(np.array(rows))
    return colours


def _lines(model: MeshModel, camera: Camera, view: View) -> vtkActor:
    """The piece's edges, each a little before its board, and thinner in a small picture."""
    ends, colours = [], []
    pixel = 2 / camera.lens[0, 0] / (view.width * view.samples)  # of the distance
    for instance, colour in zip(model.instances, _colours(model), strict=True):
        part = model.parts[instance.part]
        eye = (camera.eye - instance.matrix[:3, 3]) @ instance.matrix[:3, :3]
        edges, steep = outlines(part.vertices, part.faces, eye)
        corners = model.world_vertices(instance)[edges.ravel()]
        share = pixel * (_LINE_NEARER + np.repeat(steep, 2))
        ends.append(corners + share[:, None] * (camera.eye - corners))
        colours.append(np.broadcast_to(_LINE * colour, corners.shape))
    points = np.concatenate(ends)
    mesh = _mesh(points, np.arange(len(points)).reshape(-1, 2))
    mesh.GetPointData().SetScalars(_to_vtk(_bytes(np.concatenate(colours))))
    actor = _actor(mesh, coloured=True)
    longer = max(view.width, view.height)
    actor.GetProperty().SetLineWidth(_LINE_PX if longer >= FINE_PICTURE else 1.5 if longer >= 400 else 1.0)
    return actor


def _planes(
    model: MeshModel, points: Floats, camera: Camera
) -> list[tuple[Plane, tuple[float, float, float]]]:
    """The floor and the walls that are seen from their front, with their tones."""
    lowest = float(points[:, 2].min())
    height = min(lowest, 0.0) if model.walls else lowest  # a hung piece leaves the floor where it is
    planes = [(Plane(np.array([0.0, 0.0, height]), np.array([0.0, 0.0, 1.0])), _FLOOR)]
    for wall in model.walls:
        normal = np.array(wall.normal) / np.linalg.norm(wall.normal)
        plane = Plane(np.array(wall.point), normal)
        if (camera.eye - plane.point) @ normal > 0:
            planes.append((plane, _WALL))
    return planes


def _plain(corners: Floats, tone: tuple[float, float, float]) -> vtkActor:
    """A rectangle of one tone, from its four corners in turn."""
    actor = _actor(_mesh(corners, np.array([[0, 1, 2], [0, 2, 3]])), coloured=False)
    actor.GetProperty().SetColor(*tone)
    return actor


def _shadow(tone: tuple[float, float, float], shadow: Shadow) -> vtkActor:
    """The shadow on a plane of some tone."""
    actor = _plain(shadow.corners, (1.0, 1.0, 1.0))
    corners = np.array([(0, 0), (1, 0), (1, 1), (0, 1)], np.float32)
    actor.GetMapper().GetInput().GetPointData().SetTCoords(_to_vtk(corners))
    texture = _texture(_bytes(np.array(tone) * (1 - shadow.darkness[..., None])))
    texture.InterpolateOn()
    actor.SetTexture(texture)
    return actor


def _shaded(piece: vtkPolyData, near: Neighbours, copies: Ints) -> vtkActor:
    """The piece in the light of the lamps, darker where its boards stand close together."""
    ranges = _to_vtk(near.ranges[copies].astype(np.float32))
    ranges.SetName("range")
    piece.GetPointData().AddArray(ranges)
    actor = _actor(piece, coloured=True)
    mapper: Any = actor.GetMapper()
    look, shader = actor.GetProperty(), actor.GetShaderProperty()
    mapper.SetVBOShiftScaleMethod(0)  # the shader needs the world's millimetres
    mapper.MapDataArrayToVertexAttribute("occlusionRangeMC", "range", 0, -1)
    look.LightingOn()
    look.SetAmbient(AMBIENT)
    look.SetDiffuse(1.0)
    look.SetSpecular(0.0)
    look.SetTexture("neighbours", _texture(near.cells))
    given = "in vec2 occlusionRangeMC;"
    passed = "{0} vec3 occlusionPoint; {0} vec3 occlusionNormal; flat {0} vec2 occlusionRange;"
    filled = "occlusionPoint = vertexMC.xyz; occlusionNormal = normalMC; occlusionRange = occlusionRangeMC;"
    declared, worked_out, lit = "//VTK::PositionVC::Dec", "//VTK::PositionVC::Impl", "//VTK::Light::Impl"
    for add, mark, code in (
        (shader.AddVertexShaderReplacement, declared, given + passed.format("out")),
        (shader.AddVertexShaderReplacement, worked_out, filled),
        (shader.AddFragmentShaderReplacement, declared, passed.format("in")),
        (shader.AddFragmentShaderReplacement, lit, near.code),
    ):
        add(mark, True, f"{mark}\n{code}\n", False)
    return actor


def _layer(camera: Camera) -> vtkRenderer:
    renderer = vtkRenderer()
    renderer.SetActiveCamera(_camera(camera.lens, camera))
    renderer.GetCullers().RemoveAllItems()
    renderer.AutomaticLightCreationOff()
    for direction, strength in LAMPS:
        lamp = vtkLight()
        lamp.SetLightTypeToSceneLight()
        lamp.PositionalOff()
        lamp.SetPosition(*(np.array(direction) / np.linalg.norm(direction) @ camera.axes))
        lamp.SetFocalPoint(0.0, 0.0, 0.0)
        lamp.SetIntensity(strength)
        renderer.AddLight(lamp)
    return renderer


def _camera(projection: Floats, stand: Camera | None = None) -> vtkCamera:
    """A camera that stands somewhere; else at the origin looking along -Z: its view is the identity."""
    camera = vtkCamera()
    eye = np.zeros(3) if stand is None else stand.eye
    camera.SetPosition(*eye)
    camera.SetFocalPoint(*(eye + ((0.0, 0.0, -1.0) if stand is None else stand.axes[2])))
    camera.SetViewUp(*((0.0, 1.0, 0.0) if stand is None else stand.axes[1]))
    if stand is not None:
        camera.SetClippingRange(*stand.reach)
    matrix = vtkMatrix4x4()
    matrix.DeepCopy(projection.ravel().tolist())
    camera.SetExplicitProjectionTransformMatrix(matrix)
    camera.UseExplicitProjectionTransformMatrixOn()
    return camera


def _actor(mesh: vtkPolyData, *, coloured: bool) -> vtkActor:
    mapper = vtkPolyDataMapper()
    mapper.SetInputData(mesh)
    mapper.SetScalarVisibility(coloured)
    actor = vtkActor()
    actor.SetMapper(mapper)
    actor.GetProperty().LightingOff()
    return actor


def _mesh(points: Floats, cells: Ints) -> vtkPolyData:
    """Triangles, or lines where a cell has two corners."""
    corners = vtkPoints()
    corners.SetData(_to_vtk(points.astype(np.float32)))
    array = vtkCellArray()
    array.SetData(_to_vtk_ids(np.arange(0, cells.size + 1, cells.shape[1])), _to_vtk_ids(cells.ravel()))
    mesh = vtkPolyData()
    mesh.SetPoints(corners)
    (mesh.SetLines if cells.shape[1] == 2 else mesh.SetPolys)(array)
    return mesh


def _bytes(colours: NDArray[Any]) -> Bytes:
    levels: Bytes = np.round(255 * np.clip(colours, 0, 1)).astype(np.uint8)
    return levels


def _image(pixels: NDArray[Any]) -> vtkImageData:
    """(height, width, channels) pixels, the bottom row first."""
    height, width, channels = pixels.shape
    image = vtkImageData()
    image.SetDimensions(width, height, 1)
    image.GetPointData().SetScalars(_to_vtk(np.ascontiguousarray(pixels).reshape(-1, channels)))
    return image


def _texture(pixels: NDArray[Any]) -> vtkTexture:
    """A texture of bytes, or of numbers as they are; the bottom row first."""
    texture = vtkTexture()
    texture.RepeatOff()
    texture.SetColorModeToDirectScalars()
    texture.SetInputData(_image(pixels))
    return texture


def png(pixels: Bytes) -> bytes:
    """(height, width, 3) sRGB bytes, the top row first, as a PNG without date or machine in it."""
    writer = vtkPNGWriter()
    writer.WriteToMemoryOn()
    writer.SetCompressionLevel(4)
    writer.SetInputData(_image(pixels[::-1]))
    writer.Write()
    return _from_vtk(writer.GetResult()).tobytes()


# vtkmodules carries no types for these three


def _to_vtk(array: NDArray[Any]) -> Any:
    return numpy_to_vtk(array, deep=True)  # type: ignore[no-untyped-call]


def _to_vtk_ids(array: Ints) -> Any:
    return numpy_to_vtkIdTypeArray(array.astype(np.int64), deep=True)  # type: ignore[no-untyped-call]


def _from_vtk(array: Any) -> NDArray[Any]:
    values: NDArray[Any] = vtk_to_numpy(array)  # type: ignore[no-untyped-call]
    return values
