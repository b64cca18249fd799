"""A recipe that can be told to misbehave, families of it, and runs of the command as a user starts them."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

TRIAL = """
import os, signal, sys, time
from multiprocessing import parent_process
from pathlib import Path
from furnigen import Draft, InputError, choice, count, from_stock, length, recipe

if parent_process():  # in a worker, which loads this file while it starts
    time.sleep(float(os.environ.get("TRIAL_START", "0")))

TRICKS = ("none", "nap", "eat", "die", "die once", "refuse", "raise", "overlap", "look")

@recipe("Shelves stacked on blocks")
def trial(
    width: float = length("900 mm", "300 mm", "2 m", "overall width"),
    depth: float = length("300 mm", "100 mm", "900 mm", "overall depth"),
    shelves: int = count(2, 1, 9, "shelves, evenly spaced"),
    board=from_stock("birch-ply-18-2440", "all boards", ("sheet",)),
    trick: str = choice("none", TRICKS, "what goes wrong"),
):
    time.sleep(float(os.environ.get("TRIAL_PACE", "0")))
    if trick == "nap":
        time.sleep(60)
    if trick == "eat":
        hoard = []
        for _ in range(60):
            hoard.append(bytearray(os.urandom(1)) * 20_000_000)
            time.sleep(0.02)
    mark = Path(os.environ.get("TRIAL_MARK", "mark"))
    if trick == "die" or (trick == "die once" and not mark.exists()):
        mark.touch()
        os.kill(os.getpid(), signal.SIGKILL)
    if trick == "refuse":
        raise InputError("shelves", shelves, "are refused")
    if trick == "raise":
        raise KeyError("lost")
    if trick == "look":
        loaded = [n for n in ("OCP", "cadquery", "trimesh", "numpy", "vtkmodules") if n in sys.modules]
        if loaded:
            raise InputError("modules", ", ".join(loaded), "are loaded")
    t = board.thickness_mm
    draft = Draft("trial", "Trial shelves")
    for n in range(shelves):
        z = n * (100 + t) - (1.0 if trick == "overlap" and n else 0.0)
        draft.board(f"block.{n + 1}.left", board, (0, 0, z), (t, depth, z + 100), grain="y")
        draft.board(f"block.{n + 1}.right", board, (width - t, 0, z), (width, depth, z + 100), grain="y")
        draft.board(f"shelf.{n + 1}", board, (0, 0, z + 100), (width, depth, z + 100 + t), grain="x")
    draft.load("all", "10 kg spread")
    return draft.done()
"""

PLAIN = """
title = "Trial shelves"
recipe = "trial.py"
outputs = ["cutlist"]

[vary]
width = { from = 600, to = 1200, step = 100 }
shelves = [1, 2, 3]
"""
"""21 variants, no solid needed."""


def trial_family(folder: Path, text: str = PLAIN, name: str = "family.toml") -> Path:
    """Write the recipe and a family of it; the family's path."""
    (folder / "trial.py").write_text(TRIAL)
    path = folder / name
    path.write_text(text)
    return path


COMMAND = """
import signal
signal.signal(signal.SIGINT, signal.default_int_handler)
from furnigen.cli.main import run
run()
"""


def command(*words: str) -> list[str]:
    """The furnigen command of this environment; interrupts reach it though tests run in the background."""
    return [sys.executable, "-c", COMMAND, *words]


def started(folder: Path, *words: str, pace: float = 0.0, **more: str) -> subprocess.Popen[str]:
    """A run of furnigen family in the background, `pace` seconds a variant."""
    env = {**os.environ, "TRIAL_PACE": str(pace), **more}
    return subprocess.Popen(
        command("family", *words), cwd=folder, env=env, text=True,
        stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip


def finished(folder: Path, *words: str, **more: str) -> tuple[int, str, str]:
    """A run to its end: exit status, standard output, standard error."""
    process = started(folder, *words, **more)
    out, err = process.communicate(timeout=600)
    return process.returncode, out, err


def summary_of(out: str) -> dict[str, object]:
    """The summary line of a --json run."""
    last = json.loads(out.strip().splitlines()[-1])
    assert last["event"] == "summary"
    return last


def family_files(folder: Path) -> dict[str, bytes]:
    """Every file of a family that a person sees, by name; not its lock, its hashes and the order of rows."""
    return {
        str(p.relative_to(folder)): p.read_bytes()
        for p in sorted(folder.rglob("*"))
        if p.is_file() and ".family" not in p.parts and p.name != ".furnigen.json"
    }


def _parent(pid: int) -> int:
    try:
        return int(Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[1])
    except (FileNotFoundError, ProcessLookupError):
        return -1


def descendants(pid: int) -> dict[int, str]:
    """Processes below one, and their command lines."""
    found, ring = {}, {pid}
    everyone = {int(p.name): _parent(int(p.name)) for p in Path("/proc").glob("[0-9]*")}
    while ring:
        ring = {child for child, parent in everyone.items() if parent in ring}
        for child in ring:
            try:
                found[child] = Path(f"/proc/{child}/cmdline").read_text().replace("\0", " ")
            except (FileNotFoundError, ProcessLookupError):
                continue
    return found


def workers_of(pid: int) -> list[int]:
    """The workers of a run: what its fork server forked."""
    below = descendants(pid)
    servers = [p for p, line in below.items() if "forkserver" in line and _parent(p) == pid]
    return [p for p in below if _parent(p) in servers]


def read_variants(process: subprocess.Popen[str], count: int) -> None:
    """Wait until a --json run has told of `count` variants."""
    assert process.stdout is not None
    for _ in range(count):
        assert json.loads(process.stdout.readline())["event"] == "variant"


def gone(pids: list[int], seconds: float = 15.0) -> bool:
    """Whether all processes end within some seconds."""
    deadline = time.monotonic() + seconds
    while any(_alive(p) for p in pids):
        if time.monotonic() > deadline:
            return False
        time.sleep(0.05)
    return True


def _alive(pid: int) -> bool:
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0] != "Z"
    except (FileNotFoundError, ProcessLookupError):
        return False


def kill(pid: int) -> None:
    """End a process as kill -9 does."""
    os.kill(pid, signal.SIGKILL)
