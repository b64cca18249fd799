"""Products of many vectors at once."""

from __future__ import annotations

import numpy as np

from furnigen.mesh.model import Floats


def cross(a: Floats, b: Floats) -> Floats:
    """(n, 3) vector products of (n, 3) vectors.

    `numpy.cross` takes any shape, and spends most of its time on finding out which.
    """
    out = np.empty(np.broadcast_shapes(a.shape, b.shape))
    (ax, ay, az), (bx, by, bz) = a.T, b.T
    out[:, 0] = ay * bz - az * by
    out[:, 1] = az * bx - ax * bz
    out[:, 2] = ax * by - ay * bx
    return out
