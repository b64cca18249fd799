"""Worker processes that make variants, with limits on time and memory.

The parent gives each worker a few tasks ahead, so that none waits, and knows which one it is at. A worker
that crashes is replaced and its task tried again; one at a limit is ended, its task reported as stopped.
"""

from __future__ import annotations

import contextlib
import os
import time
from collections import deque
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from multiprocessing.connection import wait

from furnigen.core.caches import Kept
from furnigen.core.errors import GeometryError
from furnigen.family.task import CRASHED, STOPPED, Limits, Outcome, Setup, Task, given_row
from furnigen.family.task_queue import TaskQueue
from furnigen.family.worker import READY, TOGETHER, WorkerProcess, answer, start_here

TRIES = 3
"""How often a task is tried before the crashes of its workers are blamed on it."""
AHEAD_LIGHT, AHEAD_SOLID = TOGETHER, 2
"""Tasks queued with a worker: enough that it never waits, few enough that a slow one delays none."""
WATCH_S = 0.05
"""Seconds between two looks at memory; a worker can take some 0.1 GB more in that time."""
PATIENCE_S = 1.0
LEAVING_S = 2.0
"""Seconds that a worker whose connection is closed may take to exit, so that its exit status is known."""


@dataclass
class _WorkerSlot:
    """A worker and the tasks queued with it: `tasks[0]` is the one it is at."""

    worker: WorkerProcess
    ready: bool = False
    tasks: deque[Task] = field(default_factory=deque)
    since: float = 0.0


class WorkerPool:
    """Worker processes for the variants of one family; a context that ends them when left.

    Args:
        setup: what the variants share.
        size: how many workers.
        limits: what one variant may take.
        start: starts a worker.
    """

    def __init__(
        self, setup: Setup, size: int, limits: Limits, start: Callable[[Setup], WorkerProcess] = start_here
    ) -> None:
        self._setup, self._size, self._limits, self._start = setup, size, limits, start
        self._ahead = AHEAD_SOLID if setup.solid else AHEAD_LIGHT
        self._slots: list[_WorkerSlot] = []
        self._tries: dict[int, int] = {}
        self._had: Kept[int, int] | None = Kept(setup.KEPT * size) if setup.KEPT else None
        self._failed_starts = 0

    def __enter__(self) -> WorkerPool:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def close(self) -> None:
        """End all workers."""
        while self._slots:
            self._slots.pop().worker.end()

    @property
    def pids(self) -> list[int]:
        """Process ids of the workers."""
        return [b.worker.pid for b in self._slots]

    def run(self, tasks: Iterable[Task]) -> Iterator[Outcome]:
        """Make all tasks; outcomes come as they are finished, in any order.

        Raises:
            FurnigenError: what keeps a worker from starting: another version, no kernel, no recipe.
        """
        queue = TaskQueue(tasks, self._had_by)
        while True:
            self._give_tasks(queue)
            if not queue.left and not any(b.tasks for b in self._slots):
                return
            for slot in self._with_answers():
                yield from self._take(slot, queue)
            yield from self._watch(queue)

    def _had_by(self, task: Task) -> int | None:
        pid = self._had.get(task.number) if self._had is not None else None
        return pid if pid in self.pids else None

    def _give_tasks(self, queue: TaskQueue) -> None:
        """Give every worker its next tasks."""
        while len(self._slots) < self._size and queue.left:
            self._slots.append(_WorkerSlot(self._start(self._setup)))
        for _ in range(self._ahead):  # in rounds, so that few tasks left are shared evenly
            for slot in self._slots:
                if not slot.ready or len(slot.tasks) >= self._ahead:
                    continue
                task = queue.take(slot.worker.pid)
                if task is None:
                    return
                if not slot.tasks:
                    slot.since = time.monotonic()
                if self._limits or self._setup.solid:
                    task = replace(task, alone=True)
                slot.tasks.append(task)
                with contextlib.suppress(OSError):  # its crash is noticed next
                    slot.worker.connection.send(task)

    def _with_answers(self) -> list[_WorkerSlot]:
        limit = WATCH_S if self._limits else PATIENCE_S
        by_connection = {b.worker.connection: b for b in self._slots}
        return [by_connection[c] for c in wait(list(by_connection), limit)]  # type: ignore[index]

    def _take(self, slot: _WorkerSlot, queue: TaskQueue) -> Iterator[Outcome]:
        """Receive one answer of a worker, or notice that it crashed."""
        try:
            said = answer(slot.worker)
        except EOFError:
            yield from self._died(slot, queue)
            return
        if isinstance(said, Exception):
            raise said
        if said == READY:
            slot.ready, self._failed_starts = True, 0
            return
        assert isinstance(said, Outcome)
        task = slot.tasks.popleft()
        slot.since = time.monotonic()
        self._tries.pop(task.number, None)
        if self._had is not None:
            self._had.keep(task.number, slot.worker.pid)
        yield said

    def _end(self, slot: _WorkerSlot, queue: TaskQueue, grace_s: float = 0.0) -> tuple[Task | None, str]:
        """End a worker; the tasks it has not answered but the first go back, to be made one by one.

        Returns: the first, and how the worker ended.
        """
        self._slots.remove(slot)
        how = slot.worker.end(grace_s)
        at = slot.tasks.popleft() if slot.tasks else None
        queue.back([replace(task, alone=True) for task in slot.tasks], slot.worker.pid)
        return at, how

    def _died(self, slot: _WorkerSlot, queue: TaskQueue) -> Iterator[Outcome]:
        at, how = self._end(slot, queue, LEAVING_S)
        if not slot.ready:
            self._failed_starts += 1
            if self._failed_starts >= TRIES:
                raise GeometryError(f"worker processes do not start: the last one {how}")
        if at is None:
            return
        if not at.alone:
            # it was at several, and any of them may have ended it: tried one by one, it will show
            queue.back([replace(at, alone=True)], slot.worker.pid)
            return
        self._tries[at.number] = self._tries.get(at.number, 0) + 1
        if self._tries[at.number] < TRIES:
            queue.back([at], slot.worker.pid)
            return
        yield ended(at, CRASHED, f"its worker process {how}, {TRIES} times over")

    def _watch(self, queue: TaskQueue) -> Iterator[Outcome]:
        """Stop what is at a limit."""
        if not self._limits:
            return
        now = time.monotonic()
        for slot in list(self._slots):
            if slot.tasks and not slot.worker.connection.poll():
                why = self._over(slot, now)
                if why:
                    at, _ = self._end(slot, queue)
                    assert at is not None
                    yield ended(at, STOPPED, why)

    def _over(self, slot: _WorkerSlot, now: float) -> str:
        seconds, memory_mb = self._limits.seconds, self._limits.memory_mb
        if seconds is not None and now - slot.since > seconds:
            return f"took longer than {seconds:g} s, the limit"
        if memory_mb is not None and slot.worker.memory_bytes() > memory_mb * 1e6:
            return f"took more memory than {memory_mb:g} MB, the limit"
        return ""


def ended(task: Task, status: str, reason: str) -> Outcome:
    """The outcome of a task that no worker answered."""
    return Outcome(task.number, task.name, status, reason, given_row(task.values, task.helpers))


def all_cores() -> int:
    """How many workers this process may keep busy."""
    return len(os.sched_getaffinity(0)) if hasattr(os, "sched_getaffinity") else os.cpu_count() or 1
