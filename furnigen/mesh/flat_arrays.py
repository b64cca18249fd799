"""Rows of unequal length kept in flat arrays: row i holds items first[i] to first[i + 1]."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

import numpy as np
import numpy.typing as npt

from furnigen.core.array_types import Floats, Ints


def first_of(counts: Ints) -> Ints:
    """(n + 1,) where each row starts, and the end of the last, from the (n,) row lengths."""
    out = np.zeros(len(counts) + 1, dtype=np.int64)
    np.cumsum(counts, out=out[1:])
    return out


def expand(counts: Ints) -> tuple[Ints, Ints]:
    """Row number and place within the row of every item, from the (n,) row lengths."""
    owner = np.repeat(np.arange(len(counts)), counts)
    return owner, np.arange(len(owner)) - first_of(counts)[owner]


def products(first_a: Ints, count_a: Ints, first_b: Ints, count_b: Ints) -> tuple[Ints, Ints, Ints]:
    """All pairs between row a and row b of each of n row pairs: (row pair, item of a, item of b)."""
    owner, k = expand(count_a * count_b)
    width = count_b[owner]
    return owner, first_a[owner] + k // width, first_b[owner] + k % width


def lower_bounds(values: Floats, begin: Ints, end: Ints, least: Floats) -> Ints:
    """For each of n stretches of rising values, the first place of a value that is not below its least.

    Args:
        begin, end: (n,) the stretches, begin <= end; where no value is high enough the end is returned.
    """
    low, high = begin.copy(), end.copy()
    open_ = np.flatnonzero(low < high)
    while len(open_):
        middle = (low[open_] + high[open_]) // 2
        below = values[middle] < least[open_]
        low[open_[below]] = middle[below] + 1
        high[open_[~below]] = middle[~below]
        open_ = open_[low[open_] < high[open_]]
    return low


def blocks_of(counts: Ints, most: int) -> Iterator[slice]:
    """Slices of n rows that hold at most `most` items each; a row of more items is a slice of its own."""
    end = first_of(counts)
    start = 0
    while start < len(counts):
        stop = max(start + 1, int(np.searchsorted(end, end[start] + most, side="right")) - 1)
        yield slice(start, stop)
        start = stop


def product_blocks(
    first_a: Ints, count_a: Ints, first_b: Ints, count_b: Ints, most: int
) -> Iterator[tuple[Ints, Ints, Ints]]:
    """`products` in blocks of at most `most` pairs, in the same order.

    A block is never less than all pairs of one item of row a.
    """
    owner, k = expand(count_a)
    item = first_a[owner] + k
    for part in blocks_of(count_b[owner], most):
        row, b = expand(count_b[owner[part]])
        yield owner[part][row], item[part][row], first_b[owner[part]][row] + b


def concatenated(blocks: Sequence[Sequence[Any]], empty: Sequence[Any]) -> tuple[Any, ...]:
    """The columns of several blocks, one after the other; those of `empty` where there is no block."""
    if len(blocks) == 1:
        return tuple(blocks[0])
    return tuple(np.concatenate(column) for column in zip(empty, *blocks, strict=True))


def group_sums(group: Ints, rows: Floats, count: int) -> Floats:
    """(count, ...) sums of the (n, ...) rows of each group; zero for a group without rows."""
    out = np.zeros((count, *rows.shape[1:]))
    # one column after the other: numpy adds plain lists of numbers far faster than rows
    if rows.ndim == 1:
        out[:] = np.bincount(group, rows, minlength=count)
    else:
        for k in range(rows.shape[1]):
            out[:, k] = group_sums(group, rows[:, k], count)
    return out


def bits_set(mask: int, size: int) -> Ints:
    """The bits that are set in a number of `size` bits, rising."""
    octets = np.frombuffer(mask.to_bytes((size + 7) // 8, "little"), dtype=np.uint8)
    return np.flatnonzero(np.unpackbits(octets, bitorder="little"))


def numbers_of(bits: npt.NDArray[np.uint8]) -> list[int]:
    """The rows of (n, octets) as numbers, bit 0 being the lowest of the first octet."""
    return [int.from_bytes(row.tobytes(), "little") for row in bits]


def joined_sets(size: int, links: Ints) -> Ints:
    """(size,) the smallest member of the set each of `size` things is in, given (m, 2) links between them."""
    root = np.arange(size)
    one, two = links.T
    while len(one):
        one, two = root[one], root[two]
        apart = one != two
        one, two = one[apart], two[apart]
        np.minimum.at(root, np.maximum(one, two), np.minimum(one, two))
        above = root[root]
        while np.any(above != root):
            root, above = above, above[above]
    return root


def cross_products(a: Floats, b: Floats) -> Floats:
    """(n, 3) vector products of (n, 3) vectors.

    `numpy.cross` takes any shape, and spends most of its time on finding out which.
    """
    out = np.empty(np.broadcast_shapes(a.shape, b.shape))
    (ax, ay, az), (bx, by, bz) = a.T, b.T
    out[:, 0] = ay * bz - az * by
    out[:, 1] = az * bx - ax * bz
    out[:, 2] = ax * by - ay * bx
    return out
