"""Writing a folder of results whole: the only place that opens files to write.

A folder is written beside the one it replaces and renamed into place, so a crash or a full disk
leaves the old result as it was. A folder that furnigen did not make is never replaced.
"""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Mapping
from pathlib import Path

from furnigen.errors import OutputError

MARK = "report.json"
"""Every folder of results holds this file; by it furnigen knows its own."""


def _why(error: OSError) -> str:
    return error.strerror or type(error).__name__


def _strangers(folder: Path) -> list[Path]:
    """What stands in an existing result folder beside the results.

    Errors: OutputError when the folder was not made by furnigen.
    """
    inside = sorted(folder.iterdir())
    if not inside:
        return []
    try:
        report = json.loads((folder / MARK).read_text(encoding="utf-8"))
        mine = {MARK, *report["files"]} if "furnigen" in report else None
    except (OSError, ValueError, TypeError, KeyError):
        mine = None
    if mine is None:
        raise OutputError(
            f"{folder} holds files that furnigen did not make;"
            " choose an empty folder or another name with --out"
        )
    return [p for p in inside if p.name not in mine and p.name not in {Path(m).parts[0] for m in mine}]


def check_writable(folder: Path) -> None:
    """Refuse a result folder early, before any long work.

    Errors: OutputError when it is a file, is not furnigen's, or can not be made.
    """
    if folder.exists():
        if not folder.is_dir():
            raise OutputError(f"{folder} is a file, not a folder; choose another with --out")
        _strangers(folder)
    parent = folder.resolve().parent
    while not parent.exists():
        parent = parent.parent
    if not parent.is_dir() or not os.access(parent, os.W_OK):
        raise OutputError(
            f"{folder} can not be written: {parent} does not let you; choose another with --out"
        )


def write_folder(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write `files` (name to bytes) as the whole content of `folder`, in one step.

    Files that a person added to an earlier result are kept.

    Errors: OutputError when it can not be written; the earlier result stays untouched.
    """
    check_writable(folder)
    final = folder.resolve()
    new = final.with_name(f".{final.name}.new-{os.getpid()}")
    old = final.with_name(f".{final.name}.old-{os.getpid()}")
    try:
        final.parent.mkdir(parents=True, exist_ok=True)
        shutil.rmtree(new, ignore_errors=True)
        new.mkdir()
        for name, data in files.items():
            target = new / name
            target.parent.mkdir(parents=True, exist_ok=True)
            target.write_bytes(data)
        if final.is_dir():
            for stranger in _strangers(final):
                if not (new / stranger.name).exists():
                    copy = shutil.copytree if stranger.is_dir() else shutil.copy2
                    copy(stranger, new / stranger.name)
            final.rename(old)
        try:
            new.rename(final)
        except OSError:
            if old.is_dir():
                old.rename(final)
            raise
    except OSError as error:
        raise OutputError(f"{folder} can not be written: {_why(error)}; choose another with --out") from None
    finally:
        shutil.rmtree(new, ignore_errors=True)
        shutil.rmtree(old, ignore_errors=True)
