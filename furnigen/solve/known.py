"""Has stages of candidates worked out, each once, and keeps what is found in memory and on disk."""

from __future__ import annotations

import hashlib
import json
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from io import FileIO
from pathlib import Path

from furnigen.core.errors import InputError, OutputError
from furnigen.family.engine import Engine
from furnigen.family.rows import Rows
from furnigen.family.task import FAIL, PASS, REFUSED, Outcome
from furnigen.pipeline.results.lock import InUseError, hold
from furnigen.pipeline.results.staging import why
from furnigen.solve.facts import Facts
from furnigen.solve.grid import Grid
from furnigen.solve.setup import FIT, STAGES, Trial

TOLD_S = 0.2


class StoppedError(Exception):
    """Time is up, or a person ended the search."""


class Kept:
    """What was worked out, on disk, so that a run goes on where one was ended; a context.

    A row counts only for the same definition: recipe, what is fixed and varied, loads, stock. Goals and
    limits are no part of it: they may change between runs.

    Args:
        folder: its own; made when it is not there.

    Raises: OutputError when it is in use, or can not be written.
    """

    def __init__(self, folder: Path, definition: object) -> None:
        try:
            folder.mkdir(parents=True, exist_ok=True)
            self._lock: FileIO = hold(folder / "lock")
            which = hashlib.sha256(json.dumps(definition, sort_keys=True).encode()).hexdigest()
            self.rows = Rows(folder / "rows.jsonl", which)
            self.rows.load()
            if self.rows.changed:  # of another definition, or damaged: of no use to this one
                self.rows.rewrite(folder / "rows.new")
        except InUseError as busy:
            raise busy.refusal(folder) from None
        except OSError as error:
            raise OutputError(
                f"{folder} can not be written: {why(error)}; choose another with --out"
            ) from None

    def __enter__(self) -> Kept:
        return self

    def __exit__(self, *_: object) -> None:
        with suppress(OSError):
            self.rows.sync()
        self.rows.close()
        self._lock.close()


class Known:
    """What is known of all candidates.

    Args:
        grid: the candidates.
        engine: works trials out.
        kept: where they are kept; None to keep none.
        over: whether the search shall end now.
        told: called now and then, between outcomes.
        priced_by: the stock file that must have every price; "" where no cost is asked for.

    Attributes:
        worked_out: how many candidates were asked for each stage, whether found in an earlier run or in this.
        new: how many stages this run has worked out.
    """

    def __init__(
        self,
        grid: Grid,
        engine: Engine,
        kept: Kept | None = None,
        over: Callable[[], bool] = lambda: False,
        told: Callable[[Known], None] = lambda known: None,
        priced_by: str = "",
    ) -> None:
        self.grid, self._priced_by = grid, priced_by
        self._engine, self._kept, self._over, self._told = engine, kept, over, told
        self._facts: dict[int, Facts] = {}
        self._earlier: dict[tuple[int, str], Outcome] = {}
        self.worked_out: Counter[str] = Counter()
        self.new = 0
        self._last_told = 0.0
        if kept is not None:
            for line in kept.rows.lines():
                number, stage = divmod(line["number"], len(STAGES))
                found = Outcome(number, "", line["status"], line["reason"], line["row"])
                self._earlier[number, STAGES[stage]] = found

    def facts(self, number: int) -> Facts:
        """What is known of a candidate."""
        if number not in self._facts:
            self._facts[number] = Facts(number)
        return self._facts[number]

    @property
    def all(self) -> Iterator[Facts]:
        """Of all candidates that something is known of."""
        return iter(self._facts.values())

    def need(self, numbers: Sequence[int], stage: str) -> None:
        """See that a stage of some candidates is worked out.

        Raises:
            StoppedError: time is up, or a person ended the search; what was finished is kept.
            InputError: something has no price.
        """
        missing: list[Trial] = []
        for number in numbers:
            if self.facts(number).has(stage):
                continue
            self.worked_out[stage] += 1
            earlier = self._earlier.pop((number, stage), None)
            candidate = self.grid.candidate(number)
            assert candidate is not None, "left out by [only]"
            if earlier is not None:
                self._take(earlier, stage)
            elif candidate.refusal:
                self.facts(number).refusal = candidate.refusal
            else:
                missing.append(
                    Trial(number, candidate.name, candidate.values, candidate.helpers, stage=stage)
                )
        if not missing:
            return
        if self._over():
            self.worked_out[stage] -= len(missing)
            raise StoppedError
        left = len(missing)
        for outcome in self._engine.run(missing):
            left -= 1
            self.new += 1
            self._keep(outcome, stage)
            self._take(outcome, stage)
            self._tell()
            if left and self._over():
                self.worked_out[stage] -= left
                raise StoppedError

    def _tell(self) -> None:
        now = time.monotonic()
        if now - self._last_told > TOLD_S:
            self._last_told = now
            self._told(self)

    def _keep(self, outcome: Outcome, stage: str) -> None:
        if self._kept is None or outcome.status not in (PASS, FAIL, REFUSED):
            return
        line = {
            "number": outcome.number * len(STAGES) + STAGES.index(stage),
            "status": outcome.status,
            "reason": outcome.reason,
            "row": outcome.row,
        }
        try:
            self._kept.rows.add(line)
        except OSError as error:
            raise OutputError(f"what is found can not be kept: {why(error)}; choose another --out") from None

    def _take(self, outcome: Outcome, stage: str) -> None:
        facts = self.facts(outcome.number)
        if outcome.status in (PASS, FAIL):
            facts.take(stage, outcome.row)
            if self._priced_by and facts.unpriced:
                missing = ", ".join(facts.unpriced[:5])
                word = "has" if len(facts.unpriced) == 1 else "have"
                raise InputError("cost", missing, f"{word} no price in {self._priced_by}", "state it there")
            return
        facts.refusal = outcome.reason
        facts.broken = outcome.status != REFUSED
        if stage != FIT:  # there is such a piece: a stage of it could not be worked out
            facts.refusal = f"{stage} could not be worked out: {outcome.reason}"
