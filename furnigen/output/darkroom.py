"""From a mesh model to the pixels of its picture: what is seen, its light, its lines, its tone.

Figures of tone are taste, settled by looking at pictures; no source.
"""

from __future__ import annotations

import zlib

import numpy as np

from furnigen.mesh.colour import srgb
from furnigen.mesh.model import MeshModel
from furnigen.mesh.shading import CREASE_DEG, shaded_corners
from furnigen.output.camera import FINE_PICTURE, Camera, Mask, View
from furnigen.output.light_grid import LightGrid, Seen
from furnigen.output.rasters import NOTHING, Bytes, Rasters, Triangles
from furnigen.output.studio import Light, Singles, Studio

_PAPER = np.array((0.93, 0.915, 0.89), np.float32)  # the floor in full light, linear
_PIECE_GRID, _FLOOR_GRID = 4, 8  # samples between two reckonings of light
_FILL = np.float32(0.12)  # light that has lost its way: reaches every place
_RETURN = np.float32(0.7)  # share of the light in a corner that its neighbours get too
_LINE_DARKNESS = 0.60
_BAND = 64  # rows of pixels worked on at a time: memory


def draw(model: MeshModel, view: View) -> Bytes:
    """The picture of the model, (height, width, 3) sRGB bytes, the top row first.

    Raises:
        RuntimeError: nothing of the model arrived in the picture: OpenGL does not work here.
    """
    triangles = _triangles(model)
    camera = Camera(triangles.points, view)
    rasters = Rasters(triangles)
    n = view.samples
    rasters.look(camera.projection, view.width * n, view.height * n)
    seen = _look(rasters)
    studio = Studio(rasters, triangles.points, camera.axes, max(view.width, view.height))
    bands = [(n * y, n * min(y + _BAND, view.height)) for y in range(0, view.height, _BAND)]
    piece = LightGrid(seen, camera, piece=True, stride=_PIECE_GRID, bands=bands)
    floor = LightGrid(seen, camera, piece=False, stride=_FLOOR_GRID, bands=bands)
    light = studio.light(
        np.concatenate([piece.points, floor.points]), np.concatenate([piece.normals, floor.normals])
    )
    rasters.close()
    on_piece, on_floor = light.split(len(piece.points))
    # a line is as wide in a small picture as in a large one, and should not weigh more
    darkness = _LINE_DARKNESS * min(1.0, 0.4 + 0.6 * max(view.width, view.height) / FINE_PICTURE)
    lines = _lines(seen)
    albedo = _albedo(model)
    pixels = np.empty((view.height, view.width, 3), np.uint8)
    for first, last in bands:
        shade = np.empty((last - first, view.width * n, 3), np.float32)
        rows, columns = at = seen.pixels(True, first, last)
        shade[rows - first, columns] = _wood(albedo[seen.owners[at]], piece.spread(on_piece, at))
        rows, columns = at = seen.pixels(False, first, last)
        shade[rows - first, columns] = floor.spread(on_floor, at).colour * (_PAPER / studio.open_floor)
        shade[lines[first:last]] *= np.float32(1 - darkness)
        mean = _encode(shade).reshape(-1, n, view.width, n, 3).mean(axis=(1, 3))
        pixels[first // n : last // n] = np.round(255 * mean)
    return pixels


def _triangles(model: MeshModel) -> Triangles:
    shaded = [shaded_corners(p.vertices, p.faces) for p in model.parts]
    points, normals, faces, owners = [], [], [], []
    count = 0
    for k, instance in enumerate(model.instances):
        v, n, f = shaded[instance.part]
        turn, shift = instance.matrix[:3, :3], instance.matrix[:3, 3]
        points.append(v @ turn.T + shift)
        normals.append(n @ turn.T)
        faces.append(f + count)
        owners.append(np.full(len(f), k))
        count += len(v)
    return Triangles(*(np.concatenate(a) for a in (points, normals, faces, owners)))


def _look(rasters: Rasters) -> Seen:
    owners, normals, depths = rasters.owners(), rasters.normals(), rasters.depths()
    if (owners == NOTHING).all():
        raise RuntimeError("OpenGL drew nothing")
    normals[owners == NOTHING] = (0.0, 0.0, 1.0)
    return Seen(owners, normals, depths)


def _albedo(model: MeshModel) -> Singles:
    """Linear colour of each copy: its material's, a little lighter, darker or warmer as boards are.

    The label decides, so the same piece always looks the same.
    """
    rows = []
    for i in model.instances:
        dice = zlib.crc32(i.label.encode())
        tone = 1 + 0.09 * ((dice & 0xFFFF) / 0xFFFF - 0.5)
        warmth = 0.03 * ((dice >> 16) / 0xFFFF - 0.5)
        rows.append(np.array(model.parts[i.part].colour) * tone * np.array([1 + warmth, 1, 1 - warmth]))
    return np.array(rows, np.float32)


def _wood(albedo: Singles, light: Light) -> Singles:
    """Light a matt surface sends back.

    In a corner light goes to and fro before it leaves, taking on colour each time: the sum
    1 + a h + (a h)² ... of what returns, with a the colour and h the hidden share of the sphere, less
    what its neighbours get less light than it.
    """
    hidden = (1 - light.openness)[:, None]
    shade: Singles = albedo * (light.colour + _FILL) / (1 - _RETURN * albedo * hidden)
    return shade


def _lines(seen: Seen) -> Mask:
    """Where a line is drawn: between two parts, round the outline, along a sharp edge."""
    sharp = np.float32(np.cos(np.radians(CREASE_DEG)))
    drawn = np.zeros(seen.owners.shape, bool)
    for here, there in ((np.s_[:-1, :], np.s_[1:, :]), (np.s_[:, :-1], np.s_[:, 1:])):
        line = seen.owners[here] != seen.owners[there]
        line |= np.einsum("ijk,ijk->ij", seen.normals[here], seen.normals[there]) < sharp
        drawn[here] |= line
        drawn[there] |= line
    return drawn


def _encode(linear: Singles) -> Singles:
    """Linear light as sRGB, with bright light rolled off instead of clipped."""
    shoulder = np.float32(0.80)
    over = np.maximum(linear - shoulder, 0) / (1 - shoulder)
    rolled = np.minimum(linear, shoulder) + (1 - shoulder) * (1 - np.exp(-over))
    return srgb(rolled)
