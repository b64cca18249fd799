"""Areas shared by convex polygons, many pairs at once (Sutherland and Hodgman's clipping, 1974)."""

from __future__ import annotations

import numpy as np

from furnigen.mesh.model import Floats, Ints


def clip_convex(subject: Floats, window: Floats) -> tuple[Ints, Floats, Ints]:
    """What of each subject polygon lies in its window.

    Args:
        subject: (n, p, 2) convex polygons, counter-clockwise; repeated corners do no harm.
        window: (n, q, 2) convex polygons, counter-clockwise; repeated corners do no harm.

    Returns:
        rows (m,) of the pairs that share more than nothing, their polygons (m, w, 2) counter-clockwise, and
        their corner counts (m,); corners past the count repeat the last.
    """
    rows = np.flatnonzero(
        np.all(
            (subject.min(axis=1) < window.max(axis=1)) & (window.min(axis=1) < subject.max(axis=1)), axis=1
        )
    )
    poly, window = subject[rows], window[rows]
    count = np.full(len(rows), poly.shape[1])
    for k in range(window.shape[1]):
        p, q = window[:, k], window[:, (k + 1) % window.shape[1]]
        edge = q - p
        arm = poly - p[:, None]
        side = edge[:, None, 0] * arm[:, :, 1] - edge[:, None, 1] * arm[:, :, 0]
        inside = side >= 0.0
        real = np.arange(poly.shape[1]) < count[:, None]
        if np.all(inside | ~real):
            continue
        last = np.arange(poly.shape[1]) == count[:, None] - 1
        after = np.where(last[:, :, None], poly[:, :1], np.roll(poly, -1, axis=1))
        side_after = np.where(last, side[:, :1], np.roll(side, -1, axis=1))
        crosses = (inside != (side_after >= 0.0)) & real
        t = side / np.where(crosses, side - side_after, 1.0)
        both = np.stack([poly, poly + t[:, :, None] * (after - poly)], axis=2).reshape(len(poly), -1, 2)
        kept = np.stack([inside & real, crosses], axis=2).reshape(len(poly), -1)
        count = kept.sum(axis=1)
        alive = count >= 3
        both, kept, count, rows, window = both[alive], kept[alive], count[alive], rows[alive], window[alive]
        if not len(rows):
            break
        slot = np.minimum(np.arange(count.max()), count[:, None] - 1)
        flat = np.flatnonzero(kept.reshape(-1))
        head = np.cumsum(count) - count
        poly = both.reshape(-1, 2)[flat[head[:, None] + slot]]
    return (
        rows,
        poly if len(rows) else np.empty((0, 4, 2)),
        count if len(rows) else np.empty(0, dtype=np.int64),
    )


def area_and_centroid(poly: Floats) -> tuple[Floats, Floats]:
    """Areas (n,) and centroids (n, 2) of (n, w, 2) counter-clockwise polygons; repeated corners do no harm.

    Measured from each polygon's own first corner, so that far from the origin no digits are lost.
    """
    base = poly[:, :1]
    arm = poly - base
    nxt = np.roll(arm, -1, axis=1)
    wedge = arm[:, :, 0] * nxt[:, :, 1] - arm[:, :, 1] * nxt[:, :, 0]
    double = wedge.sum(axis=1)
    moment = np.einsum("nw,nwd->nd", wedge, arm + nxt)
    safe = np.where(double > 0.0, double, 1.0)
    return double / 2.0, base[:, 0] + moment / (3.0 * safe[:, None])
