"""Cut trees in arrays, compiled: nodes, their sizes, and putting a part in or taking it out.

A tree is of three kinds of node: a part, a row (its children lie side by side along x) and a column (along
y). The children of a row are columns or parts, those of a column rows or parts, so each level of the tree
is a stage of cuts. A row is as wide as the sum of its children and as high as the highest (`W`, `H`); all
room not needed by a node stays together, at the end of its row or column. `MW` and `MH` say how far a node
may grow before the sheet ends. A part can be put beside or upon any node; the nodes above grow with it.

Sizes have the kerf added (parts and sheet alike), so that pieces may touch.
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from furnigen.cutting.compiled import compiled

KIND, ITEM, PARENT, FIRST, NEXT, PREV, W, H, MW, MH, BIN, DEPTH, TURN = range(13)
Array = NDArray[Any]
"""Whole numbers; compiled for the widths they come in."""
State = tuple[Array, Array, Array, Array, Array, Array]
"""Nodes, sheets, spare nodes, meters, stock left, parts left out."""

FIELDS = 16
FREE, PART, ROW, COLUMN = range(4)

ROOT, ROOM, SHEET, MOST_DEPTH, BARRED, MOST_X, MOST_Y = range(7)
"""Root node, area not covered, kind of sheet, depth of the deepest node, 1 where nothing more may go, and the
most that any node of it can still grow along x and y."""
BIN_FIELDS = 7

COUNT_FREE, HIGH, COST, RANDOM, WORK = range(5)
OPENED = 11
"""Further places of meters (`ruin` has those between): no sheet from this one on has been opened so far."""


@compiled
def new_node(nodes: Array, spare: Array, meters: Array) -> int:
    """Take a node from the spare ones."""
    meters[COUNT_FREE] -= 1
    x = spare[meters[COUNT_FREE]]
    if x >= meters[HIGH]:
        meters[HIGH] = x + 1
    nodes[x, FIRST] = -1
    nodes[x, NEXT] = -1
    nodes[x, PREV] = -1
    nodes[x, PARENT] = -1
    return x


@compiled
def drop_node(nodes: Array, spare: Array, meters: Array, x: int) -> None:
    """Give a node back."""
    nodes[x, KIND] = FREE
    spare[meters[COUNT_FREE]] = x
    meters[COUNT_FREE] += 1


@compiled
def append(nodes: Array, p: int, x: int) -> None:
    """Make x the first child of p."""
    f = nodes[p, FIRST]
    nodes[x, PARENT] = p
    nodes[x, PREV] = -1
    nodes[x, NEXT] = f
    if f >= 0:
        nodes[f, PREV] = x
    nodes[p, FIRST] = x


@compiled
def unlink(nodes: Array, x: int) -> None:
    """Take x out of its parent's children."""
    p, before, after = nodes[x, PARENT], nodes[x, PREV], nodes[x, NEXT]
    if before >= 0:
        nodes[before, NEXT] = after
    elif p >= 0:
        nodes[p, FIRST] = after
    if after >= 0:
        nodes[after, PREV] = before


@compiled
def resize(nodes: Array, p: int) -> None:
    """Sizes of p and all nodes above it from their children."""
    above = p
    while above >= 0:
        u = np.uint64(above)
        w = h = 0
        c = nodes[u, FIRST]
        if nodes[u, KIND] == ROW:
            while c >= 0:
                child = np.uint64(c)
                w += nodes[child, W]
                h = max(h, nodes[child, H])
                c = nodes[child, NEXT]
        else:
            while c >= 0:
                child = np.uint64(c)
                h += nodes[child, H]
                w = max(w, nodes[child, W])
                c = nodes[child, NEXT]
        if w == nodes[u, W] and h == nodes[u, H]:
            # nothing above changes either
            return
        nodes[u, W] = w
        nodes[u, H] = h
        above = nodes[u, PARENT]


@compiled
def refresh(nodes: Array, sheets: Array, b: int, sheet_w: int, sheet_h: int) -> None:
    """How far each node of a sheet may grow, and its depth; the most of each for the sheet."""
    sheets[b, MOST_DEPTH] = 0
    if sheets[b, ROOT] < 0:
        return
    # without a sign: no number can count from the end then, which each access would have to ask
    root = np.uint64(sheets[b, ROOT])
    x = root
    nodes[x, MW] = sheet_w
    nodes[x, MH] = sheet_h
    nodes[x, DEPTH] = 0
    nodes[x, BIN] = b
    most = 0
    most_x, most_y = sheet_w - nodes[x, W], sheet_h - nodes[x, H]
    while True:
        if nodes[x, FIRST] >= 0:
            p = x
            x = np.uint64(nodes[x, FIRST])
        else:
            while x != root and nodes[x, NEXT] < 0:
                x = np.uint64(nodes[x, PARENT])
            if x == root:
                break
            p = np.uint64(nodes[x, PARENT])
            x = np.uint64(nodes[x, NEXT])
        if nodes[p, KIND] == ROW:
            nodes[x, MW] = nodes[p, MW] - nodes[p, W] + nodes[x, W]
            nodes[x, MH] = nodes[p, MH]
        else:
            nodes[x, MH] = nodes[p, MH] - nodes[p, H] + nodes[x, H]
            nodes[x, MW] = nodes[p, MW]
        nodes[x, BIN] = b
        depth = nodes[p, DEPTH] + 1
        nodes[x, DEPTH] = depth
        most = max(most, depth)
        most_x = max(most_x, nodes[x, MW] - nodes[x, W])
        most_y = max(most_y, nodes[x, MH] - nodes[x, H])
    sheets[b, MOST_DEPTH] = most
    sheets[b, MOST_X] = most_x
    sheets[b, MOST_Y] = most_y


