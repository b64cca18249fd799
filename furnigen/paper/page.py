"""A page as frozen values: lines, arcs, filled areas, text; what lists, layouts and drawings are made of.

Millimetres on paper, origin at the lower left corner, y upward. Backends draw the same values as SVG
(`furnigen.paper.svg`), PDF (`pdf`) and DXF (`dxf`). Items are drawn in their order. Nothing here decides what
a drawing shows: a front end makes the items.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from math import atan2, cos, degrees, radians, sin
from typing import Literal

from furnigen.core.errors import InputError

Point = tuple[float, float]
Align = Literal["left", "middle", "right"]
Rise = Literal["base", "middle", "top"]

LINE_TYPES = ("continuous", "dashed", "chain", "double chain")
"""ISO 128-2: 01 continuous, 02 dashed, 04 long dash dot, 05 long dash double dot."""

_DASHES: dict[str, tuple[float, ...]] = {
    "continuous": (),
    "dashed": (12.0, 3.0),
    "chain": (24.0, 3.0, 0.5, 3.0),
    "double chain": (24.0, 3.0, 0.5, 3.0, 0.5, 3.0),
}
"""Dash, gap, dash ... in widths of the line (ISO 128-2, from memory)."""


@dataclass(frozen=True)
class Pen:
    """How lines are drawn.

    Attributes:
        width: mm on paper; ISO 128 has 0.13 0.18 0.25 0.35 0.5 0.7 1.0 1.4 2.0.
        line: one of LINE_TYPES.
        colour: "#rrggbb".

    Raises: InputError for a width that is not above zero, or an unknown line type.

    >>> Pen(0.5, "dashed").dashes
    (6.0, 1.5)
    """

    width: float = 0.25
    line: str = "continuous"
    colour: str = "#000000"

    def __post_init__(self) -> None:
        if not self.width > 0:
            raise InputError("width of a line", self.width, "must be above zero")
        if self.line not in LINE_TYPES:
            raise InputError("line type", self.line, f"must be one of {', '.join(LINE_TYPES)}")

    @property
    def dashes(self) -> tuple[float, ...]:
        """Dash, gap, dash ... in mm; empty for a continuous line."""
        return tuple(d * self.width for d in _DASHES[self.line])


WIDE, NARROW, FINE = Pen(0.5), Pen(0.25), Pen(0.18)
"""Line group 0.5 (visible edges 0.5, all else 0.25), and one finer for tables."""


@dataclass(frozen=True)
class Polyline:
    """Straight lines from point to point; back to the first where `closed`."""

    points: tuple[Point, ...]
    closed: bool = False
    pen: Pen = NARROW
    layer: str = "0"


@dataclass(frozen=True)
class Contour:
    """A closed outline of straight lines and arcs.

    Attributes:
        corners: (x, y, bulge) each; the bulge of the side to the next corner is the tangent of a quarter of
            its arc's angle, positive where it turns left, 0 for a straight line (as DXF has it).
    """

    corners: tuple[tuple[float, float, float], ...]
    pen: Pen = NARROW
    layer: str = "0"


@dataclass(frozen=True)
class Arc:
    """Part of a circle, counter-clockwise from `start` to `end` (degrees); the whole of it from 0 to 360."""

    centre: Point
    radius: float
    start: float = 0.0
    end: float = 360.0
    pen: Pen = NARROW
    layer: str = "0"

    @property
    def whole(self) -> bool:
        """Whether it is a circle."""
        return self.end - self.start >= 360.0

    def at(self, degrees: float) -> Point:
        """Its point in one direction from the centre."""
        turn = radians(degrees)
        return self.centre[0] + self.radius * cos(turn), self.centre[1] + self.radius * sin(turn)


@dataclass(frozen=True)
class Area:
    """A filled area: an outline, and outlines of holes in it."""

    rings: tuple[tuple[Point, ...], ...]
    fill: str = "#e6e6e6"
    layer: str = "0"


@dataclass(frozen=True)
class Text:
    """One line of text.

    Attributes:
        at: the point it is anchored at.
        text: what it says; signs no font here has are drawn as an empty box.
        height: of its capitals (mm); ISO 3098 has 1.8 2.5 3.5 5 7 10.
        align: which of its ends lies at `at`, or its middle.
        rise: what of it lies at the height of `at`: its base line, the middle or the top of its capitals.
        turn: counter-clockwise (degrees).
    """

    at: Point
    text: str
    height: float = 2.5
    align: Align = "left"
    rise: Rise = "base"
    turn: float = 0.0
    colour: str = "#000000"
    layer: str = "0"

    @property
    def base(self) -> Point:
        """Where its anchor stands on the base line."""
        down = {"base": 0.0, "middle": 0.5, "top": 1.0}[self.rise] * self.height
        turn = radians(self.turn)
        return self.at[0] + down * sin(turn), self.at[1] - down * cos(turn)

    @property
    def corners(self) -> tuple[Point, Point, Point, Point]:
        """The corners of the box of its capitals, counter-clockwise from the start of its base line."""
        from furnigen.paper.lettering import width_of

        long = width_of(self.text, self.height)
        start = {"left": 0.0, "middle": -long / 2, "right": -long}[self.align]
        turn = radians(self.turn)
        c, s = cos(turn), sin(turn)
        x, y = self.base
        spots = ((start, 0.0), (start + long, 0.0), (start + long, self.height), (start, self.height))
        a, b, d, e = ((x + u * c - v * s, y + u * s + v * c) for u, v in spots)
        return a, b, d, e


@dataclass(frozen=True)
class Dimension:
    """A size between two points, or an angle: how it is drawn, and what it measures.

    Attributes:
        drawn: its dimension line, arrowheads and figure.
        first, second: the points measured; of an angle one on each of its legs, counter-clockwise.
        at: a point of the dimension line; of an angle its vertex.
        turn: of the dimension line: 0 across, 90 upright (degrees).
        factor: real over paper, such as 10 at 1:10; 1 for an angle.
        figure: what it says.
        kind: "linear"; "running" from a datum, which is `first`; "angular".
    """

    drawn: tuple[Polyline | Contour | Arc | Area | Text, ...]
    first: Point
    second: Point
    at: Point
    turn: float
    factor: float
    figure: str
    layer: str = "dimension"
    kind: Literal["linear", "running", "angular"] = "linear"

    @property
    def measured(self) -> float:
        """The real distance along its line (mm); the angle between its legs (degrees)."""
        if self.kind == "angular":
            (x, y), (px, py), (qx, qy) = self.at, self.first, self.second
            return degrees(atan2(qy - y, qx - x) - atan2(py - y, px - x)) % 360.0
        turn = radians(self.turn)
        dx, dy = self.second[0] - self.first[0], self.second[1] - self.first[1]
        return abs(dx * cos(turn) + dy * sin(turn)) * self.factor


Item = Polyline | Contour | Arc | Area | Text | Dimension


def line(start: Point, end: Point, pen: Pen = NARROW, layer: str = "0") -> Polyline:
    """A straight line."""
    return Polyline((start, end), False, pen, layer)


def box(x: float, y: float, width: float, height: float, pen: Pen = NARROW, layer: str = "0") -> Polyline:
    """The outline of a rectangle, from its lower left corner."""
    return Polyline(_corners(x, y, width, height), True, pen, layer)


def filled_box(
    x: float, y: float, width: float, height: float, fill: str = "#e6e6e6", layer: str = "0"
) -> Area:
    """A filled rectangle, from its lower left corner."""
    return Area((_corners(x, y, width, height),), fill, layer)


def _corners(x: float, y: float, width: float, height: float) -> tuple[Point, ...]:
    return ((x, y), (x + width, y), (x + width, y + height), (x, y + height))


@dataclass(frozen=True)
class Page:
    """One sheet of paper.

    Attributes:
        width, height: of the paper (mm).
        items: in the order they are drawn.
        title: what it shows, for readers and for who cannot see it.

    Raises: InputError for a size that is not above zero.
    """

    width: float
    height: float
    items: tuple[Item, ...] = field(default=())
    title: str = ""

    def __post_init__(self) -> None:
        if not (self.width > 0 and self.height > 0):
            raise InputError("page", f"{self.width:g} x {self.height:g} mm", "must have some size")

    def with_items(self, more: Iterable[Item]) -> Page:
        """The page with more items on top."""
        return replace(self, items=(*self.items, *more))

    @property
    def texts(self) -> tuple[Text, ...]:
        """All it says."""
        return tuple(
            part
            for i in self.items
            for part in (i.drawn if isinstance(i, Dimension) else (i,))
            if isinstance(part, Text)
        )


PAPER_MM: dict[str, tuple[float, float]] = {
    "A4": (210.0, 297.0),
    "A3": (420.0, 297.0),
    "letter": (215.9, 279.4),
    "tabloid": (431.8, 279.4),
}
"""Width and height as sheets are used: small ones upright, large ones lying (ISO 216; ANSI A and B)."""
FILING_MM, MARGIN_MM = 20.0, 10.0
"""Margins: left, for filing, and on the other sides (ISO 5457)."""


def paper(name: str) -> tuple[float, float]:
    """Width and height of a sheet of paper by name (mm).

    Raises: InputError for an unknown one.

    >>> paper("a4")
    (210.0, 297.0)
    """
    for known, size in PAPER_MM.items():
        if known.lower() == name.strip().lower():
            return size
    raise InputError("sheet of paper", name, f"must be one of {', '.join(PAPER_MM)}")
