"""Cut trees in arrays, compiled: nodes, their sizes, and putting a part in or taking it out.

A tree is of three kinds of node: a part, a row (its children lie side by side along x) and a column (along y).
The children of a row are columns or parts, those of a column rows or parts, so each level of the tree is a
stage of cuts. A row is as wide as the sum of its children and as high as the highest (`W`, `H`); all room
not needed by a node stays together, at the end of its row or column. `MW` and `MH` say how far a node may grow
before the sheet ends. A part can be put beside or upon any node; the nodes above grow with it.

Sizes have the kerf added (parts and sheet alike), so that pieces may touch.
"""

from __future__ import annotations

import numpy as np
from numba import njit

KIND, ITEM, PARENT, FIRST, NEXT, PREV, W, H, MW, MH, BIN, DEPTH, TURN = range(13)
FIELDS = 16
FREE, PART, ROW, COLUMN = range(4)

ROOT, ROOM, SHEET, MOST_DEPTH, BARRED = range(5)
BIN_FIELDS = 5

COUNT_FREE, HIGH, COST, RANDOM, WORK = range(5)


@njit(cache=True)
def new_node(T, spare, M):
    """Take a node from the spare ones."""
    M[COUNT_FREE] -= 1
    x = spare[M[COUNT_FREE]]
    if x >= M[HIGH]:
        M[HIGH] = x + 1
    T[x, FIRST] = -1
    T[x, NEXT] = -1
    T[x, PREV] = -1
    T[x, PARENT] = -1
    return x


@njit(cache=True)
def drop_node(T, spare, M, x):
    """Give a node back."""
    T[x, KIND] = FREE
    spare[M[COUNT_FREE]] = x
    M[COUNT_FREE] += 1


@njit(cache=True)
def append(T, p, x):
    """Make x the first child of p."""
    f = T[p, FIRST]
    T[x, PARENT] = p
    T[x, PREV] = -1
    T[x, NEXT] = f
    if f >= 0:
        T[f, PREV] = x
    T[p, FIRST] = x


@njit(cache=True)
def unlink(T, x):
    """Take x out of its parent's children."""
    p, before, after = T[x, PARENT], T[x, PREV], T[x, NEXT]
    if before >= 0:
        T[before, NEXT] = after
    elif p >= 0:
        T[p, FIRST] = after
    if after >= 0:
        T[after, PREV] = before


@njit(cache=True)
def resize(T, p):
    """Sizes of p and all nodes above it from their children."""
    while p >= 0:
        w = h = 0
        c = T[p, FIRST]
        if T[p, KIND] == ROW:
            while c >= 0:
                w += T[c, W]
                h = max(h, T[c, H])
                c = T[c, NEXT]
        else:
            while c >= 0:
                h += T[c, H]
                w = max(w, T[c, W])
                c = T[c, NEXT]
        T[p, W] = w
        T[p, H] = h
        p = T[p, PARENT]


@njit(cache=True)
def refresh(T, B, b, sheet_w, sheet_h):
    """How far each node of a sheet may grow, and its depth."""
    x = B[b, ROOT]
    B[b, MOST_DEPTH] = 0
    if x < 0:
        return
    T[x, MW] = sheet_w
    T[x, MH] = sheet_h
    T[x, DEPTH] = 0
    T[x, BIN] = b
    root = x
    most = 0
    while True:
        c = T[x, FIRST]
        if c >= 0:
            x = c
        else:
            while x != root and T[x, NEXT] < 0:
                x = T[x, PARENT]
            if x == root:
                break
            x = T[x, NEXT]
        p = T[x, PARENT]
        if T[p, KIND] == ROW:
            T[x, MW] = T[p, MW] - T[p, W] + T[x, W]
            T[x, MH] = T[p, MH]
        else:
            T[x, MH] = T[p, MH] - T[p, H] + T[x, H]
            T[x, MW] = T[p, MW]
        T[x, BIN] = b
        d = T[p, DEPTH] + 1
        T[x, DEPTH] = d
        most = max(most, d)
    B[b, MOST_DEPTH] = most


@njit(cache=True)
def replace(T, B, b, old, new):
    """Put `new` where `old` was among its parent's children, or at the root."""
    p = T[old, PARENT]
    before, after = T[old, PREV], T[old, NEXT]
    T[new, PARENT] = p
    T[new, PREV] = before
    T[new, NEXT] = after
    if before >= 0:
        T[before, NEXT] = new
    elif p >= 0:
        T[p, FIRST] = new
    if after >= 0:
        T[after, PREV] = new
    if p < 0:
        B[b, ROOT] = new


@njit(cache=True)
def put(T, B, spare, M, b, x, way, item, w, h, turn):
    """Put a part beside (`way` ROW) or upon (COLUMN) node x of sheet b; x is -1 in an empty sheet.

    The caller refreshes the sheet and keeps its room.
    """
    leaf = new_node(T, spare, M)
    T[leaf, KIND] = PART
    T[leaf, ITEM] = item
    T[leaf, W] = w
    T[leaf, H] = h
    T[leaf, TURN] = turn
    T[leaf, BIN] = b
    if x < 0:
        B[b, ROOT] = leaf
        return leaf
    if T[x, KIND] != way:
        s = new_node(T, spare, M)
        T[s, KIND] = way
        T[s, BIN] = b
        replace(T, B, b, x, s)
        append(T, s, x)
        x = s
    append(T, x, leaf)
    resize(T, x)
    return leaf


@njit(cache=True)
def take_out(T, B, spare, M, x):
    """Take node x (with all below it, whose nodes the caller gives back) out of its tree, and tidy up above."""
    b = T[x, BIN]
    p = T[x, PARENT]
    if p < 0:
        B[b, ROOT] = -1
        return
    unlink(T, x)
    only = T[p, FIRST]
    if only >= 0 and T[only, NEXT] < 0:
        g = T[p, PARENT]
        if g >= 0 and T[only, KIND] == T[g, KIND]:
            # the child's children belong to the level above
            unlink(T, p)
            c = T[only, FIRST]
            while c >= 0:
                after = T[c, NEXT]
                append(T, g, c)
                c = after
            drop_node(T, spare, M, only)
            drop_node(T, spare, M, p)
            resize(T, g)
            return
        replace(T, B, b, p, only)
        drop_node(T, spare, M, p)
        p = g
    resize(T, p)


@njit(cache=True)
def collect(T, spare, M, x, out, n, stack):
    """Write the items of all parts below x to `out` from place n, give back the nodes, and return the new n."""
    stack[0] = x
    k = 1
    while k:
        k -= 1
        y = stack[k]
        if T[y, KIND] == PART:
            out[n] = T[y, ITEM]
            n += 1
        else:
            c = T[y, FIRST]
            while c >= 0:
                stack[k] = c
                k += 1
                c = T[c, NEXT]
        drop_node(T, spare, M, y)
    return n


@njit(cache=True)
def draw(M, below):
    """A number from 0 to below - 1; the generator's state is in M."""
    s = np.uint64(M[RANDOM])
    s ^= s << np.uint64(13)
    s ^= s >> np.uint64(7)
    s ^= s << np.uint64(17)
    M[RANDOM] = np.int64(s)
    return np.int64((s >> np.uint64(11)) % np.uint64(below))
