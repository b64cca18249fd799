"""What a command says of the folder it has written."""

from __future__ import annotations

import contextlib
import sys
from collections import Counter
from collections.abc import Collection, Iterable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from furnigen.cli.streams import UnsaidError

if TYPE_CHECKING:
    from furnigen.pipeline.results.staging import Written


def folder_lines(folder: Path, files: Collection[str], written: Written) -> list[str]:
    """The closing lines: what was written, what is from an earlier run, what was kept."""
    lines = [f"{folder}: {', '.join(_names(files))}"]
    if written.earlier:
        lines.append(f"from an earlier run: {', '.join(written.earlier)}")
    return lines + kept_lines(folder, written.kept)


def _names(files: Collection[str]) -> list[str]:
    """Names of files, those of a folder within as one."""
    counts = Counter(name.rpartition("/")[0] or name for name in files)
    folders = {name.rpartition("/")[0] for name in files}
    return [
        f"{name}/ ({many} file{'s' if many > 1 else ''})" if name in folders else name
        for name, many in sorted(counts.items())
    ]


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
