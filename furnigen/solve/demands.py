"""Goals, limits and checks that must pass: what they make of the facts of a candidate."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from typing import Protocol

from furnigen.solve.facts import Facts
from furnigen.solve.measures import Measure, later
from furnigen.solve.setup import FIT, STAGES

LONGEST_PLACE = 80
UNKNOWN_EXCESS = 1.0
"""How far beyond its limit what fails without a number is taken to be."""


@dataclass(frozen=True)
class Goal:
    """What counts: the smallest, or the largest, weighted sum of some numbers.

    Attributes:
        terms: numbers with their weights, each above zero.
        largest: whether the largest sum is wanted.
    """

    terms: tuple[tuple[Measure, float], ...]
    largest: bool = False

    @property
    def words(self) -> str:
        """What is wanted, in words."""
        return f"{'maximise' if self.largest else 'minimise'} {self.name}"

    @property
    def name(self) -> str:
        """The sum in words."""
        return " + ".join(m.name if w == 1 else f"{w:g} x {m.name}" for m, w in self.terms)

    @property
    def stage(self) -> str:
        """After which its value is known."""
        found = FIT
        for measure, _ in self.terms:
            found = later(found, measure.stage)
        return found

    def score(self, facts: Facts) -> float | None:
        """The lower the better; None while it is not known, or where the piece has no such number."""
        total = 0.0
        for measure, weight in self.terms:
            if measure.name not in facts.exact:
                return None
            total += weight * facts.exact[measure.name]
        return round(-total if self.largest else total, 6) + 0.0

    def floor(self, facts: Facts) -> float:
        """What its score is proven not to be below, whatever layout is found."""
        total = 0.0
        for measure, weight in self.terms:
            value = facts.exact.get(measure.name) if self.largest else facts.least.get(measure.name)
            value = facts.floor(measure.name) if value is None and not self.largest else value
            if value is None:
                return -inf
            total += weight * value
        return round(-total if self.largest else total, 6) + 0.0

    def value(self, score: float) -> float:
        """The value of a score."""
        return (-score if self.largest else score) + 0.0

    def show(self, score: float, units: str = "mm") -> str:
        """The value of a score, for people."""
        value = self.value(score)
        if len(self.terms) == 1 and self.terms[0][1] == 1:
            return self.terms[0][0].show(value, units)
        return f"{value:.5g}"


class Demand(Protocol):
    """Something that must hold.

    Attributes:
        name: what answers call it.
        stage: after which it is known for certain.
    """

    @property
    def name(self) -> str:
        """What answers call it."""

    @property
    def stage(self) -> str:
        """After which it is known for certain."""

    def excess(self, facts: Facts) -> float | None:
        """By what share of itself it is exceeded, 0 or less where it holds; None while that is not known."""

    def proven(self, facts: Facts) -> bool:
        """Whether an excess stands for certain: no other layout of the same piece could hold."""

    def why(self, facts: Facts, units: str) -> str:
        """How it fails, in words."""


@dataclass(frozen=True)
class Hold:
    """A number that must be at most, or at least, something.

    Attributes:
        most, least: either is None where there is no such limit.
    """

    measure: Measure
    most: float | None = None
    least: float | None = None

    @property
    def name(self) -> str:
        """What answers call it."""
        return self.measure.name

    @property
    def stage(self) -> str:
        """After which it is known."""
        return self.measure.stage

    def excess(self, facts: Facts) -> float | None:
        """As `Demand.excess`; also known as soon as what is proven least is too much."""
        value = facts.exact.get(self.measure.name)
        if value is None:
            floor = facts.least.get(self.measure.name)
            if floor is not None and self.most is not None and floor > self.most + self.measure.slack:
                return _share(floor - self.most, self.most)
            return UNKNOWN_EXCESS if facts.has(self.stage) else None
        over = [0.0]
        if self.most is not None and value > self.most + self.measure.slack:
            over.append(_share(value - self.most, self.most))
        if self.least is not None and value < self.least - self.measure.slack:
            over.append(_share(self.least - value, self.least))
        return max(over)

    def proven(self, facts: Facts) -> bool:
        """As `Demand.proven`: a limit that only a better layout could hold is not."""
        least = facts.least.get(self.measure.name)
        if least is None or self.most is None:
            return True
        return least > self.most + self.measure.slack

    def why(self, facts: Facts, units: str) -> str:
        """How it fails, in words."""
        return self.words(facts, units)

    def words(self, facts: Facts, units: str) -> str:
        """What a candidate has of it, and the limit: "sheets 2, at most 2"."""
        value = facts.floor(self.measure.name)
        if value is None:
            return f"it has no {self.name}"
        exact = "" if self.measure.name in facts.exact else "at least "
        of = ""
        if self.name == "utilisation" and (worst := facts.most_used()) is not None:
            of = f": {_check_place(worst)}"  # a share says nothing without what it is a share of
        return f"{self.name} {exact}{self.measure.show(value, units)}, {self.limit(units)}{of}"

    def limit(self, units: str = "mm") -> str:
        """The limit in words: "at most 2"."""
        ends = (("at most", self.most), ("at least", self.least))
        return " and ".join(f"{w} {self.measure.show(v, units)}" for w, v in ends if v is not None)


def _share(over: float, limit: float) -> float:
    return over / abs(limit) if limit else over


@dataclass(frozen=True)
class ChecksPass:
    """All checks of one stage pass, and in the first there is a piece at all."""

    stage: str

    @property
    def name(self) -> str:
        """What answers call it."""
        return f"checks: {self.stage}"

    def excess(self, facts: Facts) -> float | None:
        """As `Demand.excess`."""
        if facts.refusal:
            return UNKNOWN_EXCESS
        if self.stage not in facts.fails:
            return None
        if not facts.fails[self.stage]:
            return 0.0
        return max(_beyond(c) for c in facts.checks[self.stage])

    def proven(self, facts: Facts) -> bool:
        """As `Demand.proven`."""
        return not facts.broken

    def why(self, facts: Facts, units: str) -> str:
        """How it fails, in words."""
        if facts.refusal:
            return facts.refusal
        bad = [c for c in facts.checks[self.stage] if c["status"] == "fail"]
        return check_words(bad[0]) + (f", and {len(bad) - 1} more" if len(bad) > 1 else "")


def _beyond(check: dict[str, object]) -> float:
    if check["status"] != "fail":
        return 0.0
    used = check["used"]
    return used - 1.0 if isinstance(used, float) and used > 1.0 else UNKNOWN_EXCESS


def check_words(check: dict[str, object]) -> str:
    """One check in words: "sag of shelf.1, 97 % of its limit"."""
    used = check["used"]
    share = f", {used:.0%} of its limit" if isinstance(used, float) else ""
    return f"{_check_place(check)}{share}"


def _check_place(check: dict[str, object]) -> str:
    place = str(check["where"])
    where = f" of {_first_clause(place)}" if place and place not in str(check["title"]) else ""
    return f"{check['title']}{where}"


def _first_clause(where: str) -> str:
    """Where something is, without the words on how it was found; `make` says all of it."""
    if len(where) <= LONGEST_PLACE:
        return where
    cut = max(where.rfind(mark, 0, LONGEST_PLACE) for mark in (", ", ": ", "; "))
    return f"{where[: cut if cut > 0 else LONGEST_PLACE]} ..."


@dataclass(frozen=True)
class NamedCheck:
    """One kind of check passes: for conflicts, which name checks one by one."""

    check: str
    stage: str

    @property
    def name(self) -> str:
        """What answers call it."""
        return f"check {self.check}"

    def excess(self, facts: Facts) -> float | None:
        """As `Demand.excess`."""
        if facts.refusal:
            return UNKNOWN_EXCESS
        if self.stage not in facts.fails:
            return None
        named = (c for c in facts.checks.get(self.stage, ()) if c["name"] == self.check)
        return max(map(_beyond, named), default=0.0)

    def proven(self, facts: Facts) -> bool:
        """As `Demand.proven`."""
        return not facts.broken

    def why(self, facts: Facts, units: str) -> str:
        """How it fails, in words."""
        named = (c for c in facts.checks.get(self.stage, ()) if c["name"] == self.check)
        return facts.refusal or next((check_words(c) for c in named if c["status"] == "fail"), "")


@dataclass(frozen=True)
class CanBeCut:
    """Every part can be cut from the stock there is."""

    stage: str

    @property
    def name(self) -> str:
        """What answers call it."""
        return "stock"

    def excess(self, facts: Facts) -> float | None:
        """As `Demand.excess`."""
        if facts.refusal:
            return UNKNOWN_EXCESS
        if facts.unfitted:  # stock of which there is none is known before any layout
            return UNKNOWN_EXCESS
        return 0.0 if self.stage in facts.fails else None

    def proven(self, facts: Facts) -> bool:
        """As `Demand.proven`: parts for which no stock is left may fit in a better layout."""
        return not facts.ran_out

    def why(self, facts: Facts, units: str) -> str:
        """How it fails, in words."""
        return f"no stock is left for {', '.join(facts.unfitted[:3])}"


@dataclass(frozen=True)
class Demands:
    """All that must hold, and in which stages that is worked out.

    Attributes:
        all: the demands, those of the first stages first.
        stages: the stages worked out for each candidate, in order.
    """

    all: tuple[Demand, ...]
    stages: tuple[str, ...]

    def broken(self, facts: Facts) -> Demand | None:
        """The first demand that is known to fail; None while none is."""
        return next((d for d in self.all if (d.excess(facts) or 0.0) > 0.0), None)

    def next_stage(self, facts: Facts) -> str | None:
        """The next stage to work out; None when all are."""
        return next((s for s in self.stages if not facts.has(s)), None)

    def excess(self, facts: Facts) -> float:
        """By how much all that is known to fail does, together."""
        return sum(max(0.0, d.excess(facts) or 0.0) for d in self.all)


def in_order(demands: list[Demand], stages: set[str]) -> Demands:
    """Demands in the order in which they become known."""
    ranked = sorted(demands, key=lambda d: STAGES.index(d.stage))
    return Demands(tuple(ranked), tuple(s for s in STAGES if s in stages))
