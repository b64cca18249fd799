"""What a batch costs: material with its waste, hardware, bands, finish, hours.

Amounts are in hundredths of the currency, rounded once for each line. What has no price is named, never taken
for free.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from furnigen.cutting.cut_rows import CutRow
from furnigen.cutting.own_stock import named_in
from furnigen.cutting.plan import Done, Plan
from furnigen.cutting.problem import mm
from furnigen.piece.hardware_list import hardware_list

BAND_OVER_MM = 30.0
"""Band that is cut off at the ends of each edge. Common practice, no source."""
MM2_PER_M2 = 1e6


@dataclass(frozen=True)
class CostLine:
    """One line of the costs.

    Attributes:
        kind: material, hardware, band, finish or labour.
        what: the thing.
        amount: how much, in `unit`.
        cost: hundredths of the currency; None where no price is stated.
    """

    kind: str
    what: str
    amount: float
    unit: str
    cost: int | None


@dataclass(frozen=True)
class Costs:
    """All lines, and what they come to.

    Attributes:
        lines: one for each stock, kind of hardware, band, finish, and the hours.
        by_piece: (name, copies, hundredths for one copy) of each piece; None where something has no price.
        hours: of work; None where no rates are stated.
        saved: what one sheet fewer, or another size of sheet, would save, in words.
        mass_kg: of all parts.
        material_share: of the wood bought, the share that becomes parts (by area or length), by stock.
    """

    lines: tuple[CostLine, ...]
    by_piece: tuple[tuple[str, int, int | None], ...]
    hours: float | None
    saved: tuple[str, ...]
    mass_kg: float
    material_share: tuple[tuple[str, float], ...]

    @property
    def unpriced(self) -> tuple[str, ...]:
        """What has no price."""
        return tuple(line.what for line in self.lines if line.cost is None)

    @property
    def known(self) -> int:
        """The sum of all that has a price, hundredths."""
        return sum(line.cost for line in self.lines if line.cost is not None)

    @property
    def total(self) -> int | None:
        """The sum; None where something has no price."""
        return None if self.unpriced or not self.lines else self.known


def costs_of(plan: Plan) -> Costs:
    """What a plan costs."""
    material = [line for done in plan.jobs for line in _material(done)]
    hardware, bands, finishes = _hardware(plan), _bands(plan), _finishes(plan)
    labour, hours = _labour(plan)
    lines = (*material, *hardware, *bands, *finishes, *labour)
    return Costs(
        lines,
        _by_piece(plan, lines),
        hours,
        (*(s for done in plan.jobs for s in one_fewer(done, plan.shop.currency)), *plan.other_sizes),
        sum(r.mass_kg * r.quantity for r in plan.rows),
        tuple((done.job.name, used_share(done)) for done in plan.jobs if done.layouts),
    )


def _material(done: Done) -> list[CostLine]:
    found = []
    for name, count in done.solution.used.items():
        price = done.job.offer(name).price
        found.append(
            CostLine("material", name, count, done.job.stock.kind, None if price is None else price * count)
        )
    return found


def _hardware(plan: Plan) -> list[CostLine]:
    prices = dict(plan.shop.hardware)
    wanted: Counter[tuple[str, str]] = Counter()
    for order in plan.orders:
        for row in hardware_list(order.piece):
            wanted[row.kind, row.size] += row.quantity * order.copies
    found = []
    for (kind, size), count in wanted.items():
        price = prices.get(f"{kind} {size}", prices.get(kind))
        found.append(
            CostLine("hardware", f"{kind} {size}", count, "pieces", None if price is None else price * count)
        )
    return found


def _bands(plan: Plan) -> list[CostLine]:
    metres: dict[str, float] = {}
    price: dict[str, int | None] = {}
    for row in plan.rows:
        for b in row.bands:
            over = (b.length_mm + 2 * BAND_OVER_MM) * row.quantity / 1000
            metres[b.band.name] = metres.get(b.band.name, 0.0) + over
            price[b.band.name] = b.band.price_per_m
    return [
        CostLine("band", name, long, "m", None if (p := price[name]) is None else round(p * long))
        for name, long in metres.items()
    ]


def surface_m2(row: CutRow) -> float:
    """Surface of all copies of a row: of the blocks of their finished sizes (m²)."""
    a, b, c = row.finished.length, row.finished.width, row.finished.thickness
    return 2 * (a * b + b * c + a * c) / MM2_PER_M2 * row.quantity


def _finishes(plan: Plan) -> list[CostLine]:
    found = []
    for finish in plan.shop.finishes:
        area = sum(surface_m2(r) for r in plan.rows if named_in(finish.parts, r.part, *r.labels))
        if area:
            price = finish.price_per_m2
            cost = None if price is None else round(price * area)
            found.append(CostLine("finish", finish.name, area, "m²", cost))
    return found


def _labour(plan: Plan) -> tuple[list[CostLine], float | None]:
    rates = plan.shop.labour
    if rates is None:
        return [], None
    sheets = sum(d.count for d in plan.jobs if d.job.on_sheets)
    bars = sum(d.count for d in plan.jobs if not d.job.on_sheets)
    minutes = sheets * rates.per_sheet + bars * rates.per_bar
    for row in plan.rows:
        cuts = len(row.source[0].cuts) if row.source else 0
        minutes += (
            row.quantity * (rates.per_part + cuts * rates.per_joint_cut) + row.band_m * rates.per_band_m
        )
    for finish in plan.shop.finishes:
        area = sum(surface_m2(r) for r in plan.rows if named_in(finish.parts, r.part, *r.labels))
        minutes += area * finish.minutes_per_m2
    hours = minutes / 60
    return [CostLine("labour", "hours at the stated rates", hours, "h", round(hours * rates.per_hour))], hours


def _by_piece(plan: Plan, lines: Sequence[CostLine]) -> tuple[tuple[str, int, int | None], ...]:
    """The total shared out by the wood each piece takes: its parts' volume as cut out."""
    if not plan.orders:
        return ()
    taken: dict[str, float] = {o.name: 0.0 for o in plan.orders}
    for row in plan.rows:
        r = row.rough
        taken[row.piece] = taken.get(row.piece, 0.0) + r.length * r.width * r.thickness * row.quantity
    whole = sum(taken.values())
    total = None if any(line.cost is None for line in lines) else sum(line.cost or 0 for line in lines)
    found = []
    for order in plan.orders:
        share = taken[order.name] / whole / order.copies if whole else 0.0
        found.append(
            (order.name or order.piece.name, order.copies, None if total is None else round(total * share))
        )
    return tuple(found)


