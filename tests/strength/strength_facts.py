"""Rows of tests/facts, as the tests of strength read them."""

import csv
import re
from pathlib import Path

FACTS = Path(__file__).parents[1] / "facts"
INCH, PSI, PSF, LB_FT, POUND, G = 25.4, 6.894757293e-3, 47.88025898e-6, 0.0145939029, 0.45359237, 9.80665
"""mm, N/mm2, N/mm2, N/mm, kg (exact or CODATA by definition of the pound) and m/s2 (standard gravity)."""


def rows(name: str, start: str = "") -> list[dict[str, str]]:
    with (FACTS / f"{name}.csv").open(encoding="utf-8", newline="") as lines:
        read = list(csv.DictReader(lines))
    return [r for r in read if r.get("id", "").startswith(start)]


def check(name: str) -> dict[str, str]:
    (row,) = [r for r in rows("strength_checks") if r["id"] == name]
    return row


def inputs(row: dict[str, str]) -> dict[str, float]:
    """`L=800; b=300` as numbers."""
    return {k: float(v) for k, v in re.findall(r"(\w+)=([-0-9.]+)", row["inputs"])}
