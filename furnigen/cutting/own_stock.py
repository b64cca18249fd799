"""What a maker has and can buy, the saw or router it is cut with, and prices: frozen values.

`furnigen.cutting.stock_file` reads them from a `stock.toml`; without one, `catalogue_shop` takes sheets and
bars as the table of stock says they are sold, without prices.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace
from fnmatch import fnmatchcase

from furnigen.catalogue.stock import Stock
from furnigen.core.quantities import MM_PER_INCH

KERF_MM = 3.2
"""Usual kerf of a table or panel saw: 1/8 in (saw maker's pages)."""
TRIM_MM = 10.0
"""Taken off each edge of a sheet as it comes, the kerf included. Common practice, no source."""
END_TRIM_MM = 15.0
"""Taken off each end of a board, where it is checked or dirty. Common practice, no source."""


@dataclass(frozen=True)
class Trim:
    """What is taken off the edges of a sheet, the kerf of that cut included (mm).

    left and right are the ends of its length, bottom and top those of its width.
    """

    left: float = 0.0
    right: float = 0.0
    bottom: float = 0.0
    top: float = 0.0


@dataclass(frozen=True)
class Offer:
    """A sheet, board or bar of one size that can be had, or an offcut that lies in the workshop.

    Attributes:
        name: unique; what layouts call it.
        stock: what it is: material, thickness, section.
        length_mm, width_mm: length along the grain.
        price: of one piece, hundredths of the currency; None where not known.
        copies: how many there are; None for as many as one likes.
        trim: what is taken off its edges; of a board or bar only left and right.
        defects: forbidden stretches of a board (from, to), measured from its start (mm).
        offcut: it lies in the workshop already.
    """

    name: str
    stock: Stock
    length_mm: float
    width_mm: float
    price: int | None = None
    copies: int | None = None
    trim: Trim = field(default_factory=Trim)
    defects: tuple[tuple[float, float], ...] = ()
    offcut: bool = False


@dataclass(frozen=True)
class Saw:
    """How sheets are sawn.

    Attributes:
        kerf_mm: width of the cut.
        first_cut: "either", "rip" (along the sheet) or "crosscut".
        stages: how often the panels may be turned between cuts; None for any number.
        trimming: whether a last cut may trim parts to size.
        largest_strip_mm: the widest that fits between blade and fence; None for no limit.
    """

    kerf_mm: float = KERF_MM
    first_cut: str = "either"
    stages: int | None = None
    trimming: bool = True
    largest_strip_mm: float | None = None


@dataclass(frozen=True)
class Router:
    """A router that cuts sheets instead of a saw.

    Attributes:
        cutter_mm: diameter of the cutter.
        spacing_mm: what stays between two cutter paths.
    """

    cutter_mm: float
    spacing_mm: float = 0.0


@dataclass(frozen=True)
class Allowance:
    """What a part is cut larger by before it is machined to size (mm, over the whole size)."""

    length: float = 0.0
    width: float = 0.0
    thickness: float = 0.0


@dataclass(frozen=True)
class Allowances:
    """Allowances by kind of stock. Defaults: common practice, no source.

    Attributes:
        solid: sawn timber, planed and cut to length after rough cutting.
        surfaced: timber sold planed: its thickness and, at full width, its width stay.
        bar: rods, squares and turning blanks.
        panel: sheets cut to size on the saw.
        veneered: panels to be veneered after cutting, then cut to size; those named in `veneer`.
        veneer: patterns of part names (`side*`) that are veneered.
    """

    solid: Allowance = Allowance(25.0, 6.0, 3.0)
    surfaced: Allowance = Allowance(25.0, 6.0, 0.0)
    bar: Allowance = Allowance(15.0, 0.0, 0.0)
    panel: Allowance = Allowance()
    veneered: Allowance = Allowance(20.0, 20.0, 0.0)
    veneer: tuple[str, ...] = ()


@dataclass(frozen=True)
class Band:
    """An edge band: its thickness comes off the core.

    Attributes:
        name: what lists call it.
        thickness_mm: as it stays on the edge.
        price_per_m: hundredths of the currency; None where not known.
    """

    name: str
    thickness_mm: float
    price_per_m: int | None = None


EDGE_WORDS = ("front", "back", "left", "right", "top", "bottom", "ends", "sides", "all")


@dataclass(frozen=True)
class Banding:
    """Which edges of which parts get a band.

    Attributes:
        parts: patterns of part names or labels, such as "shelf*".
        edges: words of EDGE_WORDS: sides of the room that an edge faces; ends, sides of the part.
        band: the band.
    """

    parts: tuple[str, ...]
    edges: tuple[str, ...]
    band: Band


@dataclass(frozen=True)
class Finish:
    """A finish by area.

    Attributes:
        parts: patterns of part names or labels.
        price_per_m2: for all its coats, hundredths of the currency; None where not known.
        minutes_per_m2: to put it on.
    """

    name: str
    parts: tuple[str, ...]
    price_per_m2: int | None = None
    minutes_per_m2: float = 0.0


@dataclass(frozen=True)
class Labour:
    """What an hour costs, and how long things take; minutes that are not stated count nothing.

    Attributes:
        per_hour: hundredths of the currency.
        per_sheet, per_bar, per_part, per_cut, per_band_m, per_joint_cut: minutes.
    """

    per_hour: int
    per_sheet: float = 0.0
    per_bar: float = 0.0
    per_part: float = 0.0
    per_band_m: float = 0.0
    per_joint_cut: float = 0.0


@dataclass(frozen=True)
class Shop:
    """All a maker has stated.

    Attributes:
        name: of the file; "" where there is none.
        currency: its code, such as "EUR".
        invented: whether it says of itself that it is a sample.
        offers: what can be had, offcuts first.
        own: stock of the maker's own that recipes may name.
        saw, router, allowances: how it is cut; with a router sheets are nested.
        bands, banding, finishes, labour, hardware: what else has a price; hardware by kind and size, of one.
        matched: rows of parts whose grain runs on from one to the next, by labels.
        least_offcut_mm: an offcut smaller than this one way is waste.
        on_hand: whether nothing is bought: only what lies there is cut.
    """

    name: str = ""
    currency: str = ""
    invented: bool = False
    offers: tuple[Offer, ...] = ()
    own: tuple[Stock, ...] = ()
    saw: Saw = Saw()
    router: Router | None = None
    allowances: Allowances = Allowances()
    bands: tuple[Band, ...] = ()
    banding: tuple[Banding, ...] = ()
    finishes: tuple[Finish, ...] = ()
    labour: Labour | None = None
    hardware: tuple[tuple[str, int], ...] = ()
    matched: tuple[tuple[tuple[str, ...], bool], ...] = ()
    least_offcut_mm: float = 100.0
    trim: Trim = Trim(TRIM_MM, TRIM_MM, TRIM_MM, TRIM_MM)
    end_trim: Trim = Trim(END_TRIM_MM, END_TRIM_MM)
    on_hand: bool = False

    def offers_of(self, stock: Stock) -> tuple[Offer, ...]:
        """What of `stock` can be had: what the maker states, else the one size it is sold in.

        With `on_hand` only what lies there: offcuts, and sheets and bars of which it is said how many.
        """
        stated = tuple(o for o in self.offers if same_stock(o.stock, stock))
        if self.on_hand:
            return tuple(o for o in stated if o.offcut or o.copies is not None)
        if any(not o.offcut for o in stated):
            return stated
        trim = self.trim if stock.kind == "sheet" else self.end_trim
        sold = Offer(as_sold(stock).name, stock, stock.length_mm, stock.width_mm, trim=trim)
        return (*stated, sold)


def as_sold(stock: Stock) -> Stock:
    """The stock under its plain name, without the thickness it was measured at."""
    return replace(stock, name=stock.name.partition("@")[0])


def same_stock(one: Stock, other: Stock) -> bool:
    """Whether parts of one can be cut from the other: material, thickness as sold, section; for boards the
    width too.
    """
    if (one.kind == "sheet") != (other.kind == "sheet") or one.section != other.section:
        return False
    sold = [s.as_sold_mm or s.thickness_mm for s in (one, other)]
    alike = one.material == other.material and abs(sold[0] - sold[1]) < 0.05
    return alike and (one.kind == "sheet" or abs(one.width_mm - other.width_mm) < 0.05)


def named_in(patterns: tuple[str, ...], *names: str) -> bool:
    """Whether one of some names is one of the patterns."""
    return any(fnmatchcase(name, pattern) for pattern in patterns for name in names)


def nominal_inches(stock: Stock) -> tuple[float, float]:
    """Thickness and width that board feet are counted by: as sawn before planing (inches).

    Quarters count as such, dimension lumber by its nominal section, all else by its true size; below one
    inch counts as one inch (the lumber trade's rule, from memory).
    """
    thick, wide = (stock.as_sold_mm or stock.thickness_mm) / MM_PER_INCH, stock.width_mm / MM_PER_INCH
    if match := re.fullmatch(r"(\d+)/4.*", stock.nominal):
        thick = int(match[1]) / 4
    elif match := re.fullmatch(r"(\d+) ?x ?(\d+)", stock.nominal):
        thick, wide = float(match[1]), float(match[2])
    return max(thick, 1.0), wide


def board_feet(stock: Stock, length_mm: float) -> float:
    """Board feet of a length of board: thickness x width x length in inches over 144.

    >>> from furnigen import find_stock
    >>> round(board_feet(find_stock("pine-1x12"), 8 * 304.8), 6)
    8.0
    """
    thick, wide = nominal_inches(stock)
    return thick * wide * length_mm / MM_PER_INCH / 144
