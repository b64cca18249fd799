"""furnigen make: a piece's files."""

from __future__ import annotations

import argparse
import sys
from dataclasses import replace
from pathlib import Path

from furnigen.cli.shared_options import (
    add_findings,
    add_hardware,
    add_limits,
    add_list_style,
    add_recipe,
    add_steps,
    add_strength,
    add_tolerance,
    list_style,
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
        help="comma-separated, of step, stl, 3mf, glb, cutlist, stock, hardware, picture,"
        " part-stl, cutting (all but the last two)",
    )
    add_list_style(command)
    add_strength(command)
    add_hardware(command)
    add_tolerance(command)
    add_findings(command)
    add_steps(command)


def run(given: argparse.Namespace) -> int:
    """Make a piece and write its folder; 1 when a check fails."""
    from furnigen.cli.finding_table import carried_lines, findings_table
    from furnigen.cli.show import Progress, headline, parts_table, safety, steps_lines
    from furnigen.cli.sizes import next_lines, sizes_lines
    from furnigen.cli.written_folder import after_writing, folder_lines, tell_aside
    from furnigen.core.finding import any_failed
    from furnigen.formats.report import json_bytes
    from furnigen.pipeline.build import built_with_remedies
    from furnigen.pipeline.options import USUAL_FORMATS, MakeOptions, planned_files, read_formats
    from furnigen.pipeline.result_folder import check_writable

    formats = read_formats(given.formats) if given.formats else USUAL_FORMATS
    options = MakeOptions(formats, tolerance(given), list_style=list_style(given))
    what = read_request(given)
    piece, units = what.piece, what.units
    options = replace(options, units=units, demands=what.demands, with_hardware=given.with_hardware)
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
            print("\n".join(["", *sizes_lines(piece, units), ""]))
            print("\n".join([*parts_table(piece, units, whole=given.all), ""]))
            print("\n".join([*carried_lines(written.report.get("strength") or {}, whole=given.all), ""]))
            print("\n".join([*findings_table(written.findings, units, whole=given.all, why=given.why), ""]))
            if given.steps:
                print("\n".join([*steps_lines(written.report), ""]))
            print("\n".join(folder_lines(folder, written.files, written)))
            print("\n".join([*next_lines(str(folder), written.files, given.recipe), ""]))
            print(safety())
    return int(any_failed(written.findings))
