"""The search of a whole grid, with proof.

Every candidate has a score it is proven not to be below: its own, once the goal is known of it, else a bound,
else none. Whoever has the lowest is worked out a stage further, the cheapest stage first, until one has
passed them all: then no other candidate can have a lower score, and it is the best of the grid. Candidates
are worked out in rounds of fixed size, so that the same are, however many workers there are.
"""

from __future__ import annotations

import heapq
from bisect import insort
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from math import inf

from furnigen.solve.demands import ChecksPass, Demand, Demands, Goal
from furnigen.solve.facts import Facts
from furnigen.solve.known import Known, StoppedError
from furnigen.solve.monotone import Monotone
from furnigen.solve.narrowing import Entry, around, spread
from furnigen.solve.setup import FIT, LAYOUT, SAG, STAGES, STRENGTH, WHOLE

ROUND = {FIT: 256, SAG: 64, STRENGTH: 16, LAYOUT: 8, WHOLE: 2}
"""How many candidates are worked out before the next are chosen."""
PROBES = 8
"""Candidates tried early, all over the range of scores, so that there soon is one that holds."""
PROBE_FROM = 64
BLIND_FROM = 512
"""From so many candidates on some are tried before all are described, for a best so far."""
NARROW_FROM, NARROW_TO, NARROWED, MOST_NARROWINGS = 256, 64, 0.8, 12
"""From so many candidates on parameters are tested early, and candidates tried all over the band that is
left, until it is so narrow, or does not become narrower by so much."""
TEST_BASES = 2
MORE_FOR_NEXT = 64
"""Strength evaluations that the next best may take beyond those of the best."""
AUDIT_LEAST, AUDIT_SHARE, AUDIT_MOST = 32, 0.25, 64
"""Of the candidates set aside as weaker this share, within bounds, is tried after all."""


@dataclass
class Found:
    """What a search has found.

    Attributes:
        best: the candidates with the best score, all that hold, in order.
        score: theirs; None where none holds.
        floor: what no candidate is proven to be below; -inf where nothing is known.
        following: the next best, with its score; None where none was found.
        sure_of_next: whether the search for it was carried to its end.
        proven: whether nothing in the grid is better.
        doubts: why not, in words; and what the proof rests on.
        stopped: whether time or a person ended it.
        exhausted: whether it took all the strength evaluations it may.
        set_aside: how many candidates were not tried, being weaker than one that failed.
        audited: how many of those set aside were tried after all.
        pairs: how many pairs the test of that rests on.
    """

    best: list[int] = field(default_factory=list)
    score: float | None = None
    floor: float = -inf
    following: tuple[float, int] | None = None
    sure_of_next: bool = False
    proven: bool = False
    doubts: list[str] = field(default_factory=list)
    stopped: bool = False
    exhausted: bool = False
    set_aside: int = 0
    audited: int = 0
    pairs: int = 0


