"""A lock that a process holds on a file: the system lets go of it when the process ends, however it ends."""

from __future__ import annotations

import contextlib
import os
import time
from io import FileIO
from pathlib import Path

from furnigen.core.errors import OutputError

LOOK_AGAIN_S = 0.02


class InUseError(Exception):
    """Another process holds the lock.

    Attributes:
        who: its process number, as it wrote it.
    """

    def __init__(self, who: str) -> None:
        super().__init__(who)
        self.who = who

    def refusal(self, folder: Path) -> OutputError:
        """That a folder can not be written because of it."""
        return OutputError(
            f"{folder} is in use by another run (process {self.who});"
            " wait until it is done, or choose another folder with --out"
        )


def hold(path: Path, wait_s: float = 0.0) -> FileIO:
    """Make a lock file if it is not there, and take its lock; closing the file lets go of it.

    Args:
        wait_s: how long to wait for another process that holds it (s).

    Raises:
        InUseError: another process holds it.
        FileNotFoundError: its folder is not there.
        OSError: it can not be made, or this file system has no locks.
        OutputError: this system has no locks.
    """
    try:
        import fcntl
    except ImportError:
        raise OutputError(
            "results can be written on Linux, macOS and WSL: this system can not lock a folder"
        ) from None
    until = time.monotonic() + wait_s
    while True:
        file = path.open("a+b", buffering=0)
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            file.seek(0)
            who = (file.read(20) or b"").decode(errors="replace").strip()
            file.close()
            if time.monotonic() > until:
                raise InUseError(who or "unknown") from None
            time.sleep(LOOK_AGAIN_S)
            continue
        except BaseException:
            file.close()
            raise
        if _still_there(file, path):
            break
        file.close()  # who held it before has cleared it away
    # its number is for people alone: on a full disk the lock holds without
    with contextlib.suppress(OSError):
        file.truncate(0)
        file.write(f"{os.getpid()}\n".encode())
    return file


def _still_there(file: FileIO, path: Path) -> bool:
    try:
        return os.path.samestat(os.fstat(file.fileno()), path.stat())
    except FileNotFoundError:
        return False
