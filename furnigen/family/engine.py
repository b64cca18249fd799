"""One interface to making variants: in this process, by worker processes here, or by a cluster."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from contextlib import AbstractContextManager, nullcontext
from dataclasses import dataclass
from typing import Protocol

from furnigen.core.errors import InputError
from furnigen.family.task import NO_LIMITS, Limits, Outcome, Setup, Task, maker_of

MOST_WORKERS = 256


class Engine(Protocol):
    """Makes tasks."""

    def run(self, tasks: Iterable[Task]) -> Iterator[Outcome]:
        """Make all tasks; outcomes come as they are finished, in any order."""


@dataclass(frozen=True)
class Choice:
    """Where variants are made.

    Attributes:
        workers: worker processes of this machine; 0 for none, so in this process, without limits.
        cluster: address of a Dask scheduler; "" for this machine.
        limits: what one variant may take.
    """

    workers: int
    cluster: str = ""
    limits: Limits = NO_LIMITS

    def __post_init__(self) -> None:
        if not 0 <= self.workers <= MOST_WORKERS:
            raise InputError("workers", self.workers, f"must be from 0 to {MOST_WORKERS}")
        if self.limits and not self.workers and not self.cluster:
            raise InputError("workers", 0, "can not hold to limits", "take --workers 1 or more")


class Serial:
    """Makes variants in this process, one after another."""

    def __init__(self, setup: Setup) -> None:
        self._maker = maker_of(setup)

    def run(self, tasks: Iterable[Task]) -> Iterator[Outcome]:
        """Make all tasks, in order."""
        return (outcome for task in tasks for outcome in self._maker.make_some([task]))


def engine(choice: Choice, setup: Setup, most: int) -> AbstractContextManager[Engine]:
    """The engine a person chose, as a context that ends its workers.

    Args:
        most: how many tasks there are: no more workers than that are started.

    Raises: FurnigenError for a cluster that can not be used, or where nothing can be made at all.
    """
    if choice.cluster:
        from furnigen.family.cluster import Cluster

        return Cluster(choice.cluster, setup, choice.limits)
    if not choice.workers:
        return nullcontext(Serial(setup))
    from furnigen.family.pool import WorkerPool

    return WorkerPool(setup, min(choice.workers, max(1, most)), choice.limits)
