"""Areas shared by convex polygons, many pairs at once (Sutherland and Hodgman's clipping, 1974).

Polygons are worked on as (2, corners, n): arrays run fastest along their last axis, and n is the long one.
"""

from __future__ import annotations

import numpy as np

from furnigen.core.array_types import Floats, Ints
from furnigen.mesh.tolerances import Bools

_ROUNDING = 1e-12
"""Share of its bounds' area that a rectangle may seem to lack once it was turned and moved."""


def clip_convex(subject: Floats, window: Floats) -> tuple[Ints, Floats, Ints]:
    """What of each subject polygon lies in its window.

    Two rectangles along the axes, which most faces of furniture are, share a rectangle; only the others are
    cut edge by edge.

    Args:
        subject: (n, p, 2) convex polygons, counter-clockwise; repeated corners do no harm.
        window: (n, q, 2) convex polygons, counter-clockwise; repeated corners do no harm.

    Returns:
        rows (m,) of the pairs that share more than nothing, rising, their polygons (m, w, 2)
        counter-clockwise, and their corner counts (m,); corners past the count repeat the last.
    """
    one, two = _by_axis(subject), _by_axis(window)
    lo_a, hi_a, lo_b, hi_b = (bound(axis=1) for c in (one, two) for bound in (c.min, c.max))
    lo, hi = np.maximum(lo_a, lo_b), np.minimum(hi_a, hi_b)
    meets = np.all(lo < hi, axis=0)
    plain = meets & _fills(one, lo_a, hi_a) & _fills(two, lo_b, hi_b)
    boxes, mixed = np.flatnonzero(plain), np.flatnonzero(meets & ~plain)
    cut, poly, count = _cut_by_edges(one.take(mixed, axis=2), two.take(mixed, axis=2))
    rows = np.concatenate([boxes, mixed[cut]])
    order = np.argsort(rows)
    width = max(4, poly.shape[1])
    poly = np.concatenate(
        [_boxes(lo.take(boxes, axis=1), hi.take(boxes, axis=1), width), _padded(poly, width)], axis=2
    )
    count = np.concatenate([np.full(len(boxes), 4), count])
    return rows[order], poly.take(order, axis=2).transpose(2, 1, 0), count[order]


def _by_axis(poly: Floats) -> Floats:
    """(2, p, n) from (n, p, 2)."""
    return np.ascontiguousarray(poly.transpose(2, 1, 0))


def _following(rows: Floats) -> Floats:
    """What stands at the next corner, for each corner: (..., p, n)."""
    return np.concatenate([rows[..., 1:, :], rows[..., :1, :]], axis=-2)


def _fills(poly: Floats, lo: Floats, hi: Floats) -> Bools:
    """Which polygons fill their bounds: rectangles along the axes."""
    x, y = poly[:, 1:] - poly[:, :1]
    double = np.sum(x[:-1] * y[1:] - y[:-1] * x[1:], axis=0)
    out: Bools = double >= 2.0 * (1.0 - _ROUNDING) * np.prod(hi - lo, axis=0)
    return out


def _boxes(lo: Floats, hi: Floats, width: int) -> Floats:
    """(2, width, n) rectangles between corners (2, n), counter-clockwise, the last corner repeated."""
    out = np.repeat(hi[:, None], width, axis=1)
    out[:, 0] = lo
    out[1, 1] = lo[1]
    out[0, 3:] = lo[0]
    return out


def _padded(poly: Floats, width: int) -> Floats:
    return poly[:, np.minimum(np.arange(width), poly.shape[1] - 1)]


def _cut_by_edges(poly: Floats, window: Floats) -> tuple[Ints, Floats, Ints]:
    """What of polygons (2, p, n) lies in windows (2, q, n): rows, polygons (2, w, m) and corner counts."""
    rows = np.arange(poly.shape[2])
    count = np.full(len(rows), poly.shape[1])
    for k in range(window.shape[1]):
        start, end = window[:, k], window[:, (k + 1) % window.shape[1]]
        edge, arm = end - start, poly - start[:, None]
        side = edge[0] * arm[1] - edge[1] * arm[0]
        inside = side >= 0.0
        if np.all(inside):
            continue
        # corners past the count repeat the last, so the edge back to the first begins at the very last
        crosses = inside != _following(inside)
        t = side / np.where(crosses, side - _following(side), 1.0)
        both = np.stack([poly, poly + t * (_following(poly) - poly)], axis=2)
        real = np.arange(poly.shape[1])[:, None] < count
        kept = np.stack([inside & real, crosses], axis=1).reshape(-1, len(rows))
        count = kept.sum(axis=0)
        # of each pair the corners kept, in order: where they stand in `both`
        pair, slot = np.divmod(np.flatnonzero(kept.T), len(kept))
        pick = slot * len(rows) + pair
        head = np.cumsum(count) - count
        alive = np.flatnonzero(count >= 3)
        rows, count, head, window = rows[alive], count[alive], head[alive], window.take(alive, axis=2)
        if not len(rows):
            break
        corner = np.minimum(np.arange(count.max())[:, None], count - 1)
        poly = both.reshape(2, -1).take(pick[head + corner], axis=1)
    return rows, poly[:, :, : len(rows)], count


def area_and_centroid(poly: Floats) -> tuple[Floats, Floats]:
    """Areas (n,) and centroids (n, 2) of (n, w, 2) counter-clockwise polygons; repeated corners do no harm.

    Measured from each polygon's own first corner, so that far from the origin no digits are lost.
    """
    corners = _by_axis(poly)
    arm = corners - corners[:, :1]
    after = _following(arm)
    wedge = arm[0] * after[1] - arm[1] * after[0]
    double = wedge.sum(axis=0)
    moment = (wedge * (arm + after)).sum(axis=1)
    safe = np.where(double > 0.0, double, 1.0)
    return double / 2.0, (corners[:, 0] + moment / (3.0 * safe)).T
