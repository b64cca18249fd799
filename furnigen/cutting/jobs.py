"""Rows of the cut list by what they are cut from, as problems for the search.

One job holds all that is of one material and thickness; of boards and bars, of one section. Panels are laid
out on sheets, or nested for a router; boards, bars and blanks are cut to length, except boards so much wider
than their parts that two lie side by side, which are laid out like sheets.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from furnigen.catalogue.stock import Stock
from furnigen.core.errors import InputError
from furnigen.cutting.cut_rows import CutRow
from furnigen.cutting.own_stock import Offer, Shop, as_sold, same_stock
from furnigen.cutting.problem import (
    Bar,
    BarProblem,
    FirstCut,
    Item,
    MatchedRow,
    NestProblem,
    NestRules,
    Piece,
    Rules,
    Sheet,
    SheetProblem,
    Trims,
    um,
)
from furnigen.cutting.true_outline import lying_outlines

Problem = SheetProblem | BarProblem | NestProblem


@dataclass(frozen=True)
class Job:
    """What is cut from one material and thickness.

    Attributes:
        name: unique; the stock's plain name.
        stock: what it is.
        rows: what is cut.
        offers: what it may be cut from, offcuts first.
        problem: for the search.
        reserved: (row to be matched, part, label) of copies that belong to such a row.
    """

    name: str
    stock: Stock
    rows: tuple[CutRow, ...]
    offers: tuple[Offer, ...]
    problem: Problem
    reserved: tuple[tuple[str, str, str], ...] = ()

    @property
    def on_sheets(self) -> bool:
        """Whether layouts are of sheets, not of lengths."""
        return not isinstance(self.problem, BarProblem)

    def offer(self, name: str) -> Offer:
        """The offer of some name."""
        return next(o for o in self.offers if o.name == name)


def jobs_of(rows: Sequence[CutRow], shop: Shop) -> tuple[Job, ...]:
    """The jobs of a cut list, in its order."""
    groups: list[list[CutRow]] = []
    for row in rows:
        for group in groups:
            if same_stock(group[0].stock, row.stock):
                group.append(row)
                break
        else:
            groups.append([row])
    jobs: list[Job] = []
    for group in groups:
        stock = as_sold(group[0].stock)
        taken = {j.name for j in jobs}
        name = stock.name if stock.name not in taken else f"{stock.name} {stock.width_mm:g}"
        offers = _offers(group, shop)
        matched = _matched(group, shop)
        problem = _problem(group, offers, shop, stock, tuple(row for row, _ in matched))
        reserved = tuple(
            (row.name, item, label)
            for row, labels in matched
            for item, label in zip(row.items, labels, strict=True)
        )
        jobs.append(Job(name, stock, tuple(group), offers, problem, reserved))
    return tuple(jobs)


def _offers(rows: Sequence[CutRow], shop: Shop) -> tuple[Offer, ...]:
    """All that rows of one material and thickness can be cut from; of each name once."""
    found: dict[str, Offer] = {}
    for row in rows:
        for offer in shop.offers_of(row.stock):
            found.setdefault(offer.name, offer)
    return tuple(sorted(found.values(), key=lambda o: not o.offcut))


def _problem(
    rows: Sequence[CutRow],
    offers: tuple[Offer, ...],
    shop: Shop,
    stock: Stock,
    matched: tuple[MatchedRow, ...],
) -> Problem:
    priced = all(o.price is not None for o in offers if not o.offcut)
    kerf = um(shop.saw.kerf_mm)
    if stock.kind != "sheet" and not _side_by_side(rows, offers, shop):
        bars = tuple(_bar(o, priced) for o in offers)
        return BarProblem(bars, tuple(Piece(r.part, um(r.rough.length), r.quantity) for r in rows), kerf)
    sheets = tuple(_sheet(o, priced) for o in offers)
    if shop.router is not None and stock.kind == "sheet":
        rules = NestRules(um(shop.router.cutter_mm), um(shop.router.spacing_mm))
        return NestProblem(sheets, tuple(_item(r, outlines=True) for r in rows), rules)
    saw = shop.saw
    widest = None if saw.largest_strip_mm is None else um(saw.largest_strip_mm)
    stages = None if stock.kind != "sheet" else saw.stages
    sawing = Rules(kerf, stages, saw.trimming, False, FirstCut(saw.first_cut), widest)
    return SheetProblem(sheets, tuple(_item(r) for r in rows), sawing, matched)


def _side_by_side(rows: Sequence[CutRow], offers: Sequence[Offer], shop: Shop) -> bool:
    """Whether two parts lie beside each other across a board; of one with defects all its width is taken."""
    if any(o.defects for o in offers):
        return False
    narrowest = min(r.rough.width for r in rows)
    widest = max(o.width_mm for o in offers)
    return rows[0].stock.kind == "board" and 2 * narrowest + shop.saw.kerf_mm <= widest


def _bar(offer: Offer, priced: bool) -> Bar:
    return Bar(
        offer.name,
        um(offer.length_mm),
        (offer.price or 0) if priced else None,
        offer.copies,
        um(offer.trim.left),
        um(offer.trim.right),
        tuple((um(a), um(b)) for a, b in offer.defects),
        offer.offcut,
    )


def _sheet(offer: Offer, priced: bool) -> Sheet:
    t = offer.trim
    board = offer.stock.kind != "sheet"  # a board is trimmed at its ends only
    return Sheet(
        offer.name,
        um(offer.length_mm),
        um(offer.width_mm),
        (offer.price or 0) if priced else None,
        offer.copies,
        Trims(um(t.left), um(t.right), 0 if board else um(t.bottom), 0 if board else um(t.top)),
        offer.stock.grain,
        offer.offcut,
    )


def _item(row: CutRow, *, outlines: bool = False) -> Item:
    rings = lying_outlines(row) if outlines else []
    outline, *windows = [tuple((round(x), round(y)) for x, y in ring) for ring in rings] or [()]
    size = um(row.rough.length), um(row.rough.width)
    return Item(row.part, *size, row.quantity, not row.grain, outline, tuple(windows))


def _matched(rows: Sequence[CutRow], shop: Shop) -> list[tuple[MatchedRow, list[str]]]:
    """Rows of parts whose grain runs on, of those that are cut from this stock, each with its labels."""
    home = {label: row for row in rows for label in row.labels}
    found = []
    for number, (labels, along) in enumerate(shop.matched, 1):
        # in a batch each piece has its own
        stems = {label[: -len(labels[0])] for label in home if label.endswith(labels[0])}
        for stem in sorted(stems):
            full = [stem + label for label in labels]
            if not all(label in home for label in full):
                continue
            items = tuple(home[label].part for label in full)
            name = f"grain match {number}{' ' + stem if stem else ''}"
            found.append((MatchedRow(name, items, along), full))
    return found


def check_matched(rows: Sequence[CutRow], shop: Shop) -> None:
    """Refuse a row to be matched whose labels are of no part, or of parts from different stock.

    Raises: InputError naming the label.
    """
    for labels, _ in shop.matched:
        stocks = []
        for label in labels:
            row = next(
                (r for r in rows if any(x == label or x.endswith(f".{label}") for x in r.labels)), None
            )
            if row is None:
                raise InputError(
                    f"{shop.name}: [[matched]] labels",
                    label,
                    "is the label of no part",
                    "labels are in the last column of cutlist.csv",
                )
            stocks.append(row.stock)
        for stock in stocks[1:]:
            if not same_stock(stocks[0], stock):
                raise InputError(
                    f"{shop.name}: [[matched]] labels",
                    ", ".join(labels),
                    f"are of {stocks[0].name} and {stock.name}: grain runs on within one sheet only",
                )
