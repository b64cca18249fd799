"""The basis of the checks of a piece as a page for the terminal."""

from __future__ import annotations

import textwrap
from collections import Counter
from collections.abc import Iterable, Mapping
from typing import Any

from furnigen.cli.finding_table import terminal_width
from furnigen.core.wording import shown

HEADINGS = {
    "method": "Methods",
    "value": "Values of methods",
    "load": "Loads",
    "limit": "Held to",
    "material": "Materials",
    "stock": "Stock",
    "joint": "Joints",
    "hardware": "Hardware",
    "finding": "Other checks",
}


PLAIN = frozenset({"common practice, no source", "our own choice", "given by the maker"})
"""Sources that say no more than the standing they have."""


def basis_lines(rows: Iterable[Mapping[str, Any]], units: str) -> list[str]:
    """The page, by kind, and how many rest on what.

    Args:
        rows: section `basis` of a report.
        units: "mm" or "in". Sources are quoted as they are, and hardware has the sizes it is sold by.
    """
    rows = list(rows)
    count = Counter(standing for row in rows for standing in row["standing"])
    told = ", ".join(f"{n} {standing}" for standing, n in count.most_common())
    lines = textwrap.wrap(
        f"Basis: {len(rows)} methods and values were used, of these {told}; some are of two kinds.",
        terminal_width(),
        subsequent_indent="  ",
    )
    for kind in dict.fromkeys([*HEADINGS, *(row["kind"] for row in rows)]):
        some = [row for row in rows if row["kind"] == kind]
        if some:
            lines += ["", f"{HEADINGS.get(kind, kind)}:"]
            for row in some:
                lines += _entry(row, units)
    return lines


def _entry(row: Mapping[str, Any], units: str) -> list[str]:
    """One method or value: what, where from, how far that can be trusted."""
    first = row["what"] + (f": {shown(row['value'], units)}" if row["value"] else "")
    used = f" (for {', '.join(row['used_by'])})" if row["used_by"] else ""
    wide = terminal_width()
    standing = "; ".join(row["standing"])
    source = "" if row["source"] in PLAIN else f": {row['source']}"
    return [
        *textwrap.wrap(first + used, wide, initial_indent="  ", subsequent_indent="    "),
        *textwrap.wrap(
            standing + source,
            wide,
            initial_indent="      ",
            subsequent_indent="      ",
        ),
    ]
