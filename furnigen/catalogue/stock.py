"""What parts are cut from: sheets, boards, bars and turning blanks, as sold.

The table is furnigen/catalogue/data/stock.csv. Read on first use, then kept. Names are made of what the trade
says, in lower case with hyphens:

- sheets: material and nominal thickness in mm (`birch-ply-18`, `mdf-19`), or in inches with `in`
  (`fir-ply-3-4in`); a second sheet size adds its length (`birch-ply-18-2440`);
- boards: nominal section (`pine-1x12`) or quarters (`red-oak-4-4`, surfaced; `red-oak-4-4-rough`);
- bars and blanks: `dowel-beech-10`, `oak-square-30`, `beech-blank-50`.

A slash may be typed for its hyphen: `red-oak-4/4`. A maker measures before cutting: `NAME@17.8`,
`NAME@17.8mm` or `NAME@11/16in` is the same stock at its measured (or planed-down) thickness. Who has boards
graded says so: `pine-1x3:C24`, `oak-panel-27:D30@26.5` (`furnigen.catalogue.grades`).
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass, replace
from functools import cache
from types import MappingProxyType

from furnigen.catalogue.grades import find_grade, graded
from furnigen.catalogue.materials import Material, find_material
from furnigen.core.errors import InputError, kind_of
from furnigen.core.quantities import SAME_MM, check_length, parse_length
from furnigen.core.tables import look_up, read_table
from furnigen.core.wording import as_given, in_words

KINDS = ("sheet", "board", "bar", "blank")
SECTIONS = ("rect", "round")
SHEET_SPREAD = 0.15
"""A sheet or rod measured further than this from its real thickness is another one. Our own limit: the
widest gap of nominal and real in the table is 8 % (3/8 in plywood of 11/32 in)."""
PLANED_LEAST = 1 / 3
"""A board planed to less than this part of its thickness should be bought thinner. Our own limit."""


_SIDES = ("thickness", "width", "length")
_TEXT_COLUMNS = (
    "name", "title", "kind", "section", "material", "nominal", "source", "provenance", "note",
)  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """One thing to buy.

    Attributes:
        name: the name a recipe or a command line uses; with `:` and its grade, `@` and mm where measured.
        title: the name for people.
        kind: "sheet", "board", "bar" or "blank".
        section: "rect", or "round" for rods.
        material: the name of its material.
        nominal: what it is sold as: "18 mm", "3/4 in", "4/4", "1x12".
        thickness_mm: its real thickness, mm; the diameter of a rod.
        width_mm: as sold, across the grain, mm.
        length_mm: as sold, along the grain, mm.
        grain: whether the direction of the grain matters when parts are laid out.
        source: where the sizes come from.
        provenance: "looked-up", "memory" or "common practice, no source".
        note: what a careful buyer must know.
        grade: its strength class; empty where no one has graded it.
        as_sold_mm: the thickness before it was measured or planed, mm; None where it was not.

    >>> ply = find_stock("birch-ply-18")
    >>> ply.thickness_mm, ply.with_thickness(17.8).name
    (17.6, 'birch-ply-18@17.8')
    """

    name: str
    title: str
    kind: str
    material: str
    nominal: str
    thickness_mm: float
    width_mm: float
    length_mm: float
    grain: bool
    source: str
    provenance: str
    section: str = "rect"
    note: str = ""
    grade: str = ""
    as_sold_mm: float | None = None

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise InputError("kind of stock", self.kind, f"must be {', '.join(KINDS)}")
        if self.section not in SECTIONS:
            raise InputError("section of stock", self.section, f"must be {' or '.join(SECTIONS)}")
        for side in ("thickness", "width", "length"):
            check_length(getattr(self, f"{side}_mm"), what=f"{side} of {self.name}")

    def _thickness_range(self) -> tuple[float, float]:
        """Least and most thickness that measuring or planing can give (mm)."""
        sold = self.as_sold_mm or self.thickness_mm
        if self.kind == "sheet" or self.section == "round":
            least, most = round(sold * (1 - SHEET_SPREAD), 2), round(sold * (1 + SHEET_SPREAD), 2)
        else:
            least, most = round(sold * PLANED_LEAST, 2), sold
        return least - SAME_MM, most + SAME_MM

    @property
    def family(self) -> str:
        """The words of its name before its first number: `birch-ply`, `red-oak`, `beech-blank`."""
        return _family(self.name)

    def with_grade(self, grade: str) -> Stock:
        """The same stock graded to a strength class, such as "C24".

        Raises:
            InputError: stock that is not graded, or a class its wood does not have.
        """
        name = find_grade(grade, find_material(self.material)).name
        base, at, measured = self.name.partition("@")
        return replace(self, name=f"{base.split(':')[0]}:{name}{at}{measured}", grade=name)

    def with_thickness(self, mm: float) -> Stock:
        """The same stock as measured or planed to `mm`.

        Square bars and blanks, and rods, change their width with it. The name gets `@` and the mm, so
        that `find_stock` of it gives the same stock.

        Raises:
            InputError: further from the thickness as sold than measuring or planing explains.
        """
        sold = self.as_sold_mm or self.thickness_mm
        base = self.name.split("@")[0]  # its grade included
        what = f"thickness of {base}"
        check_length(mm, what=what)
        least, most = self._thickness_range()
        if not least <= mm <= most:
            raise InputError(
                what,
                in_words(mm),
                f"must be from {as_given(least)} to {as_given(most)}"
                f" ({self.nominal} as sold is {as_given(sold)})",
                _other_thickness(self, mm),
            )
        square = self.kind in ("bar", "blank") and abs(self.width_mm - self.thickness_mm) < SAME_MM
        if abs(mm - sold) < SAME_MM:
            # measured as nominal: the plain entry, so that both are one stock
            width = sold if square else self.width_mm
            return replace(self, name=base, thickness_mm=sold, width_mm=width, as_sold_mm=None)
        digits = f"{mm:.10g}"  # what the name says is what it is, so the name finds it again
        width = float(digits) if square else self.width_mm
        return replace(
            self, name=f"{base}@{digits}", thickness_mm=float(digits), width_mm=width, as_sold_mm=sold
        )


def _family(name: str) -> str:
    """The words of a name before its first number: `birch-ply`, `red-oak`, `beech-blank`."""
    return re.split(r"-(?=[0-9])", name, maxsplit=1)[0]


def _other_thickness(stock: Stock, mm: float) -> str:
    """The stock of the same family that could be `mm` thick, as a clause."""
    family = _family(stock.name)
    able = []
    for other in _table().values():
        least, most = other._thickness_range()
        if _family(other.name) == family and least <= mm <= most:
            able.append(other)
    if not able:
        return f"no {family} in the table can be {in_words(mm)}"
    nearest = min(
        able,
        key=lambda s: (
            abs(s.thickness_mm - mm), abs(s.width_mm - stock.width_mm), abs(s.length_mm - stock.length_mm)
        ),
    )  # fmt: skip
    return f"{nearest.name} is {in_words(nearest.thickness_mm)}"


def _stock(row: dict[str, str]) -> Stock:
    sides = {f"{s}_mm": parse_length(row[s], what=f"{s} of {row['name']}") for s in _SIDES}
    text = {c: row[c] for c in _TEXT_COLUMNS}
    return Stock(**text, **sides, grain=row["grain"] == "yes")  # type: ignore[arg-type]


@cache
def _table() -> MappingProxyType[str, Stock]:
    return MappingProxyType({row["name"]: _stock(row) for row in read_table("stock")})


_OWN: ContextVar[Mapping[str, Stock]] = ContextVar("own stock", default=MappingProxyType({}))


@contextmanager
def own_stock(stocks: Iterable[Stock]) -> Iterator[None]:
    """While this block runs, `find_stock` knows these as well, by their names.

    Raises: InputError for a name that the table has.
    """
    own = {stock.name: stock for stock in stocks}
    for name in own:
        if name in _table():
            raise InputError(
                "name of own stock", name, "is that of a stock in the table", "give it another name"
            )
    token = _OWN.set(MappingProxyType(own))
    try:
        yield
    finally:
        _OWN.reset(token)


def find_stock(spec: str) -> Stock:
    """The stock called `spec`: a name, with `:` and its grade and `@` and its measured thickness, if any.

    Raises:
        InputError: no such stock (the message offers names), or a grade or thickness it can not have.

    >>> find_stock("pine-1x3:c24@18.5").name
    'pine-1x3:C24@18.5'
    >>> find_stock("birch-ply-18").thickness_mm, find_stock("birch-ply-18@17.8").thickness_mm
    (17.6, 17.8)
    """
    if not isinstance(spec, str):
        raise InputError("stock", kind_of(spec), 'must be the name of a stock, such as "birch-ply-18"')
    words, at, measured = spec.partition("@")
    name, colon, grade = words.partition(":")
    own = _OWN.get()
    stock = look_up("stock", name.strip(), {**own, **_table()} if own else _table(), "furnigen stock")
    if colon:
        stock = stock.with_grade(grade)
    if not at:
        return stock
    return stock.with_thickness(parse_length(measured, what=f"thickness of {stock.name}"))


def require_stock(what: str, value: object) -> None:
    """Refuse what is no Stock, saying what came.

    Raises: InputError.
    """
    if isinstance(value, Stock):
        return
    if isinstance(value, str):
        name = value if value.partition("@")[0] in _table() else "birch-ply-18"
        raise InputError(
            what, repr(value), "must be a Stock, not its name", f'find_stock("{name}") would fit'
        )
    raise InputError(what, kind_of(value), 'must be a Stock, such as find_stock("birch-ply-18")')


def list_stock(kind: str | None = None) -> tuple[Stock, ...]:
    """All stock, or that of one kind, in the order of the table.

    Raises:
        InputError: no such kind.

    >>> list_stock("blank")[0].kind
    'blank'
    """
    if kind is not None and kind not in KINDS:
        raise InputError("kind of stock", kind, f"must be {', '.join(KINDS)}")
    return tuple(s for s in _table().values() if kind in (None, s.kind))


def graded_stock(stock: Stock) -> Material:
    """What a stock is made of, at its strength class where it is sawn timber.

    Raises: InputError for a grade that its wood does not have.
    """
    return graded(find_material(stock.material), stock.grade)


OTHER_THICKNESS = 0.2
"""Stock offered in place of another may be thicker or thinner by this share of it. Our own limit."""


def stock_that_holds(stock: Stock, length_mm: float, width_mm: float) -> Stock | None:
    """The stock nearest to another that a part of a length and width (mm) can be cut from; None for none.

    Of the same kind and section, the same make first, then the nearest thickness, then the smallest.

    >>> stock_that_holds(find_stock("birch-ply-18"), 2000.0, 300.0).name
    'birch-ply-18-2440'
    """

    def holds(other: Stock) -> bool:
        turns = other.kind == "sheet" and not other.grain
        sizes = [(other.length_mm, other.width_mm)]
        sizes += [(other.width_mm, other.length_mm)] if turns else []
        near = abs(other.thickness_mm - stock.thickness_mm) <= OTHER_THICKNESS * stock.thickness_mm
        fits = any(length_mm <= long + SAME_MM and width_mm <= wide + SAME_MM for long, wide in sizes)
        return near and fits and other.section == stock.section

    def far(other: Stock) -> tuple[bool, float, float, str]:
        apart = round(abs(other.thickness_mm - stock.thickness_mm), 2)
        return other.family != stock.family, apart, other.length_mm * other.width_mm, other.name

    return min(filter(holds, list_stock(stock.kind)), key=far, default=None)
