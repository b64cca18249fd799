"""The light of a small photo studio: one large soft lamp, a light dome, a pale floor below.

Which lamps a point sees is read from depth maps, one drawn from each of many directions, so
corners darken, shelves shade what stands on them, and the piece stands on its floor instead of
floating over it. It is Lambert's law and counting. All figures are taste, settled by looking at
pictures; no source.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from furnigen.output.camera import FINE_PICTURE
from furnigen.output.rasters import Rasters

Floats = NDArray[np.float64]
Singles = NDArray[np.float32]

_KEY, _DOME, _BELOW = 0.82, 0.66, 0.20  # light each throws on a surface that faces it square
_KEY_FROM = (0.75, 0.95, -0.80)  # right, up, ahead of the camera
_KEY_SPREAD_DEG = 9.0  # half the angle the lamp fills: how soft the edge of its shadow is
_WARM, _COOL = (1.03, 1.0, 0.95), (1.0, 1.0, 1.01)
_KEY_LAMPS, _DOME_LAMPS, _BELOW_LAMPS = 36, 96, 24
_FINE_MAP = 800  # cells along the side of a depth map
_CHUNK = 1 << 14  # points reckoned at a time: what stays in the processor's cache
_GOLDEN_ANGLE = np.pi * (3 - np.sqrt(5))  # spreads points evenly


@dataclass(frozen=True, eq=False)
class Lamp:
    """One small far lamp.

    Attributes:
        direction: unit vector to it.
        colour: linear light it throws on a surface that faces it square.
        around: whether it is one of the even sphere of lamps that tells how open a place is.
    """

    direction: Singles
    colour: Singles
    around: bool


@dataclass(frozen=True, eq=False)
class Light:
    """What reaches some points.

    Attributes:
        colour: (n, 3) linear light.
        openness: (n,) share of the surrounding sphere of lamps that is seen, 0 to 1.
    """

    colour: Singles
    openness: Singles

    def split(self, count: int) -> tuple[Light, Light]:
        """The light of the first `count` points, and that of the rest."""
        return (
            Light(self.colour[:count], self.openness[:count]),
            Light(self.colour[count:], self.openness[count:]),
        )


class Studio:
    """The lamps round one piece."""

    def __init__(self, rasters: Rasters, corners: Floats, camera_axes: Floats, longer_side: int) -> None:
        """Set the lamps.

        Args:
            rasters: draws the piece.
            corners: (n, 3) all its corners, mm.
            camera_axes: rows are right, up, ahead of the camera.
            longer_side: of the picture, pixels: a small one needs fewer lamps and coarser maps.
        """
        share = min(1.0, max(0.3, longer_side / FINE_PICTURE))
        self._rasters, self._corners = rasters, corners
        self._map_size = round(_FINE_MAP * share)
        self._lamps = [*_key(camera_axes, share), *_dome(share)]
        self.open_floor: Singles = np.sum(
            [lamp.colour * max(lamp.direction[2], 0) for lamp in self._lamps], axis=0
        )
        """Light on the floor far from the piece, linear, (3,)."""

    def light(self, points: Singles, normals: Singles) -> Light:
        """The light on small surfaces at `points` (n, 3), mm, that face `normals` (n, 3).

        Ask once for all points of a picture: every call draws all maps anew.
        """
        colour = np.zeros_like(points)
        seen = np.zeros(len(points), np.float32)
        possible = np.zeros(len(points), np.float32)
        for lamp in self._lamps:
            depth_map = self._depth_map(lamp)
            for at in range(0, len(points), _CHUNK):
                chunk = slice(at, at + _CHUNK)
                facing = np.maximum(normals[chunk] @ lamp.direction, 0)
                caught = facing * depth_map.sees(points[chunk], normals[chunk])
                colour[chunk] += caught[:, None] * lamp.colour
                if lamp.around:
                    possible[chunk] += facing
                    seen[chunk] += caught
        seen /= np.maximum(possible, np.float32(1e-6))
        return Light(colour, seen)

    def _depth_map(self, lamp: Lamp) -> _DepthMap:
        d = lamp.direction.astype(np.float64)
        side = _unit(np.cross(d, (0.0, 1.0, 0.0) if abs(d[1]) < 0.9 else (1.0, 0.0, 0.0)))
        axes = np.array([side, np.cross(d, side), -d])
        local = self._corners @ axes.T
        lo, hi = local.min(axis=0), local.max(axis=0)
        half = np.maximum((hi - lo) / 2, 1e-3) * 1.02  # a rim of empty cells
        texel = 2 * float(half[:2].max()) / self._map_size
        half[2] += 4 * texel
        projection = np.eye(4)
        projection[:3, :3] = axes / half[:, None]
        projection[:3, 3] = -(lo + hi) / 2 / half
        self._rasters.look(projection, self._map_size, self._map_size)
        return _DepthMap(projection, self._rasters.depths(), texel, texel / float(half[2]) / 2)


class _DepthMap:
    """How far the first thing is that a lamp sees, in each direction across its view."""

    def __init__(self, projection: Floats, depths: Singles, texel_mm: float, bias: float) -> None:
        size = len(depths)
        # straight from the world to column, row and depth of the map
        to_map = np.diag([size / 2, -size / 2, 0.5]) @ projection[:3]
        to_map[:, 3] += (size / 2, size / 2, 0.5 - bias)
        self._to_map = to_map.astype(np.float32)
        # the far end of the map stands for nothing at all, which shades no place behind it either
        self._depths = np.where(depths < 1, depths, np.float32(np.inf)).ravel()
        self._size = size
        self._step = np.float32(1.2 * texel_mm)

    def sees(self, points: Singles, normals: Singles) -> NDArray[np.bool_]:
        """Whether the lamp sees each point; a step off the surface, so that it does not shade itself."""
        place = (points + normals * self._step) @ self._to_map[:, :3].T + self._to_map[:, 3]
        # the outermost cells are empty, the frame being wider than the piece: they answer for all outside
        cell = np.clip(place[:, :2], 0, self._size - 1).astype(np.int32)
        visible: NDArray[np.bool_] = place[:, 2] <= self._depths[cell[:, 1] * self._size + cell[:, 0]]
        return visible


def _key(camera_axes: Floats, share: float) -> Iterator[Lamp]:
    """The large soft lamp: many small ones over a disc."""
    middle = _unit(np.array(_KEY_FROM) @ camera_axes)
    aside = _unit(np.cross(middle, camera_axes[1]))
    over = np.cross(aside, middle)
    count = round(_KEY_LAMPS * share)
    for i in range(count):
        r = np.tan(np.radians(_KEY_SPREAD_DEG)) * np.sqrt((i + 0.5) / count)
        d = _unit(middle + r * (np.cos(i * _GOLDEN_ANGLE) * aside + np.sin(i * _GOLDEN_ANGLE) * over))
        yield _lamp(d, _WARM, _KEY / count, around=False)


def _dome(share: float) -> Iterator[Lamp]:
    """An even half sphere of lamps above, a weaker one below for what the floor throws back."""
    for lamps, sign, strength, tint in ((_DOME_LAMPS, 1, _DOME, _COOL), (_BELOW_LAMPS, -1, _BELOW, _WARM)):
        count = round(lamps * share)
        for i in range(count):
            z = (i + 0.5) / count
            r = np.sqrt(1 - z * z)
            turn = i * _GOLDEN_ANGLE
            # the mean of the cosine over a half sphere is 1/2, hence 2
            d = np.array([r * np.cos(turn), r * np.sin(turn), sign * z])
            yield _lamp(d, tint, 2 * strength / count, around=True)


def _lamp(direction: Floats, tint: tuple[float, float, float], strength: float, *, around: bool) -> Lamp:
    return Lamp(direction.astype(np.float32), np.array(tint, np.float32) * np.float32(strength), around)


def _unit(v: Floats) -> Floats:
    unit: Floats = v / np.linalg.norm(v)
    return unit
