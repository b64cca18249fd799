"""Which of many axis-aligned boxes meet, at a cost that follows the number of meetings.

A box is a point in six dimensions (its low and its high corner). A balanced tree over those points, split
each time along the coordinate that spreads most, keeps one long shelf apart from the hundreds of short
uprights it crosses, which a grid or a sweep along one axis does not.
"""

from __future__ import annotations

import numpy as np

from furnigen.core.array_types import Floats, Ints

FEW = 256
"""Up to this many boxes every pair is compared: the tree takes longer to build than it saves (measured)."""


def meeting_boxes(lo: Floats, hi: Floats, margin_mm: float) -> Ints:
    """(k, 2) index pairs i < j, sorted, of the boxes that come within `margin_mm` of each other.

    Args:
        lo: (n, 3) low corners, mm.
        hi: (n, 3) high corners, mm.
        margin_mm: boxes this far apart along every axis still meet.
    """
    low, high = lo - margin_mm / 2, hi + margin_mm / 2
    return _each_with_each(low, high) if len(lo) <= FEW else _by_tree(low, high)


def _each_with_each(low: Floats, high: Floats) -> Ints:
    meet = np.triu(np.ones((len(low), len(low)), dtype=bool), 1)
    for axis in range(3):
        meet &= low[:, axis, None] <= high[:, axis]
        meet &= low[:, axis] <= high[:, axis, None]
    return np.argwhere(meet)


def _by_tree(lo: Floats, hi: Floats) -> Ints:
    n = len(lo)
    levels = int(n - 1).bit_length()
    order = _tree_order(np.hstack([lo, hi]), levels)
    # absent boxes are inside out, so they meet nothing and widen no node
    low = np.full((1 << levels, 3), np.inf)
    high = np.full((1 << levels, 3), -np.inf)
    real = order < n
    low[real], high[real] = lo[order[real]], hi[order[real]]
    nodes = [(low, high)]
    for _ in range(levels):
        low, high = low.reshape(-1, 2, 3).min(axis=1), high.reshape(-1, 2, 3).max(axis=1)
        nodes.append((low, high))
    i = j = np.zeros(1, dtype=np.int64)
    for low, high in reversed(nodes[:-1]):
        same = i == j
        a, b = i[~same], j[~same]
        i = np.concatenate([2 * i, 2 * i[same] + 1, 2 * i[same], 2 * a, 2 * a + 1, 2 * a + 1])
        j = np.concatenate([2 * j, 2 * j[same] + 1, 2 * j[same] + 1, 2 * b + 1, 2 * b, 2 * b + 1])
        meet = np.all((low[i] <= high[j]) & (low[j] <= high[i]), axis=1)
        i, j = i[meet], j[meet]
    i, j = order[i], order[j]
    pairs = np.stack([np.minimum(i, j), np.maximum(i, j)], axis=1)[i != j]
    out: Ints = pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))]
    return out


def _tree_order(points: Floats, levels: int) -> Ints:
    """Leaf order of a balanced tree over `points`, padded to 2**levels with indices past the end."""
    size, n = 1 << levels, len(points)
    padded = np.full((size, points.shape[1]), np.inf)
    padded[:n] = points
    order = np.arange(size)
    for level in range(levels):
        rows = padded[order].reshape(1 << level, size >> level, -1)
        finite = np.isfinite(rows)
        top = np.where(finite, rows, -np.inf).max(axis=1)
        widest = np.argmax(np.where(np.isfinite(top), top - rows.min(axis=1), 0.0), axis=1)
        key = np.take_along_axis(rows, widest[:, None, None], axis=2)[:, :, 0]
        within = np.argsort(key, axis=1, kind="stable")
        order = np.take_along_axis(order.reshape(1 << level, -1), within, axis=1).reshape(-1)
    return order
