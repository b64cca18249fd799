"""A sheet: frame, title block (ISO 7200), symbol of projection (ISO 5456-2), scales (ISO 5455)."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable
from dataclasses import dataclass

from furnigen.core.errors import InputError
from furnigen.drawings.dimensions import cleared
from furnigen.paper.lettering import width_of, wrapped
from furnigen.paper.page import (
    FILING_MM,
    MARGIN_MM,
    NARROW,
    Arc,
    Item,
    Page,
    Pen,
    Polyline,
    Text,
    box,
    line,
    paper,
)
from furnigen.piece.description import Piece

SCALES = (1, 2, 5, 10, 20, 50, 100, 200)
"""Reductions of ISO 5455, the largest scale first: 1:1, 1:2 ..."""
INCH_SCALES = {
    1: "full size", 2: "half size", 4: "3\" = 1'-0\"", 8: "1 1/2\" = 1'-0\"", 12: "1\" = 1'-0\"",
    16: "3/4\" = 1'-0\"", 24: "1/2\" = 1'-0\"", 48: "1/4\" = 1'-0\"", 96: "1/8\" = 1'-0\"",
    192: "1/16\" = 1'-0\"",
}  # fmt: skip
"""Scales of drawings in feet and inches, and how they are written (trade practice in the US, from memory)."""
BLOCK_WIDTH, BLOCK_HEIGHT, ROW = 180.0, 36.0, 9.0
"""The title block (mm): at most 180 wide (ISO 7200)."""
FRAME = Pen(0.7)
PROJECTIONS = ("first", "third")
Rect = tuple[float, float, float, float]


@dataclass(frozen=True)
class Setting:
    """How sheets are drawn.

    Attributes:
        sheet: size of the paper by name.
        units: of figures, "mm" or "in".
        projection: "first" or "third" angle.
        date: of issue, as it is to stand in the title block; empty for none.

    Raises: InputError for an unknown sheet, unit or projection.
    """

    sheet: str = "A3"
    units: str = "mm"
    projection: str = "first"
    date: str = ""

    def __post_init__(self) -> None:
        paper(self.sheet)
        if self.units not in ("mm", "in"):
            raise InputError("units", self.units, "must be mm or in")
        if self.projection not in PROJECTIONS:
            raise InputError("projection", self.projection, f"must be {' or '.join(PROJECTIONS)}")

    @classmethod
    def usual(cls, units: str) -> Setting:
        """A3 and first angle for millimetres, tabloid and third angle for feet and inches."""
        return cls("tabloid", "in", "third") if units == "in" else cls()

    @property
    def inner(self) -> Rect:
        """Left, bottom, right, top within the frame (mm)."""
        w, h = paper(self.sheet)
        return FILING_MM, MARGIN_MM, w - MARGIN_MM, h - MARGIN_MM

    @property
    def block(self) -> Rect:
        """Left, bottom, right, top of the title block (mm)."""
        _, low, right, _ = self.inner
        return right - BLOCK_WIDTH, low, right, low + BLOCK_HEIGHT


@dataclass(frozen=True)
class Sheet:
    """What one sheet shows.

    Attributes:
        kind: of drawing, such as "General arrangement".
        name: what it shows; the file's name is made of it.
        scale: real over paper: 10 for 1:10; 0 where nothing is drawn to scale.
        items: within the frame.
        parts: names of the parts it is about.
    """

    kind: str
    name: str
    scale: float
    items: tuple[Item, ...]
    parts: tuple[str, ...] = ()


def content_hash(piece: Piece) -> str:
    """Twelve hexadecimal digits that change with anything in the piece that is made or placed."""
    parts = [(p.name, p.hand, p.stock.name, p.form.key(), [c.key() for c in p.cuts]) for p in piece.parts]
    placed = [(p.label, p.part, p.pose) for p in piece.placements]
    # an author's own function is written with its address, which differs from run to run
    told = re.sub(r" at 0x[0-9a-f]+", "", repr((piece.name, parts, placed)))
    return hashlib.sha256(told.encode()).hexdigest()[:12]


def scales(units: str) -> tuple[int, ...]:
    """Standard scales for drawings in some units, real over paper, the largest first."""
    return tuple(INCH_SCALES) if units == "in" else SCALES


def scale_text(scale: float, units: str = "mm") -> str:
    """A scale as it is written.

    >>> scale_text(10.0), scale_text(8.0, "in")
    ('1:10', '1 1/2" = 1\'-0"')
    """
    if not scale:
        return "none"
    return INCH_SCALES[int(scale)] if units == "in" else f"1:{scale:g}"


def page_of(piece: Piece, sheet: Sheet, setting: Setting, number: int, of: int) -> Page:
    """The sheet in its frame, with its title block."""
    width, height = paper(setting.sheet)
    left, low, right, top = setting.inner
    frame = box(left, low, right - left, top - low, FRAME, "frame")
    block = _title_block(piece, sheet, setting, number, of)
    items = (*cleared(sheet.items), frame, *block)
    return Page(width, height, items, f"{piece.title}: {sheet.kind}, {sheet.name}")


def _title_block(piece: Piece, sheet: Sheet, setting: Setting, number: int, of: int) -> list[Item]:
    left, low, right, high = setting.block
    items: list[Item] = [box(left, low, right - left, high - low, Pen(0.5), "frame")]
    unit = "mm" if setting.units == "mm" else "feet and inches"
    rows = (
        ((60.0, "Owner", ""), (40.0, "Drawn", ""), (40.0, "Approved", ""), (40.0, "Date", setting.date)),
        ((100.0, "Piece", piece.title), (80.0, "Document", sheet.kind)),
        ((100.0, "Shows", sheet.name), (80.0, "Recipe and content", f"{piece.name} {content_hash(piece)}")),
        (
            (34.0, "Scale", scale_text(sheet.scale, setting.units)), (30.0, "Units", unit),
            (20.0, "Paper", setting.sheet),
            (56.0, "Projection", f"{setting.projection} angle"), (40.0, "Sheet", f"{number} of {of}"),
        ),
    )  # fmt: skip
    y = high
    for row in rows:
        x = left
        for width, head, text in row:
            items += _cell(x, y, width, head, text)
            if head == "Projection":
                items += projection_symbol(x + 38.0, y - ROW / 2, setting.projection)
            x += width
            if x < right - 1:
                items.append(line((x, y - ROW), (x, y), NARROW, "frame"))
        y -= ROW
        if y > low + 1:
            items.append(line((left, y), (right, y), NARROW, "frame"))
    return items


def _cell(x: float, y: float, width: float, head: str, text: str) -> list[Item]:
    items: list[Item] = [Text((x + 1.2, y - 1.0), head, 1.8, rise="top", layer="text")]
    if not text:
        return items
    room = width - 2.4
    for height in (3.5, 2.5):
        if width_of(text, height) <= room:
            return [*items, Text((x + 1.2, y - ROW + 1.5), text, height, layer="text")]
    lines = wrapped(text, room, 1.8)[:2]
    return [
        *items,
        *(Text((x + 1.2, y - ROW + 1.2 + 2.6 * (len(lines) - 1 - k)), said, 1.8, layer="text")
          for k, said in enumerate(lines)),
    ]  # fmt: skip


def projection_symbol(x: float, y: float, projection: str) -> list[Item]:
    """A truncated cone and its end view, from its left end at half height (ISO 5456-2, from memory)."""
    small, large, long = 1.5, 3.0, 5.0
    cone_x, ring_x = (x, x + 9.0) if projection == "first" else (x + 7.5, x + 3.0)
    cone = (
        (cone_x, y - small), (cone_x + long, y - large), (cone_x + long, y + large), (cone_x, y + small),
    )  # fmt: skip
    pen, axis = Pen(0.35), Pen(0.13, "chain")
    return [
        Polyline(cone, True, pen, "frame"),
        Arc((ring_x, y), small, pen=pen, layer="frame"),
        Arc((ring_x, y), large, pen=pen, layer="frame"),
        line((cone_x - 0.8, y), (cone_x + long + 0.8, y), axis, "centre"),
        line((ring_x - 3.6, y), (ring_x + 3.6, y), axis, "centre"),
        line((ring_x, y - 3.6), (ring_x, y + 3.6), axis, "centre"),
    ]


def overlap(a: Rect, b: Rect) -> bool:
    """Whether two rectangles share more than an edge."""
    return a[0] < b[2] - 0.01 and b[0] < a[2] - 0.01 and a[1] < b[3] - 0.01 and b[1] < a[3] - 0.01


def within(a: Rect, outer: Rect) -> bool:
    """Whether a rectangle lies in another."""
    return all(
        (a[0] >= outer[0] - 0.01, a[1] >= outer[1] - 0.01, a[2] <= outer[2] + 0.01, a[3] <= outer[3] + 0.01)
    )


def note_items(notes: Iterable[str], left: float, top: float, width: float) -> tuple[list[Item], float]:
    """Notes as lines of text from a height downward; returns them and how far down they reach (mm)."""
    items: list[Item] = []
    y = top
    for note in notes:
        for said in wrapped(note, width, 2.5):
            items.append(Text((left, y), said, 2.5, rise="top", layer="text"))
            y -= 4.2
    return items, y
