"""Parts put back into cut trees, each where it fits best; compiled."""

from __future__ import annotations

import numpy as np
from numba import njit

from furnigen.cutting.search.tree import (
    BARRED,
    BIN,
    COLUMN,
    COST,
    DEPTH,
    FIRST,
    FREE,
    HIGH,
    ITEM,
    KIND,
    MH,
    MOST_DEPTH,
    MW,
    NEXT,
    PARENT,
    PART,
    ROOM,
    ROOT,
    ROW,
    SHEET,
    TURN,
    WORK,
    H,
    W,
    draw,
    drop_node,
    put,
    refresh,
    take_out,
)

STAGES, EXACT, FIRST_CUT, LIMIT, STRIP, KERF = range(6)
"""Rules in R: most stages (0: any), 0 trimmed, 1 exact or 2 equal in the last, kind of node the first cut makes
(0: either), limit of cost, largest strip (0: none), kerf."""
SHORT, AREA, MIXED, LONG = range(4)
BIG = 1 << 60


@njit(cache=True)
def allowed(T, B, R, ok, b, x, way, item, w, h, turn):
    """Whether the rules on stages let a part go beside (or upon) node x."""
    stages = R[STAGES]
    if stages == 0:
        return True
    root = B[b, ROOT]
    kind = T[root, KIND]
    own = ok[item, -1]
    if T[x, KIND] == PART:
        own = max(own, ok[T[x, ITEM], -1])
    if kind == PART:
        kind = way
    elif x == root and T[x, KIND] != way:
        # all below goes one level down, and the first cut's direction changes
        shift = 0 if R[FIRST_CUT] == 0 or R[FIRST_CUT] == way else 1
        deepest = B[b, MOST_DEPTH] + 1 + shift + ok[0, -2]
        return deepest < stages or (deepest == stages and R[EXACT] == 0)
    shift = 0 if R[FIRST_CUT] == 0 or R[FIRST_CUT] == kind else 1
    stage = T[x, DEPTH] + 1 + shift + own
    if stage < stages or (stage == stages and R[EXACT] == 0):
        return stage <= stages
    if stage > stages:
        return False
    # the last stage without trimming: all children equal across it, or wholly equal
    c = x if T[x, KIND] == PART else T[x, FIRST]
    if R[EXACT] == 2:
        return T[c, ITEM] == item and T[c, TURN] == turn
    across = h == T[c, H] if way == ROW else w == T[c, W]
    if across and shift == 0 and stage == 1:
        return h == T[root, MH] if way == ROW else w == T[root, MW]
    return across


@njit(cache=True)
def best_place(T, B, R, M, w0, h0, ok, item, blink, rule, found):
    """The best node for a part: found = [sheet, node, way, turn]; False when there is none.

    `ok` has for each item and kind of sheet the orientations allowed, 1 as it is, 2 turned; in its last column
    how many stages the item takes itself (matched rows), in the one before the most of any; `rule` says what
    counts as best; one place in `blink` is passed over, so that the search does not repeat itself.
    """
    area = np.int64(w0) * h0
    best = BIG
    got = False
    M[WORK] += M[HIGH] + 20
    for x in range(M[HIGH]):
        kind = T[x, KIND]
        if kind == FREE:
            continue
        b = T[x, BIN]
        if B[b, ROOM] < area or B[b, BARRED]:
            continue
        turns = ok[item, B[b, SHEET]]
        p = T[x, PARENT]
        above = T[p, KIND] if p >= 0 else 0
        mw, mh, wx, hx = T[x, MW], T[x, MH], T[x, W], T[x, H]
        for turn in range(2):
            if not turns & (1 << turn):
                continue
            w = h0 if turn else w0
            h = w0 if turn else h0
            if w > mw or h > mh:
                continue
            for way in (ROW, COLUMN):
                if above == way:
                    continue
                if way == ROW:
                    rest = mw - wx - w
                    side = mh - h
                    gap = np.int64(w) * (hx - h) if h < hx else np.int64(wx) * (h - hx)
                    whole = np.int64(mw - wx) * mh
                else:
                    rest = mh - hx - h
                    side = mw - w
                    gap = np.int64(h) * (wx - w) if w < wx else np.int64(hx) * (w - wx)
                    whole = np.int64(mh - hx) * mw
                if rest < 0:
                    continue
                if rule == SHORT:
                    value = np.int64(min(rest, side)) * 1024 + (max(rest, side) * 1023) // (mw + mh)
                elif rule == AREA:
                    value = whole - area
                elif rule == MIXED:
                    value = gap + min(np.int64(rest) * min(h, mh), np.int64(side) * w)
                else:
                    value = gap
                if value >= best:
                    continue
                if not allowed(T, B, R, ok, b, x, way, item, w, h, turn):
                    continue
                if blink and draw(M, blink) == 0:
                    continue
                best = value
                got = True
                found[0] = b
                found[1] = x
                found[2] = way
                found[3] = turn
    return got


