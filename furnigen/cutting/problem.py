"""What is to be cut, from what, and by which rules: frozen values.

All lengths are whole micrometres (fields end in `_um`): 1/64 in = 396.875 mm/1000 is the only common size
that is rounded, and sums, kerfs and comparisons are exact. `um` and `mm` convert.

A problem is of one material and thickness. Sheets lie with their length along x and their width along y, from
the corner of the untrimmed sheet. A sheet with grain has it along its length. Prices are whole hundredths of
the currency, so that costs are exact and a bound on them is proven in integers.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from enum import Enum

from furnigen.core.errors import InputError

UM_PER_MM = 1000
LONGEST_UM = 100_000 * UM_PER_MM
MOST_COPIES = 100_000


def um(millimetres: float) -> int:
    """Whole micrometres nearest to a length in millimetres.

    >>> um(3.2), um(396.875 / 1000)
    (3200, 397)
    """
    return round(millimetres * UM_PER_MM)


def mm(micrometres: int) -> float:
    """Millimetres of a length in micrometres, not rounded.

    >>> mm(1_220_500)
    1220.5
    """
    return micrometres / UM_PER_MM


def _length(what: str, value: int, least: int = 1) -> None:
    if not least <= value <= LONGEST_UM:
        low, high = mm(least), mm(LONGEST_UM)
        raise InputError(what, f"{mm(value):g} mm", f"must be from {low:g} mm to {high:g} mm")


def _count(what: str, value: int | None, least: int = 0) -> None:
    if value is not None and not least <= value <= MOST_COPIES:
        raise InputError(what, value, f"must be from {least} to {MOST_COPIES}")


def _price(what: str, value: int | None) -> None:
    if value is not None and value < 0:
        raise InputError(what, value / 100, "must not be negative")


class FirstCut(Enum):
    """Direction of the first cuts of a sheet, the trimming cuts apart."""

    EITHER = "either"
    RIP = "rip"
    """along the sheet's length: strips as long as the sheet"""
    CROSSCUT = "crosscut"
    """across the sheet's length"""


@dataclass(frozen=True)
class Trims:
    """What is taken off each edge of a sheet before its pieces are cut, the kerf of that cut included.

    Left and right are the ends of the sheet's length, bottom and top the ends of its width.
    """

    left_um: int = 0
    right_um: int = 0
    bottom_um: int = 0
    top_um: int = 0

    def __post_init__(self) -> None:
        for name in ("left_um", "right_um", "bottom_um", "top_um"):
            _length(f"trim {name.removesuffix('_um')}", getattr(self, name), 0)


@dataclass(frozen=True)
class Sheet:
    """A size of sheet one can buy, or an offcut in the workshop.

    Args:
        name: its name, different for each sheet of a problem.
        length_um, width_um: untrimmed size, length along the grain if it has any.
        price: of one sheet, in hundredths of the currency; None when no price is known (then the price of
            every sheet of the problem must be None, and the objective is the area used).
        copies: how many there are; None for as many as one likes.
        trims: what is taken off its edges.
        grain: it has a grain, along its length.
        offcut: it lies in the workshop already; its price is usually 0.

    Raises:
        InputError: a size, price or count out of range, or trims that leave nothing.
    """

    name: str
    length_um: int
    width_um: int
    price: int | None = None
    copies: int | None = None
    trims: Trims = field(default_factory=Trims)
    grain: bool = True
    offcut: bool = False

    def __post_init__(self) -> None:
        _length(f"length of {self.name}", self.length_um)
        _length(f"width of {self.name}", self.width_um)
        _price(f"price of {self.name}", self.price)
        _count(f"copies of {self.name}", self.copies)
        for side, clear, whole in (
            ("left and right", self.clear_length_um, self.length_um),
            ("bottom and top", self.clear_width_um, self.width_um),
        ):
            if clear <= 0:
                taken = mm(whole - clear)
                raise InputError(
                    f"trims {side} of {self.name}",
                    f"{taken:g} mm",
                    f"must leave something of {mm(whole):g} mm",
                )

    @property
    def clear_length_um(self) -> int:
        """Length between the trims."""
        return self.length_um - self.trims.left_um - self.trims.right_um

    @property
    def clear_width_um(self) -> int:
        """Width between the trims."""
        return self.width_um - self.trims.bottom_um - self.trims.top_um


