"""The family's table: family.csv, and family.parquet where the extra is installed.

Rows are read twice from the disk, once for the columns and once for the cells, so memory stays flat
however many there are. The order of rows and columns is the family's, whatever finished first.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from importlib.util import find_spec
from io import StringIO
from pathlib import Path
from typing import Any

Line = dict[str, Any]
Lines = Callable[[], Iterable[Line]]
"""Begins to read the rows anew."""

FIRST = ("variant", "status", "reason")
_GROUPS = ("params.", "given.", "size.", "mass_kg", "parts.count", "placements.count", "checks.")
"""Columns that come first, by how their names begin: what a maker compares."""
NUMBER, WHOLE, TRUTH, WORD = "number", "whole", "truth", "word"
_CHUNK = 500


@dataclass(frozen=True)
class Column:
    """One column: its name, what it holds, and whether its values differ between variants."""

    name: str
    kind: str
    varies: bool


def _kind(value: Any) -> str:
    if isinstance(value, bool):
        return TRUTH
    if isinstance(value, int):
        return WHOLE
    return NUMBER if isinstance(value, float) else WORD


def _joined(a: str, b: str) -> str:
    if a == b:
        return a
    return NUMBER if {a, b} == {NUMBER, WHOLE} else WORD


def _rank(name: str) -> int:
    return next((i for i, g in enumerate(_GROUPS) if name.startswith(g)), len(_GROUPS))


def flat(line: Line) -> dict[str, Any]:
    """A finished row with its first columns."""
    return {"variant": line["name"], "status": line["status"], "reason": line["reason"], **line["row"]}


def columns(lines: Iterable[Line]) -> tuple[Column, ...]:
    """The columns that the rows have between them."""
    kinds: dict[str, str] = {}
    first: dict[str, Any] = {}
    varies: set[str] = set()
    seen: dict[str, int] = {}
    count = 0
    for line in lines:
        count += 1
        for name, value in flat(line).items():
            kind = _kind(value)
            seen[name] = seen.get(name, 0) + 1
            kinds[name] = _joined(kinds.setdefault(name, kind), kind)
            if name not in varies and first.setdefault(name, value) != value:
                varies.add(name)
    names = sorted((n for n in kinds if n not in FIRST), key=_rank)  # stable: else in the order they came
    ordered = (*(f for f in FIRST if f in kinds), *names)
    return tuple(Column(n, kinds[n], n in varies or seen[n] < count) for n in ordered)


def _cell(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return f"{value:.6f}".rstrip("0").rstrip(".") if isinstance(value, float) else str(value)


def csv_chunks(lines: Lines, of: tuple[Column, ...]) -> Iterator[bytes]:
    """family.csv, UTF-8, piece by piece; an empty cell where a variant has no such number."""
    out = StringIO()
    table = csv.writer(out, lineterminator="\n")
    table.writerow([c.name for c in of])
    for line in lines():
        row = flat(line)
        table.writerow([_cell(row.get(c.name)) for c in of])
        if out.tell() > 1 << 16:
            yield out.getvalue().encode()
            out.seek(0)
            out.truncate()
    yield out.getvalue().encode()


def has_parquet() -> bool:
    """Whether Parquet can be written here (the extra furnigen[table])."""
    return find_spec("pyarrow") is not None


def write_parquet(path: Path, lines: Lines, of: tuple[Column, ...]) -> None:
    """family.parquet: the same table with types; OSError when it can not be written."""
    import pyarrow as pa
    from pyarrow import parquet

    types = {NUMBER: pa.float64(), WHOLE: pa.int64(), TRUTH: pa.bool_(), WORD: pa.string()}
    schema = pa.schema([(c.name, types[c.kind]) for c in of])
    with parquet.ParquetWriter(path, schema) as writer:
        rows: list[dict[str, Any]] = []
        for line in lines():
            row = flat(line)
            rows.append({c.name: _typed(row.get(c.name), c.kind) for c in of})
            if len(rows) == _CHUNK:
                writer.write_table(pa.Table.from_pylist(rows, schema))
                rows.clear()
        if rows:
            writer.write_table(pa.Table.from_pylist(rows, schema))


def _typed(value: Any, kind: str) -> Any:
    if value is None or kind != WORD:
        return value
    return value if isinstance(value, str) else _cell(value)
