"""Writing a folder of results whole: the only place that opens files to write.

A folder is put together in a hidden one beside it and takes its place in one step, so a process that is
killed, or a full disk, leaves the old result whole or the new one whole, and never a mixture. Nothing that
furnigen did not write is deleted, moved or overwritten; a file of ours that a person changed is kept beside
the new one. A folder that furnigen did not make is never replaced.

Two processes that write one folder take turns. A power cut is not provided for: nothing is forced to
the disk.
"""

from __future__ import annotations

import errno
import os
import stat
from collections.abc import Mapping, Sequence
from pathlib import Path

from furnigen.core.errors import OutputError
from furnigen.pipeline.results.carry_over import refuse_strangers
from furnigen.pipeline.results.lock import InUseError
from furnigen.pipeline.results.manifest import read_manifest
from furnigen.pipeline.results.staging import WAIT_S, Workplace, Written, place_beside, why, workplace

LONGEST_NAME = 255
"""Bytes of one name, on all usual file systems (common practice, no source)."""


def check_writable(folder: Path, names: Sequence[str] = ()) -> None:
    """Refuse a result folder early, before any long work; finish there what a killed run had begun.

    Args:
        names: files that will be written, as far as they are known.

    Raises: OutputError when it is a file, is not furnigen's, holds something else under one of the names, or
        can not be made.
    """
    settle(folder)
    _checked(folder, names)


def _checked(folder: Path, names: Sequence[str] = ()) -> Path:
    """Where a result folder is; errors as of `check_writable`."""
    final, there = _replaceable(folder)
    if not there:
        return final
    mine = read_manifest(final)
    if mine is None:
        if any(final.iterdir()):
            raise OutputError(
                f"{folder} holds files that furnigen did not make; choose an empty folder or another name"
            )
        return final
    refuse_strangers(final, folder, mine, tuple(names))
    return final


def write_folder(
    folder: Path, files: Mapping[str, bytes], place: Path | None = None, wait_s: float = WAIT_S
) -> Written:
    """Write `files` (name to bytes) as a folder of results, in one step.

    What earlier runs wrote and this one does not stays, but for files of a series that is written anew: the
    files with one ending in one subfolder. So does all that a person added.

    Args:
        place: a folder on the same file system that this process alone uses, to put the result together in;
            else a hidden one beside `folder`, locked.
        wait_s: how long to wait for another run that is writing the same folder (s).

    Raises: OutputError when it can not be written; the earlier result stays untouched.
    """
    if place is None:
        settle(folder)
    final = _checked(folder)
    made: list[Path] = []
    try:
        made = _make_parents(final.parent)
        if place is not None:
            return Workplace(place, final, f"{final.name}.").write(files, folder)
        with workplace(final, wait_s) as beside:
            return beside.write(files, folder)
    except InUseError as busy:
        raise busy.refusal(folder) from None
    except OSError as error:
        for parent in made:
            _remove_if_empty(parent)
        if isinstance(error, OutputError):
            raise
        raise _refusal(folder, why(error)) from None


def settle(folder: Path) -> None:
    """Finish what a killed run had begun in a folder of results, and clear away what it left.

    Nothing when there is nothing to do, another process is at it, or it can not be done now.
    """
    try:
        final = Path(os.path.realpath(folder))
        if place_beside(final).is_dir():
            with workplace(final, wait_s=0.0) as beside:
                beside.settle()
    except (InUseError, OSError):
        return


def _refusal(folder: Path, reason: str) -> OutputError:
    return OutputError(f"{folder} can not be written: {reason}; choose another")


def place_of(folder: Path) -> tuple[Path, bool]:
    """Where a folder to write in is, with all links followed, and whether it is there already.

    Raises: OutputError when none can be there, or it can not be written in.
    """
    try:
        there = _stat(folder)
        final = Path(os.path.realpath(folder))
        if any(len(os.fsencode(part)) > LONGEST_NAME for part in final.parts):
            raise OSError(errno.ENAMETOOLONG, os.strerror(errno.ENAMETOOLONG))
        at = final if there else final.parent
        while (found := _stat(at)) is None:
            at = at.parent
    except OSError as error:
        gone = isinstance(error, FileNotFoundError)
        raise _refusal(folder, "the current folder is gone" if gone else why(error)) from None
    if there and not stat.S_ISDIR(there.st_mode):
        raise OutputError(f"{folder} is a file, not a folder; choose another")
    if not final.name:  # a whole result is put in the place of the folder, which the root can not give up
        raise OutputError(f"{folder} is the root of the file system; choose a folder in it")
    if not stat.S_ISDIR(found.st_mode) or not os.access(at, os.R_OK | os.W_OK | os.X_OK):
        raise _refusal(folder, f"{at} does not let you")
    return final, bool(there)


def _replaceable(folder: Path) -> tuple[Path, bool]:
    """`place_of`, for a folder that another is to take the place of.

    Raises: OutputError as there, and when it must stay the folder it is.
    """
    final, there = place_of(folder)
    if there and os.path.ismount(final):
        raise _refusal(folder, "something is mounted there; name a folder in it")
    if there and _holds_current(final):
        raise OutputError(
            f"{folder} is the current folder, or holds it, and results take the place of a folder whole;"
            " name a folder in it, or run furnigen from elsewhere"
        )
    if there and not os.access(final.parent, os.W_OK | os.X_OK):
        raise _refusal(folder, f"{final.parent} does not let you")
    return final, there


def _holds_current(final: Path) -> bool:
    try:
        return Path.cwd().is_relative_to(final)
    except OSError:
        return False


def _stat(path: Path) -> os.stat_result | None:
    """What a path is; None when it is not there. Raises: OSError when that can not be known."""
    try:
        return path.stat()
    except (FileNotFoundError, NotADirectoryError):
        return None


def _make_parents(parent: Path) -> list[Path]:
    """Make the folders above a result; returns those that were not there, the innermost first."""
    missing = []
    at = parent
    while not at.exists():
        missing.append(at)
        at = at.parent
    parent.mkdir(parents=True, exist_ok=True)
    return missing


def _remove_if_empty(folder: Path) -> None:
    try:
        folder.rmdir()
    except OSError:
        return
