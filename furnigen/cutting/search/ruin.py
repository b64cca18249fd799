"""Ruin and recreate on cut trees: the search itself, compiled.

Method after Gardeyn and Wauters, "A goal-driven ruin and recreate heuristic for the 2D variable-sized bin
packing problem with guillotine constraints" (2022): a limit of cost just below the best solution is
imposed, some parts are left out, and whole panels are taken out and put back until none is left out.
"""

from __future__ import annotations

import numpy as np

from furnigen.cutting.compiled import borrowed, compiled
from furnigen.cutting.search.recreate import LIMIT, put_all
from furnigen.cutting.search.tree import (
    BIN,
    COST,
    FIRST,
    FREE,
    HIGH,
    KIND,
    NEXT,
    PARENT,
    PART,
    RANDOM,
    ROOM,
    ROOT,
    ROW,
    SHEET,
    WORK,
    Array,
    H,
    State,
    W,
    collect,
    draw,
    refresh,
    take_out,
)

LEFT_OUT, BEST_LEFT_OUT, BEST_COST, BEST_LEFT_VALUE, HEATED, BEST_REST = 5, 6, 7, 8, 9, 10
GATHER = 9
"""Further places of meters: parts left out now and in the best, cost of the best, what it leaves out, and
the work done when the temperature was last at its highest."""


Room = tuple[Array, Array, Array, Array]
"""Room for parts to be put back, their keys, a stack of nodes, and a place found."""


@compiled
def close_sheet(sheets: Array, meters: Array, stock: Array, sw: Array, sh: Array, b: int) -> None:
    """Give an empty sheet back."""
    t = sheets[b, SHEET]
    stock[t, 1] += 1
    meters[COST] -= stock[t, 0]


@compiled
def remove(
    nodes: Array,
    sheets: Array,
    spare: Array,
    meters: Array,
    stock: Array,
    sw: Array,
    sh: Array,
    iarea: Array,
    x: int,
    todo: Array,
    n: int,
    stack: Array,
) -> int:
    """Take node x with all below it out; its parts go to `todo`; the new number of those is returned."""
    b = nodes[x, BIN]
    take_out(nodes, sheets, spare, meters, x)
    m = collect(nodes, spare, meters, x, todo, n, stack)
    for k in range(n, m):
        sheets[b, ROOM] += iarea[todo[k]]
    if sheets[b, ROOT] < 0:
        close_sheet(sheets, meters, stock, sw, sh, b)
    else:
        refresh(nodes, sheets, b, sw[sheets[b, SHEET]], sh[sheets[b, SHEET]])
    return m


@compiled
def order(todo: Array, n: int, iw: Array, ih: Array, iarea: Array, meters: Array, keys: Array) -> None:
    """Sort the parts that are to be put back, by a rule drawn at random."""
    rule = draw(meters, 8)
    for k in range(n):
        i = todo[k]
        if rule < 3:
            key = float(iarea[i])
        elif rule == 3:
            key = float(iw[i])
        elif rule == 4:
            key = float(ih[i])
        elif rule == 5:
            key = float(max(iw[i], ih[i]))
        elif rule == 6:
            key = float(min(iw[i], ih[i]))
        else:
            key = float(draw(meters, 1 << 30))
        keys[k] = key * (1.0 + 0.2 * draw(meters, 1024) / 1024.0) if rule else key
    for k in range(1, n):
        i, key = todo[k], keys[k]
        j = k - 1
        while j >= 0 and keys[j] < key:
            todo[j + 1] = todo[j]
            keys[j + 1] = keys[j]
            j -= 1
        todo[j + 1] = i
        keys[j + 1] = key


@compiled
def badness(sheets: Array, out: Array, left: int, value: Array, sheet_area: float, weight: float) -> float:
    """What the search lowers: value left out, less a reward for room in one place."""
    cost = 0.0
    for k in range(left):
        cost += value[out[k]]
    cost /= sheet_area
    for b in range(sheets.shape[0]):
        if sheets[b, ROOT] >= 0:
            share = sheets[b, ROOM] / sheet_area
            cost -= weight * share * share
    return cost


