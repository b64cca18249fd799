"""The tables of facts in furnigen/catalogue/data, and finding a row by its name."""

from __future__ import annotations

import csv
from collections.abc import Mapping
from pathlib import Path
from typing import TypeVar

from furnigen.core.errors import InputError
from furnigen.core.quantities import as_typed

Row = TypeVar("Row")

FEW = 12
"""A table of at most this many entries is listed in full in the error for an unknown name."""


def read_table(name: str) -> list[dict[str, str]]:
    """The rows of furnigen/catalogue/data/`name`.csv, each from column name to text."""
    path = Path(__file__).parents[1] / "catalogue" / "data" / f"{name}.csv"
    with path.open(newline="", encoding="utf-8") as lines:
        return list(csv.DictReader(lines))


def look_up(what: str, name: str, table: Mapping[str, Row], listed_by: str = "") -> Row:
    """The entry of `table` called `name`, or InputError with the names most like it.

    Capitals, spaces and the slash of a fraction are forgiven: `Oak 4/4` finds `oak-4-4`.

    Args:
        what: what is looked for ("stock", "material"), for the message.
        name: the name as typed.
        table: from name to entry; names in lower case, with hyphens.
        listed_by: the command that lists a table too long for a message.
    """
    key = "-".join(name.lower().replace("/", "-").split())
    if key in table:
        return table[key]
    import difflib  # only a slip needs it

    # Names that hold every word typed come first: a person types `oak`, not `oak-northern-red`.
    words = {word for word in key.split("-") if word}
    alike = [known for known in table if words and words.issubset(known.split("-"))]
    alike += [k for k in difflib.get_close_matches(key[:60], table, n=5, cutoff=0.6) if k not in alike]
    few = ", ".join(table) if len(table) <= FEW else f"{len(table)} to choose from"
    if listed_by and len(table) > FEW:
        few += f": {listed_by} lists them"
    fits = f"did you mean {', '.join(alike[:5])}?" if alike else f"there are {few}"
    raise InputError(what, as_typed(name), f"must be the name of a known {what}", fits)
