"""Where a picture is taken from: a three-quarter view that fills its frame.

The camera keeps uprights upright: it looks level and shifts its window down to the piece, as a
furniture photographer shifts the lens.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]
Mask = NDArray[np.bool_]
Pixels = tuple[NDArray[np.int64], NDArray[np.int64]]

FINE_PICTURE = 800
"""Longer side, pixels, from which a picture is looked at closely."""

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
        """Samples per pixel along each side, against ragged edges: thin lines of small pictures need more."""
        return 2 if max(self.width, self.height) >= FINE_PICTURE else 3


class Camera:
    """A level camera with a shifted window, framed on some points.

    Attributes:
        axes: rows are right, up, ahead; unit vectors of the world.
        eye: where it stands, mm.
        projection: (4, 4) from the world to clip space, OpenGL convention.
    """

    def __init__(self, points: Floats, view: View) -> None:
        """Frame `points`, (n, 3), mm; the floor is under the lowest."""
        lo, hi = points.min(axis=0), points.max(axis=0)
        a, e = np.radians(view.azimuth_deg), np.radians(view.elevation_deg)
        up = np.array([0.0, 0.0, 1.0])
        ahead = np.array([np.sin(a), np.cos(a), 0.0])
        self.axes = np.array([[np.cos(a), -np.sin(a), 0.0], up, ahead])
        away = _DISTANCE * float(np.linalg.norm(hi - lo)) / 2
        self.eye: Floats = (lo + hi) / 2 + away * (np.tan(e) * up - ahead)
        self._floor = float(lo[2])
        local = (points - self.eye) @ self.axes.T
        slopes = local[:, :2] / local[:, 2:]
        low, high = slopes.min(axis=0), slopes.max(axis=0)
        frame = np.array([view.width, view.height])
        self._middle = (low + high) / 2
        self._half = max((high - low) / frame) * frame / 2 / (1 - 2 * _MARGIN)
        self._near, self._far = 0.95 * local[:, 2].min(), 1.05 * local[:, 2].max()
        self.projection: Floats = self._lens() @ self._stand()

    def _lens(self) -> Floats:
        n, f = self._near, self._far
        (cx, cy), (hx, hy) = self._middle, self._half
        return np.array(
            [
                [1 / hx, 0, -cx / hx, 0],
                [0, 1 / hy, -cy / hy, 0],
                [0, 0, (f + n) / (f - n), -2 * f * n / (f - n)],
                [0, 0, 1, 0],
            ]
        )

    def _stand(self) -> Floats:
        stand = np.eye(4)
        stand[:3, :3] = self.axes
        stand[:3, 3] = -self.axes @ self.eye
        return stand

    def points(self, size: tuple[int, int], at: Pixels, depths: Singles, on_piece: Mask) -> Singles:
        """What some samples see: a point of the piece, or else of the floor, (n, 3) mm.

        Args:
            size: rows and columns of the whole picture, in samples.
            at: row and column of each sample, (n,) both.
            depths: (n,) their depth in the view, 0 near to 1 far.
            on_piece: (n,) whether they see the piece.
        """
        rows, columns = at
        upward = self._middle[1] - self._half[1] * ((rows + 0.5) / size[0] * 2 - 1)
        across = self._middle[0] + self._half[0] * ((columns + 0.5) / size[1] * 2 - 1)
        n, f = self._near, self._far
        to_piece = 2 * f * n / ((f + n) - (f - n) * (2 * depths.astype(np.float64) - 1))
        # a ray that does not fall meets no floor: a far point of the floor stands in, no shadow reaches it
        to_floor = (self._floor - self.eye[2]) / np.minimum(upward, -1e-3)
        distance = np.where(on_piece, to_piece, to_floor)
        local = np.column_stack([across * distance, upward * distance, distance])
        world = local @ self.axes + self.eye
        world[:, 2] = np.where(on_piece, world[:, 2], self._floor)
        single: Singles = world.astype(np.float32)
        return single
