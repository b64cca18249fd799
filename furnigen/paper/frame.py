"""A plain sheet for lists and layouts: heading, page number, footing; tables that run over several."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass

from furnigen.paper.lettering import shortened, width_of, wrapped
from furnigen.paper.page import FINE, NARROW, Align, Item, Page, Text, filled_box, line

HEAD_MM, FOOT_MM = 14.0, 9.0
"""Kept free for heading and footing, within the margins."""
LEADING = 1.7
"""From base line to base line, in heights of capitals."""
CELL_MM = 1.2
"""Kept free at the sides of a cell."""


@dataclass(frozen=True)
class Frame:
    """The paper, what stands at its head and foot, and the space between.

    Attributes:
        width, height: of the paper (mm).
        title: at the head, left, large.
        left, margin: margins (mm): the left one, and the others.
    """

    width: float
    height: float
    title: str
    left: float = 15.0
    margin: float = 10.0

    @property
    def inner(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top of the space for contents (mm)."""
        m = self.margin
        return self.left, m + FOOT_MM, self.width - m, self.height - m - HEAD_MM

    def page(self, items: Iterable[Item], heading: str, number: int, of: int, foot: str) -> Page:
        """A page with its heading, contents and footing.

        Args:
            heading: what this page shows, below the title.
            number, of: of the page.
            foot: cautions; in as many lines as it takes, of two at most.
        """
        left, low, right, top = self.left, self.margin, self.width - self.margin, self.height - self.margin
        count = f"{number} / {of}"
        room = right - left - width_of(count, 2.5) - 4
        head: list[Item] = [
            Text((left, top), shortened(self.title, room, 4.0), 4.0, rise="top"),
            Text((left, top - 6.5), shortened(heading, right - left, 2.8), 2.8, rise="top"),
            Text((right, top), count, 2.5, "right", "top"),
            line((left, top - HEAD_MM + 2.5), (right, top - HEAD_MM + 2.5), NARROW),
            line((left, low + FOOT_MM - 2), (right, low + FOOT_MM - 2), FINE),
        ]
        notes = wrapped(foot, right - left, 1.8)[:2]
        below = [
            Text((left, low + FOOT_MM - 3.2 - k * 1.8 * LEADING), said, 1.8, rise="top")
            for k, said in enumerate(notes)
        ]
        title = f"{self.title}: {heading}"
        return Page(self.width, self.height, (*head, *below, *items), title)


@dataclass(frozen=True)
class Column:
    """A column of a table; what is too long for it takes more lines, for a size cut short misleads.

    Attributes:
        head: its heading.
        width: mm.
        align: of its text; numbers stand right.
    """

    head: str
    width: float
    align: Align = "left"


@dataclass(frozen=True)
class Row:
    """A row: its cells, and whether it is a heading within the table.

    Attributes:
        spans: whether its first cell runs over the whole table; the others are empty.
    """

    cells: tuple[str, ...]
    bold: bool = False
    spans: bool = False


@dataclass(frozen=True)
class Space:
    """A space that a table may fill: left, bottom, top (mm)."""

    left: float
    bottom: float
    top: float


def _lines(columns: Sequence[Column], row: Row, height: float) -> list[list[str]]:
    if row.spans:
        room = sum(c.width for c in columns) - 2 * CELL_MM
        return [wrapped(row.cells[0], room, height), *([""] for _ in columns[1:])]
    found = []
    for column, cell in zip(columns, row.cells, strict=True):
        room = column.width - 2 * CELL_MM
        found.append(wrapped(cell, room, height))
    return found


def table(
    columns: Sequence[Column],
    rows: Sequence[Row],
    spaces: Callable[[int], Space],
    height: float = 2.0,
) -> list[list[Item]]:
    """A table over as many spaces as it needs, its heading on top of each.

    Args:
        spaces: gives the space of each number from 0.
        height: of capitals (mm).

    Returns: the items of each space used.
    """
    leading, width = height * LEADING, sum(c.width for c in columns)
    filled: list[list[Item]] = []
    space = spaces(0)
    items, y = _heading(columns, space, height, width)
    for row in rows:
        cells = _lines(columns, row, height)
        tall = max(len(c) for c in cells) * leading + 0.6 * height
        if y - tall < space.bottom and items:
            filled.append(items)
            space = spaces(len(filled))
            items, y = _heading(columns, space, height, width)
        if row.bold:
            items.append(filled_box(space.left, y - tall, width, tall, "#ececec"))
        x = space.left
        for column, cell in zip(columns, cells, strict=True):
            items += _cell(
                Column("", column.width) if row.spans else column, cell, x, y - 0.55 * height, height
            )
            x += column.width
        y -= tall
        items.append(line((space.left, y), (space.left + width, y), FINE))
    return [*filled, items]


def _heading(
    columns: Sequence[Column], space: Space, height: float, width: float
) -> tuple[list[Item], float]:
    items: list[Item] = []
    x, y = space.left, space.top
    for column in columns:
        items += _cell(column, [column.head], x, y - 0.55 * height, height)
        x += column.width
    y -= height * (LEADING + 0.6)
    items.append(line((space.left, y), (space.left + width, y), NARROW))
    return items, y


def _cell(column: Column, cell: Sequence[str], x: float, y: float, height: float) -> list[Item]:
    at = {"left": x + CELL_MM, "middle": x + column.width / 2, "right": x + column.width - CELL_MM}[
        column.align
    ]
    return [
        Text((at, y - k * height * LEADING), said, height, column.align, "top")
        for k, said in enumerate(cell)
        if said
    ]


def table_height(columns: Sequence[Column], rows: Sequence[Row], height: float = 2.0) -> float:
    """How tall a table is in one space (mm)."""
    leading = height * LEADING
    tall = height * (LEADING + 0.6)
    for row in rows:
        tall += max(len(c) for c in _lines(columns, row, height)) * leading + 0.6 * height
    return tall
