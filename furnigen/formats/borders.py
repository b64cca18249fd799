"""Dark borders of flat faces, so that boards of one tone can be told apart in any viewer.

Viewers light a model evenly: two boards that meet flush look like one. Lines would be drawn one pixel wide
where a viewer draws them at all, and flicker in the face behind them; occlusion depends on where a copy
stands, and copies share one mesh. A border is a narrow band within a face, along its edges, that a small
texture darkens: part of the face itself, the same in every viewer, and gone in one without textures. Colours
of corners would do too, but some readers put them in place of the material's colour.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Sequence

import numpy as np

from furnigen.core.array_types import Floats, Ints
from furnigen.core.colour import srgb
from furnigen.mesh.flat_arrays import cross_products, joined_sets

FLAT_DEG = 0.05
"""Triangles that meet at less than this are one flat face."""
SHARP_DEG = 30.0
"""Faces that meet at more than this meet at an edge that reads as one."""
DARK = 0.3
"""Share of its colour, linear, at the very edge. Taste, as are the figures below."""
_PIXELS = 8
_SHARE, _LEAST_MM, _MOST_MM = 0.002, 1.0, 5.0
_NARROW = (1.0, 0.5, 0.25)
"""Shares of the width that are tried in faces too narrow for all of it."""


def border_width_mm(diagonal_mm: float) -> float:
    """How wide borders are in a piece of a size (mm)."""
    return float(np.clip(_SHARE * diagonal_mm, _LEAST_MM, _MOST_MM))


def border_png() -> bytes:
    """The texture: from dark at the edge to white inside, as a PNG of one row."""
    # dark for the outer half, then lighter: seen from afar, where only its mean is drawn, it still shows
    linear = DARK + (1.0 - DARK) * np.clip(2 * np.arange(_PIXELS) / (_PIXELS - 1) - 1, 0.0, 1.0)
    grey = np.round(255 * srgb(linear)).astype(np.uint8).tobytes()
    header = struct.pack(">IIBBBBB", _PIXELS, 1, 8, 0, 0, 0, 0)  # eight bits of grey
    # stored, not packed: the same bytes from every version of zlib
    blocks = ((b"IHDR", header), (b"IDAT", zlib.compress(b"\0" + grey, 0)), (b"IEND", b""))
    rows = (struct.pack(">I", len(d)) + k + d + struct.pack(">I", zlib.crc32(k + d)) for k, d in blocks)
    return b"\x89PNG\r\n\x1a\n" + b"".join(rows)


class Borders:
    """What of a mesh is drawn with a border.

    Attributes:
        plain: (t,) which triangles stay as they are.
        points: (n, 3) corners of the others.
        normals: (n, 3) unit normals.
        inside: (n,) where each corner lies in the texture: 0 at an edge, 1 inside the border.
        faces: (m, 3) triangles of those corners.
    """

    def __init__(self, vertices: Floats, faces: Ints, width: float) -> None:
        self.plain = np.ones(len(faces), dtype=bool)
        points, normals, inside, triangles, count = [], [], [], [], 0
        for group, loops, normal in _flat_faces(vertices, faces):
            drawn = _bordered(vertices, loops, normal, width)
            if drawn is not None:
                self.plain[group] = False
                where, within, corners = drawn
                points.append(where)
                normals.append(np.broadcast_to(normal, where.shape))
                inside.append(within)
                triangles.append(corners + count)
                count += len(where)
        self.points = np.concatenate([np.empty((0, 3)), *points])
        self.normals = np.concatenate([np.empty((0, 3)), *normals])
        self.inside = np.concatenate([np.empty(0), *inside])
        self.faces = np.concatenate([np.empty((0, 3), dtype=np.int64), *triangles])


def _flat_faces(vertices: Floats, faces: Ints) -> list[tuple[Ints, list[Ints], Floats]]:
    """Flat faces all of whose edges are sharp: their triangles, the loops round them, and their normal.

    Outer loops are counter-clockwise seen from outside, those of holes clockwise.
    """
    corners = vertices[faces]
    crossed = cross_products(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    lengths = np.linalg.norm(crossed, axis=1)
    normals = crossed / np.where(lengths > 0, lengths, 1.0)[:, None]
    start, end = faces.reshape(-1), faces[:, [1, 2, 0]].reshape(-1)
    owner = np.repeat(np.arange(len(faces)), 3)
    size = len(vertices)
    key, twin_key = start * size + end, end * size + start
    order = np.argsort(key)
    if len(np.unique(key)) != len(key):
        return []  # not a manifold: drawn as it is
    place = np.minimum(np.searchsorted(key[order], twin_key), len(key) - 1)
    found = key[order][place] == twin_key
    other = np.where(found, owner[order][place], owner)
    along = np.sum(normals[owner] * normals[other], axis=1)
    flat = found & (along > np.cos(np.radians(FLAT_DEG)))
    sharp = found & (along < np.cos(np.radians(SHARP_DEG)))
    links = np.flatnonzero(flat & (owner < other))
    root = joined_sets(len(faces), np.stack([owner[links], other[links]], axis=1))
    border = root[owner] != root[other]
    smooth = set(root[owner[(border & ~sharp) | ~found]].tolist())
    out = []
    for one in np.unique(root):
        if int(one) in smooth:
            continue
        group = np.flatnonzero(root == one)
        total = crossed[group].sum(axis=0)
        long = float(np.linalg.norm(total))
        if long == 0:
            continue
        mine = np.flatnonzero(border & (root[owner] == one))
        loops = _loops(start[mine], end[mine])
        if loops is not None:
            out.append((group, loops, total / long))
    return out


def _loops(start: Ints, end: Ints) -> list[Ints] | None:
    """Directed edges put end to end; None where more than one leaves a corner."""
    after = dict(zip(start.tolist(), end.tolist(), strict=True))
    if len(after) != len(start):
        return None
    loops = []
    while after:
        first, at = next(iter(after.items()))
        loop = [first]
        del after[first]
        while at != first:
            loop.append(at)
            if at not in after:
                return None
            at = after.pop(at)
        loops.append(np.array(loop))
    return loops


def _bordered(
    vertices: Floats, loops: Sequence[Ints], normal: Floats, width: float
) -> tuple[Floats, Floats, Ints] | None:
    """A flat face with its border: (n, 3) points, (n,) places in the texture, (m, 3) triangles.

    None where it is too narrow.
    """
    from manifold3d import CrossSection, FillRule, JoinType, triangulate

    helper = np.eye(3)[int(np.argmin(np.abs(normal)))]
    (u,) = cross_products(helper[None], normal[None])
    u /= np.linalg.norm(u)
    (v,) = cross_products(normal[None], u[None])
    outer_3d = np.concatenate([vertices[loop] for loop in loops])
    origin = outer_3d[0]
    plane = np.column_stack([u, v])
    outer = [(vertices[loop] - origin) @ plane for loop in loops]
    section = CrossSection(outer, FillRule.Positive)
    for share in _NARROW:
        smaller = section.offset(-share * width, JoinType.Miter, 2.0)
        inner = [np.asarray(p, dtype=np.float64) for p in smaller.to_polygons()]
        if inner and smaller.num_contour() >= section.num_contour():
            break
    else:
        return None
    within = np.concatenate(inner)
    band = triangulate([*outer, *(p[::-1] for p in inner)])
    # the band counts the corners of the inner loops backwards
    back, at = [np.arange(len(outer_3d))], len(outer_3d)
    for polygon in inner:
        back.append(np.arange(at, at + len(polygon))[::-1])
        at += len(polygon)
    turned = np.concatenate(back)
    middle = triangulate(inner)
    triangles = np.concatenate([turned[np.asarray(band)], np.asarray(middle) + len(outer_3d)])
    points = np.concatenate([outer_3d, origin + within @ plane.T])
    inside = np.concatenate([np.zeros(len(outer_3d)), np.ones(len(within))])
    return points, inside, triangles.astype(np.int64)