@njit(cache=True)
def open_sheet(B, M, R, S, sw, sh, iw, ih, ok, item, found):
    """An empty sheet the part fits, of those left within the limit of cost: found = [sheet, -1, ROW, turn].

    S has for each kind of sheet: cost, copies left.
    """
    kinds = S.shape[0]
    pick = -1
    best = 0.0
    some = draw(M, 2) == 0
    for t in range(kinds):
        if S[t, 1] <= 0 or M[COST] + S[t, 0] > R[LIMIT] or ok[item, t] == 0:
            continue
        rank = S[t, 0] / (float(sw[t]) * sh[t])
        if some:
            rank = float(draw(M, 1000))
        if pick < 0 or rank < best:
            pick = t
            best = rank
    if pick < 0:
        return False
    turns = ok[item, pick]
    turn = 0 if turns & 1 else 1
    if turns == 3 and draw(M, 2):
        turn = 1
    for b in range(B.shape[0]):
        if B[b, ROOT] < 0:
            B[b, SHEET] = pick
            B[b, ROOM] = np.int64(sw[pick]) * sh[pick]
            S[pick, 1] -= 1
            M[COST] += S[pick, 0]
            found[0] = b
            found[1] = -1
            found[2] = ROW
            found[3] = turn
            return True
    return False


@njit(cache=True)
def strips_fit(T, B, R, b, sheet_h):
    """Whether no rip in a sheet is further from its fence than the saw can go.

    Strips come off one by one, so at most one panel of a column may be wider, what is left over counted.
    """
    limit, kerf = R[STRIP], R[KERF]
    x = B[b, ROOT]
    root = x
    while x >= 0:
        p = T[x, PARENT]
        height = sheet_h
        if p >= 0:
            if T[p, KIND] == COLUMN:
                height = T[x, H]
            elif T[p, PARENT] >= 0:
                height = T[p, H]
        wide = 0
        if T[x, KIND] == PART:
            wide += T[x, H] - kerf > limit
            wide += height - kerf - T[x, H] > limit
        elif T[x, KIND] == COLUMN:
            wide += height - kerf - T[x, H] > limit
            c = T[x, FIRST]
            while c >= 0:
                wide += T[c, H] - kerf > limit
                c = T[c, NEXT]
        if wide > 1:
            return False
        if T[x, FIRST] >= 0:
            x = T[x, FIRST]
        else:
            while x != root and T[x, NEXT] < 0:
                x = T[x, PARENT]
            if x == root:
                break
            x = T[x, NEXT]
    return True


@njit(cache=True)
def put_one(T, B, spare, M, R, S, sw, sh, iw, ih, ok, i, blink, rule, found):
    """Put one part in the best place there is, or on a new sheet; False when there is none."""
    barred = False
    done = False
    while not done:
        if not best_place(T, B, R, M, iw[i], ih[i], ok, i, blink, rule, found) and not open_sheet(
            B, M, R, S, sw, sh, iw, ih, ok, i, found
        ):
            break
        b, turn = found[0], found[3]
        t = B[b, SHEET]
        w = ih[i] if turn else iw[i]
        h = iw[i] if turn else ih[i]
        leaf = put(T, B, spare, M, b, found[1], found[2], i, w, h, turn)
        B[b, ROOM] -= np.int64(w) * h
        refresh(T, B, b, sw[t], sh[t])
        done = True
        if R[STRIP] and not strips_fit(T, B, R, b, sh[t]):
            done = False
            take_out(T, B, spare, M, leaf)
            drop_node(T, spare, M, leaf)
            B[b, ROOM] += np.int64(w) * h
            if B[b, ROOT] < 0:
                S[t, 1] += 1
                M[COST] -= S[t, 0]
                break
            refresh(T, B, b, sw[t], sh[t])
            B[b, BARRED] = 1
            barred = True
    if barred:
        B[:, BARRED] = 0
    return done


@njit(cache=True)
def put_all(T, B, spare, M, R, S, sw, sh, iw, ih, ok, todo, n, blink, rule, out):
    """Put n parts back in the order of `todo`; those without a place go to `out` (how many is returned)."""
    found = np.empty(4, np.int64)
    left = 0
    for k in range(n):
        i = todo[k]
        if not put_one(T, B, spare, M, R, S, sw, sh, iw, ih, ok, i, blink, rule, found):
            out[left] = i
            left += 1
    return left
