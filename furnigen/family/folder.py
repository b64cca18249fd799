"""A family's folder: its lock, its definition, and which variants are finished.

    family.json           which family this is: furnigen's version and all that its variants depend on
    NAME/                 the files of one variant, written whole by `furnigen.pipeline.result_folder`
    family.csv, .parquet, .html    made of the rows, when all are there
    .family/rows.jsonl    one line a finished variant, added after its folder is in place
    .family/written       a hash of each file that furnigen wrote beside the variants
    .family/lock          locked during a run; the system unlocks it when that process ends
    .family/work/         where folders and files are put together

A variant is finished when its line and its files are on disk, as they were written: a run that is killed at
any point loses only what it had not finished, and the next one goes on from there. What was changed since is
made anew, with a message; a file that a person changed is kept beside the new one.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import os
import shutil
from collections.abc import Callable, Iterable, Iterator, Mapping
from pathlib import Path

from furnigen import __version__
from furnigen.core.errors import OutputError
from furnigen.core.progress import Sink, silent
from furnigen.family.rows import Line, Rows
from furnigen.family.task import CRASHED, STOPPED, Limits, Outcome
from furnigen.pipeline.result_folder import place_of, write_folder
from furnigen.pipeline.results.carry_over import free_name, link
from furnigen.pipeline.results.lock import InUseError, hold
from furnigen.pipeline.results.manifest import NAME, digest_of
from furnigen.pipeline.results.staging import Workplace, why

MANIFEST = "family.json"
NAMED = 5
"""How many variants a message names at most."""


def some(names: list[str]) -> str:
    """The first of some names, and how many more there are."""
    more = f" and {len(names) - NAMED} more" if len(names) > NAMED else ""
    return ", ".join(names[:NAMED]) + more


class FamilyFolder:
    """A family's folder, locked for one run; a context.

    Args:
        path: the folder; made when it is not there.
        definition: from `Family.definition`.
        limits: of this run: what an earlier one stopped at other limits is tried again.
        say: called with what was found changed, and what is done about it.

    Raises:
        OutputError: it is in use, holds another family or something else, or can not be written.
    """

    def __init__(self, path: Path, definition: Mapping[str, str], limits: Limits, say: Sink = silent) -> None:
        self.path = path
        self._limits = [limits.seconds, limits.memory_mb]
        self._say = say
        self._state, self._work = path / ".family", path / ".family" / "work"
        self._made: list[Path] = []
        self._refuse_strangers()
        with self._naming_the_folder():
            for folder in (*reversed(path.parents), path, self._state):
                if not folder.exists():
                    folder.mkdir(exist_ok=True)
                    self._made.insert(0, folder)
            try:
                self._lock = hold(self._state / "lock")
            except InUseError as busy:
                raise busy.refusal(path) from None
        try:
            with self._naming_the_folder():
                self._open(definition)
        except BaseException:
            self._undo()
            self._lock.close()
            raise

    def _open(self, definition: Mapping[str, str]) -> None:
        self._settle()
        self._claim(definition)
        which = hashlib.sha256(json.dumps(dict(definition), sort_keys=True).encode()).hexdigest()
        self._rows = Rows(self._state / "rows.jsonl", which)
        self._load()

    @contextlib.contextmanager
    def _naming_the_folder(self) -> Iterator[None]:
        """Turn what the system refuses into an error that names this folder."""
        try:
            yield
        except OutputError:
            raise  # it says what is wrong itself
        except OSError as error:
            raise OutputError(
                f"{self.path} can not be written: {why(error)}; choose another with --out"
            ) from None

    def __enter__(self) -> FamilyFolder:
        return self

    def __exit__(self, error: type[BaseException] | None, *_: object) -> None:
        try:
            if error is None:
                with self._naming_the_folder():
                    self._rows.sync()
        finally:
            with contextlib.suppress(OSError):
                self._work.rmdir()
            if error is not None and not len(self._rows):
                self._undo()
            self._rows.close()
            self._lock.close()

    def _undo(self) -> None:
        """Leave nothing of a run that could not begin: what it has made itself, if nothing else is in it."""
        if self._state not in self._made:
            return
        shutil.rmtree(self._state, ignore_errors=True)
        (self.path / MANIFEST).unlink(missing_ok=True)
        for folder in self._made[1:]:
            with contextlib.suppress(OSError):  # a person may have put something there meanwhile
                folder.rmdir()

    def _refuse_strangers(self) -> None:
        _, there = place_of(self.path)
        with self._naming_the_folder():
            if there and any(self.path.iterdir()) and not self._state.is_dir():
                raise OutputError(
                    f"{self.path} holds files of something else than a family;"
                    " choose an empty folder or another name with --out"
                )

    def _claim(self, definition: Mapping[str, str]) -> None:
        """Write which family this is, or see that it is the same.

        Raises: OutputError naming what differs.
        """
        manifest = self.path / MANIFEST
        if not os.path.lexists(manifest):
            if (self._state / "rows.jsonl").exists():
                self._say(f"{manifest} was gone, and is written anew; only rows of this family count")
            text = json.dumps({"furnigen": __version__, "definition": dict(definition)}, indent=1)
            self.write_file(MANIFEST, [f"{text}\n".encode()])
            return
        try:
            there = json.loads(manifest.read_text(encoding="utf-8"))["definition"]
            differs = [k for k in {**there, **definition} if there.get(k) != definition.get(k)]
        except (OSError, ValueError, KeyError, TypeError, AttributeError):
            raise OutputError(
                f"{manifest} can not be read; choose another folder with --out, or delete that file: what is"
                " of this family is then found by its rows"
            ) from None
        if differs:
            raise OutputError(
                f"{self.path} holds another family: {', '.join(differs[:5])} differ"
                f"{'s' if len(differs) == 1 else ''}; choose another folder with --out, or empty this one"
            )

    def _settle(self) -> None:
        """Finish what a killed run had begun to put in place, and clear away what it had begun to write."""
        self._work.mkdir(exist_ok=True)
        for left in sorted(self._work.iterdir()):
            if left.is_dir():
                of = left.name.rpartition(".")[0]
                for name, beside in Workplace(self._work, self.path / of, f"{of}.").settle():
                    self._kept(f"{of}/{name}", beside)
            elif left.is_file():
                left.unlink()

    def _kept(self, name: str, beside: str) -> None:
        self._say(f"{self.path / name} had been changed: that version is kept as {beside}")

    def _load(self) -> None:
        """Find what is finished; say what is not as it was left."""
        self._rows.load()
        differs = []
        for line in self._rows.lines():
            why_not = self._differs(line)
            if why_not:
                differs.append(f"{line['name']} ({why_not})")
            if why_not or not self._final(line):
                self._rows.forget(line["number"])
        if self._rows.changed:
            kept = free_name("rows.jsonl", self._state)
            link(self._state / "rows.jsonl", self._state / kept)
            self._rows.rewrite(self._work / "rows.jsonl")
            lines = some([str(n) for n in self._rows.changed])
            self._say(
                f"{self._state / 'rows.jsonl'} had been changed, or is of another family: what its lines"
                f" {lines} are about is made anew; that version is kept as {kept}"
            )
        if differs:
            self._say(f"{self.path}: made anew, since not as it was written: {some(differs)}")

    def _final(self, line: Line) -> bool:
        """Whether trying a variant again would change nothing."""
        if line["status"] == STOPPED:
            return bool(line["limits"] == self._limits)
        return bool(line["status"] != CRASHED)

    def _differs(self, line: Line) -> str:
        """What of a variant's files is not as it was written; "" when all are."""
        folder = self.path / line["name"]
        for name, known in line["files"].items():
            try:
                if digest_of(folder / name) != known:
                    return f"{name} was changed"
            except FileNotFoundError:
                return f"{name} is gone" if folder.is_dir() else "its files are gone"
            except OSError as error:
                return f"{name} can not be read: {why(error)}"
        return ""

    @property
    def finished(self) -> int:
        """How many variants are finished."""
        return len(self._rows)

    def has(self, number: int) -> bool:
        """Whether a variant is finished."""
        return number in self._rows

    def without_row(self) -> set[str]:
        """Names of folders that furnigen wrote but no finished row names."""
        named = {line["name"] for line in self._rows.lines()}
        return {p.name for p in self.path.iterdir() if p.name not in named and (p / NAME).is_file()}

    def put(self, outcome: Outcome) -> None:
        """Keep one outcome: its folder first, then its row.

        Raises: OutputError when it can not be written.
        """
        with self._naming_the_folder():
            files = self._put_files(outcome) if outcome.files else {}
            line = {
                "number": outcome.number,
                "name": outcome.name,
                "status": outcome.status,
                "reason": outcome.reason,
                "files": files,
                "row": outcome.row,
            }
            if outcome.status == STOPPED:
                line["limits"] = self._limits
            self._rows.add(line)

    def _put_files(self, outcome: Outcome) -> dict[str, str]:
        """Write the files of a variant; returns the hash of each."""
        written = write_folder(self.path / outcome.name, outcome.files, self._work)
        for name, beside in written.kept:
            self._kept(f"{outcome.name}/{name}", beside)
        return dict(sorted(written.hashes.items()))

    def lines(self) -> Iterator[Line]:
        """All finished rows in the order of the family, read from the disk one by one."""
        return self._rows.lines()

    def write_file(self, name: str, chunks: Iterable[bytes]) -> None:
        """Write a file of the whole family, in one step.

        Raises: OutputError when it can not be written; the earlier one stays.
        """

        def fill(path: Path) -> None:
            with path.open("wb") as file:
                for chunk in chunks:
                    file.write(chunk)

        self.write_file_by(name, fill)

    def write_file_by(self, name: str, fill: Callable[[Path], None]) -> None:
        """The same, by a function that writes the file it is given the path of."""
        new, target = self._work / name, self.path / name
        with self._naming_the_folder():
            try:
                fill(new)
                written = digest_of(new)
                log = self._state / "written"
                known = set(log.read_text().split("\n")) if log.exists() else set()
                entry = f"{written}  {name}"
                if os.path.lexists(target):
                    plain = target.is_file() and not target.is_symlink()
                    if not plain or f"{digest_of(target)}  {name}" not in {*known, entry}:
                        beside = free_name(name, self.path)
                        link(target, self.path / beside)
                        self._kept(name, beside)
                if entry not in known:
                    with log.open("a") as file:  # before it is in place: a kill between them does no harm
                        file.write(f"{entry}\n")
                new.replace(target)
            finally:
                new.unlink(missing_ok=True)
