"""Light reckoned at some samples of a picture and carried over to the others.

Light changes slowly over a face. So it is reckoned on a coarse grid of samples, and a sample
between takes it from the grid's samples round it that see the same face; the few that have none
are reckoned one by one.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from furnigen.output.camera import Camera, Pixels
from furnigen.output.rasters import NOTHING, Owners
from furnigen.output.studio import Light, Singles

_SAME_FACE = 0.95  # least cosine between the normals that two samples of one face see
_OFF_FACE = (
    0.35  # most that one may lie off the other's plane, of their distance: a board's edge and the back
)
# behind it face one way; on round faces that agree so far the chord leaves the plane by less
_LEAST_WEIGHT = 1e-3  # of the grid's samples: below it a sample stands alone


@dataclass(frozen=True, eq=False)
class Seen:
    """What each sample of a picture sees; all (rows, columns, ...).

    Attributes:
        owners: whose face, or NOTHING for the floor.
        normals: unit normals.
        depths: depth in the view.
    """

    owners: Owners
    normals: Singles
    depths: Singles

    def pixels(self, piece: bool, first: int, last: int) -> Pixels:
        """The samples of rows `first` to before `last` that see the piece, or else the floor."""
        rows, columns = np.nonzero((self.owners[first:last] != NOTHING) == piece)
        return rows + first, columns


class LightGrid:
    """The grid for the piece, or the one for the floor.

    Attributes:
        points: (n, 3) where light must be reckoned, mm.
        normals: (n, 3) what those places face.
    """

    def __init__(
        self, seen: Seen, camera: Camera, *, piece: bool, stride: int, bands: Iterable[tuple[int, int]]
    ) -> None:
        """Find the samples to reckon.

        Args:
            seen: the samples.
            camera: what saw them.
            piece: whether this grid is for the piece or for the floor.
            stride: a sample is reckoned on every so many rows and columns.
            bands: first and end row of the parts of the picture, in order: each is looked at on its
                own, which saves memory.
        """
        self._seen, self._camera, self._stride, self._piece = seen, camera, stride, piece
        height, width = seen.owners.shape
        self._rows = np.minimum(np.arange(0, height + stride, stride), height - 1)
        self._columns = np.minimum(np.arange(0, width + stride, stride), width - 1)
        grid = np.ix_(self._rows, self._columns)
        self._owners = seen.owners[grid].ravel()
        self._normals = seen.normals[grid].reshape(-1, 3)
        self._wanted = np.flatnonzero((self._owners != NOTHING) == piece)
        self._places = np.zeros((len(self._owners), 3), np.float32)
        rows, columns = np.divmod(self._wanted, len(self._columns))
        on_grid = self._rows[rows], self._columns[columns]
        self._places[self._wanted] = self._points(on_grid)
        self._alone = np.concatenate([self._find_alone(seen.pixels(piece, *band)) for band in bands])
        alone = np.divmod(self._alone, width)
        self.points: Singles = np.concatenate([self._places[self._wanted], self._points(alone)])
        self.normals: Singles = np.concatenate([seen.normals[on_grid], seen.normals[alone]])

    def _points(self, at: Pixels) -> Singles:
        """What some samples see, (n, 3) mm."""
        seen = self._seen
        return self._camera.points(seen.owners.shape, at, seen.depths[at], np.full(len(at[0]), self._piece))

    def spread(self, light: Light, pixels: Pixels) -> Light:
        """The light at `pixels`, from that at the points asked for."""
        reckoned = np.column_stack([light.colour, light.openness])
        on_grid = np.zeros((len(self._owners), 4), np.float32)
        on_grid[self._wanted] = reckoned[: len(self._wanted)]
        total = np.zeros((len(pixels[0]), 4), np.float32)
        weight = np.zeros(len(pixels[0]), np.float32)
        for corner, share in self._corners(pixels):
            total += share[:, None] * on_grid[corner]
            weight += share
        total /= np.maximum(weight, np.float32(_LEAST_WEIGHT))[:, None]
        alone = np.flatnonzero(weight < _LEAST_WEIGHT)
        place = np.searchsorted(self._alone, self._flat(pixels)[alone])
        total[alone] = reckoned[len(self._wanted) + place]
        return Light(total[:, :3], total[:, 3])

    def _flat(self, pixels: Pixels) -> NDArray[np.int64]:
        flat: NDArray[np.int64] = pixels[0] * self._seen.owners.shape[1] + pixels[1]
        return flat

    def _find_alone(self, pixels: Pixels) -> NDArray[np.int64]:
        weight = np.zeros(len(pixels[0]), np.float32)
        for _, share in self._corners(pixels):
            weight += share
        alone: NDArray[np.int64] = self._flat(pixels)[weight < _LEAST_WEIGHT]
        return alone

    def _corners(self, pixels: Pixels) -> Iterator[tuple[NDArray[np.int64], Singles]]:
        """For each of the four grid samples round each pixel: which it is, and its share."""
        rows, columns = pixels
        owners, normals = self._seen.owners[pixels], self._seen.normals[pixels]
        places = self._points(pixels) if self._piece else None
        top, left = rows // self._stride, columns // self._stride
        down = ((rows - self._rows[top]) / self._stride).astype(np.float32)
        across = ((columns - self._columns[left]) / self._stride).astype(np.float32)
        for i, j in ((0, 0), (0, 1), (1, 0), (1, 1)):
            corner = (top + i) * len(self._columns) + left + j
            share = (down if i else 1 - down) * (across if j else 1 - across)
            share *= self._owners[corner] == owners
            if places is not None:
                share *= np.einsum("ij,ij->i", self._normals[corner], normals) > _SAME_FACE
                apart = self._places[corner] - places
                off = np.abs(np.einsum("ij,ij->i", apart, normals))
                share *= off <= _OFF_FACE * np.sqrt(np.einsum("ij,ij->i", apart, apart))
            yield corner, share
