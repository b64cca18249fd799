"""What is not furnigen's in a folder of results, carried to the folder that takes its place.

Files are carried as hard links, so they are the same files before and after, and nothing is copied; where a
file system has no links, as copies. Nothing is ever taken out of the folder they are in.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import stat
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

from furnigen.core.errors import OutputError
from furnigen.core.file_names import same_name
from furnigen.pipeline.results.manifest import NAME, Manifest, digest_of, read_manifest

Identity = tuple[int, int, int, int]
"""Of a file as it is now: device, number, size, time of its last change (ns)."""


@dataclass
class Carried:
    """What became of the files of a folder.

    Attributes:
        earlier: files of an earlier run that stay: name to the hash they were written with.
        kept: files that a person changed: name, and the name they are kept under.
        replaced: files that furnigen wrote, nobody changed, and that are not carried.
    """

    earlier: dict[str, str] = field(default_factory=dict)
    kept: list[tuple[str, str]] = field(default_factory=list)
    replaced: set[Identity] = field(default_factory=set)


def identity(path: Path) -> Identity:
    """See `Identity`."""
    s = path.lstat()
    return s.st_dev, s.st_ino, s.st_size, s.st_mtime_ns


def entries(folder: Path, at: str = "") -> Iterator[tuple[str, Path, bool]]:
    """Everything below a folder, what is in a folder before the folder itself.

    Yields: its name in the folder, its path, and whether it is a folder (a link to one is none).
    """
    with os.scandir(folder) as found:
        inside = sorted(found, key=lambda e: e.name)
    for entry in inside:
        name, path = f"{at}{entry.name}", Path(entry.path)
        is_folder = entry.is_dir(follow_symlinks=False)
        if is_folder:
            yield from entries(path, f"{name}/")
        yield name, path, is_folder


def in_series(name: str, files: Mapping[str, str]) -> bool:
    """Whether a file belongs to a series that is written anew: files with one ending in one subfolder."""
    path = PurePosixPath(name)
    if path.parent == PurePosixPath("."):
        return False
    return any(
        PurePosixPath(f).parent == path.parent and PurePosixPath(f).suffix == path.suffix for f in files
    )


def free_name(name: str, *folders: Path) -> str:
    """A plain name beside a file for a version that a person changed, which no folder holds yet.

    `cutlist.csv` gives `cutlist.edited.csv`, then `cutlist.edited-2.csv`.
    """
    path = PurePosixPath(name)
    taken: set[str] = set()
    for folder in folders:
        with contextlib.suppress(FileNotFoundError, NotADirectoryError):
            taken |= {same_name(n) for n in os.listdir(folder / path.parent)}  # noqa: PTH208
    number, word = 1, "edited"
    while same_name(free := f"{path.stem}.{word}{path.suffix}") in taken:
        number += 1
        word = f"edited-{number}"
    return str(path.with_name(free))


def link(source: Path, target: Path) -> None:
    """Put the same file, link or special file at a second place; a copy where it can not be linked.

    Raises: FileExistsError when something is there; OSError when it can not be.
    """
    try:
        os.link(source, target, follow_symlinks=False)
        return
    except FileExistsError:
        raise
    except (OSError, NotImplementedError):
        mode = source.lstat().st_mode
        if not (stat.S_ISREG(mode) or stat.S_ISLNK(mode)):
            raise
        if os.path.lexists(target):
            raise FileExistsError(f"{target}") from None
    shutil.copy2(source, target, follow_symlinks=False)


def strangers(folder: Path, mine: Manifest, names: Mapping[str, str] | tuple[str, ...]) -> list[str]:
    """Which of some names stand in a folder without being furnigen's."""
    known = mine.every
    found = []
    for name in names:
        path = folder / name
        above = [folder / p for p in PurePosixPath(name).parents if str(p) != "."]
        blocked = any(os.path.lexists(p) and not p.is_dir() for p in above)
        if blocked or (
            os.path.lexists(path) and (name not in known or (path.is_dir() and not path.is_symlink()))
        ):
            found.append(name)
    return found


