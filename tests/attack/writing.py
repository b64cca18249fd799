"""Folders of results, written by processes of their own that are ended where a test says."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

WRITE = """
import os, signal, sys
from pathlib import Path
from furnigen.pipeline import result_folder
from furnigen.pipeline.results import swap

# tests that run in the background may have been told to ignore both
signal.signal(signal.SIGINT, signal.default_int_handler)
signal.signal(signal.SIGHUP, signal.SIG_DFL)
folder, letter, at, how, one_step, size = Path(sys.argv[1]), *sys.argv[2:7]
taken = []

def watch(step):
    taken.append(step)
    if step == at:
        os.kill(os.getpid(), getattr(signal, how))

swap.watch = watch
if one_step == "no":
    swap.exchange = lambda a, b: False
names = ("cutlist.csv", "model.stl", "parts/a.stl", "report.json")
content = {name: f"{letter} {name}".encode() * int(size) for name in names}
content["report.json"] = b'{"furnigen": "x", "files": []}'
content["version"] = letter.encode()
written = result_folder.write_folder(folder, content)
print("|".join(taken))
"""
"""Writes one whole result, of one letter; at a step the process ends, or gets a signal."""

STEPS_AT_ONCE = ("the rename to ready", "the exchange", "the clearing away")
STEPS_OF_TWO = (
    "the rename to ready",
    "the exchange",
    "the rename away",
    "the rename into place",
    "the clearing away",
)
FIRST_STEPS = ("the rename to ready", "the first rename", "the clearing away")


def started(
    folder: Path, letter: str, at: str = "", how: str = "SIGKILL", *, one_step: bool = True, size: int = 1
) -> subprocess.Popen[str]:
    """A process that writes a result."""
    words = [str(folder), letter, at, how, "yes" if one_step else "no", str(size)]
    return subprocess.Popen(
        [sys.executable, "-c", WRITE, *words], text=True, stdout=subprocess.PIPE, stderr=subprocess.PIPE
    )


def finished(*words: object, **more: object) -> tuple[int, str, str]:
    """The same, to its end: exit status (less than 0 for a signal), standard output and error."""
    process = started(*words, **more)  # type: ignore[arg-type]
    out, err = process.communicate(timeout=120)
    return process.returncode, out, err


def whole(folder: Path) -> str:
    """The letter of the result in a folder; it must be one whole result."""
    letter = (folder / "version").read_text()
    for name in ("cutlist.csv", "model.stl", "parts/a.stl"):
        text = f"{letter} {name}"
        data = (folder / name).read_text()
        assert data == text * (len(data) // len(text)), (name, data[:40])
        assert data
    return letter


def left_behind(folder: Path) -> list[str]:
    """What a run has left beside a folder of results."""
    return sorted(p.name for p in folder.parent.iterdir() if p != folder)


def own_things(folder: Path) -> dict[str, str]:
    """Put a person's own files everywhere in a result; what they hold."""
    own = {"notes.txt": "ask about the wall", "parts/mine.txt": "by hand", "photos/front/a.txt": "front view"}
    for name, text in own.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text)
    (folder / "empty").mkdir()
    (folder / "link").symlink_to("photos")
    return own


def assert_own(folder: Path, own: dict[str, str]) -> None:
    """See that a person's own files are as they were."""
    assert {name: (folder / name).read_text() for name in own} == own
    assert (folder / "empty").is_dir()
    assert (folder / "link").readlink() == Path("photos")
