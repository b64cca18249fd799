"""What is left to make, handed out to workers in runs.

Variants that follow each other share most of their parts, so a worker that makes them in a row makes those
parts once; one that comes again goes to the worker that had it. At the end, whoever has nothing left takes
over half of the longest run.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Hashable, Iterable
from itertools import islice

from furnigen.family.task import Task

RUN = 12
"""Tasks handed out in a row: some turns of the axis that turns fastest, in most families."""


class TaskQueue:
    """Tasks on their way to workers.

    Args:
        tasks: read only as far as they are asked for.
        had_by: the worker that had a task before, and still runs; None where none does.
    """

    def __init__(
        self, tasks: Iterable[Task], had_by: Callable[[Task], Hashable | None] = lambda task: None
    ) -> None:
        self._source, self._had_by = iter(tasks), had_by
        self._again: deque[Task] = deque()
        self._runs: dict[Hashable, deque[Task]] = {}
        self._ended = False

    @property
    def left(self) -> bool:
        """Whether there may be more tasks."""
        return not self._ended or bool(self._again) or any(self._runs.values())

    def take(self, worker: Hashable) -> Task | None:
        """The next task for a worker; None when there is none left."""
        if self._again:
            return self._again.popleft()
        own = self._runs.setdefault(worker, deque())
        while not own and not self._ended:
            some = list(islice(self._source, RUN))
            self._ended = len(some) < RUN
            for task in some:
                had_by = self._had_by(task)
                (own if had_by is None else self._runs.setdefault(had_by, deque())).append(task)
        if not own:
            longest = max(self._runs.values(), key=len)
            own.extendleft([longest.pop() for _ in range((len(longest) + 1) // 2)])
        return own.popleft() if own else None

    def back(self, tasks: Iterable[Task], worker: Hashable) -> None:
        """Take tasks back from a worker that is gone, to be handed out next, and then the rest of its run."""
        self._again.extendleft([*tasks][::-1])
        self._again.extend(self._runs.pop(worker, ()))
