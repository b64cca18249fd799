"""furnigen make --watch: a piece made anew at every save, one line each."""

from __future__ import annotations

import argparse
import json
import signal
import sys
import threading
import time
from dataclasses import replace
from pathlib import Path
from typing import Any

from furnigen.cli.shared_options import asked_of
from furnigen.core.finding import FAIL, PASS, WARN
from furnigen.pipeline.options import MakeOptions

INTERRUPTED = 130
"""What a shell says of a program that was interrupted: 128 + SIGINT (common practice)."""


def watch(given: argparse.Namespace, options: MakeOptions, usual_out: str, called: str) -> int:
    """Make a piece, and again at every save, until Ctrl-C.

    Args:
        options: how it is made; what can be had is read again at each save.
        usual_out: where the folder of results goes if none is named.
        called: what it is called then; after the recipe where empty.
    """
    from furnigen.live.job import MAKE, Job
    from furnigen.live.runner import Runner
    from furnigen.live.watching import POLL_S, Watched
    from furnigen.pipeline.options import planned_files
    from furnigen.pipeline.result_folder import check_writable
    from furnigen.recipes.discovery import recipe_file

    path = recipe_file(given.recipe).resolve()
    asked = asked_of(given)
    folder = given.out or str(Path(usual_out) / (called or path.stem))
    check_writable(Path(folder), planned_files(options.formats))
    files = [path, *(Path(name) for name in (given.params, given.stock) if name)]
    watched = Watched(files)
    job = Job(0, MAKE, asked, str(path), watched.editions[0], options, folder, given.stock)
    lines = _Lines(as_json=given.json)
    runner = Runner(lines.heard)
    before = signal.getsignal(signal.SIGINT)
    try:
        lines.begin()
        runner.want(job)
        while True:
            time.sleep(POLL_S)
            if watched.changed():
                job = replace(job, number=job.number + 1, edition=watched.editions[0])
                lines.begin()
                runner.want(job)
            if lines.unsaid is not None:
                raise lines.unsaid
    except KeyboardInterrupt:
        signal.signal(signal.SIGINT, signal.SIG_IGN)  # a second one would be answered a second time
        told = f"{folder} holds the last result" if lines.made else "nothing was written"
        print(f"furnigen: interrupted; {told}", file=sys.stderr)
        return INTERRUPTED
    finally:
        runner.close()
        signal.signal(signal.SIGINT, before)


class _Lines:
    """Says what becomes of each build, in one line.

    Attributes:
        made: whether any was.
        unsaid: why a line could not be said.
    """

    def __init__(self, *, as_json: bool) -> None:
        from furnigen.cli.show import Progress

        self.made = False
        self.unsaid: BaseException | None = None
        self._json, self._progress = as_json, Progress
        self._begun, self._steps = time.monotonic(), Progress()
        self._lock = threading.Lock()

    def begin(self) -> None:
        """A build begins."""
        with self._lock:
            self._begun, self._steps = time.monotonic(), self._progress()

    def heard(self, said: Any) -> None:
        """What the worker says."""
        with self._lock:
            if said.topic == "making":
                self._steps(said.value["step"])
                return
            self._steps.done()
            took = time.monotonic() - self._begun
            try:
                if said.topic == "made":
                    self.made = True
                    self._say(made_line(said.value, took), said.value | {"seconds": round(took, 3)})
                elif said.topic == "refused":
                    fields = [f"{name}: {why}" for name, why in said.value["fields"].items()]
                    self._wrong("; ".join([*fields, *filter(None, [said.value["message"]])]))
                elif said.topic == "ended":
                    self._wrong(said.value)
            except BaseException as error:  # the reader left, or the disk is full: for the main thread to say
                self.unsaid = error

    def _say(self, line: str, row: dict[str, Any]) -> None:
        print(
            json.dumps(row, ensure_ascii=False) if self._json else f"{time.strftime('%H:%M:%S')} {line}",
            flush=True,
        )

    def _wrong(self, why: str) -> None:
        if self._json:
            print(json.dumps({"error": why}, ensure_ascii=False), flush=True)
        else:
            print(f"{time.strftime('%H:%M:%S')} furnigen: {why}", file=sys.stderr)


def made_line(made: dict[str, Any], took_s: float) -> str:
    """A build in one line: what it is, how it stands, where it is."""
    words = {FAIL: "{} fail", WARN: "{} to look at", PASS: "{} pass"}
    checks = ", ".join(text.format(made["counts"][s]) for s, text in words.items() if made["counts"][s])
    kept = "".join(f"; {name} had been changed, kept as {beside}" for name, beside in made["kept"])
    what = f"{made['title']}: {made['size']}, {made['mass']}"
    return f"{what}; checks: {checks}; {made['folder']}{kept} ({took_s:.1f} s)"
