"""Ambient occlusion: boards are darker where others stand close before them.

Occlusion found in the finished picture, as VTK's own pass does, puts a halo round every post in front of a
shelf, and grain on all of it. Here each point of a board measures how far it is from the boxes of the boards
near it (`occlusion.glsl`, which the graphics driver runs for each pixel). Figures are taste; no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray

from furnigen.core.array_types import Floats, Ints
from furnigen.mesh.model import MeshModel
from furnigen.picture.lighting import Plane

_REACH = 0.75  # of the piece's smallest extent,
_LEAST, _MOST = 0.06, 0.16  # within these shares of its diagonal
_STEPS = 6
_STRENGTH = 0.38
_GROUND = 0.4  # floor and walls are light, and give some of it back
_BURIED = 0.002  # of the diagonal: as deep within another's box a point lies in that board's notch
_ROW = 256  # boxes in a row of the texture


@dataclass(frozen=True, eq=False)
class Neighbours:
    """The boxes near each copy of a part.

    Attributes:
        cells: (rows, 4 _ROW, 4) for a texture: each box has four cells, three rows of the matrix from the
            world to its middle and axes, then half its extents and how much it shades.
        ranges: (n, 2) first and past the last of each copy's boxes.
        code: what the fragment shader does with them.
    """

    cells: NDArray[np.float32]
    ranges: Ints
    code: str


def neighbours(model: MeshModel, extents: Floats, planes: list[Plane]) -> Neighbours:
    """The boxes near each copy.

    Args:
        model: the piece.
        extents: (3,) of the piece, mm.
        planes: floor and walls; they shade the piece too.
    """
    diagonal = float(np.linalg.norm(extents))
    reach = float(np.clip(_REACH * extents.min(), _LEAST * diagonal, _MOST * diagonal))
    bounds = [(part.vertices.min(axis=0), part.vertices.max(axis=0)) for part in model.parts]
    boxes, low, high = [], [], []
    for instance in model.instances:
        lo, hi = bounds[instance.part]
        turn, shift = instance.matrix[:3, :3], instance.matrix[:3, 3]
        middle, half = turn @ ((lo + hi) / 2) + shift, (hi - lo) / 2
        boxes.append(_box(turn.T, middle, half))
        spread = np.abs(turn) @ half
        low.append(middle - spread)
        high.append(middle + spread)
    ground = []
    for plane in planes:
        # a thick slab behind the plane, far wider than the piece
        half = diagonal * np.array([1.0, 20.0, 20.0])
        axes = np.array([plane.normal, *plane.axes])
        ground.append(_box(axes, plane.point - half[0] * plane.normal, half, _GROUND))
    lows, highs = np.array(low), np.array(high)
    far = 2 * reach  # the farthest that a box can be and still be near one of the points measured from
    apart = np.maximum(lows[:, None] - highs[None], lows[None] - highs[:, None])
    near: NDArray[np.bool_] = apart.max(axis=2) < far
    np.fill_diagonal(near, False)
    near[:, [not i.shades for i in model.instances]] = False
    lists = [[boxes[j] for j in np.flatnonzero(row)] + ground for row in near]
    ends = np.cumsum([len(found) for found in lists])
    flat = np.array([box for found in lists for box in found], np.float32).reshape(-1, 16)
    rows = -(-max(1, len(flat)) // _ROW)
    cells = np.zeros((rows * _ROW, 16), np.float32)
    cells[: len(flat)] = flat
    code = (files("furnigen.picture") / "occlusion.glsl").read_text(encoding="utf-8")
    figures = {"STEPS": f"{_STEPS}", "ROW": f"{_ROW}", "REACH": f"{reach:.6f}", "STRENGTH": f"{_STRENGTH}",
               "BURIED": f"{_BURIED * diagonal:.6f}"}  # fmt: skip
    defined = "".join(f"#define {name} {value}\n" for name, value in figures.items())
    ranges = np.column_stack([ends - [len(found) for found in lists], ends])
    return Neighbours(cells.reshape(rows, 4 * _ROW, 4), ranges, defined + code)


def _box(axes: Floats, middle: Floats, half: Floats, shade: float = 1.0) -> Floats:
    """Sixteen numbers of a box: rows of `axes` are its directions, `shade` the share of light it takes."""
    return np.vstack([np.column_stack([axes, -axes @ middle]), [*half, shade]]).ravel()
