"""A plain sheet for lists and layouts: heading, page number, footing; tables that run over several."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace

from furnigen.paper.lettering import shortened, width_of, wrapped
from furnigen.paper.page import FINE, NARROW, Align, Item, Page, Text, filled_box, line

HEAD_MM, FOOT_MM = 14.0, 9.0
"""Kept free for heading and footing, within the margins."""
LEADING = 1.7
"""From base line to base line, in heights of capitals."""
CELL_MM = 1.2
"""Kept free at the sides of a cell."""
WHOLE_LINES, LEAST_LINES = 12, 3
"""Rows of a table up to so many lines are kept whole; of a longer one so many stand where it begins."""
SAME_MM = 1e-6
MOST_SPACES = 8
"""A row that fits none of so many spaces is set into the last of them all the same."""


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
        leads: whether it heads the rows after it, up to the next that does.
    """

    cells: tuple[str, ...]
    bold: bool = False
    spans: bool = False
    leads: bool = False

    @property
    def continued(self) -> Row:
        """The same, where what it heads goes on."""
        return replace(self, cells=(f"{self.cells[0]}, continued", *self.cells[1:]))


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


class _Filling:
    """A table that goes on from space to space."""

    def __init__(self, columns: Sequence[Column], spaces: Callable[[int], Space], height: float) -> None:
        self._columns, self._spaces, self._height = columns, spaces, height
        self.filled: list[list[Item]] = []
        self._leading = height * LEADING
        self._group: Row | None = None
        self._begin(spaces(0))

    def _begin(self, space: Space) -> None:
        self._space = space
        self.items, self._y = _heading(self._columns, space, self._height, self._width)
        self._rows = 0

    @property
    def _width(self) -> float:
        return sum(c.width for c in self._columns)

    def tall(self, lines: int) -> float:
        """How tall a row of so many lines is (mm)."""
        return lines * self._leading + 0.6 * self._height

    def need(self, lines: int) -> float:
        """What must be free for a row to begin (mm): a very long one may go on in the next space."""
        return self.tall(lines if lines <= WHOLE_LINES else LEAST_LINES)

    def _next(self) -> None:
        # a space too small for any row stays empty, without a heading
        self.filled.append(self.items if self._rows else [])
        self._begin(self._spaces(len(self.filled)))

    def put(self, row: Row, cells: list[list[str]], after: float) -> None:
        """Set a row where there is room for it, in parts where it is very long.

        Args:
            after: what must be free below it (mm).
        """
        group, self._group = self._group, row if row.leads else self._group
        failed = 0
        while failed < MOST_SPACES:
            lines = max(len(c) for c in cells)
            again = group if group and not row.leads and not self._rows and self.filled else None
            head = _lines(self._columns, again.continued, self._height) if again else []
            above = self.tall(max(map(len, head))) if head else 0.0
            if self._y - above - self.need(lines) - after < self._space.bottom - SAME_MM:
                failed += 1
                self._next()
                continue
            if again:
                self._put(again, head)
            fit = int((self._y - self._space.bottom - 0.6 * self._height + SAME_MM) / self._leading)
            if fit >= lines:
                break
            self._put(row, [c[:fit] for c in cells])
            cells = [c[fit:] for c in cells]
            self._next()
        self._put(row, cells)

    def _put(self, row: Row, cells: Sequence[Sequence[str]]) -> None:
        height, space = self._height, self._space
        tall = self.tall(max(len(c) for c in cells))
        if row.bold:
            self.items.append(filled_box(space.left, self._y - tall, self._width, tall, "#ececec"))
        x = space.left
        for column, cell in zip(self._columns, cells, strict=True):
            shown = Column("", column.width) if row.spans else column
            self.items += _cell(shown, cell, x, self._y - 0.55 * height, height)
            x += column.width
        self._y -= tall
        self._rows += 1
        self.items.append(line((space.left, self._y), (space.left + self._width, self._y), FINE))


def table(
    columns: Sequence[Column],
    rows: Sequence[Row],
    spaces: Callable[[int], Space],
    height: float = 2.0,
) -> list[list[Item]]:
    """A table over as many spaces as it needs, its heading on top of each.

    A row of more than `WHOLE_LINES` lines goes on in the next space; others are kept whole. A row that leads
    a group stands with the first of the group, and again where the group goes on.

    Args:
        spaces: gives the space of each number from 0.
        height: of capitals (mm).

    Returns: the items of each space; none of one that is too small for a row.
    """
    filling = _Filling(columns, spaces, height)
    cells = [_lines(columns, row, height) for row in rows]
    lines = [max(len(c) for c in row) for row in cells]
    for k, row in enumerate(rows):
        leads = row.leads and k + 1 < len(rows)
        filling.put(row, cells[k], filling.need(lines[k + 1]) if leads else 0.0)
    return [*filling.filled, filling.items]


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
