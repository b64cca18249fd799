"""The hidden folder beside a folder of results in which the next result is put together.

    .NAME.furnigen/lock     held by the process that writes
    .NAME.furnigen/new      being filled; nothing in it is needed once that process is gone
    .NAME.furnigen/ready    whole, about to take the place of NAME; after the exchange, what stood there
    .NAME.furnigen/old      what stood there, where the exchange takes two renames

It is there while a result is written and no longer. Where a process was killed it stays, and whoever next
meets the folder of results finishes what it had begun: the names say how far it was.
"""

from __future__ import annotations

import contextlib
import hashlib
import os
import shutil
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path

from furnigen.core.errors import OutputError
from furnigen.pipeline.results.carry_over import Carried, alike, carry, discard, refuse_strangers
from furnigen.pipeline.results.lock import hold
from furnigen.pipeline.results.manifest import NAME, Manifest, digest, read_manifest
from furnigen.pipeline.results.swap import put_in_place, signals_wait, step

WAIT_S = 10.0
"""How long a run waits for another that is writing the same folder: writing takes a fraction of this."""
LONGEST = 200
"""Bytes of a folder's name that its hidden folder can take into its own."""


@dataclass(frozen=True)
class Written:
    """What a write left in a folder beside the files written.

    Attributes:
        earlier: files of an earlier run that are still there.
        kept: files that a person had changed, each with the name it is kept under.
        hashes: name and SHA-256 of each file written.
    """

    earlier: tuple[str, ...] = ()
    kept: tuple[tuple[str, str], ...] = ()
    hashes: Mapping[str, str] = field(default_factory=dict)


def place_beside(final: Path) -> Path:
    """The hidden folder of a folder of results."""
    name = final.name
    if len(os.fsencode(name)) > LONGEST:
        name = hashlib.sha256(os.fsencode(name)).hexdigest()[:16]
    return final.parent / f".{name}.furnigen"  # the root of the file system has no name


@contextlib.contextmanager
def workplace(final: Path, wait_s: float = WAIT_S) -> Iterator[Workplace]:
    """The hidden folder of a folder of results, held against other processes; gone when left.

    Raises: InUse; OSError when it can not be made.
    """
    place = place_beside(final)
    while True:
        place.mkdir(exist_ok=True)
        try:
            lock = hold(place / "lock", wait_s)
            break
        except FileNotFoundError:
            continue  # who held it before has just cleared the folder away
        except OSError:
            with contextlib.suppress(OSError):
                place.rmdir()
            raise
    try:
        yield Workplace(place, final)
    finally:
        with contextlib.suppress(OSError):
            (place / "lock").unlink()
            place.rmdir()
        lock.close()


class Workplace:
    """A hidden folder in which results are put together, held by this process.

    Args:
        place: where it is; on the same file system as `final`.
        final: the folder of results.
        prefix: of the names in it, where several folders of results are put together in one.
    """

    def __init__(self, place: Path, final: Path, prefix: str = "") -> None:
        self._final = final
        self._new, self._ready, self._old = (place / f"{prefix}{name}" for name in ("new", "ready", "old"))
        self._done = False

    def settle(self) -> list[tuple[str, str]]:
        """Finish what a killed process had begun, and clear away what it left.

        Returns: what of a person's was put into the folder of results under another name (`Written.kept`).

        Raises: OSError.
        """
        kept = []
        if self._new.is_dir():
            shutil.rmtree(self._new)
        with signals_wait():
            if self._ready.is_dir() and not os.path.lexists(self._final):
                self._ready.rename(self._final)
            if self._old.is_dir() and not os.path.lexists(self._final):
                self._old.rename(self._final)
            for left in (self._ready, self._old):
                if left.is_dir():
                    kept += discard(left, self._final)
        return kept

    def write(self, files: Mapping[str, bytes], asked: Path) -> Written:
        """Write `files` as the folder of results, in one step.

        Args:
            asked: the folder as the person named it, for messages.

        Raises:
            OutputError, OSError: the earlier result stays, unless the message says that the new one is there.
            KeyboardInterrupt: with a note where the new result is there.
        """
        kept = self.settle()
        try:
            self._new.mkdir()
            for name, data in files.items():
                target = self._new / name
                target.parent.mkdir(parents=True, exist_ok=True)
                target.write_bytes(data)
            hashes = {name: digest(data) for name, data in files.items()}
            carried = self._carried(hashes, asked)
            with signals_wait():
                step("the rename to ready")
                self._new.rename(self._ready)
                self._put(carried, asked)
        except KeyboardInterrupt as stop:
            if self._done:
                stop.add_note(f"{asked} holds the new result")
            raise
        finally:
            if self._new.is_dir():
                shutil.rmtree(self._new, ignore_errors=True)
        return Written(tuple(sorted(carried.earlier)), tuple(kept + carried.kept), hashes)

    def _carried(self, hashes: Mapping[str, str], asked: Path) -> Carried:
        """Bring into the new folder what the earlier one holds for good, and list what furnigen wrote."""
        carried = Carried()
        there = self._final.is_dir()
        if there:
            mine = read_manifest(self._final) or Manifest()
            refuse_strangers(self._final, asked, mine, hashes)
            carried = carry(self._final, self._new, mine, hashes)
        (self._new / NAME).write_bytes(Manifest(hashes, carried.earlier).content())
        if there:
            alike(self._final, self._new)
        return carried

    def _put(self, carried: Carried, asked: Path) -> None:
        try:
            left = put_in_place(self._ready, self._final, self._old)
        except OSError:
            self._ready.rename(self._new)
            raise
        self._done = True
        step("the clearing away")
        if left is None:
            return
        try:
            carried.kept += discard(left, self._final, carried.replaced)
        except OSError as error:
            raise OutputError(
                f"{asked} holds the new result, but what it replaced can not be cleared away: {why(error)}"
            ) from None


def why(error: OSError) -> str:
    """What the system says of an error."""
    return error.strerror or str(error) or type(error).__name__