@dataclass(frozen=True)
class Item:
    """A part to be cut: its rough size, copies, and whether it may lie across the sheet.

    Args:
        name: its name, different for each item of a problem.
        length_um, width_um: rough size, length along the part's own grain.
        quantity: how many are needed.
        turnable: it may lie with its length across the sheet although the sheet has a grain; on a sheet
        without
            grain every item may.
        outline_um: corners of its true outline within (0, 0) to (length_um, width_um), for free nesting;
            empty for a rectangle. Sheets cut by a saw take the rectangle round it.
        windows_um: corners of each cut-out within the outline; small parts may be laid inside.

    Raises:
        InputError: a size or quantity out of range.
    """

    name: str
    length_um: int
    width_um: int
    quantity: int = 1
    turnable: bool = False
    outline_um: tuple[tuple[int, int], ...] = ()
    windows_um: tuple[tuple[tuple[int, int], ...], ...] = ()

    def __post_init__(self) -> None:
        _length(f"length of {self.name}", self.length_um)
        _length(f"width of {self.name}", self.width_um)
        _count(f"quantity of {self.name}", self.quantity)


@dataclass(frozen=True)
class MatchedRow:
    """Items whose grain shall run on from one to the next: cut side by side from one sheet, in this order.

    Args:
        name: its name, different from that of every item.
        items: names of items, in order from left to right (`along`) or from bottom to top.
        along: they follow each other along their grain; otherwise across it.
        quantity: how many such rows; each takes one copy of every item named (two if it is named twice).
    """

    name: str
    items: tuple[str, ...]
    along: bool = False
    quantity: int = 1

    def __post_init__(self) -> None:
        _count(f"quantity of {self.name}", self.quantity, 1)
        if len(self.items) < 2:
            raise InputError(f"items of {self.name}", len(self.items), "must be two or more to match")

    def size(self, members: Sequence[Item], kerf_um: int) -> tuple[int, int]:
        """Length and width of the whole row with the kerfs between its items (um)."""
        lengths, widths = [m.length_um for m in members], [m.width_um for m in members]
        kerfs = (len(members) - 1) * kerf_um
        return (sum(lengths) + kerfs, max(widths)) if self.along else (max(lengths), sum(widths) + kerfs)


@dataclass(frozen=True)
class Rules:
    """How a saw may divide a sheet.

    Args:
        kerf_um: width of the saw cut.
        stages: most stages of cuts; a stage is all cuts of one direction that can be made before the panels
            are turned. None for any number. Trimming cuts of the sheet's edges do not count.
        trimming: after the last stage one more cut may trim parts to size. Without it the last stage's strips
            must be exactly as wide as their parts.
        equal_last: the cuts of the last stage part equal items only ("homogeneous"); with it, no trimming.
        first_cut: direction of the first stage.
        largest_strip_um: no rip cut is made further than this from its fence; None for no limit.

    Raises:
        InputError: a negative kerf, fewer than one stage, a strip of no width.
    """

    kerf_um: int = 0
    stages: int | None = None
    trimming: bool = True
    equal_last: bool = False
    first_cut: FirstCut = FirstCut.EITHER
    largest_strip_um: int | None = None

    def __post_init__(self) -> None:
        _length("kerf", self.kerf_um, 0)
        if self.stages is not None and not 1 <= self.stages <= 20:
            raise InputError("stages", self.stages, "must be from 1 to 20")
        if self.equal_last and self.stages is None:
            raise InputError("equal_last", self.equal_last, "needs a number of stages")
        if self.largest_strip_um is not None:
            _length("largest strip", self.largest_strip_um)


@dataclass(frozen=True)
class SheetProblem:
    """Items of one material and thickness, the sheets they may come from, and the saw's rules."""

    sheets: tuple[Sheet, ...]
    items: tuple[Item, ...]
    rules: Rules = field(default_factory=Rules)
    matched: tuple[MatchedRow, ...] = ()

    def __post_init__(self) -> None:
        _different("sheet", [s.name for s in self.sheets])
        _different("item", [*(i.name for i in self.items), *(m.name for m in self.matched)])
        _all_or_no_prices([(s.name, s.price) for s in self.sheets])
        needed: dict[str, int] = {}
        for row in self.matched:
            for name in row.items:
                needed[name] = needed.get(name, 0) + row.quantity
        have = {item.name: item.quantity for item in self.items}
        for name, count in needed.items():
            if count > have.get(name, 0):
                raise InputError(
                    "matched rows",
                    f"{count} of {name}",
                    f"there are {have.get(name, 0)}",
                    "list it in one row less",
                )

    def matched_size(self, item: str) -> tuple[int, int] | None:
        """Length and width of the matched row that an item belongs to (um); None where it is in none."""
        by_name = {i.name: i for i in self.items}
        for row in self.matched:
            if item in row.items:
                return row.size([by_name[n] for n in row.items], self.rules.kerf_um)
        return None


