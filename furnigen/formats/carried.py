"""What a piece was taken to carry, as a terminal and a page say it."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from furnigen.core.finding import name_labels
from furnigen.formats.amounts import number


def loads_said(strength: Mapping[str, Any]) -> str:
    """Each load with the boards it lies on; "" where there is none.

    Args:
        strength: that part of a report.
    """
    on: dict[tuple[str, str], list[str]] = {}
    for row in strength.get("loads", ()):
        key = (_load(row), row["source"] if row["assumed"] else "")
        on.setdefault(key, []).append(row["board"])
    loads = []
    for (load, assumed), boards in on.items():
        words = f"{load} on {name_labels(boards)}"
        loads.append(f"{words} (assumed, as nothing is said: {assumed})" if assumed else words)
    return "; ".join(loads)


def _load(row: Mapping[str, Any]) -> str:
    """A load as it was said, with its amount where that was a use."""
    text: str = row["load"]
    amounts = ((row["kg_per_m"], "kg/m"), (row["kg_per_m2"], "kg/m²"))
    words = " and ".join(f"{number(round(kg, 1))} {unit}" for kg, unit in amounts if kg)
    return f"{text} ({words})" if words and not any(c.isdigit() for c in text) else text
