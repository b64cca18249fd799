"""What a command says of the folder it has written."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from furnigen.cli.streams import UnsaidError

if TYPE_CHECKING:
    from furnigen.pipeline.results.staging import Written


def folder_lines(folder: Path, files: Iterable[str], written: Written) -> list[str]:
    """The closing lines: what was written, what is from an earlier run, what was kept."""
    lines = [f"{folder}: {', '.join(sorted(files))}"]
    if written.earlier:
        lines.append(f"from an earlier run: {', '.join(written.earlier)}")
    return lines + kept_lines(folder, written.kept)


def kept_lines(folder: Path, kept: Iterable[tuple[str, str]]) -> list[str]:
    """One line for each file that a person had changed."""
    return [f"{folder / name} had been changed: that version is kept as {beside}" for name, beside in kept]


def tell_aside(folder: Path, written: Written) -> None:
    """Say on standard error what a program that reads the result on standard output should know too."""
    lines = [f"{', '.join(written.earlier)}: from an earlier run"] if written.earlier else []
    for line in lines + kept_lines(folder, written.kept):
        print(f"furnigen: {line}", file=sys.stderr)


@contextlib.contextmanager
def after_writing(folder: Path) -> Iterator[None]:
    """What ends this block early comes after the result is written, and says so."""
    try:
        yield
        sys.stdout.flush()
    except (KeyboardInterrupt, UnsaidError) as stop:
        stop.add_note(f"{folder} holds the new result")
        raise
