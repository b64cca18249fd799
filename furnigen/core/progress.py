"""Progress: library code says what it is doing; only the command line draws it."""

from __future__ import annotations

from collections.abc import Callable

Sink = Callable[[str], None]
"""Takes one short clause, such as "tessellating 12 parts"."""


def silent(step: str) -> None:
    """A sink that shows nothing."""
