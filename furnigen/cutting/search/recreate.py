"""Parts put back into cut trees, each where it fits best; compiled."""

from __future__ import annotations

import numpy as np

from furnigen.cutting.compiled import compiled
from furnigen.cutting.search.tree import (
    BARRED,
    COLUMN,
    COST,
    DEPTH,
    FIRST,
    ITEM,
    KIND,
    MH,
    MOST_DEPTH,
    MOST_X,
    MOST_Y,
    MW,
    NEXT,
    OPENED,
    PARENT,
    PART,
    ROOM,
    ROOT,
    ROW,
    SHEET,
    TURN,
    WORK,
    Array,
    H,
    W,
    draw,
    drop_node,
    put,
    refresh,
    take_out,
)

STAGES, EXACT, FIRST_CUT, LIMIT, STRIP, KERF = range(6)
"""Rules in rules: most stages (0: any), 0 trimmed, 1 exact or 2 equal in the last, kind of node the first
cut makes (0: either), limit of cost, largest strip (0: none), kerf."""
SHORT, AREA, MIXED, LONG = range(4)
BIG = 1 << 60


@compiled
def allowed(
    nodes: Array,
    sheets: Array,
    rules: Array,
    ok: Array,
    b: int,
    x: int,
    way: int,
    item: int,
    w: int,
    h: int,
    turn: int,
) -> bool:
    """Whether the rules on stages let a part go beside (or upon) node x."""
    stages = rules[STAGES]
    if stages == 0:
        return True
    root = sheets[b, ROOT]
    kind = nodes[root, KIND]
    own = ok[item, -1]
    if nodes[x, KIND] == PART:
        own = max(own, ok[nodes[x, ITEM], -1])
    if kind == PART:
        kind = way
    elif x == root and nodes[x, KIND] != way:
        # all below goes one level down, and the first cut's direction changes
        shift = 0 if rules[FIRST_CUT] == 0 or rules[FIRST_CUT] == way else 1
        deepest = sheets[b, MOST_DEPTH] + 1 + shift + ok[0, -2]
        return deepest < stages or (deepest == stages and rules[EXACT] == 0)
    shift = 0 if rules[FIRST_CUT] == 0 or rules[FIRST_CUT] == kind else 1
    stage = nodes[x, DEPTH] + 1 + shift + own
    if stage < stages or (stage == stages and rules[EXACT] == 0):
        return stage <= stages
    if stage > stages:
        return False
    # the last stage without trimming: all children equal across it, or wholly equal
    c = x if nodes[x, KIND] == PART else nodes[x, FIRST]
    if rules[EXACT] == 2:
        return nodes[c, ITEM] == item and nodes[c, TURN] == turn
    across = h == nodes[c, H] if way == ROW else w == nodes[c, W]
    if across and shift == 0 and stage == 1:
        return h == nodes[root, MH] if way == ROW else w == nodes[root, MW]
    return across


@compiled
def misfit(rule: int, way: int, w: int, h: int, wx: int, hx: int, mw: int, mh: int, area: int) -> int:
    """How badly a part w x h fits beside (`way` ROW) or upon a node, by a rule; the least is the best.

    wx, hx, mw, mh: the node's size and how far it may grow.
    """
    if way == ROW:
        rest, side = mw - wx - w, mh - h
    else:
        rest, side = mh - hx - h, mw - w
    if rule == SHORT:
        # the shorter rest, of equal ones the longer: sizes are below 2**28
        return (np.int64(min(rest, side)) << 28) + max(rest, side)
    if way == ROW:
        gap = np.int64(w) * (hx - h) if h < hx else np.int64(wx) * (h - hx)
        if rule == AREA:
            return np.int64(mw - wx) * mh - area
        if rule == MIXED:
            return gap + min(np.int64(rest) * min(h, mh), np.int64(side) * w)
    else:
        gap = np.int64(h) * (wx - w) if w < wx else np.int64(hx) * (w - wx)
        if rule == AREA:
            return np.int64(mh - hx) * mw - area
        if rule == MIXED:
            return gap + min(np.int64(rest) * min(h, mh), np.int64(side) * w)
    return gap


