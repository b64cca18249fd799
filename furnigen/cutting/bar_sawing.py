"""From fillings to places and cuts on real bars: kerfs, trims, defects, offcuts."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence

from furnigen.cutting.bounds.bars import BarKind
from furnigen.cutting.bounds.columns import Counts
from furnigen.cutting.layout import BarCut, BarLayout, PlacedPiece
from furnigen.cutting.problem import Bar, BarProblem

Filled = tuple[int, tuple[Counts, ...]]
"""A bar as laid out: its kind, and how many of each length on each clear stretch."""


def clear_stretches(bar: Bar, kerf: int) -> tuple[tuple[int, int], ...]:
    """Stretches of a bar without trims and defects: start and room, one kerf added.

    Two stretches are at least one kerf apart, however small the defect between them.

    >>> clear_stretches(Bar("b", 1000, defects=((400, 450),)), 3)
    ((0, 403), (450, 553))
    """
    found = []
    start, end = bar.trim_start_um, bar.length_um - bar.trim_end_um
    for low, high in sorted(bar.defects):
        if low > start:
            found.append((start, min(low, end) - start + kerf))
            high = max(high, low + kerf)
        start = max(start, high)
    if end > start:
        found.append((start, end - start + kerf))
    return tuple((s, r) for s, r in found if r > kerf)


def bar_layouts(
    problem: BarProblem,
    kinds: Sequence[BarKind],
    lengths: Sequence[int],
    names: dict[int, list[tuple[str, int]]],
    filled: list[Filled],
) -> tuple[BarLayout, ...]:
    """Layouts with names given out, equal ones together.

    Args:
        problem: bars and kerf.
        kinds: bars in the search's terms, in the problem's order.
        lengths: lengths with the kerf added, as the fillings count them.
        names: for each of them the pieces of that length and how many.
        filled: bars as laid out.
    """
    stock = {x: [name for name, n in given for _ in range(n)] for x, given in names.items()}
    made: Counter[tuple[int, tuple[tuple[str, int, int], ...]]] = Counter()
    for kind, plan in sorted(filled, key=lambda f: (f[0], [[-c for c in s] for s in f[1]])):
        placed = []
        for (start, _), counts in zip(kinds[kind].stretches, plan, strict=True):
            x = start
            for size, number in zip(lengths, counts, strict=True):
                for _ in range(number):
                    placed.append((stock[size].pop(0), x, size - problem.kerf_um))
                    x += size
        made[kind, tuple(placed)] += 1
    return tuple(
        _layout(problem.bars[kind], problem.kerf_um, [PlacedPiece(*p) for p in placed], copies)
        for (kind, placed), copies in sorted(made.items(), key=lambda e: (-e[1], e[0]))
    )


def _layout(bar: Bar, kerf: int, placed: list[PlacedPiece], copies: int) -> BarLayout:
    """Cuts and offcuts of one bar."""
    cuts: list[BarCut] = []
    offcuts: list[tuple[int, int]] = []
    at = 0

    def cut(where: int, piece: str = "") -> None:
        nonlocal at
        if where < bar.length_um:
            cuts.append(BarCut(len(cuts) + 1, where, where - at, piece))
        at = where + kerf

    for start, room in clear_stretches(bar, kerf):
        inside = [p for p in placed if start <= p.x_um < start + room]
        end = start + room - kerf
        if not inside:
            offcuts.append((start, end - start))
            continue
        if start > at:
            # the kerf lies in what is trimmed or in the defect
            cut(max(at, start - kerf))
            at = start
        for p in inside:
            cut(p.x_um + p.length_um, p.piece)
        if end > at:
            offcuts.append((at, end - at))
    offcuts.sort(key=lambda o: (-o[1], o[0]))
    return BarLayout(bar.name, copies, tuple(placed), tuple(cuts), tuple(offcuts))
