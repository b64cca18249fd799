"""furnigen solve: the parameters that serve a goal best among all that hold, and how sure that is."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from furnigen.cli.first_interrupt import first_interrupt
from furnigen.cli.shared_options import add_list_style, list_style
from furnigen.core.errors import InputError

SOLVE_OUT = "out"
ENDS = "the search ends; the best so far is written. Ctrl-C again writes nothing"


def add_arguments(command: argparse.ArgumentParser) -> None:
    """FILE.toml, where the work is done, and how long it may take."""
    command.add_argument(
        "file", metavar="FILE.toml", help="a family file with [goal], what counts, and [hold], what must hold"
    )
    command.add_argument("--out", metavar="DIR", help="folder for the answer (out/FILE-solved)")
    command.add_argument(
        "--workers", metavar="N", type=int, help="worker processes (one a core; 0 for this process alone)"
    )
    command.add_argument(
        "--cluster", metavar="ADDRESS", default="", help="a Dask scheduler, such as tcp://192.0.2.1:8786"
    )
    command.add_argument(
        "--time", metavar="SECONDS", type=float, help="end the search after this long with the best so far"
    )
    add_list_style(command)


def run(given: argparse.Namespace) -> int:
    """Find what serves the goal best, and write it; 1 when nothing holds."""
    from furnigen.cli.show import Progress
    from furnigen.cli.written_folder import after_writing, folder_lines, tell_aside
    from furnigen.family.engine import Choice
    from furnigen.family.pool import all_cores
    from furnigen.pipeline.result_folder import check_writable, write_folder
    from furnigen.solve.files import SOLVE_FILES, solve_files
    from furnigen.solve.goal_file import read_goal_file
    from furnigen.solve.run import solve

    if given.time is not None and not 0 < given.time < float("inf"):
        raise InputError("--time", given.time, "must be a number of seconds, more than zero")
    if given.cluster and given.workers is not None:
        raise InputError("workers", given.workers, "are those of this machine", "leave it out with --cluster")
    style = list_style(given)
    file = Path(given.file)
    choice = Choice(all_cores() if given.workers is None else given.workers, given.cluster)
    progress = Progress()
    try:
        asked = read_goal_file(file)
        folder = Path(given.out) if given.out else Path(SOLVE_OUT) / f"{file.stem}-solved"
        check_writable(folder, SOLVE_FILES)
        kept = folder.parent / f".{folder.name}.search"
        with first_interrupt(ENDS) as stop:
            solved = solve(asked, choice, kept, given.time, stop, progress)
        progress("writing the folder")
        files = solve_files(solved, style)
        written = write_folder(folder, files)
    except KeyboardInterrupt as interrupted:
        interrupted.add_note("what was worked out is kept: run again to go on")
        raise
    finally:
        progress.done()
    with after_writing(folder):
        if given.json:
            sys.stdout.write(files["answer.json"].decode())
            tell_aside(folder, written)
        else:
            from furnigen.cli.solve_summary import solve_lines

            print("\n".join(solve_lines(solved, folder)))
            print("\n".join(folder_lines(folder, files, written)))
    return int(not solved.found)
