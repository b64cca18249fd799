"""A problem as the search takes it: shapes with the kerf added, kinds of sheet, where which shape may lie.

Kerf: when one kerf is added to every part and to the sheet, parts that touch in the enlarged sheet are one
kerf apart in the real one, and the last part of a strip may end at the edge without a cut.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import reduce
from math import ceil, gcd

from furnigen.core.wording import as_given, worded
from furnigen.cutting.problem import Item, Rules, Sheet, SheetProblem, mm

AS_IS, TURNED = 1, 2


@dataclass(frozen=True)
class Shape:
    """What is laid out as one: items of one size, or a matched row.

    Args:
        w, h: size when not turned, kerf added.
        quantity: how many.
        names: items of this size with their quantities, in the problem's order; for a row its own name.
        members: for a row, its items in order; empty for items.
        along: a row's items follow each other along their grain.
        fits: for each kind of sheet the ways it may lie: AS_IS + TURNED.
    """

    w: int
    h: int
    quantity: int
    names: tuple[tuple[str, int], ...]
    fits: tuple[int, ...]
    members: tuple[Item, ...] = ()
    along: bool = False


@dataclass(frozen=True)
class Kind:
    """A kind of sheet.

    Args:
        sheet: as the problem has it.
        w, h: clear size with one kerf added.
        price: of one, in hundredths of the currency; its area in square millimetres without prices.
        cost: price and number in one whole number, so that of equal price fewer sheets win: the price
        times one
            more than there are parts, and 1 for a sheet that is no offcut.
        copies: how many there are, never more than there are parts.
    """

    sheet: Sheet
    w: int
    h: int
    price: int
    cost: int
    copies: int


@dataclass(frozen=True)
class Instance:
    """Shapes and kinds of sheet; shapes that fit nowhere are in `unfitted`, with the reason."""

    shapes: tuple[Shape, ...]
    kinds: tuple[Kind, ...]
    rules: Rules
    wanted: int
    unfitted: dict[str, int]
    reasons: dict[str, str]

    def least_price(self, cost: int) -> int:
        """The least price a solution can have whose cost (price and number) is proven to be at least
        `cost`."""
        step = reduce(gcd, (k.price for k in self.kinds), 0) or 1
        least = -(-max(0, cost - self.wanted) // (self.wanted + 1))
        return -(-least // step) * step

    @property
    def parts(self) -> int:
        """Number of shapes to be laid out, copies counted."""
        return sum(s.quantity for s in self.shapes)


def ways(w: int, h: int, turnable: bool, kind_w: int, kind_h: int) -> int:
    """The ways a shape may lie on a sheet, by its size.

    >>> ways(30, 20, True, 40, 25), ways(30, 20, True, 25, 40), ways(30, 20, False, 25, 40)
    (1, 2, 0)
    """
    as_is = AS_IS if w <= kind_w and h <= kind_h else 0
    turned = TURNED if turnable and w != h and h <= kind_w and w <= kind_h else 0
    return as_is | turned


def make_instance(problem: SheetProblem) -> Instance:
    """The problem in the search's terms."""
    kerf = problem.rules.kerf_um
    priced = any(s.price is not None for s in problem.sheets)
    prices = [(s.price or 0) if priced else -(-s.length_um * s.width_um // 1_000_000) for s in problem.sheets]
    wanted = sum(i.quantity for i in problem.items)
    kinds = tuple(
        Kind(
            sheet=s,
            w=s.clear_length_um + kerf,
            h=s.clear_width_um + kerf,
            price=price,
            cost=price * (wanted + 1) + (not s.offcut),
            copies=wanted if s.copies is None else min(s.copies, wanted),
        )
        for s, price in zip(problem.sheets, prices, strict=True)
    )
    shapes: list[Shape] = []
    unfitted: dict[str, int] = {}
    reasons: dict[str, str] = {}
    loose = {i.name: i.quantity for i in problem.items}
    by_name = {i.name: i for i in problem.items}
    for row in problem.matched:
        members = tuple(by_name[n] for n in row.items)
        w, h = (size + kerf for size in row.size(members, kerf))
        turnable = all(m.turnable for m in members)
        for m in members:
            loose[m.name] -= row.quantity
        fits = _fits(w, h, turnable, kinds)
        uneven = len({m.width_um if row.along else m.length_um for m in members}) > 1
        if not any(fits) or (uneven and not problem.rules.trimming):
            size = as_given(*(round(mm(v - kerf), 1) for v in (w, h)))
            why = "fits no sheet" if not any(fits) else "needs a trimming cut"
            why = worded(f"matched row {row.name}, {size}, {why}")
            for m in members:
                unfitted[m.name] = unfitted.get(m.name, 0) + row.quantity
                reasons[m.name] = why
            continue
        shapes.append(Shape(w, h, row.quantity, ((row.name, row.quantity),), fits, members, row.along))
    alike: dict[tuple[int, int, tuple[int, ...]], list[tuple[str, int]]] = {}
    for item in problem.items:
        if loose[item.name] <= 0:
            continue
        w, h = item.length_um + kerf, item.width_um + kerf
        fits = _fits(w, h, item.turnable, kinds)
        if not any(fits):
            unfitted[item.name] = unfitted.get(item.name, 0) + loose[item.name]
            reasons[item.name] = _reason(item, problem, kinds)
            continue
        alike.setdefault((w, h, fits), []).append((item.name, loose[item.name]))
    for (w, h, fits), names in alike.items():
        shapes.append(Shape(w, h, sum(n for _, n in names), tuple(names), fits))
    shapes.sort(key=lambda s: (-s.w * s.h, -s.w, s.names))
    return Instance(tuple(shapes), kinds, problem.rules, wanted, unfitted, reasons)


def _fits(w: int, h: int, turnable: bool, kinds: tuple[Kind, ...]) -> tuple[int, ...]:
    return tuple(ways(w, h, turnable or not k.sheet.grain, k.w, k.h) if k.copies else 0 for k in kinds)


def _reason(item: Item, problem: SheetProblem, kinds: tuple[Kind, ...]) -> str:
    """Why an item fits no sheet, and which size would do."""
    size = as_given(*(round(mm(v), 1) for v in (item.length_um, item.width_um)))
    if not kinds:
        return worded(f"{size}: there is no sheet to cut it from")
    kerf = problem.rules.kerf_um
    if any(ways(item.length_um + kerf, item.width_um + kerf, True, k.w, k.h) for k in kinds if k.copies):
        return worded(f"{size} fits only across the grain of the sheet, which its grain lock forbids")
    trims = kinds[0].sheet.trims
    length = item.length_um + trims.left_um + trims.right_um
    width = item.width_um + trims.bottom_um + trims.top_um
    least = as_given(*(ceil(mm(v) * 10) / 10 for v in (length, width)))
    return worded(f"{size} fits no sheet; one of at least {least} would do")
