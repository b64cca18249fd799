"""furnigen make: a piece's files."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from furnigen.cli.words import add_limits, add_recipe, add_strength, add_tolerance, asked, tolerance

USUAL_OUT = "out"


def add_arguments(command: argparse.ArgumentParser) -> None:
    """RECIPE, NAME=VALUE, --params, --out, --formats and the rest."""
    add_recipe(command)
    add_limits(command)
    command.add_argument("--out", metavar="DIR", help="folder for the results (out/RECIPE)")
    command.add_argument(
        "--formats",
        metavar="LIST",
        help="comma-separated, of step, stl, 3mf, glb, cutlist, hardware, picture, part-stl"
        " (all but the last)",
    )
    add_strength(command)
    add_tolerance(command)


def run(given: argparse.Namespace) -> int:
    """Make a piece and write its folder; 1 when a check fails."""
    from furnigen.check.finding import any_failed
    from furnigen.cli.findingtable import carried_lines, findings_table
    from furnigen.cli.show import Progress, headline, parts_table, pitch_lines, safety
    from furnigen.make import USUAL, Options, make_piece
    from furnigen.output.files import check_writable, write_folder

    formats = tuple(f.strip() for f in given.formats.split(",") if f.strip()) if given.formats else USUAL
    options = Options(formats, tolerance(given))
    what = asked(given)
    piece, units = what.piece, what.units
    options = Options(formats, options.tolerance_mm, units, demands=what.demands)
    folder = Path(given.out) if given.out else Path(USUAL_OUT) / piece.name
    check_writable(folder)
    progress = Progress()
    try:
        from furnigen.remedy import adviser  # numpy: not before the input is known to be good

        advise = adviser(what.recipe, what.values, what.changed, piece, what.demands)
        made = make_piece(piece, options, progress, advise=advise)
        progress("writing the folder")
        write_folder(folder, made.files)
    finally:
        progress.done()
    if given.json:
        sys.stdout.write(made.files["report.json"].decode())
    else:
        print(headline(piece, made.report["mass_kg"], units))
        print("\n".join(["", *parts_table(piece, units), ""]))
        print("\n".join([*carried_lines(made.report.get("strength") or {}), ""]))
        print("\n".join([*findings_table(made.findings, units), ""]))
        if piece.pitches:
            print("\n".join([*pitch_lines(piece, units), ""]))
        print(f"{folder}: {', '.join(sorted(made.files))}")
        print(safety())
    for f in made.findings:
        if f.name == "picture":
            print(f"furnigen: {f.remedy}", file=sys.stderr)
    return int(any_failed(made.findings))
