"""Symmetric stiffness matrices whose entries lie near the diagonal, as those of long frames do.

Kept and solved in blocks along the diagonal (block Cholesky): a frame of many bays costs as many small
blocks, in time and in memory, where a full matrix would cost the cube and the square of its size.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
Indices = NDArray[np.intp]

LEAST_BLOCK = 48
"""Blocks are no smaller: numpy's cost per call would outweigh what is saved (measured)."""


class BandedStiffness:
    """Symmetric matrices of blocks on the diagonal and next to it, some of one shape at once.

    Args:
        size: rows.
        band: how far from the diagonal entries may lie.
        many: how many matrices: each comes out as it does alone, to the last bit.
    """

    def __init__(self, size: int, band: int, many: int = 1) -> None:
        self.size, self.many = size, many
        # up to two blocks one full matrix is the quicker way
        block = max(band, LEAST_BLOCK)
        self.block = block if size > 2 * block else max(size, 1)
        self.count = max(1, -(-size // self.block))
        self._on = np.zeros((many, self.count, self.block, self.block))
        # of each block row, left of its diagonal
        self._below = np.zeros((many, self.count, self.block, self.block))
        self._padding = self.count * self.block - size

    def add(self, rows: Indices, stiffness: Array) -> None:
        """Add (many, m, n, n) symmetric stiffnesses, each of the (m, n) rows it moves."""
        shape = stiffness.shape[1:]
        r = np.broadcast_to(rows[:, :, None], shape)
        c = np.broadcast_to(rows[:, None, :], shape)
        block, within = np.divmod(r, self.block)
        other, across = np.divmod(c, self.block)
        for to, some in ((self._on, block == other), (self._below, block == other + 1)):
            np.add.at(to, np.s_[:, block[some], within[some], across[some]], stiffness[:, some])  # type: ignore[arg-type]

    @property
    def diagonal(self) -> Array:
        """(many, size) of the matrices."""
        out: Array = np.diagonal(self._on, axis1=2, axis2=3).reshape(self.many, -1)[:, : self.size].copy()
        return out

    def times(self, vector: Array) -> Array:
        """(many, size) each matrix times its vector."""
        v = self._blocks(vector)[..., None]
        out = self._on @ v
        out[:, 1:] += self._below[:, 1:] @ v[:, :-1]
        out[:, :-1] += _turned(self._below[:, 1:]) @ v[:, 1:]
        return out.reshape(self.many, -1)[:, : self.size]

    def solved(self, vector: Array, still: NDArray[np.bool_]) -> tuple[Array, Array]:
        """What the rows move by, K u = f, those in `still` held; and the least pivot of each scaled matrix.

        Scaled, its diagonal is 1; the pivot is 0 where it is not positive definite.

        Args:
            vector: (many, size) f.
            still: (many, size).
        """
        free = ~still
        diagonal = self.diagonal
        sound = np.asarray(~(free & (diagonal <= 0.0)).any(1))
        if not sound.all():
            return self._some_solved(vector, still, sound)
        scale = np.zeros(diagonal.shape)
        scale[free] = 1.0 / np.sqrt(diagonal[free])
        s = self._blocks(scale)
        on = self._on * s[..., :, None] * s[..., None, :]
        below = self._below.copy()
        below[:, 1:] *= s[:, 1:, :, None] * s[:, :-1, None, :]
        # held rows, and those that fill up the last block, stand alone
        matrix, block, row = np.nonzero(s == 0.0)
        on[matrix, block, row, row] = 1.0
        f = self._blocks(vector * scale)[..., None]
        root = np.empty_like(on)
        out = np.empty_like(f)
        try:
            for i in range(self.count):
                rest = f[:, i]
                if i:
                    below[:, i] = _turned(np.linalg.solve(root[:, i - 1], _turned(below[:, i])))
                    on[:, i] -= below[:, i] @ _turned(below[:, i])
                    rest = rest - below[:, i] @ out[:, i - 1]
                root[:, i] = np.linalg.cholesky(on[:, i])
                out[:, i] = np.linalg.solve(root[:, i], rest)
        except np.linalg.LinAlgError:
            if self.many == 1:
                return np.zeros(vector.shape), np.zeros(1)
            return self._some_solved(vector, still, sound)
        for i in reversed(range(self.count)):
            rest = out[:, i]
            if i + 1 < self.count:
                rest = rest - _turned(below[:, i + 1]) @ out[:, i + 1]
            out[:, i] = np.linalg.solve(_turned(root[:, i]), rest)
        softest = np.diagonal(root, axis1=2, axis2=3).min((1, 2)) ** 2
        return out.reshape(self.many, -1)[:, : self.size] * scale, softest

    def _some_solved(
        self, vector: Array, still: NDArray[np.bool_], sound: NDArray[np.bool_]
    ) -> tuple[Array, Array]:
        """As `solved`, one by one: one of them is not positive definite."""
        moved, softest = np.zeros(vector.shape), np.zeros(self.many)
        for k in np.flatnonzero(sound).tolist():
            one = BandedStiffness(self.size, self.block)
            one.block, one.count, one._padding = self.block, self.count, self._padding
            one._on, one._below = self._on[k : k + 1], self._below[k : k + 1]
            moved[k : k + 1], softest[k : k + 1] = one.solved(vector[k : k + 1], still[k : k + 1])
        return moved, softest

    def _blocks(self, vector: Array) -> Array:
        padded = np.concatenate([vector, np.zeros((self.many, self._padding))], axis=1)
        return padded.reshape(self.many, self.count, self.block)


def _turned(matrices: NDArray[Any]) -> Array:
    return matrices.swapaxes(-1, -2)
