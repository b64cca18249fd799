"""The place of a part farthest left, then lowest, beside and inside others; compiled, in whole micrometres.

Where a part may not lie beside a placed one is the Minkowski sum of the placed one's convex pieces with its
own, mirrored through the origin and grown by the room for the cutter ("no-fit polygon"). The best place is
a corner of what these leave of the positions on the sheet: a corner of such a polygon, or where two sides
cross. Each is tested exactly, so what is placed never overlaps, however a crossing is rounded.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from furnigen.cutting.compiled import compiled

Whole = NDArray[np.int64]
NOWHERE = 1 << 60


@compiled
def convex_sum(a: Whole, a0: int, a1: int, b: Whole, b0: int, b1: int, out: Whole, at: int) -> int:
    """Write the Minkowski sum of two convex polygons, each from its lowest corner on; where it ends."""
    n, m = a1 - a0, b1 - b0
    i, j = (1 if n == 1 else 0), (1 if m == 1 else 0)
    while i < n or j < m:
        out[at, 0] = a[a0 + i % n, 0] + b[b0 + j % m, 0]
        out[at, 1] = a[a0 + i % n, 1] + b[b0 + j % m, 1]
        at += 1
        ax = a[a0 + (i + 1) % n, 0] - a[a0 + i % n, 0]
        ay = a[a0 + (i + 1) % n, 1] - a[a0 + i % n, 1]
        bx = b[b0 + (j + 1) % m, 0] - b[b0 + j % m, 0]
        by = b[b0 + (j + 1) % m, 1] - b[b0 + j % m, 1]
        cross = ax * by - ay * bx
        if j >= m:
            i += 1
        elif i >= n:
            j += 1
        else:
            if cross >= 0:
                i += 1
            if cross <= 0:
                j += 1
    return at


@compiled
def free(x: int, y: int, sums: Whole, at: Whole, box: Whole, order: Whole) -> bool:
    """Whether a position is within none of the forbidden polygons; on their sides it may be."""
    for k in order:
        if box[k, 0] >= x:
            return True
        if box[k, 1] <= x or box[k, 2] >= y or box[k, 3] <= y:
            continue
        inside = True
        px, py = sums[at[k + 1] - 1, 0], sums[at[k + 1] - 1, 1]
        for c in range(at[k], at[k + 1]):
            qx, qy = sums[c, 0], sums[c, 1]
            if (qx - px) * (y - py) - (qy - py) * (x - px) <= 0:
                inside = False
                break
            px, py = qx, qy
        if inside:
            return False
    return True


@compiled
def lowest(
    placed: Whole,
    count: int,
    starts: Whole,
    first: Whole,
    own: Whole,
    grown_first: Whole,
    grown: Whole,
    b: int,
    room_x: int,
    room_y: int,
    limit: int,
) -> tuple[int, int, int]:
    """The free position of least x, then least y, of the lower left corner of the rectangle round a part.

    Args:
        placed: shape (n, 3): what lies there (number of its way of lying), its x and y; `count` rows of it.
        starts: first piece of each way of lying, and the end; first, own: corners of each piece.
        grown_first, grown: corners of each piece mirrored and grown.
        b: way of lying of the part that is to be placed.
        room_x, room_y: largest x and y it may have.
        limit: largest x that is of use.

    Returns:
        x, y and the work done; x is NOWHERE when there is no free position up to `limit`.
    """
    number, total = 0, 0
    for k in range(count):
        for p in range(starts[placed[k, 0]], starts[placed[k, 0] + 1]):
            for q in range(starts[b], starts[b + 1]):
                number += 1
                total += first[p + 1] - first[p] + grown_first[q + 1] - grown_first[q]
    sums = np.empty((total + 1, 2), np.int64)
    at = np.zeros(number + 1, np.int64)
    box = np.empty((number, 4), np.int64)
    work = total
    n = 0
    for k in range(count):
        for p in range(starts[placed[k, 0]], starts[placed[k, 0] + 1]):
            for q in range(starts[b], starts[b + 1]):
                end = convex_sum(
                    own, first[p], first[p + 1], grown, grown_first[q], grown_first[q + 1], sums, at[n]
                )
                box[n, 0] = box[n, 2] = NOWHERE
                box[n, 1] = box[n, 3] = -NOWHERE
                for c in range(at[n], end):
                    sums[c, 0] += placed[k, 1]
                    sums[c, 1] += placed[k, 2]
                    box[n, 0] = min(box[n, 0], sums[c, 0])
                    box[n, 1] = max(box[n, 1], sums[c, 0])
                    box[n, 2] = min(box[n, 2], sums[c, 1])
                    box[n, 3] = max(box[n, 3], sums[c, 1])
                if box[n, 1] > 0 and box[n, 0] < room_x + 1 and box[n, 3] > 0 and box[n, 2] < room_y + 1:
                    n += 1
                    at[n] = end
    order = np.argsort(box[:n, 0], kind="mergesort")
    bx, by = NOWHERE, NOWHERE
    for x in (0, room_x):
        for y in (0, room_y):
            if x <= limit and (x < bx or (x == bx and y < by)):
                work += n
                if free(x, y, sums, at, box, order):
                    bx, by = x, y
    for oi in range(n):
        i = order[oi]
        most = min(bx, limit)
        if box[i, 0] > most:
            break
        px, py = sums[at[i + 1] - 1, 0], sums[at[i + 1] - 1, 1]
        for c in range(at[i], at[i + 1]):
            qx, qy = sums[c, 0], sums[c, 1]
            dx, dy = qx - px, qy - py
            # its corner
            if 0 <= qx <= min(room_x, limit) and 0 <= qy <= room_y and (qx < bx or (qx == bx and qy < by)):
                work += n
                if free(qx, qy, sums, at, box, order):
                    bx, by = qx, qy
            # where it crosses the edges of the room
            for edge in range(4):
                if edge < 2:
                    level = 0 if edge == 0 else room_x
                    if dx == 0 or (px - level) * (qx - level) > 0:
                        continue
                    cx = float(level)
                    cy = py + dy * ((level - px) / dx)
                else:
                    level = 0 if edge == 2 else room_y
                    if dy == 0 or (py - level) * (qy - level) > 0:
                        continue
                    cy = float(level)
                    cx = px + dx * ((level - py) / dy)
                for sx in range(2):
                    for sy in range(2):
                        x, y = int(np.floor(cx)) + sx, int(np.floor(cy)) + sy
                        if (
                            0 <= x <= min(room_x, limit)
                            and 0 <= y <= room_y
                            and (x < bx or (x == bx and y < by))
                        ):
                            work += n
                            if free(x, y, sums, at, box, order):
                                bx, by = x, y
            # where it crosses the sides of those farther left
            low_x, high_x, low_y, high_y = min(px, qx), max(px, qx), min(py, qy), max(py, qy)
            if low_x <= min(bx, limit) and high_x >= 0 and low_y <= room_y and high_y >= 0:
                for oj in range(oi):
                    j = order[oj]
                    if box[j, 1] < low_x or box[j, 0] > high_x or box[j, 3] < low_y or box[j, 2] > high_y:
                        continue
                    rx, ry = sums[at[j + 1] - 1, 0], sums[at[j + 1] - 1, 1]
                    work += at[j + 1] - at[j]
                    for d in range(at[j], at[j + 1]):
                        tx, ty = sums[d, 0], sums[d, 1]
                        ex, ey = tx - rx, ty - ry
                        det = dx * ey - dy * ex
                        if det != 0:
                            s = ((rx - px) * ey - (ry - py) * ex) / det
                            t = ((rx - px) * dy - (ry - py) * dx) / det
                            if -1e-9 <= s <= 1 + 1e-9 and -1e-9 <= t <= 1 + 1e-9:
                                fx, fy = int(np.floor(px + s * dx)), int(np.floor(py + s * dy))
                                for sx in range(2):
                                    for sy in range(2):
                                        x, y = fx + sx, fy + sy
                                        if (
                                            0 <= x <= min(room_x, limit)
                                            and 0 <= y <= room_y
                                            and (x < bx or (x == bx and y < by))
                                        ):
                                            work += n
                                            if free(x, y, sums, at, box, order):
                                                bx, by = x, y
                        rx, ry = tx, ty
                work += oi
            px, py = qx, qy
    return bx, by, work
