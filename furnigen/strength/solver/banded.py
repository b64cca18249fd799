"""Symmetric stiffness matrices whose entries lie near the diagonal, as those of long frames do.

Kept and solved in blocks along the diagonal (block Cholesky): a frame of many bays costs as many small
blocks, in time and in memory, where a full matrix would cost the cube and the square of its size.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

LEAST_BLOCK = 48
"""Blocks are no smaller: numpy's cost per call would outweigh what is saved (measured)."""


class BandedStiffness:
    """A symmetric matrix of blocks on the diagonal and next to it.

    Args:
        size: rows.
        band: how far from the diagonal entries may lie.
    """

    def __init__(self, size: int, band: int) -> None:
        self.size = size
        # up to two blocks one full matrix is the quicker way
        block = max(band, LEAST_BLOCK)
        self.block = block if size > 2 * block else max(size, 1)
        self.count = max(1, -(-size // self.block))
        self._on = np.zeros((self.count, self.block, self.block))
        self._below = np.zeros(
            (self.count, self.block, self.block)
        )  # of each block row, left of its diagonal
        self._padding = self.count * self.block - size

    def add(self, rows: Indices, stiffness: Array) -> None:
        """Add (m, n, n) symmetric stiffnesses, each of the (m, n) rows it moves."""
        r = np.broadcast_to(rows[:, :, None], stiffness.shape)
        c = np.broadcast_to(rows[:, None, :], stiffness.shape)
        block, within = np.divmod(r, self.block)
        other, across = np.divmod(c, self.block)
        same, under = block == other, block == other + 1
        np.add.at(self._on, (block[same], within[same], across[same]), stiffness[same])
        np.add.at(self._below, (block[under], within[under], across[under]), stiffness[under])

    @property
    def diagonal(self) -> Array:
        """(size,) of the matrix."""
        out: Array = np.diagonal(self._on, axis1=1, axis2=2).reshape(-1)[: self.size].copy()
        return out

    def times(self, vector: Array) -> Array:
        """(size,) the matrix times a vector."""
        v = self._blocks(vector)
        out = (self._on @ v[:, :, None])[:, :, 0]
        out[1:] += (self._below[1:] @ v[:-1, :, None])[:, :, 0]
        out[:-1] += (self._below[1:].transpose(0, 2, 1) @ v[1:, :, None])[:, :, 0]
        return out.reshape(-1)[: self.size]

    def solved(self, vector: Array, still: NDArray[np.bool_]) -> tuple[Array, float]:
        """What the rows move by, K u = f, those in `still` held; and the least pivot of the scaled matrix.

        Scaled, its diagonal is 1; the pivot is 0 where it is not positive definite.
        """
        scale = np.zeros(self.size)
        free = ~still
        diagonal = self.diagonal
        if np.any(diagonal[free] <= 0.0):
            return np.zeros(self.size), 0.0
        scale[free] = 1.0 / np.sqrt(diagonal[free])
        s = self._blocks(scale)
        on = self._on * s[:, :, None] * s[:, None, :]
        below = self._below.copy()
        below[1:] *= s[1:, :, None] * s[:-1, None, :]
        # held rows, and those that fill up the last block, stand alone
        alone = np.flatnonzero(s.reshape(-1) == 0.0)
        on[alone // self.block, alone % self.block, alone % self.block] = 1.0
        f = self._blocks(vector * scale)
        root = np.empty_like(on)
        out = np.empty_like(f)
        try:
            for i in range(self.count):
                if i:
                    below[i] = np.linalg.solve(root[i - 1], below[i].T).T
                    on[i] -= below[i] @ below[i].T
                root[i] = np.linalg.cholesky(on[i])
                out[i] = np.linalg.solve(root[i], f[i] - (below[i] @ out[i - 1] if i else 0.0))
        except np.linalg.LinAlgError:
            return np.zeros(self.size), 0.0
        for i in reversed(range(self.count)):
            rest = out[i] - (below[i + 1].T @ out[i + 1] if i + 1 < self.count else 0.0)
            out[i] = np.linalg.solve(root[i].T, rest)
        softest = float(np.diagonal(root, axis1=1, axis2=2).min()) ** 2
        return out.reshape(-1)[: self.size] * scale, softest

    def _blocks(self, vector: Array) -> Array:
        return np.append(vector, np.zeros(self._padding)).reshape(self.count, self.block)
