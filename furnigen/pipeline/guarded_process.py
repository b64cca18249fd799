"""Run a function in a process of its own, with limits on time and memory: for what may crash or never end.

The process starts without the current folder among the places it imports from, and speaks JSON: what a broken
process says is data, never code.
"""

from __future__ import annotations

import contextlib
import json
import os
import signal
import subprocess
import sys
import threading
from collections.abc import Mapping
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path
from typing import Any

from furnigen.core import errors
from furnigen.core.errors import FurnigenError
from furnigen.core.processes import HOME, environment, module_command
from furnigen.core.progress import Sink, silent

_GIB = 2**30
_NEAR = 0.8
"""Share of the memory limit that a process which ended by itself must have reached for that to be why."""

_AT_ONCE = 2**20
"""Bytes that Python takes from the system at once: with less the kernel comes down before a step is told."""


@dataclass(frozen=True)
class Limits:
    """What a guarded process may use.

    Attributes:
        seconds: from start to end.
        memory_gib: beyond what the program itself takes to start; held where the system can (not on
            Windows).
    """

    seconds: float
    memory_gib: float


class EndedError(FurnigenError):
    """A guarded process that gave no answer.

    Attributes:
        why: "time", "memory", or what ended it: the name of a signal or an exit status.
        last: the last step it told.
    """

    def __init__(self, why: str, last: str) -> None:
        super().__init__(why, last)
        self.why, self.last = why, last


def guarded(task: str, given: Mapping[str, Any], limits: Limits, on_step: Sink = silent) -> Any:
    """Call a function in a process of its own.

    Args:
        task: "module:function"; it takes `on_step` beside `given`.
        given: its arguments by name, as JSON can hold them.
        on_step: told what the function tells its own.

    Returns: what it returns, as JSON holds it.

    Raises: the FurnigenError the function raises; EndedError when the process ends without an answer.
    """
    process = subprocess.Popen(
        module_command("furnigen.pipeline.guarded_process"),
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        stderr=subprocess.DEVNULL,
        cwd=Path(HOME).anchor or None,
        env=environment(),
    )
    late = threading.Event()

    def stop() -> None:
        late.set()
        process.kill()

    timer = threading.Timer(limits.seconds, stop)
    timer.daemon = True
    timer.start()
    try:
        return _answer(process, {"task": task, "given": given, **vars(limits)}, late, limits, on_step)
    finally:
        timer.cancel()
        process.kill()
        process.wait()
        for pipe in (process.stdin, process.stdout):
            if pipe:
                with contextlib.suppress(BrokenPipeError):
                    pipe.close()


def _answer(
    process: subprocess.Popen[bytes],
    asked: Mapping[str, Any],
    late: threading.Event,
    limits: Limits,
    on_step: Sink,
) -> Any:
    assert process.stdin is not None
    assert process.stdout is not None
    last, most = "", 0.0
    try:
        process.stdin.write(json.dumps(asked).encode() + b"\n")
        process.stdin.flush()
    except BrokenPipeError:
        pass  # it ended at once: told below
    for line in process.stdout:
        try:
            said = json.loads(line)
        except ValueError:
            break  # it ended while it spoke
        if "step" in said:
            last = said["step"]
            most = said["share"]
            on_step(last)
        elif "error" in said:
            raise _error(said["error"], said["values"])
        elif "ended" in said:
            raise EndedError(said["ended"], last)
        else:
            return said["answer"]
    status = process.wait()
    if late.is_set():
        raise EndedError("time", last)
    if status < 0:
        name = signal.Signals(-status).name if -status in set(signal.Signals) else f"signal {-status}"
        if -status == getattr(signal, "SIGXCPU", 0):
            raise EndedError("time", last)
        short = most > _NEAR or limits.memory_gib * _GIB < _AT_ONCE
        raise EndedError("memory" if short else name, last)
    raise EndedError(f"exit status {status}", last)


def _error(kind: str, values: list[Any]) -> Exception:
    found = getattr(errors, kind, None)
    if isinstance(found, type) and issubclass(found, FurnigenError):
        return found(*values)
    return EndedError(f"{kind}: {'; '.join(map(str, values))}", "")


def serve() -> None:
    """Answer the one question on standard input, and leave."""
    answer = os.fdopen(os.dup(sys.stdout.fileno()), "wb")
    # the kernel prints; nothing of its own may get into the answer
    quiet = os.open(os.devnull, os.O_WRONLY)
    os.dup2(quiet, sys.stdout.fileno())
    question = json.loads(sys.stdin.buffer.readline())
    threading.Thread(target=_leave_with_asker, daemon=True).start()
    module, _, name = question["task"].partition(":")
    lock = threading.Lock()
    base = 0

    def say(what: Mapping[str, Any]) -> None:
        with lock:
            answer.write(json.dumps(what).encode() + b"\n")
            answer.flush()

    def on_step(step: str) -> None:
        say({"step": step, "share": (_address_space() - base) / (question["memory_gib"] * _GIB)})

    try:
        function = getattr(import_module(module), name)
        base = _address_space()
        hold_here(question["seconds"], question["memory_gib"])
        found = {"answer": function(**question["given"], on_step=on_step)}
        say(found)
    except FurnigenError as error:
        say({"error": type(error).__name__, "values": [_plain(a) for a in error.args]})
    except MemoryError:
        say({"ended": "memory"})
    except RecursionError:
        say({"ended": "too deep"})
    except Exception as error:  # whatever a broken file brings about is one message
        say({"ended": f"{type(error).__name__}: {error}"})
    os._exit(0)


def _plain(value: object) -> Any:
    return value if isinstance(value, str | int | float) else str(value)


def _leave_with_asker() -> None:
    """End this process when the one that asked has gone."""
    os.read(sys.stdin.fileno(), 1)
    os._exit(0)


def _address_space() -> int:
    """Bytes of address space in use; 0 where the system does not say."""
    try:
        pages = int(Path("/proc/self/statm").read_text(encoding="ascii").split()[0])
    except (OSError, ValueError):
        return 0
    return pages * os.sysconf("SC_PAGESIZE")


def hold_here(seconds: float, memory_gib: float) -> None:
    """Limit what this process may take from now on, where the system can: time, and memory."""
    try:
        import resource
    except ImportError:
        return
    for what, amount in (
        (resource.RLIMIT_CORE, 0),
        (resource.RLIMIT_CPU, int(seconds) + 2),
        (resource.RLIMIT_AS, _address_space() + int(memory_gib * _GIB)),
    ):
        hard = resource.getrlimit(what)[1]
        if hard != resource.RLIM_INFINITY:
            amount = min(amount, hard)
        try:
            resource.setrlimit(what, (amount, hard))
        except (OSError, ValueError):
            continue  # a system that knows the limit and does not keep to it


if __name__ == "__main__":
    serve()
