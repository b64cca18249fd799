"""Variants on several machines, by Dask distributed.

Each thread of a Dask worker keeps one furnigen worker process of its own (`slot.start_apart`), so limits
hold, a crash of the kernel costs one variant's time, and kernel and solids stay loaded from task to task.
Tasks and outcomes travel as data; no disk is shared. Workers need a POSIX system (Linux or macOS).
"""

from __future__ import annotations

import logging
import pickle
import threading
import time
from collections.abc import Iterable, Iterator
from concurrent.futures import CancelledError
from itertools import islice
from typing import Any

from furnigen import __version__
from furnigen.core.errors import InputError, OutputError
from furnigen.family.pool import WorkerPool, ended
from furnigen.family.task import CRASHED, Limits, Outcome, Setup, Task
from furnigen.family.worker import start_apart

REACH_S = 10.0
"""How long a scheduler, and then its first worker, may take to answer."""
LOST_S = 60.0
"""How long a run waits for a worker when all are gone."""
AHEAD = 2
"""Batches each thread is sent ahead."""

_KEPT = "what is finished is kept: run again to go on"
_own = threading.local()


def make_there(setup: Setup, limits: Limits, tasks: list[Task]) -> list[Outcome]:
    """Make some variants, in a thread of a Dask worker.

    Raises: as `WorkerPool.run`.
    """
    worker_pool: WorkerPool | None = getattr(_own, "worker_pool", None)
    if worker_pool is None or _own.key != (setup, limits):
        if worker_pool is not None:
            worker_pool.close()
        worker_pool = _own.worker_pool = WorkerPool(setup, 1, limits, start_apart)
        _own.key = (setup, limits)
    return list(worker_pool.run(tasks))


_UNREAD = (OSError, ImportError, AttributeError, pickle.PickleError)
"""How a worker that can not unpickle a task answers, or that it does not answer."""


def identity() -> dict[str, Any]:
    """Version and platform of a Dask worker."""
    return {"furnigen": __version__}


def _connect(address: str) -> Any:
    """A client of the scheduler.

    Raises: InputError when Dask is not installed, or nothing answers at the address.
    """
    try:
        from distributed import Client
    except ImportError:
        fits = "pip install 'furnigen[cluster]'"
        raise InputError("cluster", address, "needs the package distributed", fits) from None
    # when a machine is lost we say so once, in our own words; their log lines would repeat it
    for name in [n for n in logging.root.manager.loggerDict if n.partition(".")[0] == "distributed"]:
        logging.getLogger(name).setLevel(logging.CRITICAL)
    try:
        client: Any = Client(address, timeout=REACH_S)  # type: ignore[no-untyped-call]
        return client
    except (OSError, TimeoutError, ValueError) as error:
        fits = "start it with: dask scheduler; an address looks like tcp://192.0.2.1:8786"
        why = str(error).splitlines()[0] if isinstance(error, ValueError) else "no scheduler answers"
        raise InputError("cluster", address, f"can not be reached: {why}", fits) from None


def _check_workers(client: Any, address: str) -> None:
    """Raises: InputError when there is no worker, or one has another furnigen or none."""
    deadline = time.monotonic() + REACH_S
    while not (workers := _workers(client)):
        if time.monotonic() > deadline:
            fits = f"start some: dask worker {address} --nthreads 1"
            raise InputError("cluster", address, "has no workers", fits)
        time.sleep(0.1)
    try:
        versions = client.run(identity, on_error="return")
    except _UNREAD as error:
        raise InputError("cluster", address, f"its workers can not run furnigen: {error}") from None
    for worker in sorted(workers):
        said = versions.get(worker)
        version = said.get("furnigen") if isinstance(said, dict) else None
        if version != __version__:
            has = f"furnigen {version}" if version else f"no furnigen ({said})"
            fits = "install the same version on every machine"
            raise InputError("cluster", worker, f"has {has}, here is furnigen {__version__}", fits)


def _workers(client: Any) -> dict[str, Any]:
    return client.scheduler_info(n_workers=-1)["workers"]  # type: ignore[no-any-return]


class Cluster:
    """The workers of a Dask scheduler; a context.

    Raises: InputError when it can not be reached, has no workers, or one with another furnigen.
    """

    def __init__(self, address: str, setup: Setup, limits: Limits) -> None:
        self._setup, self._limits = setup, limits
        self._client = _connect(address)
        try:
            _check_workers(self._client, address)
        except InputError:
            self._client.close()
            raise

    def __enter__(self) -> Cluster:
        return self

    def __exit__(self, *_: object) -> None:
        self._client.close(timeout=2)

    def run(self, tasks: Iterable[Task]) -> Iterator[Outcome]:
        """Make all tasks; outcomes come as they are finished, in any order.

        Raises:
            FurnigenError: what keeps a worker from starting.
            OutputError: the scheduler or all workers are gone.
        """
        source = iter(tasks)
        size = 1 if self._setup.solid else self._setup.BATCH
        batches = iter(lambda: list(islice(source, size)), [])
        under_way: dict[Any, list[Task]] = {}
        more = True
        while more or under_way:
            room = AHEAD * max(1, sum(w["nthreads"] for w in _workers(self._client).values()))
            while more and len(under_way) < room:
                batch = next(batches, None)
                if batch is None:
                    more = False
                else:
                    under_way[self._send(batch)] = batch
            if under_way:
                for future in self._finished(list(under_way)):
                    yield from self._gather(future, under_way)

    def _send(self, batch: list[Task]) -> Any:
        return self._client.submit(make_there, self._setup, self._limits, batch, pure=False)

    def _finished(self, futures: list[Any]) -> list[Any]:
        """Wait for some to finish.

        Raises: OutputError when nobody is left who could finish them.
        """
        from distributed import wait

        seen = time.monotonic()
        while True:
            try:
                done = wait(futures, timeout=1.0, return_when="FIRST_COMPLETED").done  # type: ignore[no-untyped-call]
                return list(done)
            except TimeoutError:
                pass
            except CancelledError:
                raise OutputError(f"the scheduler dropped the work; {_KEPT}") from None
            if self._client.status != "running":
                raise OutputError(f"the scheduler of the cluster is gone; {_KEPT}")
            if _workers(self._client):
                seen = time.monotonic()
            elif time.monotonic() - seen > LOST_S:
                raise OutputError(f"the cluster has had no worker for {LOST_S:g} s; {_KEPT}")

    def _gather(self, future: Any, under_way: dict[Any, list[Task]]) -> Iterator[Outcome]:
        from distributed.scheduler import KilledWorker

        batch = under_way.pop(future)
        error = future.exception() if future.status == "error" else None
        if isinstance(error, KilledWorker):
            if len(batch) > 1:  # one of them may be at fault: try each alone
                for task in batch:
                    under_way[self._send([task])] = [task]
            else:
                yield ended(batch[0], CRASHED, "the machines it was on were lost, several times over")
        elif error is not None:
            raise error
        elif future.status != "finished":
            raise OutputError(f"the cluster dropped the work; {_KEPT}")
        else:
            yield from future.result()
        future.release()
