"""What a check found: data, never an exception. Bad furniture is a finding; impossible input is an error."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import TypeVar

from furnigen.core.wording import worded

AS_ABOVE = "as for the worst board, above"
"""The remedy of a finding that the remedy of a worse one of its check puts right as well."""
PASS, WARN, FAIL = "pass", "warn", "fail"
STATUSES = (PASS, WARN, FAIL)


@dataclass(frozen=True)
class Finding:
    """One result of one check.

    Attributes:
        name: stable name of the check, such as "interference".
        status: "pass", "warn" or "fail".
        value: what was found, in `unit`; None for what could not be estimated.
        limit: what it was compared with, in `unit`; None where there is no limit to state.
        unit: "mm", "mm3", "parts" ...
        where: labels of the placements or openings concerned, or "" for the whole piece.
        source: where the limit comes from.
        remedy: what would put it right; "" when nothing needs to be.
        used: share of the limit that is used, above 1 when it is passed; None where that means nothing.
        least: whether the limit is the least the value may be; else it is the most.
        title: the check as people call it, where its name alone does not say: "racking left-right".
        labels: of the placements concerned, for findings that are told together and for programs.

    Lengths within `where`, `source` and `remedy` are put there by `furnigen.core.wording.in_words`: the texts
    read in millimetres, and `wording.shown` gives them in inches.

    >>> from furnigen import check, find_recipe
    >>> first = check(find_recipe("crate_wall")(), only=["fit"])[0]
    >>> first.name, first.status, first.unit
    ('least-clear-height', 'pass', 'mm')
    """

    name: str
    status: str
    value: float | None
    limit: float | None = None
    unit: str = ""
    where: str = ""
    source: str = ""
    remedy: str = ""
    used: float | None = None
    least: bool = False
    title: str = ""
    labels: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        # lengths that are still marked become texts that know them
        for name, text in (("where", self.where), ("source", self.source), ("remedy", self.remedy)):
            known = worded(text)
            if known is not text:
                object.__setattr__(self, name, known)


def not_estimated(name: str, what: str, where: str, why: str, remedy: str = "") -> Finding:
    """A check that could not be made, or had nothing to check, reported so that nobody takes it for a pass.

    Args:
        what: what is not known, such as "sag".
        why: the reason, in words.
    """
    return Finding(name, WARN, None, None, "", where, f"not estimated: {what}, because {why}", remedy)


MOST_NAMED = 12
"""How many labels one line of a finding spells out; the report has them all."""
LEAST_RUN = 3
"""From this many labels that count up, a message gives the first and the last."""


def name_labels(labels: Sequence[str]) -> str:
    """Labels for one line of a finding: runs by their ends, and only the first dozen of what is left.

    >>> name_labels(["top", "shelf.1.1", "shelf.1.2", "shelf.1.3", "shelf.2.1"])
    'top, shelf.1.1 to .3, shelf.2.1'
    """
    runs: list[list[str]] = []
    for label in dict.fromkeys(labels):
        if runs and _next_of(runs[-1][-1]) == label:
            runs[-1].append(label)
        else:
            runs.append([label])
    words = [w for r in runs for w in ([f"{r[0]} to {_ending(r[-1])}"] if len(r) >= LEAST_RUN else r)]
    rest = len(words) - MOST_NAMED
    return ", ".join(words[:MOST_NAMED]) + (f" and {rest} more" if rest > 0 else "")


def _next_of(label: str) -> str:
    """The next label in counting: shelf.3 after shelf.2; "" for one without a number."""
    stem, dot, number = label.rpartition(".")
    return f"{stem}{dot}{int(number) + 1}" if number.isdecimal() else ""


def _ending(label: str) -> str:
    """The part of the last label of a run that differs: .3 of shelf.1.3."""
    _, dot, number = label.rpartition(".")
    return dot + number


def any_failed(findings: Iterable[Finding]) -> bool:
    """Whether any check failed: the exit status follows from this alone."""
    return any(f.status == FAIL for f in findings)


def worst_first(findings: Iterable[Finding]) -> list[Finding]:
    """Failures, then warnings, then passes; within each the most used first, then in the order found."""
    return sorted(findings, key=lambda f: (-STATUSES.index(f.status), -(f.used or 0.0)))


def alike(ranked: Sequence[Finding]) -> list[list[Finding]]:
    """Findings of one check and status together, in the order of their worst."""
    groups: dict[tuple[str, str, str], list[Finding]] = {}
    for f in ranked:
        groups.setdefault((f.name, f.title, f.status), []).append(f)
    return list(groups.values())


T = TypeVar("T")

ALIKE = 1e-9
"""Share by which two values that are mirror images may differ by rounding."""


def without_noise(value: float) -> float:
    """A value to twelve digits: boards that are alike but for the rounding of their places become equal.

    >>> without_noise(0.1 + 0.2), without_noise(359.20000000000005)
    (0.3, 359.2)
    """
    return float(f"{value:.12g}")


def stable_maximum(some: Sequence[T], share: Callable[[T], float]) -> T:
    """The item with the largest value; of equal ones the first.

    >>> stable_maximum(["left", "right"], {"left": 1.0, "right": 1.0 + 1e-15}.__getitem__)
    'left'
    """
    most = max(map(share, some))
    return next(one for one in some if share(one) >= most - ALIKE * abs(most))
