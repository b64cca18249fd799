"""What `furnigen family` does: make and keep the missing variants, then write table and contact sheet."""

from __future__ import annotations

import time
from collections import Counter, deque
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path

from furnigen.core.errors import InputError
from furnigen.core.progress import Sink, silent
from furnigen.family.engine import Choice, engine
from furnigen.family.family_file import Family
from furnigen.family.folder import FamilyFolder, some
from furnigen.family.sheet_columns import sheet_chunks
from furnigen.family.table import columns, csv_chunks, has_parquet, write_parquet
from furnigen.family.task import (
    FAIL,
    OUTCOMES,
    PASS,
    REFUSED,
    WARN,
    Outcome,
    Task,
    given_row,
    setup_of,
    task_of,
)
from furnigen.family.variants import Skipped, all_variants
from furnigen.formats.cells import PLAIN, ListStyle

RECENT_S = 20.0
"""Seconds over which the rate is averaged."""


@dataclass
class Tally:
    """How far a run is.

    Attributes:
        total: variants of the family, those left out not counted.
        before: finished in an earlier run.
        made: finished in this run.
        skipped: left out, by constraint.
        statuses: how all finished variants ended.
        seconds: since this run began.
    """

    total: int = 0
    before: int = 0
    made: int = 0
    skipped: Counter[str] = field(default_factory=Counter)
    statuses: Counter[str] = field(default_factory=Counter)
    seconds: float = 0.0
    _recent: deque[tuple[float, int]] = field(default_factory=deque)

    def count(self, seconds: float) -> None:
        """One more is made, `seconds` after this run began."""
        self.made += 1
        self.seconds = seconds
        self._recent.append((seconds, self.made))
        while len(self._recent) > 2 and seconds - self._recent[0][0] > RECENT_S:
            self._recent.popleft()

    @property
    def left(self) -> int:
        """How many are still to be made."""
        return self.total - self.before - self.made

    @property
    def rate(self) -> float:
        """Variants a second, over the last seconds."""
        if len(self._recent) < 2:
            return self.made / self.seconds if self.seconds > 0 else 0.0
        (t0, n0), (t1, n1) = self._recent[0], self._recent[-1]
        return (n1 - n0) / (t1 - t0) if t1 > t0 else 0.0

    @property
    def seconds_left(self) -> float | None:
        """Seconds the rest will take at this rate; None while there is no rate yet."""
        return self.left / self.rate if self.rate > 0 else None

    @property
    def good(self) -> bool:
        """Whether every variant passed, warnings apart: the exit status follows from this alone."""
        return all(s in (PASS, WARN) or not n for s, n in self.statuses.items())


Watch = Callable[[Outcome, Tally], None]
"""Called with each outcome once it is kept."""


def unwatched(outcome: Outcome, tally: Tally) -> None:
    """Watches nothing."""


def make_family(
    family: Family,
    path: Path,
    choice: Choice,
    watch: Watch = unwatched,
    say: Sink = silent,
    style: ListStyle = PLAIN,
) -> Tally:
    """Make what is missing of a family, and its table and contact sheet.

    Args:
        path: its folder; made, or gone on with.
        choice: where the work is done, within which limits.
        watch: called with each outcome.
        say: called with what was changed since an earlier run, and what is done about it.
        style: separator and decimal mark of family.csv.

    Raises:
        InputError: an expression can not be worked out, no variant is left, a cluster can not be used.
        OutputError: the folder is in use, holds something else, or can not be written.
        GeometryError: worker processes can not start.
    """
    begun = time.monotonic()
    tally = _counted(family)
    with FamilyFolder(path, family.definition(), choice.limits, say) as folder:
        _say_without_row(family, folder, say)
        tally.before = folder.finished
        tally.statuses.update(line["status"] for line in folder.lines())
        if tally.left:
            setup = setup_of(family)
            with engine(choice, setup, tally.left) as workers:
                for outcome in workers.run(_tasks(family, folder, tally, watch, begun)):
                    _keep(outcome, folder, tally, watch, begun)
        _write_tables(family, folder, tally, style)
    tally.seconds = time.monotonic() - begun
    return tally


def _counted(family: Family) -> Tally:
    """What there is to make; every expression is worked out once, before anything is made."""
    tally = Tally()
    for one in all_variants(family):
        if isinstance(one, Skipped):
            tally.skipped[one.reason] += 1
        else:
            tally.total += 1
    if not tally.total:
        reasons = ", ".join(f"{r} ({n})" for r, n in tally.skipped.items())
        raise InputError("[only]", reasons, "leaves no variant", "loosen one of them")
    return tally


def _keep(outcome: Outcome, folder: FamilyFolder, tally: Tally, watch: Watch, begun: float) -> None:
    folder.put(outcome)
    tally.statuses[outcome.status] += 1
    tally.count(time.monotonic() - begun)
    watch(outcome, tally)


def _tasks(family: Family, folder: FamilyFolder, tally: Tally, watch: Watch, begun: float) -> Iterator[Task]:
    """What is left to make; what can be refused without trying is kept at once."""
    for one in all_variants(family):
        if isinstance(one, Skipped) or folder.has(one.number):
            continue
        if one.refusal:
            given = given_row(one.values, one.helpers)
            refused = Outcome(one.number, one.name, REFUSED, one.refusal, given)
            _keep(refused, folder, tally, watch, begun)
        else:
            yield task_of(one)


def _write_tables(family: Family, folder: FamilyFolder, tally: Tally, style: ListStyle) -> None:
    of = columns(folder.lines())
    folder.write_file("family.csv", csv_chunks(folder.lines, of, style))
    tables = ["family.csv"]
    if has_parquet():
        folder.write_file_by("family.parquet", lambda path: write_parquet(path, folder.lines, of))
        tables.append("family.parquet")
    facts = (summary(tally),)
    page = sheet_chunks(family, folder.path, folder.lines(), of, tuple(tables), facts, tally.statuses)
    folder.write_file("family.html", page)


def _say_without_row(family: Family, folder: FamilyFolder, say: Sink) -> None:
    """Say which variants have files but no row: a run was ended there, or the row was deleted."""
    found = folder.without_row()
    if found:
        names = [m.name for m in all_variants(family) if not isinstance(m, Skipped) and m.name in found]
        if names:
            say(f"{folder.path}: made anew, since their rows are missing: {some(names)}")


def summary(tally: Tally) -> str:
    """How a family came out, in one sentence: the same however often the run was interrupted."""
    words = {PASS: "pass", WARN: "pass with a warning", FAIL: "fail a check"}
    made = [f"{tally.statuses[s]} {words.get(s, s)}" for s in OUTCOMES if tally.statuses[s]]
    left_out = [f"{n} left out by {r!r}" for r, n in tally.skipped.items()]
    return f"{tally.total} variants: {', '.join(made + left_out)}."