def used_share(done: Done) -> float:
    """Of the sheets or lengths used, what becomes parts as they are cut out."""
    bought = 0.0
    for name, count in done.solution.used.items():
        offer = done.job.offer(name)
        bought += count * offer.length_mm * (offer.width_mm if done.job.on_sheets else 1.0)
    taken = 0.0
    for laid in done.layouts:
        for placed in laid.layout.placed:
            wide = mm(placed.width_um) if done.job.on_sheets else 1.0  # type: ignore[union-attr]
            taken += laid.layout.copies * mm(placed.length_um) * wide
    return taken / bought if bought else 0.0


def one_fewer(done: Done, currency: str) -> list[str]:
    """What one sheet or bar fewer would save, and whether it can be had."""
    used = [(done.job.offer(n).price, n) for n in done.solution.used if not done.job.offer(n).offcut]
    if not used or done.solution.unfitted:
        return []
    price, name = max(used, key=lambda u: (u[0] or 0, u[1]))
    solution = done.solution
    fewer_cost = solution.cost - (price or 0)
    if solution.proven or done.bound >= done.count or (price and fewer_cost < solution.cost_bound):
        return []
    saves = "would do" if price is None else f"would save {money(price, currency)}"
    return [
        f"one {done.job.stock.kind} of {name} fewer {saves}: not ruled out, at least {done.bound} are needed;"
        " a longer search (--effort) may find it"
    ]


def money(hundredths: int | None, currency: str = "") -> str:
    """An amount for people.

    >>> money(1250, "EUR"), money(None)
    ('12.50 EUR', 'no price')
    """
    if hundredths is None:
        return "no price"
    return f"{hundredths / 100:,.2f}{' ' + currency if currency else ''}"
