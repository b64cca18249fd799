"""The process that stays warm: it takes jobs, works the newest one out, and says what it finds.

It ends when the process that started it does, even in the middle of a recipe that never ends.
"""

from __future__ import annotations

import contextlib
import os
import signal
import sys
import threading
from functools import cache
from multiprocessing.connection import Connection

from furnigen.core.author_code import error_line
from furnigen.live.job import DONE, SLOW, Job, Said

PAUSE_S = 0.4
"""Slow work begins when nothing has changed for this long: while somebody drags, it would be in the way."""
NICE = 10
"""How far slow work stands back behind all else on the machine."""


class _SupersededError(Exception):
    """A newer job waits."""


def work(connection: Connection) -> None:
    """The main loop of the process; never returns."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # who started it decides
    os.dup2(sys.stderr.fileno(), 1)  # a recipe may print
    sys.dont_write_bytecode = True
    threading.Thread(target=_leave_with_starter, daemon=True).start()
    with contextlib.suppress(EOFError, OSError):
        _serve(connection)
    sys.stderr.flush()
    os._exit(0)


def _leave_with_starter() -> None:
    os.read(sys.stdin.fileno(), 1)
    os._exit(0)


def _serve(connection: Connection) -> None:
    from furnigen.live.stages import Stages

    stages = Stages()

    def on_step(step: str) -> None:
        if connection.poll(0):
            raise _SupersededError

    @cache
    def stand_back() -> None:
        os.nice(NICE)

    connection.send(None)  # it is warm
    while True:
        job = connection.recv()
        if not isinstance(job, Job):
            continue  # a nudge: what it was for has ended already
        try:
            if job.kind == SLOW:
                stand_back()
                if connection.poll(PAUSE_S):
                    raise _SupersededError
            stages.do(job, connection.send, on_step)
        except _SupersededError:
            pass
        except Exception as error:  # a fault of ours: the page says so, and the next change finds us here
            connection.send(Said(job.number, "refused", {"fields": {}, "message": error_line(error)}))
        connection.send(Said(job.number, DONE))


if __name__ == "__main__":
    work(Connection(int(sys.argv[1])))
