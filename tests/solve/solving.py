"""A small recipe that is quick to check, goal files for it, and runs of the command."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

from furnigen.cli.main import main

STACK = """
import os, time
from furnigen import Draft, InputError, count, from_stock, length, recipe

@recipe("Shelves stacked on blocks")
def stack(
    width: float = length("900 mm", "300 mm", "2 m", "overall width"),
    depth: float = length("300 mm", "100 mm", "900 mm", "overall depth"),
    shelves: int = count(2, 1, 9, "shelves, evenly spaced"),
    blocks: int = count(2, 2, 6, "blocks under each shelf"),
    board=from_stock("birch-ply-18-2440", "all boards", ("sheet",)),
):
    time.sleep(float(os.environ.get("STACK_PACE", "0")))
    if shelves == 7:
        raise InputError("shelves", shelves, "are refused, to have a hole in the grid")
    t = board.thickness_mm
    draft = Draft("stack", "Stack")
    for n in range(shelves):
        z = n * (200 + t)
        for k in range(blocks):
            x = k * (width - t) / (blocks - 1)
            draft.board(f"block.{n + 1}.{k + 1}", board, (x, 0, z), (x + t, depth, z + 200), grain="y")
        draft.board(f"shelf.{n + 1}", board, (0, 0, z + 200), (width, depth, z + 200 + t), grain="x")
    return draft.done()
"""

STOCK = """
invented = true
currency = "EUR"
[[sheet]]
stock = "birch-ply-12-2440"
price = 61
[[sheet]]
stock = "birch-ply-15-2440"
price = 77
[[sheet]]
stock = "birch-ply-18-2440"
price = 96
[labour]
per_hour = 40
minutes_per_part = 3
minutes_per_sheet = 10
"""

GRID = """
recipe = "stack.py"
checks = ["fit", "sag"]
[fixed]
depth = "300 mm"
[vary]
width = { from = 900, to = 1300, step = 100 }
shelves = { from = 2, to = 8 }
blocks = [2, 3, 4]
board = ["birch-ply-12-2440", "birch-ply-15-2440", "birch-ply-18-2440"]
[load]
all = "60 kg/m"
"""
"""315 candidates, of which 45 are refused."""


def place(folder: Path, text: str, name: str = "ask") -> Path:
    """A goal file with its recipe and its stock beside it."""
    (folder / "stack.py").write_text(STACK)
    (folder / "stock.toml").write_text(STOCK)
    file = folder / f"{name}.toml"
    file.write_text(text)
    return file


def solved(file: Path, *words: str, status: int = 0) -> dict[str, Any]:
    """The answer of a run in this process."""
    out = file.parent / f"{file.stem}-out"
    assert main(["solve", str(file), "--workers", "0", "--out", str(out), "--json", *words]) == status
    answer: dict[str, Any] = json.loads((out / "answer.json").read_text())
    return answer


def started(file: Path, *words: str, **environment: str) -> subprocess.Popen[bytes]:
    """The command as a user starts it, in a process of its own."""
    return subprocess.Popen(
        [sys.executable, "-m", "furnigen", "solve", str(file), *words],
        cwd=file.parent, stdout=subprocess.PIPE, stderr=subprocess.PIPE, env={**os.environ, **environment},
    )  # fmt: skip
