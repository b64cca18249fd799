"""Work done in a fork of this process, with limits: a crash or a hang ends the fork alone, and is told.

A fork costs a hundredth of a new interpreter with the kernel. This process must import what the work needs
and do none of it: threads that a library has started do not live on in a fork.
"""

from __future__ import annotations

import json
import os
import select
import signal
import subprocess
import sys
import time
import traceback
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

from furnigen.pipeline.guarded_process import hold_here

MEMORY_GIB = 4.0
WAITS = 5
"""Seconds of the clock that a fork may take for each second of processor time it is allowed: a hang that
waits uses none, and other work may go on beside it."""
AT_ONCE = 2
Row = dict[str, Any]


def forked(work: Callable[[], Row], seconds: float) -> Row:
    """What `work` returns, with `seconds`, how long it took.

    Where it gives nothing back, `ended` says why ("raised", "time", "crash") and `message` tells more.

    Args:
        work: its result goes through JSON.
        seconds: of processor time that it may take.
    """
    begun = time.monotonic()
    return _result(work, seconds) | {"seconds": round(time.monotonic() - begun, 2)}


def _result(work: Callable[[], Row], seconds: float) -> Row:
    reading, writing = os.pipe()
    child = os.fork()
    if not child:
        try:
            quiet = os.open(os.devnull, os.O_RDWR)
            for stream in (0, 1, 2):
                os.dup2(quiet, stream)
            hold_here(seconds, MEMORY_GIB)
            try:
                row = work()
            except BaseException:  # whatever it is, it is told
                row = {"ended": "raised", "message": traceback.format_exc()[-1500:]}
            with os.fdopen(writing, "wb") as pipe:
                pipe.write(json.dumps(row).encode())
        finally:
            os._exit(0)
    os.close(writing)
    parts, late = [], False
    while select.select([reading], [], [], WAITS * seconds)[0]:
        part = os.read(reading, 1 << 16)
        if not part:
            break
        parts.append(part)
    else:
        late = True
        os.kill(child, signal.SIGKILL)
    os.close(reading)
    status = os.waitstatus_to_exitcode(os.waitpid(child, 0)[1])
    try:
        found: Row = json.loads(b"".join(parts))
        return found
    except ValueError:
        pass
    ended = "time" if late or status == -signal.SIGXCPU else "crash"
    return {"ended": ended, "message": str(status)}


def rows_of(script: str, *words: str, count: int) -> Iterator[Row]:
    """The lines of JSON of `python SCRIPT WORDS FIRST COUNT STRIDE`; processes share the numbers."""
    path = Path(__file__).with_name(script)
    runs = [
        subprocess.Popen(
            [sys.executable, str(path), *words, str(k), str(count), str(AT_ONCE)],
            stdout=subprocess.PIPE,
            text=True,
        )
        for k in range(AT_ONCE)
    ]
    told = [run.communicate()[0] for run in runs]
    assert all(run.returncode == 0 for run in runs)
    return (json.loads(line) for text in told for line in text.splitlines())


def numbers_asked() -> range:
    """The numbers that the last words of a script ask for: from FIRST up to COUNT, each STRIDE-th."""
    words = [int(word) for word in sys.argv[1:] if word.isdigit()]
    return range(*words)
