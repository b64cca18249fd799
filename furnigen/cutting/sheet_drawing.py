"""A sheet as it is cut, drawn to fit: pieces with number, name and size, offcuts, trims, the grain."""

from __future__ import annotations

from dataclasses import dataclass

from furnigen.cutting.joint_words import size_text
from furnigen.cutting.layout import Cut, Placed, Rect, SheetLayout
from furnigen.cutting.own_stock import Offer
from furnigen.cutting.plan import LaidOut
from furnigen.cutting.problem import mm
from furnigen.cutting.short_labels import short_labels
from furnigen.cutting.true_outline import placed_outline, room_for_words, windows_on_sheet
from furnigen.paper.lettering import width_of
from furnigen.paper.page import FINE, NARROW, WIDE, Item, Pen, Point, Polyline, Text, box, filled_box, line

HEIGHTS = (3.5, 3.0, 2.5, 2.1, 1.8)
"""Heights of capitals tried, the largest first; 1.8 mm is the least of ISO 3098."""
OFFCUT_INK, CUT_INK = "#5a5a5a", "#a03000"
HATCH_MM = 3.0


@dataclass(frozen=True)
class _View:
    """How the sheet lies on the page: scale, and where its corner is (mm on paper)."""

    scale: float
    x: float
    y: float

    def point(self, x_um: float, y_um: float) -> Point:
        return self.x + x_um / 1000 * self.scale, self.y + y_um / 1000 * self.scale

    def rect(self, r: Rect) -> tuple[float, float, float, float]:
        x, y = self.point(r.x_um, r.y_um)
        return x, y, mm(r.along_x_um) * self.scale, mm(r.along_y_um) * self.scale


def crowded(laid: LaidOut, offer: Offer, room: float) -> bool:
    """Whether pieces are too small for their number on a drawing so wide (mm): it needs the whole page."""
    layout = laid.layout
    assert isinstance(layout, SheetLayout)
    scale = room / offer.length_mm
    return any(
        min(mm(p.along_x_um), mm(p.along_y_um)) * scale < HEIGHTS[-1] * 1.25 + 0.5 for p in layout.placed
    )


def sheet_items(
    laid: LaidOut, offer: Offer, numbers: dict[str, int], space: tuple[float, float, float, float], units: str
) -> tuple[list[Item], float]:
    """The drawing of one layout, its upper left corner in that of a space.

    Args:
        numbers: of each part, as the list beside it has them.
        space: left, bottom, right, top (mm on paper).

    Returns: the items, and the scale (paper over real size).
    """
    layout = laid.layout
    assert isinstance(layout, SheetLayout)
    left, low, right, top = space
    margin = 6.0  # for numbers of cuts, and the sizes of the sheet
    scale = min((right - left - margin) / offer.length_mm, (top - low - margin) / offer.width_mm)
    view = _View(scale, left + margin, top - offer.width_mm * scale)
    items = _sheet(offer, view, units)
    for offcut in layout.offcuts:
        items += _offcut(offcut, view, units)
    outside: list[tuple[float, float, str]] = []
    for placed, row, labels in zip(layout.placed, laid.rows, laid.labels, strict=True):
        number = str(numbers[row.part])
        # of parts whose grain runs on each has its own place
        name = short_labels(row, labels) if placed.row else row.part
        for ring in (placed_outline(placed, row), *windows_on_sheet(placed, row)):
            items.append(Polyline(tuple(view.point(x, y) for x, y in ring), True, NARROW))
        room = view.rect(room_for_words(placed, row))
        items += _piece_words(placed, name, number, room, units, outside)
    items += _called_out(outside, right, view.y + 1.0)
    items += _cut_numbers(layout, view)
    items += _later_cut_numbers(layout, view, items)
    return items, scale


def _sheet(offer: Offer, view: _View, units: str) -> list[Item]:
    s, t = view.scale, offer.trim
    wide, tall = offer.length_mm * s, offer.width_mm * s
    sheet = offer.stock.kind == "sheet"
    low, high = (t.bottom, t.top) if sheet else (0.0, 0.0)
    clear = (
        view.x + t.left * s,
        view.y + low * s,
        (offer.length_mm - t.left - t.right) * s,
        (offer.width_mm - low - high) * s,
    )
    size = f"{size_text(offer.length_mm, units)} x {size_text(offer.width_mm, units)}"
    items: list[Item] = [
        filled_box(view.x, view.y, wide, tall, "#f2f2f2"),
        filled_box(*clear, "#ffffff"),
        box(*clear, Pen(0.18, "dashed")),
        box(view.x, view.y, wide, tall, WIDE),
        Text((view.x + wide, view.y - 4.0), size, 2.1, "right", "top"),
    ]
    if offer.stock.grain:
        y = view.y - 5.0
        items += [
            line((view.x, y), (view.x + 14, y)),
            line((view.x + 12.5, y + 0.7), (view.x + 14, y)),
            line((view.x + 12.5, y - 0.7), (view.x + 14, y)),
            Text((view.x + 16, y), "grain", 2.1, rise="middle"),
        ]
    return items


