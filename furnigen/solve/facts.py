"""What is known of a candidate so far."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from furnigen.core.finding import FAIL
from furnigen.solve.setup import SAG, STAGES, STRENGTH


@dataclass
class Facts:
    """What is known of one candidate; grows by a stage at a time.

    Attributes:
        number: of the candidate.
        exact: values by the name of their measure.
        least: what values are proven not to be below.
        checks: of each stage that makes checks: those that fail, and those nearest their limits.
        fails: of each stage worked out, whether a check of it fails.
        refusal: why there is no such piece; "" where there is one.
        broken: whether it could not be worked out for a reason that is not the recipe's.
        unpriced: what has no price.
        unfitted: what can not be cut from the stock there is.
        ran_out: whether that is because stock ran out, so that another layout might do.
    """

    number: int
    exact: dict[str, float] = field(default_factory=dict)
    least: dict[str, float] = field(default_factory=dict)
    checks: dict[str, list[dict[str, Any]]] = field(default_factory=dict)
    fails: dict[str, bool] = field(default_factory=dict)
    refusal: str = ""
    broken: bool = False
    unpriced: tuple[str, ...] = ()
    unfitted: tuple[str, ...] = ()
    ran_out: bool = False

    @property
    def depth(self) -> int:
        """How many stages are worked out."""
        return len(self.fails)

    def has(self, stage: str) -> bool:
        """Whether a stage is worked out, or never will be."""
        return stage in self.fails or bool(self.refusal)

    def take(self, stage: str, row: dict[str, Any]) -> None:
        """Add what a stage has found."""
        for name in row["exact"].keys() - row["least"].keys():
            self.least.pop(name, None)  # what it was not below is of no more interest
        self.exact |= row["exact"]
        self.least |= {k: v for k, v in row["least"].items() if v > self.least.get(k, float("-inf"))}
        self.fails[stage] = bool(row.get("fails"))
        if row["checks"]:
            self.checks[stage] = row["checks"]
        self.unpriced = tuple(row.get("unpriced", self.unpriced))
        self.unfitted = tuple(row.get("unfitted", self.unfitted))
        self.ran_out = bool(row.get("ran_out", self.ran_out))

    def floor(self, name: str) -> float | None:
        """The value of a measure, or what it is not below; None where nothing is known."""
        return self.exact.get(name, self.least.get(name))

    def most_used(self, *, warnings: bool = True) -> dict[str, Any] | None:
        """The check of sag, strength or standing that uses most of its limit.

        Args:
            warnings: whether one counts that is beyond its limit and only warns.
        """
        known = [c for stage in (SAG, STRENGTH) for c in self.checks.get(stage, ())]
        shares = [c for c in known if c["used"] is not None]
        if not warnings:
            shares = [c for c in shares if c["status"] == FAIL or c["used"] <= 1.0]
        return max(shares, key=lambda c: c["used"], default=None)

    def all_checks(self) -> list[dict[str, Any]]:
        """All checks known, each once: what a later stage says of one goes over what an earlier one did."""
        found: dict[tuple[str, str, str], dict[str, Any]] = {}
        for stage in STAGES:
            for check in self.checks.get(stage, ()):
                found[check["name"], check["title"], check["where"]] = check
        return list(found.values())
