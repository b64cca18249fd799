"""The family's table: family.csv, and family.parquet where the extra is installed.

Rows are read twice from the disk, once for the columns and once for the cells, so memory stays flat
however many there are. The order of rows and columns is the family's, whatever finished first.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal
from importlib.util import find_spec
from io import StringIO
from itertools import islice
from pathlib import Path
from typing import Any

from furnigen.formats.cells import PLAIN, ListStyle

TableLine = dict[str, Any]
TableLines = Callable[[], Iterable[TableLine]]
"""Starts reading the rows from the first."""

FIRST = ("variant", "status", "reason")
_GROUPS = ("params.", "given.", "size.", "mass_kg", "parts.count", "placements.count", "checks.")
"""Columns that come first, by how their names begin: what a maker compares."""
NUMBER, WHOLE, TRUTH, WORD = "number", "whole", "truth", "word"
DECIMALS = 6
"""Decimals of numbers in the table: finer than anything is made or measured."""
AT_A_TIME = 500
"""Rows of family.parquet in memory at a time."""


@dataclass(frozen=True)
class TableColumn:
    """One column: its name, what it holds, and whether its values differ between variants."""

    name: str
    kind: str
    varies: bool


def _kind(of: type) -> str:
    return {bool: TRUTH, int: WHOLE, float: NUMBER}.get(of, WORD)


def _joined(a: str, b: str) -> str:
    if a == b:
        return a
    return NUMBER if {a, b} == {NUMBER, WHOLE} else WORD


def _rank(name: str) -> int:
    return next((i for i, g in enumerate(_GROUPS) if name.startswith(g)), len(_GROUPS))


def flat(line: TableLine) -> dict[str, Any]:
    """A finished row with its first columns."""
    return {"variant": line["name"], "status": line["status"], "reason": line["reason"], **line["row"]}


def columns(lines: Iterable[TableLine]) -> tuple[TableColumn, ...]:
    """The columns that the rows have between them."""
    # rows of a family are mostly of a few shapes: types of cells are found once for each shape
    shapes: dict[tuple[tuple[str, ...], tuple[type, ...]], int] = {}
    first: dict[str, Any] = {}
    alike: set[str] = set()
    for line in lines:
        row = flat(line)
        shape = (tuple(row), tuple(map(type, row.values())))
        if shape not in shapes:
            alike |= row.keys() - first.keys()
            first = row | first
        shapes[shape] = shapes.get(shape, 0) + 1
        alike -= {n for n in alike if n in row and row[n] != first[n]}
    kinds: dict[str, str] = {}
    seen: dict[str, int] = {}
    for (names, types), count in shapes.items():
        for name, kind in zip(names, map(_kind, types), strict=True):
            seen[name] = seen.get(name, 0) + count
            kinds[name] = _joined(kinds.setdefault(name, kind), kind)
    every = sum(shapes.values())
    ordered = sorted((n for n in kinds if n not in FIRST), key=_rank)  # stable: the rest keeps its order
    names = (*(f for f in FIRST if f in kinds), *ordered)
    return tuple(TableColumn(n, kinds[n], n not in alike or seen[n] < every) for n in names)


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if not isinstance(value, float):
        return str(value)
    text = repr(round(value, DECIMALS))
    return f"{value:.{DECIMALS}f}".rstrip("0").rstrip(".") if "e" in text else text.removesuffix(".0")


def _unmarked(value: Any) -> Any:
    """What has no decimal mark: texts, whole numbers as they are, and words for the rest."""
    return value if isinstance(value, str) or type(value) is int else _cell(value)


def csv_chunks(lines: TableLines, of: tuple[TableColumn, ...], style: ListStyle = PLAIN) -> Iterator[bytes]:
    """family.csv, UTF-8, piece by piece; an empty cell where a variant has no such number."""
    out = StringIO()
    out.write(style.line(c.name for c in of))
    for line in lines():
        row = flat(line)
        values = (row.get(c.name) for c in of)
        out.write(style.line(Decimal(_cell(v)) if isinstance(v, float) else _unmarked(v) for v in values))
        if out.tell() > 1 << 16:
            yield out.getvalue().encode()
            out.seek(0)
            out.truncate()
    yield out.getvalue().encode()


def has_parquet() -> bool:
    """Whether Parquet can be written here (the extra furnigen[table])."""
    return find_spec("pyarrow") is not None


def write_parquet(path: Path, lines: TableLines, of: tuple[TableColumn, ...]) -> None:
    """family.parquet: the same table with types; OSError when it can not be written."""
    import pyarrow as pa
    from pyarrow import parquet

    types = {NUMBER: pa.float64(), WHOLE: pa.int64(), TRUTH: pa.bool_(), WORD: pa.string()}
    schema = pa.schema([(c.name, types[c.kind]) for c in of])
    rows = map(flat, lines())
    # opened here: the library takes no path that is not UTF-8
    with path.open("wb") as file, parquet.ParquetWriter(file, schema) as writer:
        # the library's own reader of CSV runs ahead, and takes more memory the longer the table is
        while some := list(islice(rows, AT_A_TIME)):
            cells = [[_typed(row.get(c.name), c.kind) for row in some] for c in of]
            writer.write_batch(pa.record_batch(cells, schema=schema))


def _typed(value: Any, kind: str) -> Any:
    """A value as its cell in family.csv says it."""
    if kind == WORD:
        return _cell(value)
    return round(float(value), DECIMALS) if kind == NUMBER and value is not None else value
