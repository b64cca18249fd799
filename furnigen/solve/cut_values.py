"""What a piece takes to cut and to buy: what is proven least before any layout, and what a layout takes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import ceil

from furnigen.cutting.costing import costs_of
from furnigen.cutting.cut_rows import Order, cut_rows
from furnigen.cutting.effort import Effort
from furnigen.cutting.jobs import Job, jobs_of
from furnigen.cutting.own_stock import Shop
from furnigen.cutting.plan import Done, Plan, lay_out
from furnigen.cutting.problem import BarProblem, NestProblem, SheetProblem
from furnigen.piece.description import Piece


@dataclass
class CutValues:
    """Cost, sheets and hours.

    Attributes:
        exact: of the layout found, by name; empty before one is made.
        least: proven least values, by name.
        unpriced: what has no price.
        unfitted: parts that no stock is left for.
        ran_out: whether stock of which there is only so much ran out, so that another layout might do.
    """

    exact: dict[str, float] = field(default_factory=dict)
    least: dict[str, float] = field(default_factory=dict)
    unpriced: tuple[str, ...] = ()
    unfitted: tuple[str, ...] = ()
    ran_out: bool = False


def least_values(piece: Piece, shop: Shop) -> CutValues:
    """Cost, sheets and hours that no layout of a piece can be below.

    What does not depend on a layout is exact: hardware, bands, finish, hours by part. Of sheets and bars the
    proven bound is taken.
    """
    order = Order(piece)
    rows = cut_rows([order], shop)
    lacking = tuple(row.part for row in rows if not shop.offers_of(row.stock))
    if lacking:
        return CutValues(unfitted=lacking)
    jobs = jobs_of(rows, shop)
    apart = costs_of(Plan(piece.title, (order,), rows, shop, ()))
    unpriced = (*(n for job in jobs for n in _unpriced(job)), *apart.unpriced)
    sheets = flat = bars = material = 0
    for job in jobs:
        count, price = _least_of(job)
        material += price
        if _is_sheet(job):
            sheets += count
        if job.on_sheets:
            flat += count
        else:
            bars += count
    found = CutValues(least={"sheets": float(sheets)}, unpriced=tuple(dict.fromkeys(unpriced)))
    minutes = 0.0
    if shop.labour is not None:
        minutes = flat * shop.labour.per_sheet + bars * shop.labour.per_bar
        found.least["hours"] = (apart.hours or 0.0) + minutes / 60
    if not found.unpriced:
        labour = minutes / 60 * shop.labour.per_hour if shop.labour is not None else 0.0
        # each line is rounded once: the line of hours may come out one lower than its parts
        found.least["cost"] = (material + apart.known + max(0.0, labour - 1.0)) / 100
    return found


def _is_sheet(job: Job) -> bool:
    """Whether it is cut from sheets: boards of timber that parts lie on side by side are laid out alike."""
    return job.on_sheets and job.stock.kind == "sheet"


def _unpriced(job: Job) -> list[str]:
    """Offers of a job that have no price: which of them is taken is not known before."""
    return [o.name for o in job.offers if o.price is None and not o.offcut]


def _least_of(job: Job) -> tuple[int, int]:
    """Sheets or bars to be bought at least, and what they cost at least (hundredths)."""
    problem = job.problem
    spare = sum(o.copies or 0 for o in job.offers if o.offcut)
    if isinstance(problem, BarProblem):
        count, price = _least_bars(problem)
    elif isinstance(problem, NestProblem):
        count, price = 1 if problem.items else 0, min((s.price or 0 for s in problem.sheets), default=0)
    else:
        count, price = _least_sheets(problem)
    return max(0, count - spare), price


def _least_bars(problem: BarProblem) -> tuple[int, int]:
    total = sum((p.length_um + problem.kerf_um) * p.quantity for p in problem.pieces)
    clear = {b.name: b.length_um - b.trim_start_um - b.trim_end_um + problem.kerf_um for b in problem.bars}
    longest = max(clear.values(), default=0)
    if longest <= 0:
        return 0, 0
    cheapest = min((b.price or 0) / clear[b.name] for b in problem.bars if clear[b.name] > 0)
    least = min((b.price or 0) for b in problem.bars)
    count = -(-total // longest)
    return count, max(count * least, ceil(total * cheapest - 1e-6))


def _least_sheets(problem: SheetProblem) -> tuple[int, int]:
    from furnigen.cutting.bounds.sheets import SheetBound
    from furnigen.cutting.instance import make_instance

    instance = make_instance(problem)
    if not instance.shapes:
        return 0, 0
    bound = SheetBound(instance)
    priced = any(s.price is not None for s in problem.sheets)
    return bound.sheets, instance.least_price(bound.cost) if priced else 0


def laid_out_values(piece: Piece, shop: Shop, effort: float) -> CutValues:
    """Cost, sheets and hours of the best layout found by so much counted work, and what is proven of them."""
    order = Order(piece)
    plan = lay_out(piece.title, [order], cut_rows([order], shop), shop, Effort(level=effort))
    costs = costs_of(plan)
    left = [part for done in plan.jobs for part in (*done.solution.unfitted, *done.faults)]
    found = CutValues(unpriced=costs.unpriced, unfitted=tuple(left))
    if left:
        short = [d for d in plan.jobs if d.solution.unfitted]
        found.ran_out = any(o.copies is not None for d in short for o in d.job.offers if not o.offcut)
        return found
    bought = [(done, _bought(done)) for done in plan.jobs if _is_sheet(done.job)]
    sheets = float(sum(n for _, n in bought))
    fewest = float(sum(_fewest(done, n) for done, n in bought))
    found.exact["sheets"], found.least["sheets"] = sheets, fewest
    if costs.hours is not None:
        found.exact["hours"] = costs.hours
        found.least["hours"] = costs.hours - _hours_over(plan.jobs, shop)
    if costs.total is not None:
        over = sum(d.solution.cost - d.solution.cost_bound for d in plan.jobs)
        labour = _hours_over(plan.jobs, shop) * shop.labour.per_hour if shop.labour is not None else 0.0
        found.exact["cost"] = costs.total / 100
        found.least["cost"] = (costs.total - over - ceil(labour)) / 100
    return found


def _bought(done: Done) -> int:
    return sum(n for name, n in done.solution.used.items() if not done.job.offer(name).offcut)


def _fewest(done: Done, bought: int) -> int:
    """The fewest sheets bought that are not ruled out; offcuts may take the place of some."""
    spare = sum(o.copies or 0 for o in done.job.offers if o.offcut)
    return min(bought, max(0, done.bound - spare))


def _hours_over(jobs: Sequence[Done], shop: Shop) -> float:
    """By how much the hours of a layout may be above the least: sheets and bars that may be saved."""
    if shop.labour is None:
        return 0.0
    each = ((d, shop.labour.per_sheet if d.job.on_sheets else shop.labour.per_bar) for d in jobs)
    return sum((d.count - d.bound) * minutes for d, minutes in each) / 60
