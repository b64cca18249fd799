"""The basis of a report: every method and value that the checks of one piece used, with its source.

Nothing is listed by hand for a piece. Methods and the values that modules hold are rows of
furnigen/catalogue/data/methods.csv, listed where one of their findings was made. Values of tables are found
by their columns `*_source` and `*_provenance`, for the materials, stock, joints and loads of the piece. A
finding of which methods.csv has no row adds the source that it names itself, so a new check appears by
itself; so does a row of any other table whose source a finding names.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib import import_module
from pathlib import Path
from typing import TYPE_CHECKING

from furnigen import catalogue
from furnigen.catalogue.hardware import hardware_table
from furnigen.catalogue.materials import Material, Source, find_material, row_for_material, table_rows
from furnigen.catalogue.stock import Stock, graded_stock
from furnigen.core.finding import Finding
from furnigen.core.wording import as_given, worded
from furnigen.piece.description import Piece
from furnigen.piece.hardware_list import hardware_list
from furnigen.strength.formulas.allowable import basis_row
from furnigen.strength.formulas.creep import CLIMATES, find_creep
from furnigen.strength.model.racking import find_turning, turning_row

if TYPE_CHECKING:
    from furnigen.strength.assess import LoadedBoards, Strength

PUBLISHED, COMMON, MEMORY = "published", "common practice without source", "from memory"
DERIVED, OWN, GIVEN, UNSTATED = "worked out here", "our own choice", "given by the maker", "not stated"
STANDINGS = (PUBLISHED, COMMON, MEMORY, DERIVED, OWN, GIVEN, UNSTATED)
_PROVENANCE = {
    "looked-up": PUBLISHED,
    "memory": MEMORY,
    "common practice, no source": COMMON,
    "hand-derived": DERIVED,
    "given": GIVEN,
    "our own choice": OWN,
}
_MARKS = (
    ("common practice", COMMON),
    ("without source", COMMON),
    ("from memory", MEMORY),
    ("hand-derived", DERIVED),
    ("statics", DERIVED),
    ("our own", OWN),
    ("the brief", GIVEN),
    ("given by the maker", GIVEN),
)
_WORKS = (
    "EN ", "ISO ", "ASTM", "NDS", "IBC", "CFR", "APA ", "DIN ", "ANSI", "Eurocode", "Handbook", "Standard",
    "looked up", "looked-up", "published", "public ", "column quoting", "page",
)  # fmt: skip
"""Words by which a source names a published work."""
_ALSO = {
    "duration": ("permanent", "long", "medium", "short", "instant", "gamma_m"),
    "spread": ("moe_spread", "mor_spread"),
    "strength": ("moe_mpa", "moe_cross_mpa", "mor_mpa"),
    "movement": ("cr", "ct"),
}
"""Columns of a group whose names do not begin with its own."""
_SHOWN = ("density", "strength", "movement")
_TABLES = frozenset(
    ["creep", "grades", "hardware", "load_cases", "loads", "materials", "methods", "sag_limits", "stock",
     "strength_basis", "strengths", "tipping", "turning", "ungraded_timber"]
)  # fmt: skip
"""Tables whose rows are found by what the piece is made of; of any other by the findings."""
LEAST_NAMED = 12
"""A shorter source does not tell one row from another."""


@dataclass(frozen=True, slots=True)
class Basis:
    """One method or value that was used.

    Attributes:
        kind: "method", "value", "load", "limit", "material", "stock", "joint", "hardware" or "finding".
        what: which.
        value: in words, with its unit; "" for a method.
        used_by: names of the findings that rest on it; empty where all do.
        source: where from.
        standing: which of STANDINGS hold for it: a source may be published in part.
    """

    kind: str
    what: str
    value: str
    used_by: tuple[str, ...]
    source: str
    standing: tuple[str, ...]


def standing_of(text: str, provenance: str = "") -> tuple[str, ...]:
    """How far a source can be trusted, by its provenance and by what its own words admit.

    >>> standing_of("EN 338 C24; gamma_M 1.3 from memory", "looked-up")
    ('published', 'from memory')
    """
    found = {standing for mark, standing in _MARKS if mark in text}
    if provenance:
        found.add(_PROVENANCE.get(provenance, UNSTATED))
    elif any(work in text for work in _WORKS):
        found.add(PUBLISHED)
    return tuple(s for s in STANDINGS if s in found) or (UNSTATED,)


def basis_of(
    piece: Piece, findings: Iterable[Finding], strength: Strength | LoadedBoards | None = None
) -> tuple[Basis, ...]:
    """Every method and value used for a piece, each once: methods, values, loads, limits, then its parts.

    Args:
        findings: of the checks that were made.
        strength: what the loads do, where that was asked.
    """
    findings = list(findings)
    names = tuple(dict.fromkeys(f.name for f in findings))
    rows = [*_methods(names)]
    if strength is not None:
        rows += _loads(strength)
    rows += _materials(piece, strength)
    rows += _joints(piece)
    rows += _named(findings)
    rows += _of_findings(findings)
    return tuple(dict.fromkeys(rows))


def _methods(names: tuple[str, ...]) -> Iterator[Basis]:
    for row in table_rows("methods"):
        used = tuple(name for name in row["findings"].split() if name in names)
        if used:
            standing = standing_of(row["source"], row["provenance"])
            value = _constant(row["constant"], row["unit"])
            yield Basis("value" if value else "method", row["what"], value, used, row["source"], standing)


@cache
def _constant(named: str, unit: str) -> str:
    """The value of a module's constant, as "module:NAME" names it."""
    if not named:
        return ""
    module, _, name = named.partition(":")
    value = getattr(import_module(module), name)
    return worded(as_given(value)) if unit == "mm" else f"{value:.4g} {unit}".strip()


