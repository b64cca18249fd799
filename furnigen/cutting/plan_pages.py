"""Pages to take to the saw: what is bought, what it costs, each sheet once with list and cuts, bars."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from furnigen.core.wording import shown
from furnigen.cutting.bar_drawing import bar_items, bar_row_height
from furnigen.cutting.cautions import cautions
from furnigen.cutting.costing import Costs, money
from furnigen.cutting.flat_pack import FlatPack
from furnigen.cutting.joint_words import size_text
from furnigen.cutting.layout import SheetLayout
from furnigen.cutting.plan import Done, LaidOut, Plan
from furnigen.cutting.problem import UM_PER_MM, mm
from furnigen.cutting.router_order import Pass, router_passes
from furnigen.cutting.sheet_drawing import crowded, cut_words, sheet_items
from furnigen.cutting.short_labels import short_labels
from furnigen.paper.frame import Column, Frame, Row, Space, table, table_height
from furnigen.paper.page import PAPER_MM, Item, Page, Polyline, Text

LEAST_SLOT_MM = 25.0
"""A list is begun where at least this much of a column is left."""
LIST_SHARE = 0.36
"""Of the width of a page, what the list beside a sheet takes."""
GAP = 5.0
BAR_HEAD_MM = 6.0
SCALE_WORDS = "scale about"
"""Begin the text that gives the scale on paper."""


@dataclass(frozen=True)
class Draft:
    """A page before it knows how many there are.

    Attributes:
        router: whether it is taken to a router.
        labels: of the parts whose layout it shows.
    """

    heading: str
    items: tuple[Item, ...]
    router: bool = False
    labels: tuple[str, ...] = ()


def frame_for(title: str, units: str) -> Frame:
    """The paper: A4 lying, or letter where lengths are in inches."""
    short, long = PAPER_MM["letter" if units == "in" else "A4"]
    return Frame(long, short, title)


def numbered(frame: Frame, drafts: Sequence[Draft]) -> list[Page]:
    """Pages with their numbers, and the cautions for the machine each is taken to."""
    return [
        frame.page(d.items, d.heading, n, len(drafts), cautions(d.router)) for n, d in enumerate(drafts, 1)
    ]


def sheet_pages(plan: Plan, costs: Costs, packed: FlatPack | None, units: str) -> list[Page]:
    """All pages of `sheets.pdf`."""
    frame = frame_for(plan.title, units)
    return numbered(frame, sheet_drafts(plan, costs, packed, units, frame))


def sheet_drafts(plan: Plan, costs: Costs, packed: FlatPack | None, units: str, frame: Frame) -> list[Draft]:
    """All pages of `sheets.pdf` before they are framed: what to buy, then layouts, which have labels."""
    drafts = _summary(plan, costs, packed, units, frame)
    for done in plan.jobs:
        if done.job.on_sheets:
            for laid in done.layouts:
                drafts += _sheet_drafts(done, laid, plan, units, frame)
    drafts += _bar_drafts([d for d in plan.jobs if d.layouts and not d.job.on_sheets], units, frame)
    return drafts


def buying_rows(plan: Plan, costs: Costs, units: str) -> list[Row]:
    """What to buy and what it costs: what, how many, size, a note, the cost; a heading for each material.

    The last row is the total.
    """
    currency = plan.shop.currency
    rows: list[Row] = []
    for done in plan.jobs:
        rows.append(Row((done.job.name, "", "", done.verdict, ""), bold=True))
        for name, count in done.solution.used.items():
            offer = done.job.offer(name)
            size = f"{size_text(offer.length_mm, units)} x {size_text(offer.width_mm, units)}"
            price = money(None if offer.price is None else offer.price * count, currency)
            rows.append(Row((f"  {name}", str(count), size, "offcut" if offer.offcut else "", price)))
        for part, many in done.solution.unfitted.items():
            why = shown(done.reason(part), units)
            rows.append(Row((f"  {part}", str(many), "", f"does not fit: {why}", "")))
        for fault in done.faults:
            rows.append(Row(("", "", "", f"the layout is not sound: {fault}", "")))
    for c in costs.lines:
        if c.kind != "material":
            amount = f"{c.amount:g}" if c.unit == "pieces" else f"{c.amount:.2f} {c.unit}"
            rows.append(Row((f"{c.kind}: {c.what}", amount, "", "", money(c.cost, currency))))
    known = f"{money(costs.known, currency)}" + (" without what has no price" if costs.unpriced else "")
    rows.append(
        Row(("total", "", "", "", known if costs.known or not costs.unpriced else "no price"), bold=True)
    )
    return rows


def _summary(plan: Plan, costs: Costs, packed: FlatPack | None, units: str, frame: Frame) -> list[Draft]:
    """What to buy, what is proven, what it costs, what does not fit."""
    left, low, right, top = frame.inner
    wide = right - left
    rows = buying_rows(plan, costs, units)
    rows += [
        Row((f"each {name} of {copies}", "", "", "", money(each, plan.shop.currency)))
        for name, copies, each in costs.by_piece
        if copies > 1 or len(costs.by_piece) > 1
    ]
    columns = (
        Column("what", wide * 0.36),
        Column("how many", wide * 0.10, "right"),
        Column("size", wide * 0.18, "right"),
        Column("", wide * 0.22),
        Column("cost", wide * 0.14, "right"),
    )
    pages = table(columns, rows, lambda _: Space(left, low, top), 2.2)
    notes = [Row((said,)) for said in plan_notes(plan, costs, packed, units)]
    begin = lowest_line(pages[-1]) - GAP
    if begin - low < LEAST_SLOT_MM:
        begin = top
        pages.append([])
    column = (Column("notes", wide),)
    more = table(column, notes, lambda n: Space(left, low, top if n else begin), 2.2)
    pages[-1] += more[0]
    return [Draft("what to buy, and what it comes to", tuple(items)) for items in (*pages, *more[1:])]


def plan_notes(plan: Plan, costs: Costs, packed: FlatPack | None, units: str) -> list[str]:
    """What else is to be known of a plan, a sentence each."""
    notes = [f"{name}: {share:.0%} of what is bought becomes parts" for name, share in costs.material_share]
    notes += costs.saved
    notes.append(f"mass of all parts: {costs.mass_kg:.1f} kg")
    if packed is not None:
        box = " x ".join(size_text(v, units) for v in (packed.length_mm, packed.width_mm, packed.height_mm))
        notes.append(f"packed flat: {box} inside, {packed.layers} layers")
    if costs.unpriced:
        notes.append(f"without a price: {', '.join(costs.unpriced)}")
    if plan.cut_short:
        notes.append("the search was cut short: a longer one may find better layouts")
    if plan.shop.invented:
        notes.append(f"{plan.shop.name} is a sample: its stock and its prices are invented")
    return notes


def _sheet_drafts(done: Done, laid: LaidOut, plan: Plan, units: str, frame: Frame) -> list[Draft]:
    """One layout: its drawing with the list beside it; lists that are longer go on to further pages."""
    layout = laid.layout
    assert isinstance(layout, SheetLayout)
    left, low, right, top = frame.inner
    numbers: dict[str, int] = {}
    for row in laid.rows:
        numbers.setdefault(row.part, len(numbers) + 1)
    list_wide = (right - left) * LIST_SHARE
    split = right - list_wide
    offer = done.job.offer(layout.sheet)
    whole = crowded(laid, offer, split - GAP - left)
    if whole:
        split = right + GAP
    items, scale = sheet_items(laid, offer, numbers, (left, low + 6, split - GAP, top), units)
    items.append(Text((left, low + 1.5), f"{SCALE_WORDS} 1:{1 / scale:.0f}", 1.8))
    copies = f"{layout.copies} times" if layout.copies > 1 else "once"
    heading = f"sheet {laid.number}: {layout.sheet}, to be cut {copies}"
    parts = _parts_list(laid, numbers, units, list_wide)
    cuts = (
        _cuts_list(layout, units, list_wide)
        if layout.cuts
        else _passes_list(router_passes(done, laid), laid, units, list_wide)
    )
    drafts: list[list[Item]] = [items]
    foot = top - offer.width_mm * scale - 14
    slots = _Slots(frame, list_wide, (left, low + 5, split - GAP, foot), drafts, beside=not whole)
    for columns, rows in (parts, cuts):
        if rows:
            slots.fill(columns, rows)
    router = plan.shop.router is not None and done.job.stock.kind == "sheet"
    labels = tuple(dict.fromkeys(label for copies in laid.labels for label in copies))
    return [
        Draft(heading + (", continued" if k else ""), tuple(page), router, labels)
        for k, page in enumerate(drafts)
    ]


class _Slots:
    """Columns for lists, one after the other: beside the drawing, below it, then on further pages.

    Args:
        wide: of a column (mm).
        below: what is free below the drawing: left, bottom, right, top (mm).
        drafts: the pages, to which more are added.
        beside: whether there is a column beside the drawing.
    """

    def __init__(
        self,
        frame: Frame,
        wide: float,
        below: tuple[float, float, float, float],
        drafts: list[list[Item]],
        *,
        beside: bool = True,
    ) -> None:
        self._wide, self._drafts = wide, drafts
        left, low, right, top = self._inner = frame.inner
        self._free = [(0, Space(right - wide, low, top))] if beside else []
        if below[3] - below[1] >= LEAST_SLOT_MM:
            across = int((below[2] - below[0] + GAP * 2) // (wide + GAP * 2))
            step = wide + GAP * 2
            self._free += [(0, Space(below[0] + k * step, below[1], below[3])) for k in range(across)]
        self._page, self._space = 0, Space(left, low, low)
        self._next()

    def _next(self) -> None:
        if not self._free:
            left, low, _, top = self._inner
            self._drafts.append([])
            page = len(self._drafts) - 1
            self._free = [(page, Space(left + k * (self._wide + GAP * 2), low, top)) for k in (0, 1)]
        self._page, self._space = self._free.pop(0)

    def fill(self, columns: Sequence[Column], rows: Sequence[Row]) -> None:
        """Set a table into the columns from here on."""
        if self._space.top - self._space.bottom < min(table_height(columns, rows), LEAST_SLOT_MM):
            self._next()
        given: list[int] = []

        def space(number: int) -> Space:
            if number:
                self._next()
            given.append(self._page)
            return self._space

        pages = table(columns, rows, space, 2.0)
        for page, items in zip(given, pages, strict=True):
            self._drafts[page] += items
        self._space = Space(self._space.left, self._space.bottom, lowest_line(pages[-1]) - GAP)


def lowest_line(items: Sequence[Item]) -> float:
    """Height of the lowest line of a table (mm)."""
    return min(y for i in items if isinstance(i, Polyline) for _, y in i.points)


def _parts_list(
    laid: LaidOut, numbers: dict[str, int], units: str, wide: float
) -> tuple[tuple[Column, ...], list[Row]]:
    """What lies on a sheet: number, name, size, how many, labels."""
    layout = laid.layout
    assert isinstance(layout, SheetLayout)
    found: dict[str, list[tuple[str, ...]]] = {}
    sizes: dict[str, str] = {}
    rows_by = {row.part: row for row in laid.rows}
    for placed, row, labels in zip(layout.placed, laid.rows, laid.labels, strict=True):
        found.setdefault(row.part, []).append(labels)
        sizes[row.part] = (
            f"{size_text(mm(placed.length_um), units)} x {size_text(mm(placed.width_um), units)}"
        )
    rows = [
        Row(
            (
                str(numbers[part]),
                part,
                sizes[part],
                str(len(labels)),
                short_labels(rows_by[part], [x for one in labels for x in one]),
            )
        )
        for part, labels in found.items()
    ]
    columns = (
        Column("no", wide * 0.08, "right"),
        Column("part", wide * 0.25),
        Column("size", wide * 0.33, "right"),
        Column("qty", wide * 0.08, "right"),
        Column("labels", wide * 0.26),
    )
    return columns, rows


def _cuts_list(layout: SheetLayout, units: str, wide: float) -> tuple[tuple[Column, ...], list[Row]]:
    """The cuts in order."""
    columns = (
        Column("cut", wide * 0.14, "right"),
        Column("how", wide * 0.17),
        Column("stop", wide * 0.23, "right"),
        Column("comes off", wide * 0.46),
    )
    return columns, [Row(cells) for cells in cut_words(layout, units)]


def _passes_list(
    passes: Sequence[Pass], laid: LaidOut, units: str, wide: float
) -> tuple[tuple[Column, ...], list[Row]]:
    """The passes of a router in order; those alike that follow each other in one line."""
    columns = (
        Column("pass", wide * 0.16, "right"),
        Column("part", wide * 0.34),
        Column("what", wide * 0.17),
        Column("goes in at x, y", wide * 0.33, "right"),
    )
    rows = []
    for (part, window), alike in groupby(passes, lambda p: (laid.rows[p.placed].part, p.window)):
        run = list(alike)
        first, last = run[0].number, run[-1].number
        numbers = str(first) if first == last else f"{first} - {last}"
        at = ", ".join(size_text(v / UM_PER_MM, units) for v in run[0].corners[0])
        rows.append(Row((numbers, part, "window" if window else "outline", at)))
    return columns, rows


def _bar_drafts(jobs: Sequence[Done], units: str, frame: Frame) -> list[Draft]:
    """Boards and bars of all sections below each other, at one scale."""
    left, low, right, top = frame.inner
    drafts: list[list[Item]] = [[]] if jobs else []
    shown: list[list[str]] = [[]] if jobs else []
    y = top
    longest = max((d.job.offer(laid.name).length_mm for d in jobs for laid in d.layouts), default=0.0)
    for done in jobs:
        head = f"{done.job.name}: {done.verdict}"
        for k, laid in enumerate(done.layouts):
            tall = bar_row_height(laid, right - left, units) + (BAR_HEAD_MM if k == 0 else 0.0)
            if y - tall < low and drafts[-1]:
                drafts.append([])
                shown.append([])
                y = top
            shown[-1] += [label for copies in laid.labels for label in copies]
            if k == 0:
                drafts[-1].append(Text((left, y), head, 2.8, rise="top"))
                y -= BAR_HEAD_MM
                tall -= BAR_HEAD_MM
            drafts[-1] += bar_items(laid, done.job.offer(laid.name), (left, right), y, longest, units)
            y -= tall
    return [
        Draft("boards and bars, cut to length", tuple(items), labels=tuple(dict.fromkeys(labels)))
        for items, labels in zip(drafts, shown, strict=True)
    ]
