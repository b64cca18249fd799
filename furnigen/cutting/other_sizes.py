"""What another size of sheet would come to: the same parts laid out on each size the table of stock has."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from furnigen.catalogue.stock import list_stock
from furnigen.core.progress import Sink, silent
from furnigen.core.quantities import MM_PER_INCH
from furnigen.cutting.costing import money
from furnigen.cutting.effort import Effort
from furnigen.cutting.jobs import jobs_of
from furnigen.cutting.joint_words import size_text
from furnigen.cutting.own_stock import Offer, Shop, same_stock
from furnigen.cutting.plan import Done, Plan, solve

EFFORT_SHARE = 0.25
"""Of the work spent on the plan itself, what each other size gets."""
MOST_SIZES = 3
SAME_SIZE_MM = 5.0


def other_sizes(plan: Plan, effort: Effort, units: str = "mm", on_step: Sink = silent) -> tuple[str, ...]:
    """A sentence for each size of sheet that is sold and that the shop does not offer.

    With a price for what is used, the price below which the other size would be cheaper; else how many sheets
    and what area.
    """
    said: list[str] = []
    for done in plan.jobs:
        if done.job.stock.kind != "sheet" or done.solution.unfitted or not done.layouts:
            continue
        for offer in _sizes(done, plan.shop)[:MOST_SIZES]:
            if effort.over():
                return tuple(said)
            on_step(f"trying {offer.name}")
            line = _compared(done, offer, plan, replace(effort, level=effort.level * EFFORT_SHARE), units)
            if line:
                said.append(line)
    return tuple(said)


def _sizes(done: Done, shop: Shop) -> Sequence[Offer]:
    """Sizes of the same material and thickness in the table that are not offered."""
    offered = [(o.length_mm, o.width_mm) for o in done.job.offers]
    found = []
    for stock in list_stock("sheet"):
        size = stock.length_mm, stock.width_mm
        if same_stock(stock, done.job.stock) and not any(_same_size(size, o) for o in offered):
            offered.append(size)
            found.append(Offer(stock.name, stock, stock.length_mm, stock.width_mm, trim=shop.trim))
    return found


def _same_size(a: tuple[float, float], b: tuple[float, float]) -> bool:
    """Whether two sizes are called the same: 8 x 4 ft is sold as 2440 x 1220 mm."""
    return all(abs(v - w) < SAME_SIZE_MM for v, w in zip(a, b, strict=True))


def _compared(done: Done, offer: Offer, plan: Plan, effort: Effort, units: str) -> str:
    """What one other size comes to; empty where not all parts fit it."""
    kept = tuple(o for o in plan.shop.offers if not same_stock(o.stock, offer.stock))
    (job,) = jobs_of(done.job.rows, replace(plan.shop, offers=(*kept, offer)))
    found = solve(job, effort)
    if found.unfitted:
        return ""
    count = sum(found.used.values())
    size = f"{size_text(offer.length_mm, units)} x {size_text(offer.width_mm, units)}"
    sheets = f"{count} sheet{'s' * (count != 1)}"
    now = sum(
        n * done.job.offer(name).length_mm * done.job.offer(name).width_mm
        for name, n in done.solution.used.items()
    )
    area = count * offer.length_mm * offer.width_mm
    areas = f"{_area(area, units)} (now {_area(now, units)})"
    head = f"{done.job.name} in sheets of {size} ({offer.name}): {sheets}, {areas}"
    prices = [(done.job.offer(name).price, n) for name, n in done.solution.used.items()]
    if all(price is not None for price, _ in prices):
        cost = sum((price or 0) * n for price, n in prices)
        return f"{head}; it would save money below {money(cost // count, plan.shop.currency)} a sheet"
    return head


def _area(mm2: float, units: str) -> str:
    """An area of sheets for people."""
    if units == "in":
        return f"{mm2 / (12 * MM_PER_INCH) ** 2:.1f} ft²"
    return f"{mm2 / 1e6:.2f} m²"
