"""The best filling of one length with pieces of given values, each at most so many times: exact, compiled."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from furnigen.cutting.compiled import compiled

Array = NDArray[Any]


@compiled
def fill(lengths: Array, numbers: Array, values: Array, room: int, counts: Array) -> int:
    """The most value that fits `room`, and in `counts` how many of each piece it takes.

    Pieces that may be taken several times are split into 1, 2, 4, ... and a rest.
    """
    n = len(lengths)
    parts = 0
    for i in range(n):
        k = numbers[i]
        while k > 0:
            parts += 1
            k //= 2
    size = np.empty(parts, np.int64)
    worth = np.empty(parts, np.int64)
    piece = np.empty(parts, np.int64)
    many = np.empty(parts, np.int64)
    m = 0
    for i in range(n):
        left = numbers[i]
        step = 1
        if values[i] <= 0 or lengths[i] > room:
            continue
        while left > 0:
            take = min(step, left)
            if take * lengths[i] > room:
                break
            size[m], worth[m], piece[m], many[m] = take * lengths[i], take * values[i], i, take
            m += 1
            left -= take
            step *= 2
    best = np.zeros(room + 1, np.int64)
    taken = np.zeros((m, room + 1), np.bool_)
    for k in range(m):
        s, v = size[k], worth[k]
        row = taken[k]
        for x in range(room, s - 1, -1):
            other = best[x - s] + v
            if other > best[x]:
                best[x] = other
                row[x] = True
    counts[:] = 0
    x = room
    for k in range(m - 1, -1, -1):
        if taken[k, x]:
            counts[piece[k]] += many[k]
            x -= size[k]
    return best[room]


@compiled
def fill_levels(
    lengths: Array, numbers: Array, values: Array, room: int, below: Array, counts: Array, worths: Array
) -> None:
    """As `fill` for each of several levels: level k may take the first below[k] pieces (below ascending).

    counts has a row for each level, worths the value each reaches. One pass serves all levels.
    """
    n = len(lengths)
    parts = 0
    for i in range(n):
        k = numbers[i]
        while k > 0:
            parts += 1
            k //= 2
    size = np.empty(parts, np.int64)
    piece = np.empty(parts, np.int64)
    many = np.empty(parts, np.int64)
    best = np.zeros(room + 1, np.int64)
    taken = np.zeros((parts, room + 1), np.bool_)
    counts[:] = 0
    m = 0
    i = 0
    for level in range(len(below)):
        while i < below[level]:
            left = numbers[i] if values[i] > 0 and lengths[i] <= room else 0
            step = 1
            while left > 0:
                take = min(step, left)
                s, v = take * lengths[i], take * values[i]
                if s > room:
                    break
                size[m], piece[m], many[m] = s, i, take
                row = taken[m]
                for x in range(room, s - 1, -1):
                    other = best[x - s] + v
                    if other > best[x]:
                        best[x] = other
                        row[x] = True
                m += 1
                left -= take
                step *= 2
            i += 1
        worths[level] = best[room]
        x = room
        for k in range(m - 1, -1, -1):
            if taken[k, x]:
                counts[level, piece[k]] += many[k]
                x -= size[k]
