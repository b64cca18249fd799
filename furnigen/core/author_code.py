"""Running what a recipe's author wrote: its prints stay out of results, whatever it raises is one message."""

from __future__ import annotations

import signal
import sys
import traceback
from collections.abc import Callable
from contextlib import redirect_stdout
from typing import Any

from furnigen.core.errors import FurnigenError, RecipeError

LONGEST_TOLD = 400
"""Characters of an exception's own text that a message repeats."""


def run_authored(what: str, file: str, work: Callable[..., Any], /, *args: Any, **named: Any) -> Any:
    """`work(*args, **named)`, with what it prints sent to standard error.

    Args:
        what: what it is, to begin a message with, such as "recipe stool".
        file: the author's own file: the message names a line of it, not one of a package that it called.

    Raises:
        FurnigenError: as raised.
        RecipeError: anything else was raised. KeyboardInterrupt goes through where a person can interrupt.
    """
    try:
        with redirect_stdout(sys.stderr):
            return work(*args, **named)
    except FurnigenError as error:
        if _text(error) is None:
            raise RecipeError(f"{what} failed: {error_line(error)}") from error
        raise
    except BaseException as error:
        # a worker ignores the signal, so there the author raised it
        if isinstance(error, KeyboardInterrupt) and signal.getsignal(signal.SIGINT) is not signal.SIG_IGN:
            raise
        lines = [f.lineno for f in traceback.extract_tb(error.__traceback__) if f.filename == file]
        if isinstance(error, SyntaxError) and error.filename == file:
            lines.append(error.lineno)
        where = f" at line {lines[-1]}" if lines and lines[-1] else ""
        raise RecipeError(f"{what} failed{where}: {error_line(error)}") from error


def error_line(error: BaseException) -> str:
    """An exception as one line of a message, even where its text is long or making it fails."""
    text = _text(error)
    if text is None:
        return f"{type(error).__name__}, whose text fails too"
    line = "".join(c if c.isprintable() else "\N{REPLACEMENT CHARACTER}" for c in " ".join(text.split()))
    if len(line) > LONGEST_TOLD:
        line = line[:LONGEST_TOLD] + "..."
    return f"{type(error).__name__}: {line}"


def _text(error: BaseException) -> str | None:
    try:
        return str(error)
    except BaseException:
        return None