class BestFirst:
    """One search.

    Args:
        known: has candidates worked out.
        goal, demands: what counts, what must hold.
        skip: whether candidates weaker than one that failed may be set aside.
        cutoff: only scores below this are of interest.
        follow: whether the next best is wanted.
        tell: called with the best so far.
        strengths: how many strength evaluations it may take.
    """

    def __init__(
        self,
        known: Known,
        goal: Goal,
        demands: Demands,
        *,
        skip: bool = True,
        cutoff: float = inf,
        follow: bool = False,
        tell: Callable[[float, float], None] = lambda score, floor: None,
        strengths: float = inf,
    ) -> None:
        self._known, self._goal, self._demands = known, goal, demands
        self._skip, self._cutoff, self._follow, self._tell = skip, cutoff, follow, tell
        self._strengths = strengths
        self._heap: list[Entry] = []
        self._holding: list[tuple[float, int]] = []
        checked = {d.stage for d in demands.all if isinstance(d, ChecksPass)}
        self._monotone = {stage: Monotone(known.grid) for stage in (SAG, STRENGTH) if stage in checked}
        self._aside: list[Entry] = []
        self._audited: set[int] = set()
        self._unproven = inf
        """The least floor of what failed only by the layout that was found."""
        self._broken = 0
        self._begun = known.worked_out[STRENGTH]
        self._exhausted = False
        self._sure_of_next = False

    def run(self, numbers: Iterable[int]) -> Found:
        """Search some candidates.

        Raises: InputError when something has no price.
        """
        stopped = False
        try:
            for number in numbers:
                self._put(number)
            if len(self._heap) >= BLIND_FROM and self._cutoff == inf and self._strengths == inf:
                self._try(spread(self._heap, PROBES))
            self._prove()
        except StoppedError:
            stopped = True
        return self._found(stopped)

    # -- the search ----------------------------------------------------------------------------

    def _prove(self) -> None:
        probed = False
        while True:
            limit = self._limit()
            if not self._heap or self._heap[0][0] > limit:
                if not self._audit(limit):
                    break
                continue
            if self._strength_done >= self._strengths:
                self._exhausted = True
                break
            if not probed and self._heap[0][0] > -inf and self._stage_of(self._heap[0][2]) != FIT:
                probed = True
                if len(self._heap) >= PROBE_FROM:
                    self._narrow()
                    continue
            self._work(self._round(limit))
        if self._follow and self._holding and not self._exhausted:
            self._sure_of_next = self._look_further()

    @property
    def _strength_done(self) -> int:
        return self._known.worked_out[STRENGTH] - self._begun

    def _limit(self) -> float:
        """The highest floor that is still of interest."""
        return min(self._cutoff, self._holding[0][0]) if self._holding else self._cutoff

    def _look_further(self) -> bool:
        """Look for the next best, within bounds; whether it is found, or there is none."""
        most = self._strength_done + max(MORE_FOR_NEXT, self._strength_done)
        best = self._holding[0][0]
        while self._heap and self._strength_done < most:
            later = [s for s, _ in self._holding if s > best]
            if later and self._heap[0][0] >= later[0]:
                return True
            self._work(self._round(later[0] if later else inf))
        return not self._heap

    def _facts(self, number: int) -> Facts:
        return self._known.facts(number)

    def _stage_of(self, number: int) -> str:
        return self._demands.next_stage(self._facts(number)) or ""

    def _round(self, limit: float) -> list[int]:
        """The next candidates, all of one stage, those with the lowest floors."""
        chosen: list[int] = []
        stage = ""
        while self._heap and self._heap[0][0] <= limit and len(chosen) < ROUND.get(stage, 1):
            entry = self._heap[0]
            its = self._stage_of(entry[2])
            if chosen and its != stage:
                break
            heapq.heappop(self._heap)
            if its in self._monotone and self._skipped(entry, its):
                continue
            stage = its
            chosen.append(entry[2])
        return chosen

    def _skipped(self, entry: Entry, stage: str) -> bool:
        if not self._ruled_out(entry[2], stage):
            return False
        self._aside.append(entry)
        return True

    def _ruled_out(self, number: int, stage: str) -> bool:
        """Whether a candidate that waits for a stage is weaker than one that failed it, or a later one."""
        if not self._skip or number in self._audited:
            return False
        from_here = STAGES.index(stage)
        return any(STAGES.index(s) >= from_here and m.settled(number) for s, m in self._monotone.items())

    def _work(self, numbers: Sequence[int]) -> None:
        """Have the next stage of some candidates, all at the same one, worked out."""
        if not numbers:
            return
        before = self._directions()
        try:
            self._known.need(numbers, self._stage_of(numbers[0]))
        finally:  # what is not worked out goes back
            for number in numbers:
                self._put(number)
        if self._directions() != before:
            again, self._aside = self._aside, []
            for entry in again:
                heapq.heappush(self._heap, entry)
        if self._holding:
            self._tell(self._holding[0][0], self._heap[0][0] if self._heap else self._holding[0][0])

    def _directions(self) -> list[tuple[int, ...]]:
        return [m.directions for m in self._monotone.values()]

    def _put(self, number: int) -> None:
        """Put a candidate where it belongs by what is known of it."""
        facts = self._facts(number)
        self._learn(facts)
        fails = self._demands.broken(facts)
        floor = self._goal.floor(facts)
        if fails is not None:
            self._note_failure(facts, fails, floor)
            return
        if floor >= self._cutoff:
            return
        if self._demands.next_stage(facts) is not None:
            heapq.heappush(self._heap, (floor, -facts.depth, number))
            return
        score = self._goal.score(facts)
        if score is not None and score < self._cutoff:
            insort(self._holding, (score, number))
        if score is not None and floor < score:
            self._unproven = min(self._unproven, floor)

    def _note_failure(self, facts: Facts, fails: Demand, floor: float) -> None:
        if facts.broken:
            self._broken += 1
        if not fails.proven(facts):
            self._unproven = min(self._unproven, floor)

    def _learn(self, facts: Facts) -> None:
        for stage, monotone in self._monotone.items():
            shares = [c["used"] for c in facts.checks.get(stage, ()) if c["used"] is not None]
            if shares:
                # what fails without a number is worse than any that has one
                blank = any(c["status"] == "fail" and c["used"] is None for c in facts.checks[stage])
                monotone.add(facts.number, max(shares) + 1e3 * blank, facts.fails[stage])

    # -- early tries ---------------------------------------------------------------------------

    def _narrow(self) -> None:
        """Try some candidates early: the best of those that hold is the best so far; those that fail rule
        weaker ones out.
        """
        self._try(spread(self._heap, PROBES))
        if not self._skip or len(self._open()) < NARROW_FROM:
            return
        self._try(around(self._known.grid, self._heap, TEST_BASES))
        for _ in range(MOST_NARROWINGS):
            before = self._open()
            if len(before) < NARROW_TO or not any(map(any, self._directions())):
                return
            self._try(spread(before, ROUND[STRENGTH]))
            if len(self._open()) > NARROWED * len(before):
                return

    def _open(self) -> list[Entry]:
        """Who waits and is neither above what is of interest nor ruled out."""
        limit = self._limit()
        waiting = (e for e in self._heap if e[0] <= limit)
        return [e for e in waiting if not self._ruled_out(e[2], self._stage_of(e[2]))]

    def _try(self, picked: Sequence[int]) -> None:
        """Work some candidates out, all but the dearest stage, which only the best of them comes to."""
        gone = set(picked)
        self._heap = [e for e in self._heap if e[2] not in gone]
        heapq.heapify(self._heap)
        alive = list(picked)
        try:
            for stage in self._demands.stages:
                if stage != WHOLE:
                    self._known.need(alive, stage)
                    alive = [n for n in alive if self._demands.broken(self._facts(n)) is None]
            scored = [(s, n) for n in alive if (s := self._goal.score(self._facts(n))) is not None]
            if scored and min(scored)[0] < self._limit() and WHOLE in self._demands.stages:
                self._known.need([min(scored)[1]], WHOLE)
        finally:
            for number in picked:
                self._put(number)

    def _audit(self, limit: float) -> bool:
        """Take up again some of what was set aside and could still be better; whether there was any."""
        mattering = sorted(e for e in self._aside if e[0] <= limit)
        enough = min(AUDIT_MOST, max(AUDIT_LEAST, int(AUDIT_SHARE * len(mattering) + 0.5)))
        due = [e for e in mattering if e[2] not in self._audited]
        room = enough - len(self._audited)
        if not due or room <= 0:
            return False
        picked = due if len(due) <= room else [due[len(due) * k // room] for k in range(room)]
        for entry in picked:
            self._audited.add(entry[2])
            self._aside.remove(entry)
            heapq.heappush(self._heap, entry)
        return True

    # -- the result ----------------------------------------------------------------------------

    def _found(self, stopped: bool) -> Found:
        found = Found(stopped=stopped, exhausted=self._exhausted, audited=len(self._audited))
        best = self._holding[0][0] if self._holding else None
        if best is not None:
            found.score = best
            found.best = [n for s, n in self._holding if s == best]
            found.following = next(((s, n) for s, n in self._holding if s > best), None)
        found.sure_of_next = self._sure_of_next
        mattering = [e for e in self._aside if best is None or e[0] <= best]
        found.set_aside = len(mattering)
        found.pairs = sum(m.pairs for m in self._monotone.values())
        open_ = [e[0] for e in self._heap] if stopped or self._exhausted else []
        floors = [*open_, self._unproven, inf if best is None else best]
        found.floor = min(floors)
        if stopped:
            found.doubts.append("the search was ended before its time")
        elif self._exhausted:
            found.doubts.append("the search took all the evaluations it may")
        if self._unproven < (inf if best is None else best):
            found.doubts.append("a better layout on sheets or bars is not ruled out for some candidates")
        if self._broken:
            found.doubts.append(f"{self._broken} candidates could not be worked out")
        found.proven = not found.doubts
        if best is not None and found.floor >= best and not self._broken:
            found.proven = True
        return found