@compiled
def best_place(
    nodes: Array,
    sheets: Array,
    rules: Array,
    meters: Array,
    w0: int,
    h0: int,
    ok: Array,
    item: int,
    blink: int,
    rule: int,
    found: Array,
) -> bool:
    """The best node for a part: found = [sheet, node, way, turn]; False when there is none.

    `ok` has for each item and kind of sheet the orientations allowed, 1 as it is, 2 turned; in its last
    column how many stages the item takes itself (matched rows), in the one before the most of any; `rule`
    says what counts as best; one place in `blink` is passed over, so that the search does not repeat itself.
    """
    area = np.int64(w0) * h0
    short = min(w0, h0)
    best = BIG
    got = False
    seen = 0
    for b in range(meters[OPENED]):
        if sheets[b, ROOT] < 0 or sheets[b, ROOM] < area or sheets[b, BARRED]:
            continue
        turns = ok[item, sheets[b, SHEET]]
        most_x, most_y = sheets[b, MOST_X], sheets[b, MOST_Y]
        if not (turns & 1 and (w0 <= most_x or h0 <= most_y)) and not (
            turns & 2 and (h0 <= most_x or w0 <= most_y)
        ):
            continue
        # without a sign: no number can count from the end then, which each access would have to ask
        root = np.uint64(sheets[b, ROOT])
        x = root
        above = 0
        while True:
            seen += 1
            mw, mh = nodes[x, MW], nodes[x, MH]
            as_is = turns & 1 and w0 <= mw and h0 <= mh
            turned = turns & 2 and h0 <= mw and w0 <= mh
            if as_is or turned:
                wx, hx = nodes[x, W], nodes[x, H]
                beside, upon = mw - wx, mh - hx
                if beside >= short or upon >= short:
                    for turn in range(2):
                        if not (turned if turn else as_is):
                            continue
                        w = h0 if turn else w0
                        h = w0 if turn else h0
                        for way in (ROW, COLUMN):
                            if above == way or (w > beside if way == ROW else h > upon):
                                continue
                            value = misfit(rule, way, w, h, wx, hx, mw, mh, area)
                            if value >= best:
                                continue
                            if not allowed(nodes, sheets, rules, ok, b, np.int64(x), way, item, w, h, turn):
                                continue
                            if blink and draw(meters, blink) == 0:
                                continue
                            best = value
                            got = True
                            found[0], found[1], found[2], found[3] = b, np.int64(x), way, turn
                if nodes[x, FIRST] >= 0:
                    above = nodes[x, KIND]
                    x = np.uint64(nodes[x, FIRST])
                    continue
            # what is below a node can not grow further than the node itself
            while x != root and nodes[x, NEXT] < 0:
                x = np.uint64(nodes[x, PARENT])
            if x == root:
                break
            above = nodes[np.uint64(nodes[x, PARENT]), KIND]
            x = np.uint64(nodes[x, NEXT])
    meters[WORK] += seen + meters[OPENED] // 4 + 10
    return got


@compiled
def open_sheet(
    sheets: Array,
    meters: Array,
    rules: Array,
    stock: Array,
    sw: Array,
    sh: Array,
    iw: Array,
    ih: Array,
    ok: Array,
    item: int,
    found: Array,
) -> bool:
    """An empty sheet the part fits, of those left within the limit of cost: found = [sheet, -1, ROW, turn].

    stock has for each kind of sheet: cost, copies left.
    """
    kinds = stock.shape[0]
    pick = -1
    best = 0.0
    some = draw(meters, 2) == 0
    for t in range(kinds):
        if stock[t, 1] <= 0 or meters[COST] + stock[t, 0] > rules[LIMIT] or ok[item, t] == 0:
            continue
        rank = stock[t, 0] / (float(sw[t]) * sh[t])
        if some:
            rank = float(draw(meters, 1000))
        if pick < 0 or rank < best:
            pick = t
            best = rank
    if pick < 0:
        return False
    turns = ok[item, pick]
    turn = 0 if turns & 1 else 1
    if turns == 3 and draw(meters, 2):
        turn = 1
    for b in range(sheets.shape[0]):
        if sheets[b, ROOT] < 0:
            meters[OPENED] = max(meters[OPENED], b + 1)
            sheets[b, SHEET] = pick
            sheets[b, ROOM] = np.int64(sw[pick]) * sh[pick]
            stock[pick, 1] -= 1
            meters[COST] += stock[pick, 0]
            found[0] = b
            found[1] = -1
            found[2] = ROW
            found[3] = turn
            return True
    return False


