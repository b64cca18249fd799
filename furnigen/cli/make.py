"""furnigen make: a piece's files."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from furnigen.cli.shared_options import (
    add_limits,
    add_recipe,
    add_strength,
    add_tolerance,
    read_request,
    tolerance,
)

USUAL_OUT = "out"


def add_arguments(command: argparse.ArgumentParser) -> None:
    """RECIPE, NAME=VALUE, --params, --out, --formats and the rest."""
    add_recipe(command)
    add_limits(command)
    command.add_argument("--out", metavar="DIR", help="folder for the results (out/RECIPE)")
    command.add_argument(
        "--formats",
        metavar="LIST",
        help="comma-separated, of step, stl, 3mf, glb, cutlist, hardware, picture, part-stl, cutting,"
        " booklet (all but the last three)",
    )
    add_strength(command)
    add_tolerance(command)


def run(given: argparse.Namespace) -> int:
    """Make a piece and write its folder; 1 when a check fails."""
    from furnigen.cli.finding_table import carried_lines, findings_table
    from furnigen.cli.show import Progress, headline, parts_table, pitch_lines, safety
    from furnigen.cli.written_folder import after_writing, folder_lines, tell_aside
    from furnigen.core.finding import any_failed
    from furnigen.formats.report import json_bytes
    from furnigen.pipeline.build import built_with_remedies
    from furnigen.pipeline.options import USUAL_FORMATS, MakeOptions, planned_files, read_formats
    from furnigen.pipeline.result_folder import check_writable

    formats = read_formats(given.formats) if given.formats else USUAL_FORMATS
    options = MakeOptions(formats, tolerance(given))
    what = read_request(given)
    piece, units = what.piece, what.units
    options = MakeOptions(formats, options.tolerance_mm, units, demands=what.demands)
    folder = Path(given.out) if given.out else Path(USUAL_OUT) / piece.name
    check_writable(folder, planned_files(formats))
    progress = Progress()
    try:
        written = built_with_remedies(piece, options, progress).write(folder)
    finally:
        progress.done()
    with after_writing(folder):
        if given.json:
            sys.stdout.write(json_bytes(written.report).decode())
            tell_aside(folder, written)
            for f in written.findings:
                if f.name == "picture":  # the table of findings tells it to whoever reads that
                    print(f"furnigen: {f.remedy}", file=sys.stderr)
        else:
            print(headline(piece, written.report["mass_kg"], units))
            print("\n".join(["", *parts_table(piece, units), ""]))
            print("\n".join([*carried_lines(written.report.get("strength") or {}), ""]))
            print("\n".join([*findings_table(written.findings, units), ""]))
            if piece.pitches:
                print("\n".join([*pitch_lines(piece, units), ""]))
            print("\n".join(folder_lines(folder, written.files, written)))
            print(safety())
    return int(any_failed(written.findings))
