"""The best way to cut one sheet into parts of given values, any number of each: exact, in whole numbers,
compiled.

Gilmore and Gomory, "Multistage cutting stock problems of two and more dimensions", Operations Research 13
(1965): the best value of a panel is that of its best part, or of the best two panels one cut divides it
into. Cuts need be tried only at sums of sizes.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from furnigen.cutting.compiled import compiled

Array = NDArray[Any]


def sums_of_sizes(sizes: list[int], quantities: list[int], whole: int, most: int) -> NDArray[np.int64] | None:
    """All sums of sizes up to the whole, from 0, the whole itself last; None when there are more than
    `most`."""
    found = np.zeros(1, np.int64)
    for size, number in sorted(zip(sizes, quantities, strict=True), reverse=True):
        fresh = found
        for _ in range(min(number, whole // size)):
            fresh = fresh + size
            fresh = np.setdiff1d(fresh[fresh <= whole], found, assume_unique=True)
            if not len(fresh):
                break
            found = np.union1d(found, fresh)
            if len(found) > most:
                return None
    return found if found[-1] == whole else np.append(found, whole)


def places_after(points: NDArray[np.int64]) -> NDArray[np.int32]:
    """For each pair of points the last point not beyond their difference."""
    gaps = points[:, None] - points[None, :]
    return (
        (np.searchsorted(points, np.maximum(gaps, 0).ravel(), side="right") - 1)
        .reshape(gaps.shape)
        .astype(np.int32)
    )


@compiled
def best_cutting(
    xs: Array,
    ys: Array,
    after_x: Array,
    after_y: Array,
    iw: Array,
    ih: Array,
    ways: Array,
    values: Array,
    table: Array,
    how: Array,
) -> int:
    """Fill table[x, y], the best value of a panel of each pair of points; `how` says by what it is reached.

    how: 0 nothing, 1 + i part i, -1 - 2k a crosscut at point k, -2 - 2k a rip at point k. A part i lies as
    it is when ways[i] & 1 and turned when ways[i] & 2.
    """
    nx, ny, n = len(xs), len(ys), len(iw)
    table[:] = 0
    how[:] = 0
    for i in range(n):
        if values[i] <= 0:
            continue
        for turn in range(2):
            if not ways[i] & (1 << turn):
                continue
            w = ih[i] if turn else iw[i]
            h = iw[i] if turn else ih[i]
            for a in range(np.searchsorted(xs, w), nx):
                for b in range(np.searchsorted(ys, h), ny):
                    if values[i] > table[a, b]:
                        table[a, b] = values[i]
                        how[a, b] = 1 + i
    for a in range(1, nx):
        for b in range(1, ny):
            best = table[a, b]
            way = how[a, b]
            k = 1
            while k < nx and 2 * xs[k] <= xs[a]:
                value = table[k, b] + table[after_x[a, k], b]
                if value > best:
                    best = value
                    way = -1 - 2 * k
                k += 1
            k = 1
            while k < ny and 2 * ys[k] <= ys[b]:
                value = table[a, k] + table[a, after_y[b, k]]
                if value > best:
                    best = value
                    way = -2 - 2 * k
                k += 1
            table[a, b] = best
            how[a, b] = way
    return table[nx - 1, ny - 1]


@compiled
def parts_of(after_x: Array, after_y: Array, how: Array, counts: Array) -> None:
    """Count the parts of the best cutting of the whole sheet."""
    counts[:] = 0
    stack = np.empty((4096, 2), np.int64)
    stack[0, 0] = how.shape[0] - 1
    stack[0, 1] = how.shape[1] - 1
    n = 1
    while n:
        n -= 1
        a, b = stack[n]
        way = how[a, b]
        if way > 0:
            counts[way - 1] += 1
        elif way < 0:
            k = (-way - 1) // 2
            if (-way - 1) % 2 == 0:
                stack[n, 0], stack[n, 1] = k, b
                stack[n + 1, 0], stack[n + 1, 1] = after_x[a, k], b
            else:
                stack[n, 0], stack[n, 1] = a, k
                stack[n + 1, 0], stack[n + 1, 1] = a, after_y[b, k]
            n += 2
