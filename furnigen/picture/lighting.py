"""The light of a picture: where the lamps stand, and the soft shadow a piece casts on floor and wall.

The shadow of a large lamp is the mean of the hard shadows of many small ones. Each is one flat drawing
of the piece, thrown along the lamp's direction onto the plane. All figures are taste, chosen by
looking at pictures; no source.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from furnigen.picture.camera import Camera

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]

AMBIENT = 0.62
LAMPS = (((0.40, 0.85, -0.55), 0.56), ((-0.70, 0.30, -0.60), 0.25))
"""Directions to the key lamp and the fill lamp (right, up, ahead of the camera), and their strength."""

MAP_PX = 224
"""Cells along each side of a shadow's map."""
_KEY, _SKY = 0.24, 0.40  # how much darker the plane is where the key lamp, or the whole sky, is hidden
_UPRIGHT = 0.55  # share of that on a wall, which the floor lights too
_KEY_LAMPS, _KEY_SPREAD = 18, 0.30  # half the width of the key lamp, of its distance
_SKY_LAMPS, _SKY_SPREAD = 24, 0.72  # sine of the flattest sky light: flatter light makes endless shadows
_FADE = 0.30  # of the frame's half: within it the shadow fades out, so that the frame does not cut it
_GOLDEN_ANGLE = np.pi * (3 - np.sqrt(5))  # spreads points evenly


@dataclass(frozen=True, eq=False)
class Plane:
    """A flat thing that shadows fall on.

    Attributes:
        point: any point of it, mm.
        normal: unit vector towards the piece.
    """

    point: Floats
    normal: Floats

    @property
    def axes(self) -> Floats:
        """Rows are two unit vectors in the plane."""
        across = np.cross(self.normal, (0.0, 1.0, 0.0) if abs(self.normal[2]) > 0.9 else (0.0, 0.0, 1.0))
        across /= np.linalg.norm(across)
        return np.array([across, np.cross(self.normal, across)])


@dataclass(frozen=True, eq=False)
class Shadow:
    """A shadow on a plane.

    Attributes:
        corners: (4, 3) of the mapped rectangle, mm, in turn, the first at the map's row and column 0.
        darkness: (MAP_PX, MAP_PX) from 0, full light, to 1.
    """

    corners: Floats
    darkness: Singles


Silhouettes = Callable[[list[Floats]], Singles]
"""Draws the piece flat by each (4, 4) projection: (n, MAP_PX, MAP_PX) of 1 where it is and 0 elsewhere."""


def cast_shadow(points: Floats, plane: Plane, camera: Camera, silhouettes: Silhouettes) -> Shadow:
    """The soft shadow of a piece.

    Args:
        points: (n, 3) all its corners, mm.
        plane: what it falls on.
        camera: what it is seen by; the key lamp stands where the camera's right, up and front are.
        silhouettes: draws the piece.
    """
    flat, lamps = plane.axes, _lamps(plane, camera)
    box = _corners(points)
    height = (box - plane.point) @ plane.normal
    thrown = np.concatenate(
        [(box - plane.point) @ flat.T - np.outer(height, flat @ d / (d @ plane.normal)) for d, _ in lamps]
    )
    lo, hi = thrown.min(axis=0), thrown.max(axis=0)
    middle, half = (lo + hi) / 2, 1.06 * (hi - lo) / 2
    projections = []
    for direction, _ in lamps:
        # rows: place across and along the map, and a depth within bounds whatever the height
        along = flat - np.outer(flat @ direction / (direction @ plane.normal), plane.normal)
        projection = np.eye(4)
        projection[:2, :3] = along / half[:, None]
        projection[2, :3] = -plane.normal / (2 * abs(height).max())
        projection[:3, 3] = -projection[:3, :3] @ plane.point
        projection[:2, 3] -= middle / half
        projections.append(projection)
    weights = np.array([w for _, w in lamps], np.float32)
    weights *= np.float32(_UPRIGHT + (1 - _UPRIGHT) * abs(plane.normal[2]))
    darkness = _smooth(np.tensordot(weights, silhouettes(projections), 1))
    spots = middle + half * np.array([(-1, -1), (1, -1), (1, 1), (-1, 1)])
    steps = (np.arange(MAP_PX) + 0.5) / MAP_PX * 2 - 1
    cells = np.stack(np.meshgrid(*(middle + np.outer(steps, half)).T), axis=-1).reshape(-1, 2)
    return Shadow(plane.point + spots @ flat, darkness * _fade(camera, plane.point + cells @ flat))


def _corners(points: Floats) -> Floats:
    bounds = np.array([points.min(axis=0), points.max(axis=0)])
    return np.array(
        [(bounds[i, 0], bounds[j, 1], bounds[k, 2]) for i in (0, 1) for j in (0, 1) for k in (0, 1)]
    )


def _lamps(plane: Plane, camera: Camera) -> list[tuple[Floats, float]]:
    """Directions to the small lamps that light the plane, and how much darker it is without each."""
    key = np.array(LAMPS[0][0]) @ camera.axes
    found = []
    for middle, spread, count, strength in (
        (key / np.linalg.norm(key), _KEY_SPREAD, _KEY_LAMPS, _KEY),
        (plane.normal, _SKY_SPREAD, _SKY_LAMPS, _SKY),
    ):
        side = np.cross(middle, camera.axes[0])
        side /= np.linalg.norm(side)
        over = np.cross(side, middle)
        for i in range(count):
            r, turn = spread * np.sqrt((i + 0.5) / count), i * _GOLDEN_ANGLE
            d = r * (np.cos(turn) * side + np.sin(turn) * over) + np.sqrt(1 - r * r) * middle
            if d @ plane.normal > 0.25:
                found.append((d, strength / count))
    return found


def _smooth(darkness: Singles) -> Singles:
    """Without the small steps between one lamp's shadow and the next."""
    for axis in (0, 1):
        for step in (1, 2, 3, 4):
            near = np.roll(darkness, step, axis) + np.roll(darkness, -step, axis)
            darkness = (near + darkness) / np.float32(3)
    return darkness


def _fade(camera: Camera, cells: Floats) -> Singles:
    """How much of the shadow is kept at each cell: all in the middle of the frame, nothing at its edge."""
    inside = (1 - np.abs(camera.on_frame(cells)).max(axis=1)) / _FADE
    share = np.clip(inside, 0, 1).astype(np.float32).reshape(MAP_PX, MAP_PX)
    kept: Singles = share * share * (3 - 2 * share)
    return kept