def _sourced(kind: str, what: str, value: str, source: Source, used: tuple[str, ...] = ()) -> Basis:
    return Basis(kind, what, value, used, source.text, standing_of(source.text, source.provenance))


def _loads(strength: Strength | LoadedBoards) -> Iterator[Basis]:
    demands = strength.demands
    for on in strength.carried.values():
        yield _sourced("load", on.load.text, on.why, on.load.source)
    limit = demands.limit
    yield _sourced("limit", "sag in the long run", f"{limit.title} of the span", limit.source, ("sag",))
    yield Basis(
        "limit", "climate", CLIMATES[demands.climate], (), "given by the maker, or the usual", (GIVEN,)
    )
    for test in demands.tests():
        yield _sourced("load", f"test load {test.name}", test.title, test.source, ("tip-test",))
    for case in demands.cases():
        used = ("shoved",) if case.frictions else ("child-on-shelf", "child-on-joint", "child-tips")
        value = ", ".join(f"friction {f:g}" for f in case.frictions) or f"{case.weight_n:.0f} N"
        yield _sourced("load", f"load case {case.name}", value, case.source, used)


def _materials(piece: Piece, strength: Strength | LoadedBoards | None) -> Iterator[Basis]:
    stocks = list(dict.fromkeys(part.stock for part in piece.parts))
    for stock in stocks:
        yield _stock(stock)
    climate = strength.demands.climate if strength is not None else 1
    for material in dict.fromkeys(graded_stock(stock) for stock in stocks):
        row = next(r for r in table_rows("materials") if r["name"] == find_material(material.name).name)
        for group in _groups(row):
            if group in _SHOWN and not (group == "strength" and material.grade):
                yield _group("material", material.name, row, group)
        if material.grade:
            value = f"{material.grade}: E {material.moe_mpa:g}, f_m {material.mor_mpa or 0:g} N/mm²"
            yield _sourced("material", f"{material.name}, strength class", value, material.strength_source)
        if strength is not None:
            yield from _strengths(material, climate)


def _stock(stock: Stock) -> Basis:
    standing = standing_of(stock.source, stock.provenance)
    return Basis(
        "stock", stock.name, worded(f"{as_given(stock.thickness_mm)} thick"), (), stock.source, standing
    )


def _strengths(material: Material, climate: int) -> Iterator[Basis]:
    row = row_for_material(material, "strengths")
    graded = bool(material.grade)
    for group in _groups(row):
        # what a strength class lists itself, and moist climates that nobody asked for
        if (group in ("bearing", "shear") and graded) or (group == "class" and climate == 1):
            continue
        yield _group("material", f"{material.kind}", row, group)
    basis = basis_row(material)
    value = f"modulus {basis['moe']}, strength {basis['mor']}; shear {basis['shear']}"
    words = f"{basis['reason']}; {basis['shear_reason']}"
    yield Basis(
        "material", f"{material.name}, how its values are meant", value, (), words, standing_of(words)
    )
    creep = find_creep(material, climate)
    yield _sourced("material", f"{creep.grade}, creep", f"k_def {creep.factor:g}", creep.source, ("sag",))