@compiled
def replace(nodes: Array, sheets: Array, b: int, old: int, new: int) -> None:
    """Put `new` where `old` was among its parent's children, or at the root."""
    p = nodes[old, PARENT]
    before, after = nodes[old, PREV], nodes[old, NEXT]
    nodes[new, PARENT] = p
    nodes[new, PREV] = before
    nodes[new, NEXT] = after
    if before >= 0:
        nodes[before, NEXT] = new
    elif p >= 0:
        nodes[p, FIRST] = new
    if after >= 0:
        nodes[after, PREV] = new
    if p < 0:
        sheets[b, ROOT] = new


@compiled
def put(
    nodes: Array,
    sheets: Array,
    spare: Array,
    meters: Array,
    b: int,
    x: int,
    way: int,
    item: int,
    w: int,
    h: int,
    turn: int,
) -> int:
    """Put a part beside (`way` ROW) or upon (COLUMN) node x of sheet b; x is -1 in an empty sheet.

    The caller refreshes the sheet and keeps its room.
    """
    leaf = new_node(nodes, spare, meters)
    nodes[leaf, KIND] = PART
    nodes[leaf, ITEM] = item
    nodes[leaf, W] = w
    nodes[leaf, H] = h
    nodes[leaf, TURN] = turn
    nodes[leaf, BIN] = b
    if x < 0:
        sheets[b, ROOT] = leaf
        return leaf
    if nodes[x, KIND] != way:
        s = new_node(nodes, spare, meters)
        nodes[s, KIND] = way
        nodes[s, BIN] = b
        nodes[s, W] = -1  # not known: those of its last use are still there
        replace(nodes, sheets, b, x, s)
        append(nodes, s, x)
        x = s
    append(nodes, x, leaf)
    resize(nodes, x)
    return leaf


@compiled
def take_out(nodes: Array, sheets: Array, spare: Array, meters: Array, x: int) -> None:
    """Take node x (with all below it, whose nodes the caller gives back) out of its tree, and tidy up
    above."""
    b = nodes[x, BIN]
    p = nodes[x, PARENT]
    if p < 0:
        sheets[b, ROOT] = -1
        return
    unlink(nodes, x)
    only = nodes[p, FIRST]
    if only >= 0 and nodes[only, NEXT] < 0:
        g = nodes[p, PARENT]
        if g >= 0 and nodes[only, KIND] == nodes[g, KIND]:
            # the child's children belong to the level above
            unlink(nodes, p)
            c = nodes[only, FIRST]
            while c >= 0:
                after = nodes[c, NEXT]
                append(nodes, g, c)
                c = after
            drop_node(nodes, spare, meters, only)
            drop_node(nodes, spare, meters, p)
            resize(nodes, g)
            return
        replace(nodes, sheets, b, p, only)
        drop_node(nodes, spare, meters, p)
        p = g
    resize(nodes, p)


@compiled
def collect(nodes: Array, spare: Array, meters: Array, x: int, out: Array, n: int, stack: Array) -> int:
    """Write the items of all parts below x to `out` from place n, give back the nodes, and return the new
    n."""
    stack[0] = x
    k = 1
    while k:
        k -= 1
        y = stack[k]
        if nodes[y, KIND] == PART:
            out[n] = nodes[y, ITEM]
            n += 1
        else:
            c = nodes[y, FIRST]
            while c >= 0:
                stack[k] = c
                k += 1
                c = nodes[c, NEXT]
        drop_node(nodes, spare, meters, y)
    return n


@compiled
def draw(meters: Array, below: int) -> int:
    """A number from 0 to below - 1, below at most 2**32; the generator's state is in meters."""
    s = np.uint64(meters[RANDOM])
    s ^= s << np.uint64(13)
    s ^= s >> np.uint64(7)
    s ^= s << np.uint64(17)
    meters[RANDOM] = np.int64(s)
    # the upper half as a fraction of 2**32: without the slow division of a remainder
    return np.int64(((s >> np.uint64(32)) * np.uint64(below)) >> np.uint64(32))
