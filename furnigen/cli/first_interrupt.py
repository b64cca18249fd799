"""The first Ctrl-C ends a search with the best so far; the second one ends the command."""

from __future__ import annotations

import signal
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from threading import current_thread, main_thread


class Stop:
    """Whether the search shall end with the best so far."""

    def __init__(self) -> None:
        self.asked = False

    def __call__(self) -> bool:
        """Whether it shall."""
        return self.asked


@contextmanager
def first_interrupt(told: str) -> Iterator[Stop]:
    """The first Ctrl-C ends the search only; the second one ends the command with nothing written.

    Args:
        told: what is said at the first.
    """
    stop = Stop()
    if current_thread() is not main_thread():
        yield stop
        return

    def heard(number: int, frame: object) -> None:
        if stop.asked:
            raise KeyboardInterrupt
        stop.asked = True
        print(f"\nfurnigen: {told}", file=sys.stderr)

    before = signal.signal(signal.SIGINT, heard)
    try:
        yield stop
    finally:
        signal.signal(signal.SIGINT, before)
