"""What varies: the list or range one parameter runs through, or a table of linked rows.

All values of an axis are read before anything is made, so one the recipe refuses is an error at once; a
range is reckoned, never spelled out, so a slip of its step costs nothing.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import floor
from pathlib import Path
from typing import Any

from furnigen.core.errors import InputError
from furnigen.core.quantities import MAX_LENGTH_MM, MM_PER_INCH
from furnigen.recipes.parameters import Parameter

RANGE_KEYS = {"from", "to", "step", "count"}
MOST_STEPS = 10**9
"""The most steps of one range; counts stay within machine integers."""
Read = Callable[[str, Any], Any]
"""Reads the value of one name: (name, as written) to plain data: mm, degrees, whole numbers, words."""


@dataclass(frozen=True)
class Listed:
    """Rows of values that go together; one column for a plain list.

    Attributes:
        names: what the columns set.
        rows: plain values, one tuple a row.
    """

    names: tuple[str, ...]
    rows: tuple[tuple[Any, ...], ...]

    def __len__(self) -> int:
        return len(self.rows)

    def row(self, index: int) -> tuple[Any, ...]:
        """The values of one row."""
        return self.rows[index]

    def definition(self) -> Any:
        """What it is made of, for the manifest."""
        return [list(row) for row in self.rows]


@dataclass(frozen=True)
class Range:
    """Equal steps, ends included where the step reaches them.

    Attributes:
        names: the one name it sets.
        first, step: exact, mm or degrees or whole numbers.
        count: how many values.
        whole: whether the values are whole numbers.
    """

    names: tuple[str, ...]
    first: Fraction
    step: Fraction
    count: int
    whole: bool

    def __len__(self) -> int:
        return self.count

    def row(self, index: int) -> tuple[Any, ...]:
        """The value of one step, correctly rounded from the exact one."""
        exact = self.first + index * self.step
        return (int(exact) if self.whole else float(exact),)

    def definition(self) -> Any:
        """What it is made of, for the manifest."""
        return {"from": str(self.first), "step": str(self.step), "count": self.count}


Axis = Listed | Range


def _distinct(axis: Listed, what: str) -> Listed:
    seen: set[str] = set()
    for row in axis.rows:
        key = repr(row)
        if key in seen:
            shown = ", ".join(f"{n} = {v}" for n, v in zip(axis.names, row, strict=True))
            raise InputError(what, shown, "is given twice", "take one of them out")
        seen.add(key)
    return axis


def read_list(name: str, values: Sequence[Any], read: Read, what: str) -> Listed:
    """A plain list of values for one name.

    Raises: InputError when it is empty, holds a value the recipe does not take, or one twice.
    """
    if not values:
        raise InputError(what, "[]", "is empty", "give at least one value")
    return _distinct(Listed((name,), tuple((read(name, v),) for v in values)), what)


def _step(given: Any, parameter: Parameter, units: str, what: str) -> Fraction:
    """The step of a range, in the parameter's own unit."""
    as_any = Parameter(what, parameter.kind, 0, "", 0.0, MAX_LENGTH_MM)
    return Fraction(repr(as_any.read(given, units)))


def read_range(parameter: Parameter, given: Mapping[str, Any], read: Read, units: str, what: str) -> Range:
    """A range: from, to, and step or count.

    Raises: InputError when a key is missing or strange, it is empty, or its ends are out of range.
    """
    strange = [k for k in given if k not in RANGE_KEYS]
    if strange or "from" not in given or "to" not in given or ("step" in given) == ("count" in given):
        keys = ", ".join(given) or "nothing"
        raise InputError(what, keys, "a range needs from, to, and either step or count",
                         "as in { from = 600, to = 1200, step = 150 }")  # fmt: skip
    if parameter.kind not in ("length", "angle", "count"):
        raise InputError(what, "a range", f"{parameter.name} is no number", "give a list of values")
    low, high = (Fraction(repr(read(parameter.name, given[k]))) for k in ("from", "to"))
    whole = parameter.kind == "count"
    if low > high:
        raise InputError(what, f"{given['from']} to {given['to']}", "is empty: it ends before it begins",
                         "swap from and to")  # fmt: skip
    if "step" in given:
        step = _step(given["step"], parameter, units, f"{what}: step")
        if step <= 0:
            raise InputError(f"{what}: step", given["step"], "must be more than zero")
        count = floor((high - low) / step) + 1
        if count > MOST_STEPS:
            raise InputError(f"{what}: step", given["step"], f"makes more than {MOST_STEPS:,} values")
        return Range((parameter.name,), low, step, count, whole)
    count = given["count"]
    if isinstance(count, bool) or not isinstance(count, int) or not 1 <= count <= MOST_STEPS:
        allowed = f"must be a whole number, 1 or more, at most {MOST_STEPS:,}"
        raise InputError(f"{what}: count", count, allowed)
    step = (high - low) / (count - 1) if count > 1 else Fraction(1)
    if step == 0 or (count == 1 and low != high):
        raise InputError(f"{what}: count", count, f"does not fit from {given['from']} to {given['to']}")
    if whole and step.denominator != 1:
        raise InputError(f"{what}: count", count, f"does not divide from {low} to {high} into whole steps")
    return Range((parameter.name,), low, step, count, whole)