@dataclass(frozen=True)
class Bar:
    """A length of bar or board one can buy, or a piece in the workshop.

    Args:
        name: its name, different for each bar of a problem.
        length_um: untrimmed length.
        price: of one bar, in hundredths of the currency; None as for sheets.
        copies: how many there are; None for as many as one likes.
        trim_start_um, trim_end_um: taken off its ends, kerf included.
        defects: stretches (from, to) measured from the untrimmed start in which no piece may lie; what lies
            between them is used, and the cut beside a defect may lie within it.
        offcut: it lies in the workshop already.
    """

    name: str
    length_um: int
    price: int | None = None
    copies: int | None = None
    trim_start_um: int = 0
    trim_end_um: int = 0
    defects: tuple[tuple[int, int], ...] = ()
    offcut: bool = False

    def __post_init__(self) -> None:
        _length(f"length of {self.name}", self.length_um)
        _price(f"price of {self.name}", self.price)
        _count(f"copies of {self.name}", self.copies)
        _length(f"start trim of {self.name}", self.trim_start_um, 0)
        _length(f"end trim of {self.name}", self.trim_end_um, 0)
        if self.trim_start_um + self.trim_end_um >= self.length_um:
            taken = mm(self.trim_start_um + self.trim_end_um)
            whole = mm(self.length_um)
            raise InputError(
                f"trims of {self.name}", f"{taken:g} mm", f"must leave something of {whole:g} mm"
            )
        for start, end in self.defects:
            if not 0 <= start < end <= self.length_um:
                given = f"{mm(start):g} to {mm(end):g} mm"
                raise InputError(
                    f"defect of {self.name}", given, f"must lie within 0 to {mm(self.length_um):g} mm"
                )


@dataclass(frozen=True)
class Piece:
    """A length to be cut from bars."""

    name: str
    length_um: int
    quantity: int = 1

    def __post_init__(self) -> None:
        _length(f"length of {self.name}", self.length_um)
        _count(f"quantity of {self.name}", self.quantity)


@dataclass(frozen=True)
class BarProblem:
    """Pieces of one section, and the bars they may come from."""

    bars: tuple[Bar, ...]
    pieces: tuple[Piece, ...]
    kerf_um: int = 0

    def __post_init__(self) -> None:
        _length("kerf", self.kerf_um, 0)
        _different("bar", [b.name for b in self.bars])
        _different("piece", [p.name for p in self.pieces])
        _all_or_no_prices([(b.name, b.price) for b in self.bars])


@dataclass(frozen=True)
class NestRules:
    """How a router cuts parts free from a sheet: the cutter's path needs room all round each.

    Args:
        cutter_um: diameter of the cutter; parts are at least this far apart and from the trimmed edge.
        spacing_um: what shall be left between two cutter paths, so that parts stay held.
    """

    cutter_um: int
    spacing_um: int = 0

    def __post_init__(self) -> None:
        _length("cutter diameter", self.cutter_um, 0)
        _length("spacing", self.spacing_um, 0)


@dataclass(frozen=True)
class NestProblem:
    """Items with outlines, the sheets a router cuts them from, and its cutter."""

    sheets: tuple[Sheet, ...]
    items: tuple[Item, ...]
    rules: NestRules

    def __post_init__(self) -> None:
        _different("sheet", [s.name for s in self.sheets])
        _different("item", [i.name for i in self.items])
        _all_or_no_prices([(s.name, s.price) for s in self.sheets])


def _different(what: str, names: list[str]) -> None:
    seen: set[str] = set()
    for name in names:
        if name in seen:
            raise InputError(what, name, "is there twice; names must differ")
        seen.add(name)


def _all_or_no_prices(prices: list[tuple[str, int | None]]) -> None:
    without = [name for name, price in prices if price is None]
    if without and len(without) < len(prices):
        raise InputError(
            "price", f"none for {without[0]}", "must be given for all stock of a material or for none"
        )
