"""What is said of a search: what binds, the nearest that fails, what one step more would save."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from math import inf

from furnigen.solve.best_first import BestFirst, Found
from furnigen.solve.conflict import Conflict, WouldHold
from furnigen.solve.demands import Demand, Demands, Goal, Hold, check_words, in_order
from furnigen.solve.facts import Facts
from furnigen.solve.known import Known
from furnigen.solve.params_file import shown_values

NEAR = 0.9
"""From this share of its limit on something is said to bind. Common practice, no source."""
RELAX_STRENGTHS = 200
"""Strength evaluations that one relaxed limit may take."""


@dataclass(frozen=True)
class Binding:
    """Something that keeps the best from being better.

    Attributes:
        what: in words: "sag of shelf.1, 97 % of its limit".
        used: share of the limit that is used; None where that means nothing.
    """

    what: str
    used: float | None


@dataclass(frozen=True)
class Relaxed:
    """What came of a limit that was relaxed by one step, and searched again.

    Attributes:
        hold, to: the limit, and as it was searched again.
        score: of the best then; None where the search was not carried to its end.
        number: the best then.
    """

    hold: Hold
    to: Hold
    score: float | None
    number: int | None


@dataclass
class Answer:
    """All that is said of one search.

    Attributes:
        goal, found: what was searched, what came of it.
        binding: what binds the best.
        failing: the nearest candidate with a better score that fails, with what it fails.
        relaxed: each limit relaxed by one step.
        conflict, would: where nothing holds.
        nearest: where nothing holds, the candidate that fails least, with what it fails.
    """

    goal: Goal
    found: Found
    binding: list[Binding] = field(default_factory=list)
    failing: tuple[int, Demand] | None = None
    relaxed: list[Relaxed] = field(default_factory=list)
    conflict: Conflict | None = None
    would: list[WouldHold] = field(default_factory=list)
    nearest: tuple[int, Demand] | None = None


def binding_of(facts: Facts, demands: Demands, known: Known) -> list[Binding]:
    """What binds a candidate, the closest first: limits, checks, parameters at the end of their range."""
    found: list[Binding] = []
    family = known.grid.family
    units = family.units
    for d in demands.all:
        if isinstance(d, Hold) and d.measure.name in facts.exact and _varies(known, d.measure.name):
            share = _share(d, facts.exact[d.measure.name])
            if share is not None and share >= NEAR:
                found.append(Binding(d.words(facts, units), share))
    # beyond its limit and no failure: a warning, which keeps nothing from being better
    checks = [c for c in facts.all_checks() if c["used"] is not None and c["used"] <= 1.0]
    checks.sort(key=lambda c: -c["used"])
    near = [c for c in checks if c["used"] >= NEAR] or checks[: 0 if found else 1]
    found += [Binding(check_words(c), c["used"]) for c in near]
    found.sort(key=lambda b: -(b.used or 0.0))
    steps = known.grid.steps(facts.number)
    for axis, ranks, at in zip(family.axes, known.grid.ranks, steps, strict=True):
        if ranks is not None and len(set(ranks)) > 1 and ranks[at] in (0, max(ranks)):
            shown = shown_values(family, {axis.names[0]: axis.row(at)[0]})
            found.append(Binding(f"{shown}, the end of its range", None))
    return found


def _varies(known: Known, name: str) -> bool:
    """Whether a number differs between candidates: one that does not keeps none from being better."""
    return len({value for f in known.all if (value := f.floor(name)) is not None}) > 1


def _share(hold: Hold, value: float) -> float | None:
    if hold.most:
        return value / hold.most
    if hold.least:
        return hold.least / value if value else None
    return 1.0 if hold.most == 0 and value == 0 else None


def nearest_failing(known: Known, goal: Goal, demands: Demands, found: Found) -> tuple[int, Demand] | None:
    """Of the candidates worked out that would be better than the best, the one that fails least."""
    limit = inf if found.score is None else found.score
    failing = []
    for facts in known.all:
        broken = demands.broken(facts)
        if broken is None or facts.refusal:
            continue
        floor = goal.floor(facts)
        if floor < limit or floor == -inf:
            # what is worked out further fails later, so for a reason that is closer to holding
            failing.append((-facts.depth, demands.excess(facts), floor, facts.number, broken))
    if not failing:
        return None
    *_, number, broken = min(failing, key=lambda f: f[:4])
    return number, broken


def relaxed_by_a_step(
    known: Known,
    goal: Goal,
    demands: Demands,
    numbers: Sequence[int],
    skip: bool,
    tell: Callable[[str], None],
) -> list[Relaxed]:
    """Each end of each limit relaxed by one step and the search made again, with all that is known."""
    out: list[Relaxed] = []
    holds = [d for d in demands.all if isinstance(d, Hold)]
    for hold, looser in [(d, to) for d in holds for to in _looser(d)]:
        tell(f"relaxing {hold.name}")
        others = in_order([looser if d == hold else d for d in demands.all], set(demands.stages))
        search = BestFirst(known, goal, others, skip=skip, strengths=RELAX_STRENGTHS)
        again = search.run(numbers)
        sure = again.score is not None and not again.stopped and not again.exhausted
        score = again.score if sure else None
        out.append(Relaxed(hold, looser, score, again.best[0] if sure else None))
        if again.stopped:
            break
    return out


def with_relaxed(answer: Answer, best: Facts, units: str) -> list[Binding]:
    """What binds, with the limits that keep the best from being better though it is not close to them."""
    score = answer.found.score
    helps = [r.hold for r in answer.relaxed if r.score is not None and score is not None and r.score < score]
    more = []
    for hold in helps:
        said = Binding(hold.words(best, units), _share(hold, best.exact[hold.measure.name]))
        if said not in answer.binding:
            more.append(said)
    return [*more, *answer.binding]


def _looser(hold: Hold) -> Iterator[Hold]:
    """A limit relaxed by one step, each of its ends by itself; none where it can not be."""
    step = hold.measure.step

    def by(limit: float) -> float:
        return step if step > 0 else max(-step * abs(limit), 1e-6)

    if hold.most is not None and not (hold.name == "utilisation" and hold.most >= 1.0):
        most = round(hold.most + by(hold.most), 6)
        yield replace(hold, most=min(most, 1.0) if hold.name == "utilisation" else most)
    if hold.least is not None:
        yield replace(hold, least=round(hold.least - by(hold.least), 6))
