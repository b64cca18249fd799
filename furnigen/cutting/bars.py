"""Lay out pieces on bars: least cost with proof, by column generation, search and whole numbers of
fillings."""

from __future__ import annotations

from collections import Counter

import numpy as np

from furnigen.core.wording import as_given, worded
from furnigen.cutting.bar_sawing import Filled, bar_layouts, clear_stretches
from furnigen.cutting.bounds.bars import BarKind, BarPricer
from furnigen.cutting.bounds.columns import Columns, Counts
from furnigen.cutting.bounds.dual_feasible import fewest_lengths
from furnigen.cutting.effort import Effort
from furnigen.cutting.instance import Instance, Kind, Shape
from furnigen.cutting.layout import BarSolution
from furnigen.cutting.problem import BarProblem, Rules, Sheet, mm
from furnigen.cutting.search.run import NO_LIMIT, Search

SEARCH_WORK = 15_000_000
COLUMN_WORK = 400_000_000
NODES = 200
SHARES = (0.1, 0.9)
"""Shares of the search's work before and after the bound."""


class _Bars:
    """A problem of bars in the search's terms: lengths with the kerf added, longest first."""

    def __init__(self, problem: BarProblem) -> None:
        self.kerf = problem.kerf_um
        priced = any(b.price is not None for b in problem.bars)
        total = sum(p.quantity for p in problem.pieces)
        self.prices = [(b.price or 0) if priced else -(-b.length_um // 1000) for b in problem.bars]
        self.scale = total + 1
        self.kinds = [
            BarKind(
                b.name,
                clear_stretches(b, self.kerf),
                price * self.scale + (not b.offcut),
                total if b.copies is None else min(b.copies, total),
            )
            for b, price in zip(problem.bars, self.prices, strict=True)
        ]
        rooms = [r for k in self.kinds if k.copies for _, r in k.stretches]
        self.longest = max(rooms, default=0)
        wanted: Counter[int] = Counter()
        self.names: dict[int, list[tuple[str, int]]] = {}
        self.unfitted: dict[str, int] = {}
        self.reasons: dict[str, str] = {}
        for piece in problem.pieces:
            if not piece.quantity:
                continue
            size = piece.length_um + self.kerf
            if size > self.longest:
                self.unfitted[piece.name] = piece.quantity
                long, clear = (
                    as_given(round(mm(v), 1)) for v in (piece.length_um, max(0, self.longest - self.kerf))
                )
                self.reasons[piece.name] = worded(f"{long} fits no bar; the longest clear length is {clear}")
                continue
            wanted[size] += piece.quantity
            self.names.setdefault(size, []).append((piece.name, piece.quantity))
        self.lengths = sorted(wanted, reverse=True)
        self.wanted = [wanted[x] for x in self.lengths]

    def cost(self, filled: list[Filled]) -> int:
        """Cost (price and number) of bars."""
        return sum(self.kinds[k].cost for k, _ in filled)


def first_fit(bars: _Bars, order: list[int]) -> list[Filled] | None:
    """Each piece on the first stretch it fits, longest piece first, kinds of bar opened in the order
    given."""
    left = [k.copies for k in bars.kinds]
    opened: list[tuple[int, list[int], list[list[int]]]] = []
    for i, (length, number) in enumerate(zip(bars.lengths, bars.wanted, strict=True)):
        for _ in range(number):
            spot = next(((b, j) for b in opened for j, room in enumerate(b[1]) if room >= length), None)
            if spot is None:
                kind = next(
                    (k for k in order if left[k] and any(r >= length for _, r in bars.kinds[k].stretches)),
                    None,
                )
                if kind is None:
                    return None
                left[kind] -= 1
                rooms = [r for _, r in bars.kinds[kind].stretches]
                opened.append((kind, rooms, [[0] * len(bars.lengths) for _ in rooms]))
                spot = opened[-1], next(j for j, r in enumerate(rooms) if r >= length)
            bar, j = spot
            bar[1][j] -= length
            bar[2][j][i] += 1
    return [(kind, tuple(tuple(c) for c in counts)) for kind, _, counts in opened]


TRIES = 12
"""Fillings in turn that are tried: the first ten with more and more favour for long pieces, then at
random."""


def fill_in_turn(bars: _Bars, attempt: int) -> list[Filled]:
    """One bar after the other filled as full as can be, the longest piece left always on it.

    One kind of bar only. Longer pieces count for more than their length, so that short ones
    stay for the gaps; how much more, and how far by chance, depends on the attempt. After Gupta and Ho, "A
    new heuristic algorithm for the one-dimensional bin-packing problem", Production Planning & Control 10
    (1999).
    """
    pricer = BarPricer(bars.kinds[0], bars.lengths, bars.wanted)
    lengths = np.array(bars.lengths, np.float64)
    chance = np.random.default_rng(attempt)
    favour = 0.008 * attempt**1.5 if attempt < 10 else 0.1 * chance.random()
    spread = 0.0 if attempt < 10 else 0.05 * chance.random()
    worth = (lengths / lengths[0]) ** (1.0 + favour) * (1.0 + spread * chance.random(len(lengths)))
    weights = np.round(worth * 1e9).astype(np.int64)
    left = np.array(bars.wanted, np.int64)
    out: list[Filled] = []
    while left.any():
        first = int(np.flatnonzero(left)[0])
        weighty = weights.copy()
        weighty[first] = int(weights.max()) * 1000
        once = left.copy()
        once[first] = 1
        counts = np.array(pricer.best(weighty, once)[1][0][0], np.int64)
        counts += pricer.rest(bars.longest - int(counts @ np.array(bars.lengths)), weights, left - counts)
        left -= counts
        out.append((0, (tuple(counts.tolist()),)))
    return out


def _search(bars: _Bars) -> Search | None:
    """The search for sheets on bars: sheets of no width. None where defects part a bar."""
    if any(len(k.stretches) != 1 for k in bars.kinds):
        return None
    kinds = tuple(
        Kind(Sheet(k.name, k.stretches[0][1], 1), k.stretches[0][1], 1, k.cost, k.cost, k.copies)
        for k in bars.kinds
    )
    shapes = tuple(
        Shape(x, 1, n, (), tuple(int(x <= k.w) for k in kinds))
        for x, n in zip(bars.lengths, bars.wanted, strict=True)
    )
    return Search(Instance(shapes, kinds, Rules(), sum(bars.wanted), {}, {}))


def _found(search: Search, bars: _Bars) -> list[Filled] | None:
    laid = search.best()
    if laid.left_out:
        return None
    out: list[Filled] = []
    for kind, tree in laid.sheets:
        counts = Counter(tree.shapes())
        out.append((kind, (tuple(counts[i] for i in range(len(bars.lengths))),)))
    return out


def _without_surplus(bars: _Bars, chosen: list[tuple[int, Counts, object, int]]) -> list[Filled]:
    """Bars of the fillings chosen, pieces beyond those wanted left out."""
    left = list(bars.wanted)
    out: list[Filled] = []
    for kind, _, how, number in chosen:
        for _ in range(number):
            plan: list[Counts] = []
            for stretch in how:  # type: ignore[attr-defined]
                taken = tuple(min(c, rest) for c, rest in zip(stretch, left, strict=True))
                left = [rest - c for rest, c in zip(left, taken, strict=True)]
                plan.append(taken)
            if any(map(any, plan)):
                out.append((kind, tuple(plan)))
    return out


def cut_bars(problem: BarProblem, effort: Effort | None = None) -> BarSolution:
    """Lay pieces out on bars: least cost, then fewest bars, proven where it can be.

    Args:
        problem: pieces, bars, kerf.
        effort: how long to search; one level of counted work if None.

    Returns:
        Layouts with their cuts, and what is proven about them.
    """
    effort = effort or Effort()
    bars = _Bars(problem)
    filled, bound, cut_short = _solve(bars, effort) if bars.lengths else ([], 0, False)
    layouts = bar_layouts(problem, bars.kinds, bars.lengths, bars.names, filled)
    used: Counter[str] = Counter()
    placed: Counter[str] = Counter()
    for layout in layouts:
        used[layout.bar] += layout.copies
        for one in layout.placed:
            placed[one.piece] += layout.copies
    unfitted, reasons = {}, {}
    for piece in problem.pieces:
        if piece.quantity > placed[piece.name]:
            unfitted[piece.name] = piece.quantity - placed[piece.name]
            reasons[piece.name] = bars.reasons.get(piece.name, "no bar is left to cut it from")
    price = sum(bars.prices[k] for k, _ in filled)
    proven = not set(unfitted) - set(bars.unfitted) and bars.cost(filled) <= bound
    fewest = (
        fewest_lengths(bars.lengths, bars.wanted, bars.longest) if bars.lengths and not _parted(bars) else 0
    )
    if len(bars.kinds) == 1 and bars.kinds[0].cost:
        fewest = max(fewest, -(-bound // bars.kinds[0].cost))
    return BarSolution(
        layouts=layouts,
        used={b.name: used[b.name] for b in problem.bars if used[b.name]},
        cost=price,
        cost_bound=price if proven else max(0, -(-(bound - bars.scale + 1) // bars.scale)),
        bars_bound=min(fewest, len(filled)) if not unfitted else fewest,
        proven=proven,
        cut_short=cut_short and not proven,
        unfitted=unfitted,
        reasons=reasons,
    )


def _parted(bars: _Bars) -> bool:
    return any(len(k.stretches) > 1 for k in bars.kinds)


def _solve(bars: _Bars, effort: Effort) -> tuple[list[Filled], int, bool]:
    """Bars as laid out, the cost (price and number) proven, and whether the search was cut short."""
    kinds = bars.kinds
    orders = [
        sorted(range(len(kinds)), key=key)
        for key in (
            lambda k: kinds[k].cost / max(1, sum(r for _, r in kinds[k].stretches)),
            lambda k: kinds[k].cost,
            lambda k: -sum(r for _, r in kinds[k].stretches),
        )
    ]
    starts = [f for order in orders if (f := first_fit(bars, order)) is not None]
    best = min(starts, key=bars.cost) if starts else None
    search = _search(bars)
    columns = Columns(kinds, bars.wanted, [BarPricer(k, bars.lengths, bars.wanted) for k in kinds])
    bound = 0
    if len(kinds) == 1 and not _parted(bars):
        bound = fewest_lengths(bars.lengths, bars.wanted, bars.longest) * kinds[0].cost
    step = (kinds[0].cost if len(kinds) == 1 else 0) or 1

    def better() -> None:
        found = _found(search, bars) if search else None
        if found is not None:
            note(found)

    def target() -> int:
        return NO_LIMIT if best is None else bars.cost(best)

    whole = int(SEARCH_WORK * effort.level)
    going = True

    def note(found: list[Filled]) -> None:
        nonlocal best
        if [sum(s[i] for _, plan in found for s in plan) for i in range(len(bars.lengths))] != bars.wanted:
            return
        if bars.cost(found) < target() and all(
            n <= kinds[k].copies for k, n in Counter(k for k, _ in found).items()
        ):
            best = found
        for kind, plan in found:
            columns.add(kind, tuple(map(sum, zip(*plan, strict=True))), plan)

    def gap() -> bool:
        nonlocal going
        going = going and not effort.over()
        return going and target() > bound

    for start in starts:
        note(start)
    if len(kinds) == 1 and not _parted(bars):
        for attempt in range(int(TRIES * max(1.0, effort.level))):
            if not gap():
                break
            note(fill_in_turn(bars, attempt))
    if search and gap():
        going = search.run(int(whole * SHARES[0]), bound, effort)
        better()
    _units(bars, columns)
    if gap() and add_tight(bars, columns, bound):
        note(_without_surplus(bars, columns.whole(int(NODES * effort.level))))
    for single in (False, True):
        if gap():
            note(_without_surplus(bars, columns.dive(int(COLUMN_WORK * effort.level), effort, single)))
        if gap() and not single:
            columns.run(int(COLUMN_WORK * effort.level), target(), effort)
            bound = max(bound, -(-columns.cost // step) * step)
    if gap():
        note(_without_surplus(bars, columns.whole(int(NODES * effort.level))))
    if search and gap():
        going = search.run(int(whole * SHARES[1]), bound, effort)
        better()
    return best or _as_far_as_it_goes(bars, orders[0]), bound, not going


def _units(bars: _Bars, columns: Columns) -> None:
    """Note each piece alone on a bar of each kind it fits."""
    none = (0,) * len(bars.lengths)
    for i, length in enumerate(bars.lengths):
        for k, kind in enumerate(bars.kinds):
            spot = next((j for j, (_, r) in enumerate(kind.stretches) if r >= length), None)
            if spot is not None:
                unit = tuple(int(j == i) for j in range(len(bars.lengths)))
                columns.add(k, unit, tuple(unit if j == spot else none for j in range(len(kind.stretches))))


def add_tight(bars: _Bars, columns: Columns, bound: int, most: int = 4000) -> bool:
    """When hardly any waste is allowed, note every filling with no more waste than that; False if too many.

    With one kind of bar, a solution at the bound leaves a known length over in all, so no bar of it leaves
    more.
    """
    if len(bars.kinds) != 1 or _parted(bars):
        return False
    room = bars.longest
    number = bound // max(1, bars.kinds[0].cost)
    slack = number * room - sum(x * n for x, n in zip(bars.lengths, bars.wanted, strict=True))
    found: list[Counts] = []
    counts = [0] * len(bars.lengths)
    steps = 0

    def extend(i: int, left: int) -> bool:
        nonlocal steps
        steps += 1
        if steps > 50 * most:
            return False
        if left <= slack and any(counts):
            found.append(tuple(counts))
            if len(found) > most:
                return False
        for j in range(i, len(bars.lengths)):
            if counts[j] < bars.wanted[j] and bars.lengths[j] <= left:
                counts[j] += 1
                if not extend(j, left - bars.lengths[j]):
                    return False
                counts[j] -= 1
        return True

    if slack * 1000 > number * room or not extend(0, room):
        return False
    for c in found:
        columns.add(0, c, (c,))
    return True


def _as_far_as_it_goes(bars: _Bars, order: list[int]) -> list[Filled]:
    """First fit when the bars do not last: pieces are left out from the shortest kind of trouble, the
    longest."""
    wanted = list(bars.wanted)
    while any(bars.wanted):
        found = first_fit(bars, order)
        if found is not None:
            bars.wanted = wanted
            return found
        i = next(i for i, n in enumerate(bars.wanted) if n)
        bars.wanted[i] -= 1
    bars.wanted = wanted
    return []