@compiled
def strips_fit(nodes: Array, sheets: Array, rules: Array, b: int, sheet_h: int) -> bool:
    """Whether no rip in a sheet is further from its fence than the saw can go.

    Strips come off one by one, so at most one panel of a column may be wider, what is left over counted.
    """
    limit, kerf = rules[STRIP], rules[KERF]
    x = sheets[b, ROOT]
    root = x
    while x >= 0:
        p = nodes[x, PARENT]
        height = sheet_h
        if p >= 0:
            if nodes[p, KIND] == COLUMN:
                height = nodes[x, H]
            elif nodes[p, PARENT] >= 0:
                height = nodes[p, H]
        wide = 0
        if nodes[x, KIND] == PART:
            wide += nodes[x, H] - kerf > limit
            wide += height - kerf - nodes[x, H] > limit
        elif nodes[x, KIND] == COLUMN:
            wide += height - kerf - nodes[x, H] > limit
            c = nodes[x, FIRST]
            while c >= 0:
                wide += nodes[c, H] - kerf > limit
                c = nodes[c, NEXT]
        if wide > 1:
            return False
        if nodes[x, FIRST] >= 0:
            x = nodes[x, FIRST]
        else:
            while x != root and nodes[x, NEXT] < 0:
                x = nodes[x, PARENT]
            if x == root:
                break
            x = nodes[x, NEXT]
    return True


@compiled
def put_one(
    nodes: Array,
    sheets: Array,
    spare: Array,
    meters: Array,
    rules: Array,
    stock: Array,
    sw: Array,
    sh: Array,
    iw: Array,
    ih: Array,
    ok: Array,
    i: int,
    blink: int,
    rule: int,
    found: Array,
) -> bool:
    """Put one part in the best place there is, or on a new sheet; False when there is none."""
    barred = False
    done = False
    while not done:
        if not best_place(
            nodes, sheets, rules, meters, iw[i], ih[i], ok, i, blink, rule, found
        ) and not open_sheet(sheets, meters, rules, stock, sw, sh, iw, ih, ok, i, found):
            break
        b, turn = found[0], found[3]
        t = sheets[b, SHEET]
        w = ih[i] if turn else iw[i]
        h = iw[i] if turn else ih[i]
        leaf = put(nodes, sheets, spare, meters, b, found[1], found[2], i, w, h, turn)
        sheets[b, ROOM] -= np.int64(w) * h
        refresh(nodes, sheets, b, sw[t], sh[t])
        done = True
        if rules[STRIP] and not strips_fit(nodes, sheets, rules, b, sh[t]):
            done = False
            take_out(nodes, sheets, spare, meters, leaf)
            drop_node(nodes, spare, meters, leaf)
            sheets[b, ROOM] += np.int64(w) * h
            if sheets[b, ROOT] < 0:
                stock[t, 1] += 1
                meters[COST] -= stock[t, 0]
                break
            refresh(nodes, sheets, b, sw[t], sh[t])
            sheets[b, BARRED] = 1
            barred = True
    if barred:
        sheets[:, BARRED] = 0
    return done


@compiled
def put_all(
    nodes: Array,
    sheets: Array,
    spare: Array,
    meters: Array,
    rules: Array,
    stock: Array,
    sw: Array,
    sh: Array,
    iw: Array,
    ih: Array,
    ok: Array,
    todo: Array,
    n: int,
    blink: int,
    rule: int,
    out: Array,
    found: Array,
) -> int:
    """Put n parts back in the order of `todo`; those without a place go to `out` (how many is returned)."""
    left = 0
    for k in range(n):
        i = todo[k]
        if not put_one(nodes, sheets, spare, meters, rules, stock, sw, sh, iw, ih, ok, i, blink, rule, found):
            out[left] = i
            left += 1
    return left