@compiled
def largest_rest(nodes: Array, sheets: Array, sw: Array, sh: Array) -> int:
    """Area of the largest piece left over by the first two stages of any sheet in use."""
    best = 0
    for b in range(sheets.shape[0]):
        x = sheets[b, ROOT]
        if x < 0:
            continue
        w, h = np.int64(sw[sheets[b, SHEET]]), np.int64(sh[sheets[b, SHEET]])
        if nodes[x, KIND] == PART:
            best = max(best, (w - nodes[x, W]) * h, w * (h - nodes[x, H]))
        elif nodes[x, KIND] == ROW:
            best = max(best, (w - nodes[x, W]) * h)
        else:
            best = max(best, w * (h - nodes[x, H]))
        c = nodes[x, FIRST]
        while c >= 0:
            if nodes[x, KIND] == ROW:
                best = max(best, nodes[c, W] * (h - nodes[c, H]))
            else:
                best = max(best, nodes[c, H] * (w - nodes[c, W]))
            c = nodes[c, NEXT]
    return best


@compiled
def restrict(
    nodes: Array,
    sheets: Array,
    spare: Array,
    meters: Array,
    rules: Array,
    stock: Array,
    sw: Array,
    sh: Array,
    iarea: Array,
    out: Array,
    left: int,
    stack: Array,
) -> int:
    """Take out sheets, the emptiest first, until the cost is within its limit."""
    while meters[COST] > rules[LIMIT]:
        worst = -1
        for b in range(sheets.shape[0]):
            if sheets[b, ROOT] >= 0 and (worst < 0 or sheets[b, ROOM] > sheets[worst, ROOM]):
                worst = b
        left = remove(
            nodes, sheets, spare, meters, stock, sw, sh, iarea, sheets[worst, ROOT], out, left, stack
        )
    return left