def _csv_rows(path: Path, what: str) -> list[dict[str, Any]]:
    try:
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise InputError(what, path.name, "is not UTF-8 text") from None
    except (OSError, ValueError) as error:  # a name that no file system takes, too
        why = error.strerror if isinstance(error, OSError) else error
        raise InputError(what, path.name, f"can not be read: {why}") from None
    lines = csv.reader(io.StringIO(text, newline=""))
    try:
        return _rows(lines, path, what)
    except csv.Error as error:  # a cell of 131,072 characters, say
        why = f"can not be read at line {lines.line_num}: {error}"
        raise InputError(what, path.name, why) from None


def _rows(lines: Iterator[list[str]], path: Path, what: str) -> list[dict[str, Any]]:
    names = [n.strip() for n in next(lines, [])]
    if not any(names):
        raise InputError(what, path.name, "is empty", "its first row must be parameter names")
    if "" in names or len(set(names)) != len(names):
        raise InputError(what, path.name, "has a column without a name, or two with the same one")
    rows = []
    for number, cells in enumerate(lines, 2):
        if not any(c.strip() for c in cells):
            continue
        if len(cells) != len(names):
            fits = f"the first row names {len(names)}"
            raise InputError(f"{what}: {path.name} row {number}", f"{len(cells)} cells", "is uneven", fits)
        rows.append({n: c.strip() for n, c in zip(names, cells, strict=True)})
    return rows


def read_link(given: Any, folder: Path, read: Read, what: str) -> Listed:
    """Linked rows: `table`, a list of tables with the same keys, or `csv`, a file beside the family file.

    Raises: InputError when it has neither or both, is empty or uneven, or a value does not fit.
    """
    if not isinstance(given, dict) or len(given) != 1 or not set(given) <= {"table", "csv"}:
        keys = ", ".join(given) if isinstance(given, dict) else given
        raise InputError(what, keys, "needs table = [...] or csv = 'FILE.csv', and nothing else")
    if "csv" in given:
        if not isinstance(given["csv"], str):
            raise InputError(f"{what}: csv", given["csv"], "must be a file name in quotes")
        rows = _csv_rows(folder / given["csv"], what)
    else:
        rows = given["table"]
        if not isinstance(rows, list) or not all(isinstance(r, dict) and r for r in rows):
            raise InputError(f"{what}: table", rows, "must be a list of tables such as { width = '1 m' }")
    if not rows:
        raise InputError(what, "no rows", "is empty", "give at least one row")
    names = tuple(rows[0])
    for number, row in enumerate(rows, 1):
        if set(row) != set(names):
            fits = f"the first row has {', '.join(names)}"
            raise InputError(f"{what}: row {number}", ", ".join(row), "has other names", fits)
    return _distinct(Listed(names, tuple(tuple(read(n, row[n]) for n in names) for row in rows)), what)


def inches(mm: float) -> float:
    """A length in inches, without the noise of the division: 24 in is 24, so comparisons hold."""
    return round(mm / MM_PER_INCH, 9)


def in_file_units(value: Any, parameter: Parameter | None, units: str) -> Any:
    """A plain value as an expression sees it: lengths in the unit of the file."""
    if parameter is not None and parameter.kind == "length" and units == "in":
        return inches(value)
    return value
