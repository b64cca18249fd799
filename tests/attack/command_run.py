"""Run mutants of files or of command lines, each in a fork of this process and in a folder of its own.

    python tests/attack/command_run.py toml|options FIRST COUNT [STRIDE]

prints a line of JSON for each: how it ended, its message, and what of it must not be.
"""

from __future__ import annotations

import io
import json
import os
import shutil
import sys
import tempfile
from contextlib import redirect_stderr, redirect_stdout
from importlib import import_module
from pathlib import Path

from cases import Case
from command_judge import Ended, faults, seen
from forked import Row, forked, numbers_asked
from option_mutants import FAMILY, option_case
from toml_mutants import toml_case

from furnigen.cli.main import main as furnigen

SECONDS = 60.0
MAKERS = {"toml": toml_case, "options": option_case}
WORK = (
    *(
        f"cli.{name}"
        for name in ("recipes", "describe", "make", "check", "family", "mockup", "finding_table", "show")
    ),
    *(
        "cli.written_folder",
        "pipeline.make",
        "pipeline.remedy",
        "pipeline.result_folder",
        "checks.construction",
    ),
    *(
        "checks.strength",
        "kernel.solids",
        "kernel.step",
        "formats.report",
        "formats.stl",
        "formats.glb",
        "formats.threemf",
    ),
    *(
        "mockup.make",
        "family.run",
        "family.making",
        "family.contact_sheet",
        "pipeline.step_check",
        "mesh.interference",
    ),
)
"""Modules that commands import when they run: here once for all forks."""


def said(words: list[str]) -> Ended:
    """The command in this process; what it says is taken up."""
    out, err = (io.TextIOWrapper(io.BytesIO(), "utf-8", errors="replace", newline="") for _ in range(2))
    with redirect_stdout(out), redirect_stderr(err):
        status = furnigen(words)
        out.flush(), err.flush()
    return Ended(status, *(stream.buffer.getvalue().decode() for stream in (out, err)))


def prepare(folder: Path) -> dict[str, Path]:
    """Earlier results, with a person's files in them; a STEP file."""
    there = folder / "result"
    lines = {
        "made": ["make", "leaning_shelf", "--formats", "cutlist,step", "--out", str(there)],
        "family": ["family", str(folder / "f.toml"), "--workers", "0", "--out", str(there)],
    }
    found = {}
    (folder / "f.toml").write_bytes(FAMILY)
    for name, words in lines.items():
        forked(lambda words=words: {"ended": said(words).status}, SECONDS)
        (there / "notes.txt").write_text("ask about the wall")
        (there / "photos").mkdir()
        (there / "photos" / "front.txt").write_text("front")
        if name == "made":
            shutil.copy(there / "model.step", folder / "good.step")
            with (there / "cutlist.csv").open("a") as file:
                file.write("by hand,,,\n")
        found[name] = folder / name
        there.rename(found[name])
    return found


def run(case: Case, templates: dict[str, Path], folder: Path) -> Row:
    """One case, in a fork; its folder is `here` in an empty folder, so that `..` is harmless."""
    here = folder / "case" / "here"
    here.mkdir(parents=True)
    try:
        for name, data in case.files.items():
            (here / name).write_bytes(data)
        if any("good.step" in word for word in case.words):
            shutil.copy(folder / "good.step", here)
        if case.before:
            shutil.copytree(templates[case.before], here / "result")
        before = seen(here.parent)

        def work() -> Row:
            os.chdir(here)
            ended = said(case.words)
            return {
                "ended": ended.status,
                "message": ended.err[:300],
                "faults": faults(case, ended, before, here.parent),
            }

        about = {
            "number": case.number,
            "command": case.words[:1],
            "bad": case.bad,
            "what": "; ".join(case.what),
        }
        return about | forked(work, SECONDS)
    finally:
        shutil.rmtree(folder / "case")


def main() -> None:
    """Run the mutants asked for."""
    make = MAKERS[sys.argv[1]]
    for name in WORK:
        import_module(f"furnigen.{name}")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        templates = prepare(folder)
        for number in numbers_asked():
            print(json.dumps(run(make(number), templates, folder)), flush=True)


if __name__ == "__main__":
    main()
