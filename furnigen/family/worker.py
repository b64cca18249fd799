"""A worker process: its own loop, and the handle its parent has on it.

The worker reads from its connection a `Setup`, answers `READY` or the error that keeps it from work, and
then answers each `Task` with an `Outcome`. It ends when the other end of the connection does, so nothing
is left running when its parent is killed. A recipe may print: that goes to standard error.
"""

from __future__ import annotations

import contextlib
import gc
import multiprocessing
import os
import pickle
import signal
import subprocess
import sys
from multiprocessing.connection import Connection
from multiprocessing.process import BaseProcess
from pathlib import Path

from furnigen.core.errors import FurnigenError
from furnigen.core.processes import environment, module_command, safe_starts
from furnigen.family.task import Setup, Task, maker_of

READY = "ready"
TOGETHER = 16
"""The most variants a worker makes at once."""
IDLE_S = 600.0
"""A worker of a cluster that is sent nothing for this long exits: its parent may have been killed."""
ONE_THREAD = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")
"""Set to 1 for workers: there is one worker a core already, and a fork server must have a single thread."""
_LIGHT = ["furnigen.family.making"]
_SOLID = [
    *_LIGHT, "furnigen.kernel.solids", "furnigen.kernel.tessellation", "furnigen.kernel.step_cache",
    "furnigen.checks.solids", "furnigen.formats.glb", "furnigen.formats.stl", "furnigen.formats.threemf",
]  # fmt: skip


def work(connection: Connection, idle_s: float | None = None) -> None:
    """The main loop of a worker process; never returns."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the parent decides
    os.dup2(sys.stderr.fileno(), 1)
    with contextlib.suppress(EOFError, OSError):
        _serve(connection, idle_s)
    sys.stderr.flush()
    os._exit(0)  # tearing the kernel down takes longer than a variant


def _serve(connection: Connection, idle_s: float | None) -> None:
    setup: Setup = connection.recv()
    try:
        maker = maker_of(setup)
    except FurnigenError as error:
        connection.send(error)
        return
    gc.freeze()  # what the kernel loaded stays: collections need not look at it again
    gc.set_threshold(50_000, 20, 20)  # thousands of values a variant, hardly any cycles
    connection.send(READY)
    while connection.poll(idle_s):
        tasks: list[Task] = [connection.recv()]
        while not tasks[-1].alone and len(tasks) < TOGETHER and connection.poll(0):
            tasks.append(connection.recv())
        for outcome in maker.make_some(tasks):
            connection.send(outcome)


class WorkerProcess:
    """One worker process, as its parent knows it.

    Attributes:
        connection: to it.
        pid: its process id.
    """

    def __init__(self, connection: Connection, process: BaseProcess | subprocess.Popen[bytes]) -> None:
        self.connection, self._process = connection, process
        self.pid = process.pid or 0

    def end(self, grace_s: float = 0.0) -> str:
        """End it, at once or when it has not left by itself within some seconds.

        Returns: how it ended, in words.
        """
        status = self._left(grace_s)
        if status is None:
            self._process.kill()
            self._left(None)
        if not isinstance(self._process, subprocess.Popen):
            self._process.close()
        self.connection.close()
        if status is None:
            return "was ended"
        return f"was ended by {signal.Signals(-status).name}" if status < 0 else f"left with status {status}"

    def _left(self, wait_s: float | None) -> int | None:
        """Its exit status; None when it still runs after some seconds (None waits for it)."""
        if isinstance(self._process, subprocess.Popen):
            with contextlib.suppress(subprocess.TimeoutExpired):
                self._process.wait(wait_s)
            return self._process.returncode
        self._process.join(wait_s)
        return self._process.exitcode

    def memory_bytes(self) -> int:
        """Resident memory now, bytes; 0 when it is gone."""
        try:
            pages = Path(f"/proc/{self.pid}/statm").read_text(encoding="ascii").split()[1]
            return int(pages) * os.sysconf("SC_PAGE_SIZE")
        except FileNotFoundError:
            if Path("/proc/self/statm").exists():
                return 0
            ps = subprocess.run(["ps", "-o", "rss=", "-p", str(self.pid)], capture_output=True, check=False)
            return int(ps.stdout.strip() or 0) * 1024


def start_here(setup: Setup) -> WorkerProcess:
    """Start a worker by a fork server that has the kernel loaded, or afresh where there is none."""
    for name in ONE_THREAD:
        os.environ.setdefault(name, "1")
    methods = multiprocessing.get_all_start_methods()
    context = multiprocessing.get_context("forkserver" if "forkserver" in methods else "spawn")
    if "forkserver" in methods:
        context.set_forkserver_preload(_SOLID if setup.solid else _LIGHT)
    ours, theirs = context.Pipe()
    process = context.Process(target=work, args=(theirs,), daemon=True)  # type: ignore[attr-defined]
    with safe_starts():
        process.start()
    theirs.close()
    ours.send(setup)
    return WorkerProcess(ours, process)


def start_apart(setup: Setup) -> WorkerProcess:
    """Start a worker from within a process that may have no children of the usual kind, as a cluster's."""
    ours, theirs = multiprocessing.Pipe()
    process = subprocess.Popen(
        module_command("furnigen.family.worker", str(theirs.fileno())),
        pass_fds=[theirs.fileno()],
        stdin=subprocess.DEVNULL,
        env=environment(**dict.fromkeys(ONE_THREAD, "1")),
    )
    theirs.close()
    ours.send(setup)
    return WorkerProcess(ours, process)


def answer(worker: WorkerProcess) -> object:
    """What a worker sent: READY, an Outcome or an error.

    Raises: EOFError when it is gone, even in the middle of a message.
    """
    try:
        return worker.connection.recv()
    except (OSError, pickle.UnpicklingError) as error:
        raise EOFError from error


if __name__ == "__main__":
    work(Connection(int(sys.argv[1])), IDLE_S)
