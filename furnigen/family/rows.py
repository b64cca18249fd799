"""The finished rows of a family on disk: one line each, sealed by a hash.

A row's hash is made of the row and of the family it belongs to, so a row that was changed, or that is from
another family, is not taken for one of this.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import time
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any

SYNC_S = 1.0
"""Finished rows are forced to the disk this often: what a power cut may cost."""
_SEAL = ',"sha256":"{}"}}\n'
_SEAL_BYTES = len(_SEAL.format("0" * 64))

Line = dict[str, Any]


class Rows:
    """The rows of a family, in the order they were finished; of two with one number the later counts.

    Args:
        path: their file; made when it is not there.
        family: what its hashes are made with: which family this is.

    Attributes:
        changed: which lines of the file were not as they were written; they are gone from it.

    Raises: OSError when it can not be read or written.
    """

    def __init__(self, path: Path, family: str) -> None:
        self._path, self._family = path, family.encode()
        self.changed: list[int] = []
        self._at: dict[int, tuple[int, int]] = {}
        self._file = path.open("a+b", buffering=0)
        self._synced = time.monotonic()

    def load(self) -> None:
        """Find the rows. One cut short by a kill is cut off; what is not as it was written is noted."""
        start = 0
        with self._path.open("rb") as file:
            for number, data in enumerate(file, 1):
                if not data.endswith(b"\n"):
                    self._file.truncate(start)
                    break
                line = self._read(data)
                if line is None:
                    self.changed.append(number)
                else:
                    self._at[line["number"]] = (start, len(data))
                start += len(data)
        self._file.seek(0, os.SEEK_END)

    def rewrite(self, new: Path) -> None:
        """Write the rows that count to a file of their own, which takes the place of theirs.

        Raises: OSError.
        """
        at: dict[int, tuple[int, int]] = {}
        with new.open("wb") as file:
            for number, data in self._raw():
                at[number] = (file.tell(), len(data))
                file.write(data)
        new.replace(self._path)
        self._file.close()
        self._file = self._path.open("a+b", buffering=0)
        self._file.seek(0, os.SEEK_END)
        self._at = at

    def _seal(self, body: bytes) -> str:
        return hashlib.sha256(self._family + body).hexdigest()

    def _read(self, data: bytes) -> Line | None:
        body = data[:-_SEAL_BYTES]
        if data[-_SEAL_BYTES:] != _SEAL.format(self._seal(body)).encode():
            return None
        line: Line = json.loads(data)
        return line

    def __len__(self) -> int:
        return len(self._at)

    def __contains__(self, number: object) -> bool:
        return number in self._at

    def forget(self, number: int) -> None:
        """Take a row for not finished."""
        self._at.pop(number, None)

    def add(self, line: Line) -> None:
        """Add a row.

        Raises: OSError when it can not be written; the others stay as they are.
        """
        body = json.dumps(line, ensure_ascii=False, separators=(",", ":"))[:-1].encode()
        data = body + _SEAL.format(self._seal(body)).encode()
        start = self._file.seek(0, os.SEEK_END)
        try:
            left = memoryview(data)
            while left:
                left = left[self._file.write(left) :]
        except OSError:
            with contextlib.suppress(OSError):
                self._file.truncate(start)
            raise
        if time.monotonic() - self._synced > SYNC_S:
            self.sync()
        self._at[line["number"]] = (start, len(data))

    def sync(self) -> None:
        """Force what was added to the disk; OSError when that can not be done."""
        os.fsync(self._file.fileno())
        self._synced = time.monotonic()

    def close(self) -> None:
        """Close the file."""
        self._file.close()

    def _raw(self) -> Iterable[tuple[int, bytes]]:
        with self._path.open("rb") as file:
            for number in sorted(self._at):
                start, length = self._at[number]
                file.seek(start)
                yield number, file.read(length)

    def lines(self) -> Iterator[Line]:
        """All rows that count, in the order of the family, read from the disk one by one."""
        for _, data in self._raw():
            yield json.loads(data)