def _offcut(offcut: Rect, view: _View, units: str) -> list[Item]:
    x, y, a, b = view.rect(offcut)
    pen = Pen(0.13, colour="#9a9a9a")
    items: list[Item] = []
    step = HATCH_MM
    # slanted lines x - y = c within the rectangle
    c = x - (y + b) + step
    while c < x + a - y:
        start = (max(x, y + c), max(y, x - c))
        end = (min(x + a, y + b + c), min(y + b, x + a - c))
        if end[0] - start[0] > 0.2:
            items.append(line(start, end, pen))
        c += step
    said = f"offcut {size_text(mm(offcut.along_x_um), units)} x {size_text(mm(offcut.along_y_um), units)}"
    for height in HEIGHTS[2:]:
        long = width_of(said, height)
        for turn, room, rise in ((0.0, a, b), (90.0, b, a)):
            if long + 2 <= room and height + 1.4 <= rise:
                cx, cy = x + a / 2, y + b / 2
                half = (long / 2 + 0.8, height / 2 + 0.6)
                w, h = half if turn == 0 else half[::-1]
                items.append(filled_box(cx - w, cy - h, 2 * w, 2 * h, "#ffffff"))
                items.append(Text((cx, cy), said, height, "middle", "middle", turn, OFFCUT_INK))
                return items
    return items


def _piece_words(
    placed: Placed,
    name: str,
    number: str,
    room: tuple[float, float, float, float],
    units: str,
    outside: list[tuple[float, float, str]],
) -> list[Item]:
    """Number, name and size within a piece, what of it fits; its number beside the sheet where none does."""
    x, y, a, b = room
    size = f"{size_text(mm(placed.length_um), units)} x {size_text(mm(placed.width_um), units)}"
    for lines, heights in (
        ((f"{number}  {name}", size), HEIGHTS[1:]),
        ((f"{number}  {name}  {size}",), HEIGHTS[1:]),
        ((f"{number}  {size}",), HEIGHTS[1:]),
        ((number, size), HEIGHTS[2:]),
        ((number,), HEIGHTS),
    ):
        for height in heights:
            long = max(width_of(said, height) for said in lines) + 1.6
            tall = height * (1.6 * (len(lines) - 1) + 1.25) + 0.2
            # along the longer side first
            ways = ((0.0, a, b), (90.0, b, a)) if a >= b else ((90.0, b, a), (0.0, a, b))
            for turn, along, rise in ways:
                if long <= along and tall <= rise:
                    return _stacked(lines, (x + a / 2, y + b / 2), height, turn)
    outside.append((x + a / 2, y + b / 2, number))
    return []


def _stacked(lines: tuple[str, ...], middle: Point, height: float, turn: float) -> list[Item]:
    items: list[Item] = []
    for k, said in enumerate(lines):
        off = ((len(lines) - 1) / 2 - k) * height * 1.6
        at = (middle[0], middle[1] + off) if turn == 0 else (middle[0] - off, middle[1])
        items.append(Text(at, said, height, "middle", "middle", turn))
    return items


MOST_LEADERS = 12
LEADER_STEP = 2.6
"""From one number to the next (mm)."""


def _called_out(outside: list[tuple[float, float, str]], right: float, low: float) -> list[Item]:
    """Numbers of pieces too small to hold one, in a column beside the sheet, with a leader each.

    The column stays above `low`: the size of the sheet stands below it. Of very many, one of each number gets
    a leader: they lie side by side.
    """
    if len(outside) > MOST_LEADERS:
        outside = list({number: (x, y, number) for x, y, number in outside}.values())
    items: list[Item] = []
    rows = sorted(outside, key=lambda o: -o[1])
    last = float("inf")
    for k, (x, y, number) in enumerate(rows):
        at = max(min(y, last - LEADER_STEP), low + LEADER_STEP * (len(rows) - 1 - k))
        last = at
        items.append(line((x, y), (right - 3.5, at), FINE))
        items.append(Text((right - 3, at), number, 1.8, rise="middle"))
    return items


def _cut_numbers(layout: SheetLayout, view: _View) -> list[Item]:
    """Numbers of the cuts of the first stage, at the edge of the sheet where they begin."""
    items: list[Item] = []
    last: dict[bool, float] = {}
    for cut in layout.cuts:
        if cut.stage != 1:
            continue
        x, y = view.point(*cut.from_um)
        along = y if cut.rip else x
        if abs(along - last.get(cut.rip, -1e9)) < 2.4:
            continue
        last[cut.rip] = along
        if cut.rip:
            items.append(Text((view.x - 1.2, y), str(cut.number), 1.8, "right", "middle", 0.0, CUT_INK))
        else:
            top = view.y + 1.0
            items.append(Text((x, top - 1.6), str(cut.number), 1.8, "middle", "top", 0.0, CUT_INK))
    return items