def refuse_strangers(
    folder: Path, asked: Path, mine: Manifest, names: Mapping[str, str] | tuple[str, ...]
) -> None:
    """See that nothing of a person stands where files are to be written.

    Args:
        asked: the folder as the person named it.

    Raises: OutputError naming what stands there.
    """
    found = strangers(folder, mine, names)
    if found:
        raise OutputError(
            f"{asked / found[0]} is not furnigen's, and stands where this run writes; move it away,"
            " leave that format out with --formats, or choose another folder with --out"
        )


def carry(source: Path, target: Path, mine: Manifest, files: Mapping[str, str]) -> Carried:
    """Carry from a folder of results what the next one must hold too.

    Args:
        source: the folder that is to be replaced; nothing in it is changed.
        target: the one that takes its place; holds `files` already.
        mine: what furnigen wrote in `source`.
        files: name and hash of what was written in `target`.

    Raises: OSError.
    """
    done = Carried()
    device = source.stat().st_dev
    known = mine.every
    modes = []
    for name, path, is_folder in entries(source):
        there = target / name
        if is_folder:
            if path.stat().st_dev != device:
                raise OSError(None, f"{path} is on another file system")
            if there.is_dir() or not any(path.iterdir()):
                there.mkdir(parents=True, exist_ok=True)
                modes.append((path, there))
            continue
        if name == NAME:
            continue
        if name in files or (name in known and in_series(name, files)):
            now = digest_of(path) if path.is_file() and not path.is_symlink() else "not a file"
            if now in (files.get(name), known.get(name)):
                done.replaced.add(identity(path))
                continue
        if name in files:
            beside = free_name(name, source, target)
            done.kept.append((name, beside))
            there = target / beside
        elif name in known:
            done.earlier[name] = known[name]
        there.parent.mkdir(parents=True, exist_ok=True)
        link(path, there)
    for one, other in modes:
        alike(one, other)
    return done


def alike(one: Path, other: Path) -> None:
    """Give a folder the owner and mode of another."""
    s, now = one.stat(), other.stat()
    if (s.st_uid, s.st_gid) != (now.st_uid, now.st_gid):
        with contextlib.suppress(OSError):
            os.chown(other, s.st_uid, s.st_gid)
    other.chmod(stat.S_IMODE(s.st_mode))


def discard(old: Path, final: Path, replaced: set[Identity] | None = None) -> list[tuple[str, str]]:
    """Remove a folder that another has replaced, but nothing that is only in it.

    What a person put there or changed since it was carried is put into `final` first.

    Args:
        replaced: files that are known to be furnigen's own.

    Returns: what was put into `final` under another name than its own, as `Carried.kept`.

    Raises: OSError.
    """
    mine = read_manifest(old) or Manifest()
    replaced = replaced or set()
    held = {p.lstat().st_ino: p for _, p, is_folder in entries(final) if not is_folder}
    kept = []
    for name, path, is_folder in list(entries(old)):
        _let_in(path.parent)
        if is_folder:
            _let_in(path)
            path.rmdir()
            continue
        only_here = not (
            name == NAME
            or path.lstat().st_ino in held
            or identity(path) in replaced
            or mine.wrote(name, path)
            or _has_copy(path, held)
        )
        if only_here:
            there = name
            if os.path.lexists(final / name):
                there = free_name(name, final)
                kept.append((name, there))
            (final / there).parent.mkdir(parents=True, exist_ok=True)
            link(path, final / there)
        path.unlink()
    _let_in(old)
    old.rmdir()
    return kept


def _let_in(folder: Path) -> None:
    """Let a folder of ours that is about to be removed be emptied."""
    mode = folder.stat().st_mode
    if mode & stat.S_IRWXU != stat.S_IRWXU:
        folder.chmod(stat.S_IMODE(mode) | stat.S_IRWXU)


def _has_copy(path: Path, held: Mapping[int, Path]) -> bool:
    """Whether one of some files holds the same as another."""
    if path.is_symlink():
        return any(p.is_symlink() and p.readlink() == path.readlink() for p in held.values())
    if not path.is_file():
        return False
    size = path.stat().st_size
    like = [p for p in held.values() if p.is_file() and not p.is_symlink() and p.stat().st_size == size]
    return bool(like) and digest_of(path) in map(digest_of, like)
