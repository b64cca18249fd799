"""The cut list as pages to take to the saw, and labels, one for each copy."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from furnigen.cutting.cut_rows import CutRow
from furnigen.cutting.cut_table import band_words, size_cell
from furnigen.cutting.joint_words import size_text
from furnigen.cutting.own_stock import as_sold
from furnigen.cutting.plan import Plan
from furnigen.cutting.plan_pages import Draft, frame_for, numbered
from furnigen.cutting.short_labels import short_labels
from furnigen.paper.frame import Column, Row, Space, table
from furnigen.paper.lettering import width_of, wrapped
from furnigen.paper.page import FINE, NARROW, PAPER_MM, Item, Page, Pen, Text, box, line

HEADING = "cut list: finished sizes with tenons, tongues and bands; rough sizes as cut out"


def list_pages(title: str, rows: Sequence[CutRow], units: str, *, router: bool = False) -> list[Page]:
    """The cut list, grouped as one works: by stock, then thickness, then length."""
    frame = frame_for(title, units)
    left, low, right, top = frame.inner
    wide = right - left
    drawn = any(row.sheet for row in rows)
    sheet = 0.045 if drawn else 0.0
    columns = (
        Column("qty", wide * 0.035, "right"),
        Column("part", wide * 0.12),
        *([Column("sheet", wide * sheet)] if drawn else []),
        Column("length", wide * 0.08, "right"),
        Column("width", wide * 0.075, "right"),
        Column("thick", wide * 0.065, "right"),
        Column("rough", wide * 0.17, "right"),
        Column("bands", wide * 0.08),
        Column("joints, settings, notes", wide * (0.255 - sheet)),
        Column("labels", wide * 0.12),
    )
    found: list[Row] = []
    stock = ""
    for row in rows:
        sold = as_sold(row.stock)
        name = f"{sold.name}: {sold.title}, {size_text(row.stock.thickness_mm, units)} thick"
        if name != stock:
            stock = name
            found.append(Row((name, *[""] * (len(columns) - 1)), bold=True, spans=True, leads=True))
        found.append(_row(row, units, drawn))
    metres: dict[str, float] = {}
    for row in rows:
        for b in row.bands:
            metres[b.band.name] = metres.get(b.band.name, 0.0) + b.length_mm * row.quantity / 1000
    empty = [""] * (len(columns) - 1)
    if metres:
        found.append(Row(("bands", *empty), bold=True, spans=True, leads=True))
    found += [Row((f"{name}: {long:.2f} m", *empty), spans=True) for name, long in metres.items()]
    pages = table(columns, found, lambda _: Space(left, low, top), 2.0)
    unit = "feet and inches" if units == "in" else "millimetres"
    heading = f"{HEADING}; lengths along the grain, in {unit}"
    return numbered(frame, [Draft(heading, tuple(p), router) for p in pages])


def _row(row: CutRow, units: str, drawn: bool) -> Row:
    f, r = row.finished, row.rough
    rough = "" if f == r else " x ".join(size_cell(v, units) for v in (r.length, r.width, r.thickness))
    said = [*row.joints, *row.settings, *([row.note] if row.note else [])]
    return Row(
        (
            str(row.quantity),
            row.part,
            *([row.sheet] if drawn else []),
            size_cell(f.length, units),
            size_cell(f.width, units),
            size_cell(f.thickness, units),
            rough,
            band_words(row),
            "; ".join(said),
            short_labels(row, row.labels, 24),
        )
    )


@dataclass(frozen=True)
class LabelSheet:
    """How labels stand on a sheet of paper (mm)."""

    width: float
    height: float
    across: int
    down: int
    wide: float
    tall: float
    left: float
    top: float


A4_LABELS = LabelSheet(*PAPER_MM["A4"], 3, 8, 70.0, 37.0, 0.0, 0.5)
"""24 labels of 70 x 37 mm. Common practice, no source."""
LETTER_LABELS = LabelSheet(*PAPER_MM["letter"], 3, 10, 66.7, 25.4, 4.8, 12.7)
"""30 labels of 2 5/8 x 1 in. Common practice, no source."""


def label_pages(plan: Plan, units: str) -> list[Page]:
    """A label for each copy, in the order they come off."""
    sheet = LETTER_LABELS if units == "in" else A4_LABELS
    where = _where_cut(plan)
    copies = [(row, label) for row in plan.rows for label in row.labels]
    copies.sort(key=lambda c: where.get(c[1], (10**9, "")))
    each = sheet.across * sheet.down
    pages = []
    for first in range(0, len(copies), each):
        items: list[Item] = []
        for k, (row, label) in enumerate(copies[first : first + each]):
            x = sheet.left + k % sheet.across * sheet.wide
            y = sheet.height - sheet.top - (k // sheet.across + 1) * sheet.tall
            items += _label(row, label, where.get(label, (0, ""))[1], plan.title, (x, y), sheet, units)
        number = first // each + 1
        pages.append(Page(sheet.width, sheet.height, tuple(items), f"{plan.title}: labels {number}"))
    return pages


def _where_cut(plan: Plan) -> dict[str, tuple[int, str]]:
    """By label: the number of its layout, and where it is cut in words."""
    found = {}
    for done, laid in plan.layouts:
        noun = "sheet" if done.job.stock.kind == "sheet" else done.job.stock.kind
        for labels in laid.labels:
            for copy, label in enumerate(labels, 1):
                of = f", copy {copy} of {laid.layout.copies}" if laid.layout.copies > 1 else ""
                found[label] = (laid.number, f"{noun} {laid.number}{of}")
    return found


def _label(
    row: CutRow, label: str, where: str, title: str, at: tuple[float, float], sheet: LabelSheet, units: str
) -> list[Item]:
    x, y = at
    pad = 4.0 if sheet.tall > 30 else 2.5
    left, right, top = x + pad, x + sheet.wide - pad, y + sheet.tall - pad
    room = right - left
    big = next((h for h in (5.0, 4.2, 3.5, 3.0) if width_of(label, h) <= room), 2.5)
    f = row.finished
    size = " x ".join(size_text(v, units) for v in (f.length, f.width, f.thickness))
    items: list[Item] = []
    y0 = top
    for part in wrapped(label, room, big)[:2]:
        items.append(Text((left, y0), part, big, rise="top"))
        y0 -= big + 1.6
    diagram = 14.0 if sheet.tall > 30 else 10.0
    lines = [(f"{row.part}{', ' + row.hand if row.hand and row.hand not in row.part else ''}", 2.5)]
    lines += [(size, 2.8), (as_sold(row.stock).name, 2.1), (f"{title}; {where}" if where else title, 1.8)]
    for said, height in lines:
        beside = room - diagram - 2 if y0 - height < y + pad + diagram * 0.75 else room
        # a size is never cut short: it is lettered smaller, at worst on two lines
        fits = next((h for h in (height, 2.5, 2.1, 1.8) if h <= height and width_of(said, h) <= beside), 1.8)
        for part in wrapped(said, beside, fits)[:2]:
            items.append(Text((left, y0), part, fits, rise="top"))
            y0 -= fits + 1.2
        y0 -= 0.6
    return items + _edges(row, right - diagram, y + pad, diagram)


def _edges(row: CutRow, x: float, y: float, wide: float) -> list[Item]:
    """A small picture of the part: its grain, and a thick line along each banded edge."""
    if row.form.endswith("leg") or row.form == "rod":
        return []
    tall = min(wide * 0.6, max(3.0, wide * row.finished.width / max(row.finished.length, 1e-9)))
    items: list[Item] = [box(x, y, wide, tall, NARROW)]
    items.append(line((x + wide * 0.3, y + tall / 2), (x + wide * 0.7, y + tall / 2), FINE))
    thick = Pen(1.0)
    for b in row.bands:
        a, c = {
            "x-": ((x, y), (x, y + tall)),
            "x+": ((x + wide, y), (x + wide, y + tall)),
            "y-": ((x, y), (x + wide, y)),
            "y+": ((x, y + tall), (x + wide, y + tall)),
        }[b.side]
        items.append(line(a, c, thick))
    return items
