"""Files that somebody edits: seen by their state on the disk, told by their content."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable
from pathlib import Path

POLL_S = 0.2
"""How often files are looked at: an editor's save is seen within twice this."""
GONE = "gone"


def edition(path: Path) -> str:
    """Names the content of a file; GONE where it can not be read."""
    try:
        return hashlib.sha256(path.read_bytes()).hexdigest()
    except (OSError, ValueError):
        return GONE


class Watched:
    """Some files, and what they held when they were last looked at.

    Attributes:
        editions: the content of each, named by `edition`.
    """

    def __init__(self, paths: Iterable[Path]) -> None:
        self._paths = tuple(paths)
        self._states = [_state(p) for p in self._paths]
        self._unsteady = False
        self.editions = tuple(edition(p) for p in self._paths)

    def changed(self) -> bool:
        """Whether any holds something else than before; to be asked every `POLL_S`.

        A file that is just being written, or taken away to be put back, is waited for: what counts is what it
        holds when its state on the disk has been the same twice.
        """
        states = [_state(p) for p in self._paths]
        if states != self._states:
            self._states, self._unsteady = states, True
            return False
        if not self._unsteady:
            return False
        self._unsteady = False
        now = tuple(edition(p) for p in self._paths)
        found = now != self.editions
        self.editions = now
        return found


def _state(path: Path) -> tuple[int, int, int] | None:
    try:
        s = path.stat()
    except (OSError, ValueError):
        return None
    return s.st_mtime_ns, s.st_size, s.st_ino
