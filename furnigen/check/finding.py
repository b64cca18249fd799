"""What a check found: data, never an exception. Bad furniture is a finding; impossible input is an error."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

PASS, WARN, FAIL = "pass", "warn", "fail"
STATUSES = (PASS, WARN, FAIL)


@dataclass(frozen=True)
class Finding:
    """One result of one check.

    Attributes:
        name: stable name of the check, such as "interference".
        status: "pass", "warn" or "fail".
        value: what was found, in `unit`.
        limit: what it was held against, in `unit`; None where there is no limit to state.
        unit: "mm", "mm3", "parts" ...
        where: labels of the placements or openings concerned, or "" for the whole piece.
        source: where the limit comes from.
        remedy: what would put it right; "" when nothing needs to be.
        used: share of the limit that is used, above 1 when it is passed; None where that means nothing.
    """

    name: str
    status: str
    value: float
    limit: float | None = None
    unit: str = ""
    where: str = ""
    source: str = ""
    remedy: str = ""
    used: float | None = None


MOST_NAMED = 12
"""How many labels one line of a finding spells out; the report has them all."""


def named(labels: Sequence[str]) -> str:
    """Labels for one line of a finding, the first dozen spelled out."""
    rest = len(labels) - MOST_NAMED
    return ", ".join(labels[:MOST_NAMED]) + (f" and {rest} more" if rest > 0 else "")


def any_failed(findings: Iterable[Finding]) -> bool:
    """Whether any check failed: the one place an exit status is drawn from."""
    return any(f.status == FAIL for f in findings)


def worst_first(findings: Iterable[Finding]) -> list[Finding]:
    """Failures, then warnings, then passes; within each the most used first, then in the order found."""
    return sorted(findings, key=lambda f: (-STATUSES.index(f.status), -(f.used or 0.0)))
