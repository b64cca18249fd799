"""What `furnigen solve` does: reads, searches, answers, writes."""

from __future__ import annotations

import time
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path

from furnigen.core.progress import Sink, silent
from furnigen.family.engine import Choice, engine
from furnigen.solve.answer import Answer, binding_of, nearest_failing, relaxed_by_a_step, with_relaxed
from furnigen.solve.best_first import Found
from furnigen.solve.conflict import find_conflict, nearest_that_would
from furnigen.solve.demands import Goal
from furnigen.solve.goal_file import Asked
from furnigen.solve.known import Kept, Known
from furnigen.solve.search import Space, space_of
from furnigen.solve.setup import FIT, STAGE_WORDS
from furnigen.solve.trade_off import Curve, trade_off

MANY = 1 << 30


@dataclass
class Solved:
    """What came of a goal file.

    Attributes:
        space, known: what was searched, and what is known of it.
        answer: of one goal; None where two are traded off.
        curve: of two goals; None where there is one.
        worked_out: how many candidates were worked out to each stage by the search itself.
        beside: how many more for what is said beside it: limits relaxed, limits that contradict each other.
        stopped: why it ended before its time: "time", "interrupt", or "" where it did not.
        seconds: how long it took.
        earlier: how many stages were taken from an earlier run.
    """

    space: Space
    known: Known
    answer: Answer | None = None
    curve: Curve | None = None
    worked_out: Counter[str] = field(default_factory=Counter)
    beside: Counter[str] = field(default_factory=Counter)
    stopped: str = ""
    seconds: float = 0.0
    earlier: int = 0

    @property
    def found(self) -> bool:
        """Whether something holds."""
        if self.curve is not None:
            return bool(self.curve.points)
        return self.answer is not None and self.answer.found.score is not None


class _Watch:
    """When to end, and what is shown meanwhile."""

    def __init__(self, space: Space, seconds: float | None, stop: Callable[[], bool], on_step: Sink) -> None:
        self._space, self._stop, self._on_step = space, stop, on_step
        self._end = None if seconds is None else time.monotonic() + seconds
        self._best = ""
        self.stopped = ""
        self.doing = ""

    def over(self) -> bool:
        if self._stop():
            self.stopped = "interrupt"
        elif self._end is not None and time.monotonic() >= self._end:
            self.stopped = "time"
        return bool(self.stopped)

    def best(self, goal: Goal) -> Callable[[float, float], None]:
        def tell(score: float, floor: float) -> None:
            units = self._space.asked.family.units
            text = f"best so far {goal.show(score, units)}"
            if abs(floor) < float("inf") and floor < score:
                text += f", {'at most' if goal.largest else 'at least'} {goal.show(floor, units)}"
            self._best = text

        return tell

    def told(self, known: Known) -> None:
        done = known.worked_out
        later = (s for s in self._space.demands.stages if s != FIT)
        more = "".join(f", {done[s]:,} {STAGE_WORDS[s]}" for s in later)
        text = f"{done[FIT]:,} of {self._space.size:,} described{more}"
        self._on_step("; ".join(filter(None, (self.doing, text, self._best))))


def solve(
    asked: Asked,
    choice: Choice,
    kept_in: Path | None = None,
    seconds: float | None = None,
    stop: Callable[[], bool] = lambda: False,
    on_step: Sink = silent,
) -> Solved:
    """Find what serves a goal best.

    Args:
        choice: where candidates are worked out.
        kept_in: folder for what is worked out, to go on from; None to keep none.
        seconds: the search ends after this long with the best so far.
        stop: asked now and then; True ends the search with the best so far.
        on_step: called with how far it is.

    Raises:
        InputError: a number that the report has not, an empty grid, a price that is missing, a cluster that
            can not be used.
        OutputError: `kept_in` is in use, or can not be written.
    """
    begun = time.monotonic()
    space = space_of(asked)
    watch = _Watch(space, seconds, stop, on_step)
    priced_by = space.asked.shop.name if _asks_cost(space.asked) and space.asked.shop else ""
    with engine(choice, space.setup, MANY) as workers:
        if kept_in is None:
            known = Known(space.grid, workers, None, watch.over, watch.told, priced_by)
            solved = _solve(space, known, watch)
        else:
            with Kept(kept_in, space.definition()) as kept:
                known = Known(space.grid, workers, kept, watch.over, watch.told, priced_by)
                earlier = len(kept.rows)
                solved = _solve(space, known, watch)
                solved.earlier = earlier
    solved.beside = Counter(known.worked_out) - solved.worked_out
    solved.stopped = watch.stopped
    solved.seconds = time.monotonic() - begun
    return solved


def _asks_cost(asked: Asked) -> bool:
    return any(m.name == "cost" for m in asked.measures)


def _solve(space: Space, known: Known, watch: _Watch) -> Solved:
    solved = Solved(space, known)
    goals = space.asked.goals
    if len(goals) == 2:
        first = goals[0]
        tell = watch.best(first)
        solved.curve = trade_off(
            known, (goals[0], goals[1]), space.demands,
            lambda goal, demands: space.search(known, goal, demands, tell=tell),
        )  # fmt: skip
        solved.worked_out = Counter(known.worked_out)
        if not solved.curve.points and solved.curve.last is not None:
            solved.answer = Answer(first, solved.curve.last)
            _explain_nothing(solved.answer, space, known, watch)
        return solved
    goal = goals[0]
    found = space.search(known, goal, space.demands, follow=True, tell=watch.best(goal))
    solved.worked_out = Counter(known.worked_out)
    solved.answer = answer = Answer(goal, found)
    if found.score is None:
        _explain_nothing(answer, space, known, watch)
    else:
        _explain(answer, found, space, known, watch)
    return solved


def _explain(answer: Answer, found: Found, space: Space, known: Known, watch: _Watch) -> None:
    best = known.facts(found.best[0])
    answer.binding = binding_of(best, space.demands, known)
    answer.failing = nearest_failing(known, answer.goal, space.demands, found)

    def tell(what: str) -> None:
        watch.doing = what

    if space.whole:
        skip = space.asked.skip
        answer.relaxed = relaxed_by_a_step(known, answer.goal, space.demands, space.numbers, skip, tell)
        answer.binding = with_relaxed(answer, best, space.asked.family.units)


def _explain_nothing(answer: Answer, space: Space, known: Known, watch: _Watch) -> None:
    answer.nearest = nearest_failing(known, answer.goal, space.demands, answer.found)
    if not space.whole or answer.found.stopped:
        return
    watch.doing = "nothing holds: finding which limits contradict each other"
    answer.conflict = find_conflict(known, space.demands, space.numbers)
    if answer.conflict is not None:
        answer.would = nearest_that_would(
            known, space.demands, answer.conflict, space.numbers, space.asked.skip
        )
