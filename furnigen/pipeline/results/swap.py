"""Putting a finished folder in the place of another, so that at any moment one of them stands there whole.

Linux exchanges two folders in one step. Elsewhere, and on file systems that can not, it takes two renames:
a process that ends between them leaves both folders under names by which the next one finishes the move.
"""

from __future__ import annotations

import contextlib
import errno
import os
import signal
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from types import FrameType

_HERE = -100
"""AT_FDCWD of Linux: paths are as seen from the current folder."""
_EXCHANGE = 2
"""RENAME_EXCHANGE of Linux, renameat2(2)."""
_CAN_NOT = {errno.ENOSYS, errno.EINVAL, errno.ENOTSUP, errno.EPERM}
"""What is answered where it can not be done in one step: by an old system, by some file systems, and (EPERM)
by containers that do not let it through."""
_WAIT = ("SIGINT", "SIGTERM", "SIGHUP")


def _unwatched(step: str) -> None:
    """Watches nothing."""


watch: Callable[[str], None] = _unwatched
"""Told the name of each step of a write before it is taken; tests end the process there."""


def step(name: str) -> None:
    """Say that a step of a write is about to be taken."""
    watch(name)


def exchange(a: Path, b: Path) -> bool:
    """Let two paths of one file system change places in one step; False where that can not be done.

    Raises: OSError when it can be done but not with these two.
    """
    import ctypes

    try:
        call = ctypes.CDLL(None, use_errno=True).renameat2
    except (AttributeError, OSError, TypeError):
        return False
    if call(_HERE, ctypes.c_char_p(os.fsencode(a)), _HERE, ctypes.c_char_p(os.fsencode(b)), _EXCHANGE) == 0:
        return True
    code = ctypes.get_errno()
    if code in _CAN_NOT:
        return False
    raise OSError(code, os.strerror(code), str(b))


def put_in_place(ready: Path, final: Path, old: Path) -> Path | None:
    """Put `ready` in the place of `final`, which may not be there yet.

    Args:
        old: a free name for what stood there, used where it takes two renames.

    Returns: where what stood there is now; None when nothing did.

    Raises: OSError; what stood there is back in its place.
    """
    if not os.path.lexists(final):
        step("the first rename")
        ready.rename(final)
        return None
    step("the exchange")
    if exchange(ready, final):
        return ready
    step("the rename away")
    final.rename(old)
    step("the rename into place")
    try:
        ready.rename(final)
    except OSError:
        old.rename(final)
        raise
    return old


@contextlib.contextmanager
def signals_wait() -> Iterator[None]:
    """Let an interrupt, the end of a terminal or a request to end wait until this block is left.

    Only the main thread can make them wait; in others they do not interrupt Python code anyhow.
    """
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    came: list[int] = []

    def note(number: int, frame: FrameType | None) -> None:
        came.append(number)

    before = {}
    for name in _WAIT:
        number = getattr(signal, name, None)
        # what is ignored stays so, and what other than Python handles is left to it
        if number is not None and signal.getsignal(number) not in (signal.SIG_IGN, None):
            before[number] = signal.signal(number, note)
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)
        for number in dict.fromkeys(came):
            signal.raise_signal(number)