_Box = tuple[float, float, float, float]
"""Left, bottom, right, top (mm)."""


def _later_cut_numbers(layout: SheetLayout, view: _View, items: list[Item]) -> list[Item]:
    """Numbers of the cuts after the first stage, beside the line of each where there is room."""
    taken = [_box_of(t) for t in items if isinstance(t, Text)]
    pieces = [
        (*view.point(p.x_um, p.y_um), *view.point(p.x_um + p.along_x_um, p.y_um + p.along_y_um))
        for p in layout.placed
    ]
    found: list[Item] = []
    for cut in layout.cuts:
        if cut.stage < 2:
            continue
        for at in _beside(cut, view, width_of(str(cut.number), HEIGHTS[-1])):
            said = Text(at, str(cut.number), HEIGHTS[-1], "middle", "middle", 0.0, CUT_INK)
            box = _box_of(said)
            if not any(_meet(box, t) for t in taken) and not any(_across(box, p) for p in pieces):
                taken.append(box)
                found.append(said)
                break
    return found


def _beside(cut: Cut, view: _View, wide: float) -> list[Point]:
    """Where the number of a cut may stand: on either side of its line, from where it begins."""
    (x0, y0), (x1, y1) = view.point(*cut.from_um), view.point(*cut.to_um)
    off = (HEIGHTS[-1] if cut.rip else wide) / 2 + 0.7
    along = wide / 2 + 0.9 if cut.rip else HEIGHTS[-1] / 2 + 0.9
    found = []
    for share in (0.0, 0.25, 0.75, 1.0):
        for side in (1, -1):
            inward = along * (1 - 2 * share)
            if cut.rip:
                found.append((x0 + (x1 - x0) * share + inward, y0 + side * off))
            else:
                found.append((x0 + side * off, y0 + (y1 - y0) * share + inward))
    return found


def _box_of(text: Text) -> _Box:
    xs, ys = zip(*text.corners, strict=True)
    return min(xs), min(ys), max(xs), max(ys)


def _meet(a: _Box, b: _Box) -> bool:
    gap = 0.3
    return a[0] < b[2] + gap and b[0] < a[2] + gap and a[1] < b[3] + gap and b[1] < a[3] + gap


def _across(box: _Box, piece: _Box) -> bool:
    """Whether a box lies across the edge of a piece: neither within it nor beside it."""
    within = piece[0] <= box[0] and box[2] <= piece[2] and piece[1] <= box[1] and box[3] <= piece[3]
    beside = box[0] >= piece[2] or piece[0] >= box[2] or box[1] >= piece[3] or piece[1] >= box[3]
    return not within and not beside


_Cells = tuple[str, str, str]
"""What to do, the stop, what comes off."""
LONGEST_ROUND = 4
"""Cuts that repeat in rounds of up to so many are told once with their number."""


def cut_words(layout: SheetLayout, units: str) -> list[tuple[str, str, str, str]]:
    """The cuts for a person: numbers, what to do, the stop, what comes off; what repeats is told once."""
    cells = [_cells(cut, units) for cut in layout.cuts]
    told: list[tuple[str, str, str, str]] = []
    at = 0
    while at < len(cells):
        period, rounds = _repeated(cells, at)
        first, last = at + 1, at + period * rounds
        numbers = str(first) if first == last else f"{first} - {last}"
        if period == 1:
            what, stop, comes = cells[at]
            told.append((numbers, what, stop, comes if rounds == 1 else f"{rounds} x {comes}"))
        else:
            told.append((numbers, f"{rounds} times", "", "in turn:"))
            told += [("", *cell) for cell in cells[at : at + period]]
        at += period * rounds
    return told


def _cells(cut: Cut, units: str) -> _Cells:
    what = "trim" if cut.stage == 0 else ("rip" if cut.rip else "crosscut")
    off = f"{size_text(mm(cut.off.along_x_um), units)} x {size_text(mm(cut.off.along_y_um), units)}"
    edge = ("top" if cut.far else "bottom") if cut.rip else ("right" if cut.far else "left")
    comes = f"{edge} edge" if cut.stage == 0 else cut.item or f"{'strip' if cut.rip else 'panel'} {off}"
    return what, size_text(mm(cut.stop_um), units), comes


def _repeated(cells: list[_Cells], at: int) -> tuple[int, int]:
    """Length of the round that repeats from here, and how often: the one that tells most at once."""
    best = (1, 1)
    for period in range(1, LONGEST_ROUND + 1):
        one = cells[at : at + period]
        rounds = 1
        while cells[at + period * rounds : at + period * (rounds + 1)] == one:
            rounds += 1
        # a round of several takes a line of its own
        spared = period * (rounds - 1) - (period > 1)
        if rounds > 1 and spared > best[0] * (best[1] - 1) - (best[0] > 1):
            best = (period, rounds)
    return best
