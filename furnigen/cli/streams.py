"""Standard output and error, whatever they are: full, closed, or unable to say every sign.

A result that can not be told is an error of its own; what can not be said on standard error is not said.
"""

from __future__ import annotations

import io
import os
import sys


class UnsaidError(Exception):
    """Standard output does not take what is to be said.

    Attributes:
        reason: what the system says.
    """

    def __init__(self, reason: str) -> None:
        super().__init__(reason)
        self.reason = reason

    def __str__(self) -> str:
        return f"standard output can not be written: {self.reason}"


class _Output(io.FileIO):
    """Says what was wrong with it; a reader that leaves is told apart (BrokenPipeError)."""

    def write(self, data: object, /) -> int:
        try:
            return super().write(data)  # type: ignore[arg-type]
        except BrokenPipeError:
            raise
        except OSError as error:
            raise UnsaidError(error.strerror or type(error).__name__) from None


class _Error(io.FileIO):
    """Takes everything, and says what it can."""

    def write(self, data: object, /) -> int:
        try:
            return super().write(data)  # type: ignore[arg-type]
        except OSError:
            return memoryview(data).nbytes  # type: ignore[arg-type]


def prepare() -> None:
    """Make standard output and error of this process so."""
    # a closed one is filled, or the next file that is opened would take its place and all that is said there;
    # filled so that it does not take what is written, as a closed one does not
    for number, way in enumerate((os.O_RDONLY, os.O_RDONLY, os.O_WRONLY)):
        try:
            os.fstat(number)
        except OSError:
            os.dup2(opened := os.open(os.devnull, way), number)
            if opened != number:
                os.close(opened)
    sys.stdout = _text(_Output(1, "w", closefd=False), sys.stdout)
    sys.stderr = _text(_Error(2, "w", closefd=False), sys.stderr, at_once=True)


def _text(raw: io.FileIO, before: object, *, at_once: bool = False) -> io.TextIOWrapper:
    unheld = bool(getattr(before, "write_through", False))  # as python -u asks for
    # a terminal may not know the sign for a square
    return io.TextIOWrapper(
        raw if unheld else io.BufferedWriter(raw),  # type: ignore[type-var]
        encoding=getattr(before, "encoding", None) or "utf-8",
        errors="replace",
        line_buffering=at_once or raw.isatty(),
        write_through=unheld,
    )
