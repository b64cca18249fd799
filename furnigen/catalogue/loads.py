"""Loads as makers say them: by use, by the metre, by the square metre, or one heavy thing somewhere.

    books                     a use of furnigen/catalogue/data/loads.csv
    40 kg/m, 25 lb/ft         along the shelf (also N/m, N/mm, kN/m, plf)
    150 kg/m2, 50 psf         over the shelf's surface (also kg/m², N/m2, kN/m2, kPa, lb/ft2)
    20 kg at 300 mm           one thing, measured from the left end (also lb, N; `at middle`)
    30 kg spread              a weight spread evenly over the whole shelf
    books + 20 kg at middle   several together
    empty                     nothing but the shelf's own weight

Weights are kg, lb (0.45359237 kg exactly) or N; forces follow with standard gravity 9.80665 m/s².
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cache
from types import MappingProxyType

from furnigen.catalogue.materials import Source
from furnigen.core.errors import InputError
from furnigen.core.quantities import as_typed, parse_length
from furnigen.core.tables import look_up, read_table
from furnigen.core.wording import as_given

GRAVITY = 9.80665
"""Standard gravity, m/s² (3rd CGPM, 1901; from memory)."""
KG_PER_POUND = 0.45359237
_FOOT = 0.3048
_LONGEST = 120

_LINE = {
    "kg/m": 1.0,
    "n/m": 1 / GRAVITY,
    "kn/m": 1000 / GRAVITY,
    "n/mm": 1000 / GRAVITY,
    "lb/ft": KG_PER_POUND / _FOOT,
    "lb/in": KG_PER_POUND / 0.0254,
}
_AREA = {
    "kg/m2": 1.0,
    "n/m2": 1 / GRAVITY,
    "kn/m2": 1000 / GRAVITY,
    "pa": 1 / GRAVITY,
    "kpa": 1000 / GRAVITY,
    "lb/ft2": KG_PER_POUND / _FOOT**2,
}
_WEIGHT = {"kg": 1.0, "g": 0.001, "n": 1 / GRAVITY, "kn": 1000 / GRAVITY, "lb": KG_PER_POUND}
_OTHER_WORDS = {"plf": "lb/ft", "psf": "lb/ft2", "lbs": "lb", "lbs/ft": "lb/ft", "lbs/ft2": "lb/ft2"}
_MOST = {"line": 3000.0, "area": 5000.0, "weight": 2000.0}
"""kg/m, kg/m² and kg beyond which a load is a slip of the unit. Our own bounds: full compact library stores
are 1500 kg/m² of floor over all their shelves."""
_AMOUNTS = "40 kg/m, 25 lb/ft, 150 kg/m2, 50 psf, 20 kg at 300 mm or 30 kg spread"
_EXAMPLES = f"write a use such as books, or {_AMOUNTS}"
_AMOUNT = re.compile(r"([-+]?)([0-9]+(?:\.[0-9]*)?|\.[0-9]+) *([a-z][a-z0-9/]*)")


GIVEN = Source("given by the maker", "given")


@dataclass(frozen=True, slots=True)
class SingleLoad:
    """One thing on a shelf: kg, and mm from the left end (None: at the middle)."""

    kg: float
    at_mm: float | None = None


@dataclass(frozen=True)
class Load:
    """What lies on one shelf, besides its own weight.

    Attributes:
        text: as typed or as the table calls it.
        line_kg_m: along the shelf, kg/m.
        area_kg_m2: over its surface, kg/m².
        spread_kg: a whole weight, spread evenly, kg.
        single_loads: single things.
        sustained: share of the load that stays for good (psi2 of EN 1990), 0 to 1.
        source: where the amount comes from.
        least, most: factors on the even load for the light and the heavy end of what the use means.
    """

    text: str
    line_kg_m: float = 0.0
    area_kg_m2: float = 0.0
    spread_kg: float = 0.0
    single_loads: tuple[SingleLoad, ...] = ()
    sustained: float = 1.0
    source: Source = GIVEN
    least: float = 1.0
    most: float = 1.0

    def newton_per_mm(self, depth_mm: float, length_mm: float, row_mm: float = 0.0) -> float:
        """The even part of the load on a shelf this deep and this long (N/mm).

        Args:
            row_mm: length of the row of goods where that is not the shelf's own; 0 where it is.
        """
        line = self.line_kg_m * (row_mm or length_mm) / length_mm
        kg_m = line + self.area_kg_m2 * depth_mm / 1000 + self.spread_kg / (length_mm / 1000)
        return kg_m * GRAVITY / 1000

    def points(self, length_mm: float) -> tuple[tuple[float, float], ...]:
        """(place mm, force N) of the single things on a shelf this long.

        Raises: InputError for a thing that stands beyond the end.
        """
        places = []
        for heap in self.single_loads:
            at = length_mm / 2 if heap.at_mm is None else heap.at_mm
            if at > length_mm:
                raise InputError(
                    f"load {self.text}",
                    f"at {as_given(at)}",
                    f"the shelf is only {as_given(length_mm)} long",
                )
            places.append((at, heap.kg * GRAVITY))
        return tuple(places)

    def kg(self, depth_mm: float, length_mm: float) -> float:
        """The whole weight on a shelf this deep and this long (kg)."""
        even = self.newton_per_mm(depth_mm, length_mm) * length_mm / GRAVITY
        return even + sum(h.kg for h in self.single_loads)


EMPTY = Load("empty")


def _plain(text: str) -> str:
    line = text.strip().lower().replace("²", "2").replace("^2", "2")
    line = re.sub(r"sq\.? ?(ft|m)\b", r"\g<1>2", line)
    return re.sub(r" */ *| +per +", "/", " ".join(line.split()))


def _amount(text: str, typed: str, what: str) -> tuple[str, float]:
    """Kind ("line", "area", "weight") and kg/m, kg/m² or kg of `40 kg/m`."""
    if re.search(r"[0-9],[0-9]", text):
        raise InputError(what, as_typed(typed), "must be written with a decimal point and without commas")
    match = _AMOUNT.fullmatch(text)
    if not match:
        if re.fullmatch(r"[-+]?[0-9.]+", text):
            raise InputError(what, as_typed(typed), "needs a unit", _EXAMPLES)
        raise InputError(what, as_typed(typed), "must be a load", _EXAMPLES)
    unit = _OTHER_WORDS.get(match[3], match[3])
    if match[1] == "-":
        raise InputError(what, as_typed(typed), "must not be negative: a load weighs down")
    number = float(match[2])
    for kind, units in (("line", _LINE), ("area", _AREA), ("weight", _WEIGHT)):
        if unit in units:
            amount = number * units[unit]
            if amount == 0:
                raise InputError(what, as_typed(typed), "must be more than zero", "write empty for no load")
            if amount > _MOST[kind]:
                most = _MOST[kind] / units[unit]
                raise InputError(
                    what, as_typed(typed), f"must be at most {most:.6g} {match[3]}: no shelf carries more"
                )
            return kind, amount
    raise InputError(what, as_typed(typed), f"can not be in {match[3]}", _EXAMPLES)


def _one(text: str, typed: str, what: str) -> Load:
    """One of the loads between plus signs."""
    if text in ("empty", "none"):
        return EMPTY
    place = re.fullmatch(r"(.+?) (?:at )?(spread|middle|centre|center)|(.+?) at (.+)", text)
    amount_text = (place[1] or place[3]) if place else text
    if not re.match(r"[-+.0-9]", amount_text):
        if place:
            raise InputError(what, as_typed(typed), "a use fills the whole shelf and has no place", _EXAMPLES)
        return find_load(text, what=what)
    kind, amount = _amount(amount_text, typed, what)
    if kind != "weight":
        if place:
            raise InputError(
                what, as_typed(typed), f"a load in {amount_text.split()[-1]} has no place", _EXAMPLES
            )
        line, area = (amount, 0.0) if kind == "line" else (0.0, amount)
        return Load(typed.strip(), line_kg_m=line, area_kg_m2=area)
    if not place:
        short = amount_text
        raise InputError(
            what,
            as_typed(typed),
            "is a weight that does not say where",
            f"write {short} spread, {short} at middle, {short} at 300 mm, or a load such as 40 kg/m",
        )
    if place[2] == "spread":
        return Load(typed.strip(), spread_kg=amount)
    at = None if place[2] else parse_length(place[4], what=f"place of the {what}", allow_zero=True)
    return Load(typed.strip(), single_loads=(SingleLoad(amount, at),))


def parse_load(text: str, *, what: str = "load") -> Load:
    """The load `text` says; the module docstring gives the grammar.

    Args:
        text: as typed.
        what: its name, for messages.

    Raises: InputError for an unknown use, a wrong or missing unit, a negative or senseless load.

    >>> round(parse_load("50 psf").area_kg_m2 * 0.3048, 1)  # kg/m on a shelf a foot deep
    74.4
    """
    if not isinstance(text, str) or not text.strip():
        raise InputError(what, as_typed(text), "must be a load", _EXAMPLES)
    if len(text) > _LONGEST:
        raise InputError(what, as_typed(text), f"must be at most {_LONGEST} characters", _EXAMPLES)
    pieces = [_one(piece.strip(), text, what) for piece in _plain(text).split(" + ")]
    if len(pieces) == 1:
        return pieces[0]
    return _together(text.strip(), pieces)


def _together(text: str, pieces: list[Load]) -> Load:
    """Several loads on one shelf; the lasting share is the largest of theirs."""
    named = [p for p in pieces if p.source != GIVEN]
    return Load(
        text,
        line_kg_m=sum(p.line_kg_m for p in pieces),
        area_kg_m2=sum(p.area_kg_m2 for p in pieces),
        spread_kg=sum(p.spread_kg for p in pieces),
        single_loads=tuple(h for p in pieces for h in p.single_loads),
        sustained=max(p.sustained for p in pieces),
        source=named[0].source if named else pieces[0].source,
        least=min(p.least for p in pieces),
        most=max(p.most for p in pieces),
    )


def _use(row: dict[str, str]) -> Load:
    low, design, high = (_amount(_plain(row[c]), row[c], row["name"]) for c in ("low", "design", "high"))
    kind, amount = design
    if not low[0] == kind == high[0]:
        raise InputError(
            f"use {row['name']}", f"{row['low']} .. {row['high']}", "must be in one kind of unit"
        )
    return Load(
        row["name"],
        line_kg_m=amount if kind == "line" else 0.0,
        area_kg_m2=amount if kind == "area" else 0.0,
        sustained=float(row["sustained"]),
        source=Source(f"{row['title']}: {row['design']}; {row['source']}", row["provenance"]),
        least=low[1] / amount,
        most=high[1] / amount,
    )


@cache
def _table() -> MappingProxyType[str, Load]:
    return MappingProxyType({row["name"]: _use(row) for row in read_table("loads")})


def find_load(name: str, *, what: str = "load") -> Load:
    """The load of a use.

    Raises: InputError for an unknown use; the message offers the nearest.
    """
    try:
        return look_up("use of a shelf", name, _table())
    except InputError as unknown:
        fits = f"uses are {', '.join(_table())}"
        if "mean" in unknown.fits:
            fits = f"{unknown.fits.removesuffix('?')}, or an amount such as {_AMOUNTS}?"
        raise InputError(
            what, as_typed(name), "must be a known use, or a weight with its unit", fits
        ) from None


def list_uses() -> tuple[Load, ...]:
    """Every use, in the order of the table."""
    return tuple(_table().values())
