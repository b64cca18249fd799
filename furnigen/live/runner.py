"""A worker as its server knows it: the newest job wins, an endless one is stopped, a dead one replaced."""

from __future__ import annotations

import contextlib
import multiprocessing
import subprocess
import threading
import time
from collections.abc import Callable
from dataclasses import dataclass

from furnigen.core.processes import environment, module_command
from furnigen.core.threads import VARIABLE
from furnigen.family.worker import WorkerProcess
from furnigen.live.job import DESCRIBED, DONE, Job, Said

LOOK_S = 0.02
"""How often a running job is looked at; what it says is heard at once."""
IDLE_S = 300.0
"""How long a process that is wanted now and then stays: it holds some hundred megabytes."""


@dataclass(frozen=True)
class Limits:
    """How long a worker may take.

    Attributes:
        recipe_s: the author's own code, loading it included (s).
        stages_s: all that is worked out from the description (s).
        replaced_s: a job that a newer one waits for (s): then it is stopped.
    """

    recipe_s: float = 10.0
    stages_s: float = 600.0
    replaced_s: float = 3.0


class _Worker(WorkerProcess):
    """A process of ours that takes jobs.

    Attributes:
        warm: whether it has said that it can take one.
    """

    def __init__(self) -> None:
        ours, theirs = multiprocessing.Pipe()
        process = subprocess.Popen(
            module_command("furnigen.live.worker", str(theirs.fileno())),
            pass_fds=[theirs.fileno()],
            stdin=subprocess.PIPE,  # nothing is written: its end tells the worker that we are gone
            env=environment(**{VARIABLE: "1"}),
        )
        theirs.close()
        super().__init__(ours, process)
        self._line, self.warm = process.stdin, False

    def end(self, grace_s: float = 0.0) -> str:
        """As `WorkerProcess.end`."""
        how = super().end(grace_s)
        if self._line is not None:
            self._line.close()
        return how


class Runner:
    """Does jobs in a process of its own, one after the other, leaving out those that a newer one replaced.

    Args:
        heard: is told all that the worker says, and `Said(number, "ended", why)` where a job was stopped or
            its process died.
        early: whether its process is started before there is a job, and stays; else it ends when nothing was
            wanted for `IDLE_S`.
    """

    def __init__(
        self,
        heard: Callable[[Said], None],
        limits: Limits | None = None,
        *,
        early: bool = False,
    ) -> None:
        self._heard, self._limits, self._early = heard, limits or Limits(), early
        self._wake = threading.Condition()
        self._wanted: Job | None = None
        self._stopped = self._closed = False
        self._worker: _Worker | None = None
        self._thread = threading.Thread(target=self._run, daemon=True)
        self._thread.start()

    def want(self, job: Job) -> None:
        """Do this as soon as can be, instead of all that was wanted before."""
        with self._wake:
            self._wanted = job
            self._wake.notify_all()

    def stop(self) -> None:
        """End the job that runs, or waits."""
        with self._wake:
            waits, self._wanted, self._stopped = self._wanted, None, True
        if waits is not None:
            self._heard(Said(waits.number, "ended", "stopped"))

    def close(self) -> None:
        """End the process and wait for it."""
        with self._wake:
            self._closed = True
            self._wake.notify_all()
        self._thread.join(10.0)

    def _run(self) -> None:
        try:
            while True:
                if self._early and self._worker is None:
                    with contextlib.suppress(OSError):  # said where a job wants it
                        self._worker = _Worker()
                with self._wake:
                    stays = self._early or self._worker is None
                    self._wake.wait_for(
                        lambda: self._closed or self._wanted is not None, None if stays else IDLE_S
                    )
                    if self._closed:
                        return
                    job, self._wanted, self._stopped = self._wanted, None, False
                if job is None:
                    self._end()
                else:
                    self._do(job)
        finally:
            self._end()

    def _do(self, job: Job) -> None:
        """One job, to its end in one way or another."""
        try:
            worker = self._worker = self._worker or _Worker()
        except OSError as error:
            self._heard(Said(job.number, "ended", f"no process can be started: {error.strerror or error}"))
            return
        try:
            while not (worker.warm or worker.connection.poll(LOOK_S)):
                if self._closed:
                    return
            if not worker.warm:
                worker.connection.recv()
                worker.warm = True
            worker.connection.send(job)
            why = self._listen(job, worker)
        except (EOFError, OSError):
            self._worker = None
            why = f"the process that worked on it {worker.end(1.0)}"
        if why:
            self._end()
            self._heard(Said(job.number, "ended", why))

    def _listen(self, job: Job, worker: _Worker) -> str:
        """Pass on what a worker says until the job is done; why it must be ended, if it must."""
        limits, described, nudged = self._limits, False, False
        began = since = time.monotonic()
        while True:
            if worker.connection.poll(LOOK_S):
                said: Said = worker.connection.recv()
                if said.topic == DONE and said.number == job.number:
                    self._heard(said)
                    return ""
                if said.topic == DESCRIBED:
                    described, since = True, time.monotonic()
                else:
                    self._heard(said)
                continue
            now = time.monotonic()
            with self._wake:
                newer, stopped = self._wanted is not None, self._stopped or self._closed
            if stopped:
                return "stopped"
            if not described and now - since > limits.recipe_s:
                return f"the recipe ran for more than {limits.recipe_s:g} s and was stopped"
            if now - since > limits.stages_s:
                return f"its checks took more than {limits.stages_s:g} s and were stopped"
            if newer and now - began > limits.replaced_s:
                return "replaced by a newer change"
            if newer and not nudged:
                worker.connection.send(None)
                nudged = True

    def _end(self) -> None:
        if self._worker is not None:
            self._worker.end()
            self._worker = None