def _groups(row: Mapping[str, str]) -> list[str]:
    """Groups of values that a row gives a source for."""
    ends = "_provenance"
    return [c.removesuffix(ends) for c in row if c.endswith(ends) and row[c.removesuffix(ends) + "_source"]]


def _group(kind: str, what: str, row: Mapping[str, str], group: str) -> Basis:
    """One group of values of a row of a table."""
    columns = _ALSO.get(group) or tuple(
        c for c in row if c.startswith(f"{group}_") and not c.endswith(("_source", "_provenance"))
    )
    value = ", ".join(_worded(c, row[c]) for c in columns if row.get(c))
    source = Source(row[f"{group}_source"], row[f"{group}_provenance"])
    return _sourced(kind, f"{what}, {group.replace('_', ' ')}", value, source)


_COLUMNS = {
    "moe": "E along the grain",
    "moe_cross": "E across it",
    "mor": "bending strength",
    "gamma_m": "gamma_M",
    "permanent": "k_mod permanent",
    "moe_spread": "variation of E",
    "mor_spread": "variation of strength",
    "cr": "radial, per % of moisture",
    "ct": "tangential, per % of moisture",
    "panel_g": "G in the plane",
    "planar_g": "G across the plane",
    "bearing": "square to grain or face",
}
_UNITS = (("_kg_m3", " kg/m³"), ("_mpa", " N/mm²"))


def _worded(column: str, value: str) -> str:
    """A value under the name of its column, in words."""
    ending, unit = next(((e, u) for e, u in _UNITS if column.endswith(e)), ("", ""))
    name = column.removesuffix(ending)
    return f"{_COLUMNS.get(name, name.replace('_', ' '))} {value}{unit}"


def _joints(piece: Piece) -> Iterator[Basis]:
    for row, glued in dict.fromkeys((turning_row(joint), joint.glued) for joint in piece.joints):
        turning = find_turning(row, glued=glued)
        value = f"{turning.low:g} to {turning.high:g} N m/rad for each metre"
        what = f"{row}, {'glued' if glued else 'dry'}: stiffness against turning"
        yield _sourced("joint", what, value, turning.source, ("sag", "sideways"))
    sold = {(h.kind, h.size): h for h in hardware_table()}
    for need in hardware_list(piece):
        known = sold.get((need.kind, need.size))
        if known is not None:
            standing = standing_of(known.source, known.provenance)
            yield Basis("hardware", known.name, known.size, (), known.source, standing)


@cache
def _other_tables() -> tuple[str, ...]:
    folder = Path(catalogue.__file__).parent / "data"
    return tuple(sorted(p.stem for p in folder.glob("*.csv") if p.stem not in _TABLES))


def _named(findings: Iterable[Finding]) -> Iterator[Basis]:
    """Rows of tables that are not known here, where a finding names their source."""
    told = "\n".join(dict.fromkeys(f.source for f in findings))
    for table in _other_tables():
        for row in table_rows(table):
            source = row.get("source", "")
            if len(source) >= LEAST_NAMED and source in told:
                first, *rest = [c for c in row if c not in ("source", "provenance", "note", "title")]
                value = ", ".join(f"{c} {row[c]}" for c in rest if row[c])
                standing = standing_of(source, row.get("provenance", ""))
                yield Basis("value", row.get("title") or row[first], value, (), source, standing)


RULED_BY_KIND = frozenset({"joint", "child-on-joint"})
"""Findings whose rule depends on the kind of joint: they name it themselves, whatever the table says."""


def _of_findings(findings: Iterable[Finding]) -> Iterator[Basis]:
    """What findings say themselves of limit and method, where no row of the table speaks of them."""
    known = {name for row in table_rows("methods") for name in row["findings"].split()} - RULED_BY_KIND
    for f in findings:
        if f.source and f.name not in known:
            limit = "" if f.limit is None else f"{'least' if f.least else 'most'} {f.limit:.4g} {f.unit}"
            yield Basis("finding", f.name, limit.strip(), (), f.source, standing_of(f.source))


def basis_rows(basis: Iterable[Basis]) -> list[dict[str, object]]:
    """The basis as the report lists it."""
    return [
        {
            "kind": b.kind,
            "what": b.what,
            "value": b.value,
            "used_by": list(b.used_by),
            "source": b.source,
            "standing": list(b.standing),
        }
        for b in basis
    ]
