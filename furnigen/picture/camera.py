"""Where a picture is taken from: a three-quarter view that fills its frame.

The camera keeps uprights upright: it looks level and shifts its window down to the piece, as a
furniture photographer shifts the lens.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from furnigen.piece.description import Wall

Floats = NDArray[np.float64]

FINE_PICTURE = 800
"""Longer side, pixels, from which a picture needs no supersampling."""

_DISTANCE = 5.0  # camera to the middle of the piece, in half-diagonals of the piece; taste
_MARGIN = 0.06  # of the frame, on each side; taste


@dataclass(frozen=True)
class View:
    """Where a picture is taken from and how large it is.

    Attributes:
        width: pixels.
        height: pixels.
        azimuth_deg: how far left of the front the camera stands, degrees.
        elevation_deg: how far above the middle of the piece it stands, degrees.
    """

    width: int = 1200
    height: int = 900
    azimuth_deg: float = 30.0
    elevation_deg: float = 12.0

    @property
    def samples(self) -> int:
        """Drawn pixels per pixel along each side: small pictures need finer lines than one pixel."""
        return 1 if max(self.width, self.height) >= FINE_PICTURE else 2


class Camera:
    """A level camera with a shifted window, framed on some points.

    Attributes:
        axes: rows are right, up, ahead; unit vectors of the world.
        eye: where it stands, mm.
        lens: (4, 4) from the camera's frame (right, up, back) to clip space, OpenGL convention.
        reach: nearest and farthest distance ahead that is drawn, mm.
    """

    def __init__(self, points: Floats, view: View) -> None:
        """Frame `points`, (n, 3), mm."""
        lo, hi = points.min(axis=0), points.max(axis=0)
        a, e = np.radians(view.azimuth_deg), np.radians(view.elevation_deg)
        up = np.array([0.0, 0.0, 1.0])
        ahead = np.array([np.sin(a), np.cos(a), 0.0])
        self.axes = np.array([[np.cos(a), -np.sin(a), 0.0], up, ahead])
        diagonal = float(np.linalg.norm(hi - lo))
        self.eye: Floats = (lo + hi) / 2 + _DISTANCE * diagonal / 2 * (np.tan(e) * up - ahead)
        local = (points - self.eye) @ self.axes.T
        slopes = local[:, :2] / local[:, 2:]
        low, high = slopes.min(axis=0), slopes.max(axis=0)
        frame = np.array([view.width, view.height])
        hx, hy = max((high - low) / frame) * frame / 2 / (1 - 2 * _MARGIN)
        cx, cy = (low + high) / 2
        # floor and wall go on far behind the piece, and the floor before it, to the lower edge of the frame
        n, f = self.reach = 0.75 * local[:, 2].min(), local[:, 2].max() + 20 * diagonal
        self.lens: Floats = np.array(
            [
                [1 / hx, 0, cx / hx, 0],
                [0, 1 / hy, cy / hy, 0],
                [0, 0, -(f + n) / (f - n), -2 * f * n / (f - n)],
                [0, 0, -1, 0],
            ]
        )

    def backdrop(self) -> Floats:
        """Four corners in turn of an upright rectangle behind everything that fills the frame, mm."""
        away = 0.98 * self.reach[1]
        across = (np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)]) * 1.1 + self.lens[:2, 2]) * away
        flat = across / np.diag(self.lens)[:2]
        corners: Floats = self.eye + np.column_stack([flat, np.full(4, away)]) @ self.axes
        return corners

    def on_frame(self, points: Floats) -> Floats:
        """Where points (n, 3) fall in the frame, each axis from -1 to 1; (n, 2)."""
        right, up, ahead = self.axes @ (points - self.eye).T
        clip = self.lens[:2, :3] @ np.array([right, up, -ahead])
        frame: Floats = (clip / ahead).T
        return frame


def facing(view: View, walls: Sequence[Wall]) -> View:
    """The view from the side that looks at more of the walls: a wall at the left is seen from the right."""
    other = replace(view, azimuth_deg=-view.azimuth_deg)
    return max((view, other), key=lambda v: sum(_seen(v, wall) for wall in walls))


def _seen(view: View, wall: Wall) -> bool:
    a = np.radians(view.azimuth_deg)
    return bool(wall.normal[0] * np.sin(a) + wall.normal[1] * np.cos(a) < 0)
