"""furnigen family: many variants of one recipe."""

from __future__ import annotations

import argparse
import json
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import TYPE_CHECKING

from furnigen.cli.shared_options import add_list_style, list_style
from furnigen.core.errors import InputError

if TYPE_CHECKING:
    from furnigen.family.run import Tally
    from furnigen.family.task import Outcome

FAMILY_OUT = "out"
SHOW_EVERY_S = 0.2
INTERRUPTED = 130


def add_arguments(command: argparse.ArgumentParser) -> None:
    """FILE.toml, where the work is done, and its limits."""
    command.add_argument("file", metavar="FILE.toml", help="recipe, what is fixed, what varies")
    command.add_argument("--out", metavar="DIR", help="folder of the family (out/FILE)")
    command.add_argument(
        "--workers", metavar="N", type=int, help="worker processes (one a core; 0 for this process alone)"
    )
    command.add_argument(
        "--cluster", metavar="ADDRESS", default="", help="a Dask scheduler, such as tcp://192.0.2.1:8786"
    )
    add_list_style(command)
    command.add_argument("--cap", metavar="N", type=int, help="the most variants (2000, or the file's own)")
    command.add_argument(
        "--time-limit", metavar="SECONDS", type=float, help="stop a variant that takes longer"
    )
    command.add_argument(
        "--memory-limit", metavar="MB", type=float, help="stop a variant whose worker takes more memory"
    )


def run(given: argparse.Namespace) -> int:
    """Make what is missing of a family; 1 when a variant does not pass."""
    from furnigen.family.engine import Choice
    from furnigen.family.family_file import read_family
    from furnigen.family.pool import all_cores
    from furnigen.family.run import make_family, summary
    from furnigen.family.task import Limits

    for name, value in (("time limit", given.time_limit), ("memory limit", given.memory_limit)):
        if value is not None and not 0 < value < float("inf"):
            raise InputError(name, value, "must be more than zero")
    if given.cluster and given.workers is not None:
        raise InputError("workers", given.workers, "are those of this machine", "leave it out with --cluster")
    style = list_style(given)
    file = Path(given.file)
    family = read_family(file, given.cap)
    folder = Path(given.out) if given.out else Path(FAMILY_OUT) / file.stem
    workers = all_cores() if given.workers is None else given.workers
    choice = Choice(workers, given.cluster, Limits(given.time_limit, given.memory_limit))
    watch = _Lines() if given.json else _Progress()
    try:
        tally = make_family(family, folder, choice, watch, _aside(watch), style)
    except KeyboardInterrupt:
        watch.done()
        print(
            f"furnigen: interrupted; {watch.made} finished in {folder}, run again to go on", file=sys.stderr
        )
        return INTERRUPTED
    finally:
        watch.done()
    if given.json:
        print(json.dumps(_summary(tally, folder), ensure_ascii=False))
    else:
        from furnigen.cli.show import safety

        print(f"{family.title}\n{summary(tally)}")
        if tally.before:
            print(f"{tally.before} were finished before, {tally.made} are new.")
        print(f"{folder}: {', '.join(sorted(p.name for p in folder.glob('family.*')))}")
        print(safety())
    return int(not tally.good)


def _summary(tally: Tally, folder: Path) -> dict[str, object]:
    return {
        "event": "summary",
        "variants": tally.total,
        "made": tally.made,
        "before": tally.before,
        "statuses": dict(sorted(tally.statuses.items())),
        "skipped": dict(tally.skipped),
        "seconds": round(tally.seconds, 3),
        "folder": str(folder),
    }


def _aside(watch: _Lines | _Progress) -> Callable[[str], None]:
    """Says on standard error what a run finds changed."""

    def tell(line: str) -> None:
        watch.done()
        print(f"furnigen: {line}", file=sys.stderr)

    return tell


class _Lines:
    """One line of JSON for each variant."""

    def __init__(self) -> None:
        self.made = 0

    def __call__(self, outcome: Outcome, tally: Tally) -> None:
        self.made = tally.made
        left = tally.seconds_left
        line = {
            "event": "variant",
            "variant": outcome.name,
            "status": outcome.status,
            "reason": outcome.reason,
            "finished": tally.before + tally.made,
            "of": tally.total,
            "rate": round(tally.rate, 3),
            "seconds_left": None if left is None else round(left, 1),
        }
        print(json.dumps(line, ensure_ascii=False), flush=True)

    def done(self) -> None:
        """Nothing to clear."""


class _Progress:
    """A line on a terminal: how many, how fast, how long still."""

    def __init__(self) -> None:
        self.made = 0
        self._live = sys.stderr.isatty()
        self._last = 0.0
        self._shown = False

    def __call__(self, outcome: Outcome, tally: Tally) -> None:
        self.made = tally.made
        now = time.monotonic()
        if self._live and now - self._last >= SHOW_EVERY_S:
            self._last, self._shown = now, True
            sys.stderr.write(f"\r\x1b[K{progress(tally)}")
            sys.stderr.flush()

    def done(self) -> None:
        """Clear the line."""
        if self._shown:
            self._shown = False
            sys.stderr.write("\r\x1b[K")
            sys.stderr.flush()


def progress(tally: Tally) -> str:
    """How far a run is, in one line."""
    text = f"{tally.before + tally.made} of {tally.total} variants"
    if tally.rate > 0:
        per = f"{tally.rate:.1f} a second" if tally.rate >= 1 else f"one in {1 / tally.rate:.1f} s"
        text += f", {per}"
    if tally.seconds_left is not None:
        minutes, seconds = divmod(round(tally.seconds_left), 60)
        text += f", {minutes}:{seconds:02} left"
    bad = sum(n for s, n in tally.statuses.items() if s not in ("pass", "warn"))
    return f"{text}, {bad} do not pass" if bad else text
