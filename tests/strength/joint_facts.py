"""Rows of tests/facts/joint_checks.csv, as the tests of joints read them."""

import re

from strength_facts import rows


def fact(name: str) -> dict[str, str]:
    (row,) = [r for r in rows("joint_checks") if r["id"] == name]
    return row


def expected(name: str) -> float:
    return float(fact(name)["expected"])


def within(name: str) -> float:
    """Tolerance as the row states it; a word such as exact is rounding."""
    text = fact(name)["tolerance"]
    return float(text) if re.fullmatch(r"[-+0-9.e]+", text) else 1e-9
