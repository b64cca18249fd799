"""What the search returns: layouts, cuts in order, offcuts, the bound. Frozen values, whole micrometres."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Placed:
    """One item on a sheet.

    Args:
        item: name of the item.
        x_um, y_um: its corner nearest the origin, from the corner of the untrimmed sheet.
        length_um, width_um: the item's own size, length along its grain.
        turned: its length lies across the sheet's length (along y).
        angle: quarter turns apart, degrees it is turned counterclockwise in free nesting: 0, 90, 180 or
        270; a
            sawn item has 0, or 90 when turned.
        row: name of the matched row it belongs to, "" if none.
    """

    item: str
    x_um: int
    y_um: int
    length_um: int
    width_um: int
    turned: bool = False
    angle: int = 0
    row: str = ""

    @property
    def along_x_um(self) -> int:
        """How far it reaches along the sheet's length."""
        return self.width_um if self.turned else self.length_um

    @property
    def along_y_um(self) -> int:
        """How far it reaches across the sheet's length."""
        return self.length_um if self.turned else self.width_um


@dataclass(frozen=True)
class Rect:
    """A rectangle on the untrimmed sheet: its corner nearest the origin, and its size along x and y."""

    x_um: int
    y_um: int
    along_x_um: int
    along_y_um: int


@dataclass(frozen=True)
class Cut:
    """One pass of the saw, right through the panel it divides.

    Args:
        number: 1 for the first cut of the sheet.
        stage: 0 for the sheet's edges, then 1, 2, ...; a cut that trims a part after the last stage has
        one more.
        rip: it runs along the sheet's length (x); otherwise across.
        panel: the panel that lies on the saw before this cut.
        stop_um: width of the piece that comes off between fence and blade, measured square to the cut. At a
            trimming cut of the sheet's edge (stage 0), what is taken off, kerf included.
        at_um: where that piece ends and the kerf begins, on the sheet: y for a rip, x for a crosscut. Outside
            the sheet where less than a kerf is trimmed.
        off: the piece that comes off, before it is divided further.
        far: the piece comes off at the far end of the panel (its right or top), so the kerf ends at `at_um`.
        item: name of the item if the piece that comes off is finished, "" otherwise.
    """

    number: int
    stage: int
    rip: bool
    panel: Rect
    stop_um: int
    at_um: int
    off: Rect
    far: bool = False
    item: str = ""

    @property
    def from_um(self) -> tuple[int, int]:
        """Where the line of the cut begins, beside the piece that comes off."""
        p = self.panel
        return (p.x_um, self.at_um) if self.rip else (self.at_um, p.y_um)

    @property
    def to_um(self) -> tuple[int, int]:
        """Where it ends."""
        p = self.panel
        if self.rip:
            return p.x_um + p.along_x_um, self.at_um
        return self.at_um, p.y_um + p.along_y_um


@dataclass(frozen=True)
class SheetLayout:
    """How one sheet is cut, and how many are cut like it.

    Cuts are in the order one saws: all cuts that free a strip before its own cuts. Offcuts are what is
    left when all cuts are made, largest first; slivers narrower than the kerf do not appear.
    """

    sheet: str
    copies: int
    placed: tuple[Placed, ...]
    cuts: tuple[Cut, ...] = ()
    offcuts: tuple[Rect, ...] = ()


@dataclass(frozen=True)
class SheetSolution:
    """All layouts, and what is proven about them.

    Args:
        layouts: different layouts, those with most copies first.
        used: number of sheets by name, only those used.
        cost: sum of prices in hundredths of the currency; without prices the sum of areas in square
        millimetres,
            rounded up.
        cost_bound: no solution costs less; equal to `cost` when that is proven the least.
        sheets_bound: no solution needs fewer sheets (of any size offered).
        proven: nothing that fits all items costs less, and of equal cost none takes fewer sheets (offcuts
        are not
            counted).
        cut_short: the search was ended by its time limit or a stop, before its counted work was done.
        unfitted: number of items that could not be placed, by name (they fit no sheet, or copies ran out).
        reasons: for each unfitted item one clause that says why, and which size would do.
    """

    layouts: tuple[SheetLayout, ...]
    used: dict[str, int]
    cost: int
    cost_bound: int
    sheets_bound: int
    proven: bool
    cut_short: bool
    unfitted: dict[str, int]
    reasons: dict[str, str]

    @property
    def sheets(self) -> int:
        """Number of sheets used."""
        return sum(self.used.values())


@dataclass(frozen=True)
class PlacedPiece:
    """One piece on a bar: its start from the bar's untrimmed start, and its length."""

    piece: str
    x_um: int
    length_um: int


@dataclass(frozen=True)
class BarCut:
    """One cut across a bar.

    Args:
        number: 1 for the first.
        at_um: where the kerf begins, from the untrimmed start; it ends at `at_um` + kerf.
        stop_um: length that comes off at this cut, from the previous cut (or start) to `at_um`.
        piece: name of the piece that comes off, "" for waste (end trim, defect, rest).
    """

    number: int
    at_um: int
    stop_um: int
    piece: str = ""


@dataclass(frozen=True)
class BarLayout:
    """How one bar is cut, and how many are cut like it. Offcuts are (start, length) of clear lengths left
    over."""

    bar: str
    copies: int
    placed: tuple[PlacedPiece, ...]
    cuts: tuple[BarCut, ...] = ()
    offcuts: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True)
class BarSolution:
    """As SheetSolution, for bars; without prices `cost` is the length used, in millimetres, rounded up."""

    layouts: tuple[BarLayout, ...]
    used: dict[str, int]
    cost: int
    cost_bound: int
    bars_bound: int
    proven: bool
    cut_short: bool
    unfitted: dict[str, int]
    reasons: dict[str, str]

    @property
    def bars(self) -> int:
        """Number of bars used."""
        return sum(self.used.values())
