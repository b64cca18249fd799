"""The plan: which parts come from which sheets and bars, labels of the copies, what is proven."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from furnigen.catalogue.stock import Stock, list_stock
from furnigen.core.progress import Sink, silent
from furnigen.core.wording import as_given, marked, worded
from furnigen.cutting.cut_rows import CutRow, Order
from furnigen.cutting.effort import Effort
from furnigen.cutting.jobs import Job, check_matched, jobs_of
from furnigen.cutting.layout import BarLayout, BarSolution, Placed, PlacedPiece, SheetLayout, SheetSolution
from furnigen.cutting.own_stock import Shop, same_stock
from furnigen.cutting.problem import BarProblem, NestProblem, SheetProblem, mm

Solution = SheetSolution | BarSolution
Layout = SheetLayout | BarLayout


@dataclass(frozen=True)
class LaidOut:
    """One layout, and which copies it holds.

    Attributes:
        layout: how the sheet or bar is cut.
        rows: the row of the cut list of each thing placed.
        labels: of each thing placed, one label for each copy of the layout.
        number: of the layout in the plan, from 1.
    """

    layout: Layout
    rows: tuple[CutRow, ...]
    labels: tuple[tuple[str, ...], ...]
    number: int

    @property
    def name(self) -> str:
        """Of the sheet or bar it is cut from."""
        return self.layout.sheet if isinstance(self.layout, SheetLayout) else self.layout.bar


@dataclass(frozen=True)
class Done:
    """One job, laid out.

    Attributes:
        solution: what the search found and proved.
        layouts: with labels.
        faults: what the independent check found wrong; empty where it is sound.
    """

    job: Job
    solution: Solution
    layouts: tuple[LaidOut, ...]
    faults: tuple[str, ...] = ()

    @property
    def count(self) -> int:
        """Sheets or bars used."""
        return sum(self.solution.used.values())

    @property
    def bound(self) -> int:
        """No fewer sheets or bars will do."""
        s = self.solution
        return s.bars_bound if isinstance(s, BarSolution) else s.sheets_bound

    @property
    def verdict(self) -> str:
        """What is proven, in words."""
        noun = self._counted
        if self.solution.unfitted:
            many = sum(self.solution.unfitted.values())
            return f"{noun}, and {many} part{'s do' if many != 1 else ' does'} not fit"
        if self.solution.proven:
            return f"{noun}, provably the {'fewest' if self._one_price else 'cheapest'}"
        if self.bound >= self.count and not self.solution.cut_short:
            return f"{noun}, provably the fewest; a cheaper choice of sizes is not ruled out"
        short = "; the search was cut short" if self.solution.cut_short else ""
        least = f"at least {self.bound}" if self.bound > 0 else "not proven the cheapest"
        return f"{noun}, {least}{short}"

    def reason(self, part: str) -> str:
        """Why a part does not fit, and what is sold that would do; `shown` gives it in other units."""
        row = next(r for r in self.job.rows if r.part == part)
        said = self.solution.reasons.get(part, "no stock that is offered holds it")
        length, width = row.rough.length, row.rough.width
        if isinstance(self.job.problem, SheetProblem) and (matched := self.job.problem.matched_size(part)):
            length, width = map(mm, matched)
        able = [
            s
            for s in list_stock()
            if same_stock(s, self.job.stock) and _holds(s, length, width, locked=row.grain)
        ]
        offered = {o.stock.name for o in self.job.offers}
        able = [s for s in able if s.name not in offered] or able
        if not able:
            return worded(f"{marked(said)}; nothing of that kind in the table of stock is large enough")
        least = min(able, key=lambda s: (s.length_mm * s.width_mm, s.name))
        size = as_given(least.length_mm, least.width_mm)
        return worded(f"{marked(said)}; {least.name}, {size}, would do")

    @property
    def _counted(self) -> str:
        """Sheets and offcuts used, in words."""
        offcuts = sum(n for name, n in self.solution.used.items() if self.job.offer(name).offcut)
        bought = self.count - offcuts
        kind = self.job.stock.kind
        words = [f"{bought} {kind}{'s' * (bought != 1)}"] if bought or not offcuts else []
        if offcuts:
            words.append(f"{offcuts} offcut{'s' * (offcuts != 1)}")
        return " and ".join(words)

    @property
    def _one_price(self) -> bool:
        return len(self.job.offers) == 1


def _holds(stock: Stock, length: float, width: float, *, locked: bool) -> bool:
    """Whether a stock as sold holds a part between the usual trims (mm).

    Args:
        locked: its length lies along that of the stock.
    """
    shop = Shop()
    sheet = stock.kind == "sheet"
    t = shop.trim if sheet else shop.end_trim
    long, wide = stock.length_mm - t.left - t.right, stock.width_mm - (t.bottom + t.top if sheet else 0.0)
    return (length <= long and width <= wide) or (not locked and length <= wide and width <= long)


@dataclass(frozen=True)
class Plan:
    """What is cut, and how.

    Attributes:
        title: of the piece, or of the batch.
        orders: the pieces; none for a STEP file.
        rows: the cut list.
        shop: the stock it is cut from.
        jobs: each laid out.
        other_sizes: what other sizes of sheet would come to, in words.
    """

    title: str
    orders: tuple[Order, ...]
    rows: tuple[CutRow, ...]
    shop: Shop
    jobs: tuple[Done, ...]
    other_sizes: tuple[str, ...] = ()

    @property
    def all_fits(self) -> bool:
        """Whether everything is laid out, and every layout is sound."""
        return not any(d.solution.unfitted or d.faults for d in self.jobs)

    @property
    def cut_short(self) -> bool:
        """Whether time or a person ended the search of some job."""
        return any(d.solution.cut_short for d in self.jobs)

    @property
    def layouts(self) -> tuple[tuple[Done, LaidOut], ...]:
        """All layouts with their jobs."""
        return tuple((d, laid) for d in self.jobs for laid in d.layouts)


def lay_out(
    title: str,
    orders: Sequence[Order],
    rows: Sequence[CutRow],
    shop: Shop,
    effort: Effort | None = None,
    on_step: Sink = silent,
) -> Plan:
    """Lay all rows out on what the shop offers.

    Args:
        effort: how long the search may go on for all jobs together.

    Raises: InputError for rules that cannot be met at all, such as a match of labels that are not there.
    """
    check_matched(rows, shop)
    jobs = jobs_of(rows, shop)
    done: list[Done] = []
    for number, job in enumerate(jobs, 1):
        where = f"laying out {job.name} ({number} of {len(jobs)})"
        on_step(where)
        found = solve(job, _told(effort or Effort(), where, on_step))
        done.append(labelled(job, found, _faults(job, found), sum(len(d.layouts) for d in done)))
    return Plan(title, tuple(orders), tuple(rows), shop, tuple(done))


def _told(effort: Effort, where: str, on_step: Sink) -> Effort:
    return replace(effort, progress=lambda share, line: on_step(f"{where}: {share:.0%}, {line}"))


def solve(job: Job, effort: Effort) -> Solution:
    """The layouts of one job."""
    # compiled: only where it is used
    from furnigen.cutting.compiled import kept_in, on_compiling

    later = "which is kept for later" if kept_in() else "anew each time: no folder to keep it can be written"
    with on_compiling(lambda: effort.tell(0.0, f"compiling the search, {later}")):
        if isinstance(job.problem, BarProblem):
            from furnigen.cutting.bars import cut_bars

            return cut_bars(job.problem, effort)
        if isinstance(job.problem, NestProblem):
            from furnigen.cutting.nesting.solve import nest_sheets

            return nest_sheets(job.problem, effort)
        from furnigen.cutting.solve import cut_sheets

        return cut_sheets(job.problem, effort)


def _faults(job: Job, found: Solution) -> tuple[str, ...]:
    from furnigen.cutting.proof import check_bars, check_sheets

    if isinstance(found, BarSolution):
        assert isinstance(job.problem, BarProblem)
        return tuple(check_bars(job.problem, found))
    assert not isinstance(job.problem, BarProblem)
    if isinstance(job.problem, NestProblem):
        from furnigen.cutting.nesting.proof import check_nest

        return tuple(check_nest(job.problem, found))
    return tuple(check_sheets(job.problem, found))


def labelled(job: Job, found: Solution, faults: Sequence[str], before: int) -> Done:
    """A solution with the labels of its copies handed out in order.

    Args:
        before: how many layouts the plan has before this job's.
    """
    by_part = {row.part: row for row in job.rows}
    kept: dict[tuple[str, str], list[str]] = {}
    for match, part, label in job.reserved:
        kept.setdefault((match, part), []).append(label)
    taken = {label for _, _, label in job.reserved}
    free = {row.part: [x for x in row.labels if x not in taken] for row in job.rows}
    laid = []
    layouts: tuple[Layout, ...] = found.layouts
    for number, layout in enumerate(layouts, before + 1):
        things: tuple[Placed | PlacedPiece, ...] = layout.placed
        rows = tuple(by_part[_item_of(p)] for p in things)
        labels: list[list[str]] = [[] for _ in layout.placed]
        for _ in range(layout.copies):
            for k, placed in enumerate(things):
                item = _item_of(placed)
                match = placed.row if isinstance(placed, Placed) else ""
                labels[k].append((kept[match, item] if match else free[item]).pop(0))
        laid.append(LaidOut(layout, rows, tuple(map(tuple, labels)), number))
    return Done(job, found, tuple(laid), tuple(faults))


def _item_of(placed: Placed | PlacedPiece) -> str:
    return placed.item if isinstance(placed, Placed) else placed.piece
