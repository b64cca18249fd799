"""Rows of unequal length kept in flat arrays: row i holds items first[i] to first[i + 1]."""

from __future__ import annotations

import numpy as np

from furnigen.mesh.model import Floats, Ints


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


def group_sums(group: Ints, rows: Floats, count: int) -> Floats:
    """(count, ...) sums of the (n, ...) rows of each group; zero for a group without rows."""
    out = np.zeros((count, *rows.shape[1:]))
    np.add.at(out, group, rows)
    return out


def joined_sets(size: int, links: Ints) -> Ints:
    """(size,) the smallest member of the set each of `size` things is in, given (m, 2) links between them."""
    root = np.arange(size)
    while len(links):
        ends = root[links]
        links = ends[ends[:, 0] != ends[:, 1]]
        np.minimum.at(root, links.max(axis=1), links.min(axis=1))
        while np.any(root[root] != root):
            root = root[root]
    return root