@compiled
def search(
    state: State,
    best: State,
    kept: State,
    rules: Array,
    sw: Array,
    sh: Array,
    iw: Array,
    ih: Array,
    iarea: Array,
    value: Array,
    ok: Array,
    room: Room,
    work: int,
    bound: int,
    tune: Array,
) -> None:
    """Ruin and recreate until `work` (nodes looked at) is done or the cost is `bound` with nothing left out.

    state, best, kept: each (nodes, sheets, spare, meters, stock, out). Lists of parts left out are in `out`.
    room: what is needed in between.
    """
    nodes, sheets, spare = borrowed(state[0]), borrowed(state[1]), borrowed(state[2])
    meters, stock, out = borrowed(state[3]), borrowed(state[4]), borrowed(state[5])
    rules, sw, sh, iw, ih = borrowed(rules), borrowed(sw), borrowed(sh), borrowed(iw), borrowed(ih)
    iarea, value, ok, tune = borrowed(iarea), borrowed(value), borrowed(ok), borrowed(tune)
    todo, keys, stack, found = borrowed(room[0]), borrowed(room[1]), borrowed(room[2]), borrowed(room[3])
    sheet_area = 0.0
    for t in range(sw.shape[0]):
        sheet_area = max(sheet_area, float(sw[t]) * sh[t])
    weight, hot, cold = tune[0], tune[1], tune[2]
    now = badness(sheets, out, meters[LEFT_OUT], value, sheet_area, weight)
    gather = tune[GATHER] > 0
    if gather:
        now -= largest_rest(nodes, sheets, sw, sh) / sheet_area
    end = meters[WORK] + work
    cycle = np.int64(tune[3])
    copy_state(state, kept)
    while meters[WORK] < end:
        meters[WORK] += meters[HIGH] // 2 + 50

        phase = ((meters[WORK] - meters[HEATED]) % cycle) / cycle
        heat = hot * (cold / hot) ** phase
        n = meters[LEFT_OUT]
        for k in range(n):
            todo[k] = out[k]
        n = ruin(nodes, sheets, spare, meters, stock, sw, sh, iarea, todo, n, stack, tune)
        order(todo, n, iw, ih, iarea, meters, keys)
        rule = draw(meters, np.int64(tune[4])) + np.int64(tune[5])
        left = put_all(
            nodes,
            sheets,
            spare,
            meters,
            rules,
            stock,
            sw,
            sh,
            iw,
            ih,
            ok,
            todo,
            n,
            np.int64(tune[6]),
            rule,
            out,
            found,
        )
        meters[LEFT_OUT] = left
        then = badness(sheets, out, left, value, sheet_area, weight)
        rest = 0
        if gather:
            rest = largest_rest(nodes, sheets, sw, sh)
            then -= rest / sheet_area
        better = left == 0 and (meters[BEST_LEFT_OUT] > 0 or meters[COST] < meters[BEST_COST])
        if gather:
            better = left == 0 and meters[COST] <= meters[BEST_COST] and rest > meters[BEST_REST]
        elif left and meters[BEST_LEFT_OUT]:
            lost = np.int64(0)
            for k in range(left):
                lost += value[out[k]]
            better = lost < meters[BEST_LEFT_VALUE]
            if better:
                meters[BEST_LEFT_VALUE] = lost
        if better:
            meters[BEST_LEFT_OUT] = left
            meters[BEST_COST] = meters[COST]
            if left == 0:
                meters[BEST_LEFT_VALUE] = 0
            copy_state(state, best)
            meters[BEST_REST] = rest
            if gather:
                now = then
                copy_state(state, kept)
                continue
            if left == 0:
                if meters[COST] <= bound:
                    return
                rules[LIMIT] = meters[COST] - 1
                meters[LEFT_OUT] = restrict(
                    nodes, sheets, spare, meters, rules, stock, sw, sh, iarea, out, 0, stack
                )
                meters[HEATED] = meters[WORK]
            now = badness(sheets, out, meters[LEFT_OUT], value, sheet_area, weight)
            copy_state(state, kept)
        elif then <= now or np.exp((now - then) / heat) * 1048576.0 > draw(meters, 1048576):
            now = then
            copy_state(state, kept)
        else:
            worked, heated, drawn = meters[WORK], meters[HEATED], meters[RANDOM]
            bests = meters[BEST_LEFT_OUT], meters[BEST_COST], meters[BEST_LEFT_VALUE], meters[BEST_REST]
            copy_state(kept, state)
            meters[WORK], meters[HEATED], meters[RANDOM] = worked, heated, drawn
            meters[BEST_LEFT_OUT], meters[BEST_COST], meters[BEST_LEFT_VALUE], meters[BEST_REST] = bests


@compiled
def copy_state(a: State, b: State) -> None:
    """Copy one state over another."""
    high = max(a[3][HIGH], b[3][HIGH])
    b[0][:high] = a[0][:high]
    b[1][:] = a[1]
    b[2][:] = a[2]
    b[3][:] = a[3]
    b[4][:] = a[4]
    b[5][:] = a[5]


@compiled
def ruin(
    nodes: Array,
    sheets: Array,
    spare: Array,
    meters: Array,
    stock: Array,
    sw: Array,
    sh: Array,
    iarea: Array,
    todo: Array,
    n: int,
    stack: Array,
    tune: Array,
) -> int:
    """Take out some panels: now and then a whole sheet, mostly random panels of random sheets."""
    many = 1 + draw(meters, np.int64(tune[7]))
    first = n
    if draw(meters, 100) < np.int64(tune[8]):
        x = draw(meters, max(1, meters[HIGH]))
        for _ in range(50):
            if nodes[x, KIND] != FREE:
                break
            x = draw(meters, max(1, meters[HIGH]))
        if nodes[x, KIND] != FREE:
            n = remove(
                nodes,
                sheets,
                spare,
                meters,
                stock,
                sw,
                sh,
                iarea,
                sheets[nodes[x, BIN], ROOT],
                todo,
                n,
                stack,
            )
    tries = 0
    while n - first < many and tries < 200:
        tries += 1
        x = draw(meters, max(1, meters[HIGH]))
        if nodes[x, KIND] == FREE:
            continue
        if nodes[x, KIND] != PART and nodes[x, PARENT] < 0 and draw(meters, 4):
            continue
        n = remove(nodes, sheets, spare, meters, stock, sw, sh, iarea, x, todo, n, stack)
    return n
