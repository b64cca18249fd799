"""A family's folder: who uses it, which family it holds, and the rows that are finished.

    family.json           which family this is: furnigen's version and all that its variants depend on
    NAME/                 the files of one variant, written whole by `furnigen.output.files`
    .family/rows.jsonl    one line a finished variant, added after its folder is in place
    .family/lock          held while a run is at work; the system lets go of it when that process dies
    family.csv, .parquet, .html    made of the rows, when all are there

A variant is finished when its line and its files are on disk: a run that is killed at any point loses only
what it had not finished, and the next one goes on from there.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import time
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any, BinaryIO

from furnigen import __version__
from furnigen.errors import OutputError
from furnigen.family.task import CRASHED, STOPPED, Limits, Outcome
from furnigen.output.files import check_writable, write_folder

MANIFEST = "family.json"
SYNC_S = 1.0
"""Finished rows are forced to the disk this often: what a power cut may cost."""

Line = dict[str, Any]


def write_whole(path: Path, chunks: Iterable[bytes]) -> None:
    """Write a file beside itself and rename it into place.

    Errors: OutputError when it can not be written; the earlier one stays.
    """
    new = path.with_name(f".{path.name}.new-{os.getpid()}")
    try:
        with new.open("wb") as file:
            for chunk in chunks:
                file.write(chunk)
        new.replace(path)
    except OSError as error:
        raise OutputError(f"{path} can not be written: {error.strerror or error}") from None
    finally:
        new.unlink(missing_ok=True)


def _size_of(path: Path) -> int:
    try:
        return path.stat().st_size
    except OSError:
        return -1


class FamilyFolder:
    """A family's folder, held for one run; a context.

    Args:
        path: the folder; made when it is not there.
        definition: from `Family.definition`.
        limits: of this run: what an earlier one stopped at other limits is tried again.

    Errors:
        OutputError: it is in use, holds another family or something else, or can not be written.
    """

    def __init__(self, path: Path, definition: Mapping[str, str], limits: Limits) -> None:
        self.path = path
        self._limits = [limits.seconds, limits.memory_mb]
        self._state = path / ".family"
        self._refuse_strangers()
        self._new = not (path / MANIFEST).exists()
        try:
            self._state.mkdir(parents=True, exist_ok=True)
            self._lock = self._locked()
        except OutputError:
            raise  # it says what is wrong itself
        except OSError as error:
            raise OutputError(
                f"{path} can not be written: {error.strerror or error}; choose another with --out"
            ) from None
        try:
            self._claim(definition)
            self._sweep()
            self._rows: BinaryIO = (self._state / "rows.jsonl").open("a+b")
            self._at: dict[int, tuple[int, int]] = {}
            self._load()
        except BaseException:
            self._lock.close()
            raise
        self._synced = time.monotonic()

    def __enter__(self) -> FamilyFolder:
        return self

    def __exit__(self, error: type[BaseException] | None, *_: object) -> None:
        self._rows.flush()
        os.fsync(self._rows.fileno())
        self._rows.close()
        if error is not None and self._new and not self._at:
            self._undo()
        self._lock.close()

    def _undo(self) -> None:
        """Leave nothing of a run that could not begin."""
        shutil.rmtree(self._state, ignore_errors=True)
        (self.path / MANIFEST).unlink(missing_ok=True)
        with contextlib.suppress(OSError):  # a person may have put something there meanwhile
            self.path.rmdir()

    def _refuse_strangers(self) -> None:
        if self.path.is_dir():
            if any(self.path.iterdir()) and not self._state.is_dir():
                raise OutputError(
                    f"{self.path} holds files of something else than a family;"
                    " choose an empty folder or another name with --out"
                )
        else:
            check_writable(self.path)

    def _locked(self) -> BinaryIO:
        """Take the lock. The system holds it for this process: a run that was killed leaves none behind."""
        try:
            import fcntl
        except ImportError:
            raise OutputError(
                "families need Linux, macOS or WSL: this system can not lock a folder"
            ) from None
        file = (self._state / "lock").open("a+b")
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            file.seek(0)
            who = file.read(20).decode(errors="replace").strip()
            file.close()
            raise OutputError(
                f"{self.path} is in use by another run (process {who});"
                " wait until it is done, or choose another folder with --out"
            ) from None
        file.truncate(0)
        file.write(f"{os.getpid()}\n".encode())
        file.flush()
        return file

    def _claim(self, definition: Mapping[str, str]) -> None:
        """Write which family this is, or see that it is the same.

        Errors: OutputError naming what differs.
        """
        manifest = self.path / MANIFEST
        if not manifest.exists():
            text = json.dumps({"furnigen": __version__, "definition": dict(definition)}, indent=1)
            write_whole(manifest, [f"{text}\n".encode()])
            return
        try:
            held = json.loads(manifest.read_text(encoding="utf-8"))["definition"]
            differs = [k for k in {**held, **definition} if held.get(k) != definition.get(k)]
        except (OSError, ValueError, KeyError, TypeError, AttributeError):
            raise OutputError(f"{manifest} can not be read; choose another folder with --out") from None
        if differs:
            raise OutputError(
                f"{self.path} holds another family: {', '.join(differs[:5])} differ"
                f"{'s' if len(differs) == 1 else ''}; choose another folder with --out, or empty this one"
            )

    def _sweep(self) -> None:
        """Clear away what a killed run had begun to write."""
        for half in self.path.glob(".*.new-*"):
            shutil.rmtree(half, ignore_errors=True) if half.is_dir() else half.unlink(missing_ok=True)
        for old in self.path.glob(".*.old-*"):
            shutil.rmtree(old, ignore_errors=True)

    def _load(self) -> None:
        """Find the finished rows; a line cut short by a kill is cut off."""
        file = self._rows
        file.seek(0)
        start = 0
        for data in file:
            line = self._line(data)
            if line is None:
                file.truncate(start)
                break
            if self._whole(line):
                self._at[line["number"]] = (start, len(data))
            start += len(data)
        file.seek(0, os.SEEK_END)

    @staticmethod
    def _line(data: bytes) -> Line | None:
        try:
            line = json.loads(data) if data.endswith(b"\n") else None
        except ValueError:
            return None
        return line if isinstance(line, dict) and "number" in line else None

    def _whole(self, line: Line) -> bool:
        """Whether a variant is finished: its files are there, and trying again would change nothing."""
        if line["status"] == CRASHED or (line["status"] == STOPPED and line["limits"] != self._limits):
            return False
        folder = self.path / line["name"]
        return all(_size_of(folder / name) == size for name, size in line["files"].items())

    @property
    def finished(self) -> int:
        """How many variants are finished."""
        return len(self._at)

    def has(self, number: int) -> bool:
        """Whether a variant is finished."""
        return number in self._at

    def put(self, outcome: Outcome) -> None:
        """Keep one outcome: its folder first, then its row.

        Errors: OutputError when it can not be written.
        """
        if outcome.files:
            write_folder(self.path / outcome.name, outcome.files)
        line = {
            "number": outcome.number,
            "name": outcome.name,
            "status": outcome.status,
            "reason": outcome.reason,
            "files": {name: len(data) for name, data in sorted(outcome.files.items())},
            "row": outcome.row,
        }
        if outcome.status == STOPPED:
            line["limits"] = self._limits
        data = json.dumps(line, ensure_ascii=False, separators=(",", ":")).encode() + b"\n"
        try:
            start = self._rows.tell()
            self._rows.write(data)
            self._rows.flush()
            if time.monotonic() - self._synced > SYNC_S:
                os.fsync(self._rows.fileno())
                self._synced = time.monotonic()
        except OSError as error:
            raise OutputError(f"{self.path} can not be written: {error.strerror or error}") from None
        self._at[outcome.number] = (start, len(data))

    def lines(self) -> Iterator[Line]:
        """All finished rows in the order of the family, read from the disk one by one."""
        with (self._state / "rows.jsonl").open("rb") as file:
            for number in sorted(self._at):
                start, length = self._at[number]
                file.seek(start)
                yield json.loads(file.read(length))
