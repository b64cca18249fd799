"""furnigen check: the checks alone, of a recipe's piece or of any STEP file."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from furnigen.cli.words import add_limits, add_recipe, add_strength, add_tolerance, asked, tolerance
from furnigen.errors import InputError

STEP_ENDINGS = (".step", ".stp", ".p21")


def add_arguments(command: argparse.ArgumentParser) -> None:
    """RECIPE or FILE.step, and what sets parameters."""
    add_recipe(command, "a recipe's name, the path of its .py file, or a STEP file")
    add_limits(command)
    command.add_argument(
        "--only",
        metavar="LIST",
        help="some checks alone, of fit, solid, building, sag, strength, standing; fit, sag, strength and"
        " standing are quick",
    )
    add_strength(command)
    add_tolerance(command)


def run(given: argparse.Namespace) -> int:
    """Check a piece; 1 when a check fails."""
    from furnigen.make import Options

    options = Options((), tolerance(given))
    if given.recipe.lower().endswith(STEP_ENDINGS):
        return _check_step(given, options.tolerance_mm)
    from furnigen.check.finding import any_failed
    from furnigen.cli.findingtable import carried_lines, findings_table
    from furnigen.cli.show import Progress, headline, safety
    from furnigen.make import check_only, check_piece

    what = asked(given)
    from furnigen.remedy import adviser  # numpy: not before the input is known to be good

    piece, units = what.piece, what.units
    options = Options((), options.tolerance_mm, units, demands=what.demands)
    advise = adviser(what.recipe, what.values, what.changed, piece, what.demands)
    progress = Progress()
    try:
        if given.only is not None:
            groups = [name.strip() for name in given.only.split(",")]
            made = check_only(piece, options, groups, progress, advise)
        else:
            made = check_piece(piece, options, progress, advise)
    finally:
        progress.done()
    if given.json:
        sys.stdout.write(made.files["report.json"].decode())
    else:
        print(headline(piece, made.report["mass_kg"], units))
        print("\n".join([*carried_lines(made.report.get("strength") or {}), ""]))
        print("\n".join([*findings_table(made.findings, units), ""]))
        print(safety())
    return int(any_failed(made.findings))


def _check_step(given: argparse.Namespace, tolerance_mm: float) -> int:
    from furnigen.check.finding import any_failed
    from furnigen.cli.findingtable import findings_table
    from furnigen.cli.show import Progress, safety
    from furnigen.output.files import settle
    from furnigen.output.report import json_bytes
    from furnigen.stepcheck import check_step

    if given.values or given.params or given.limit or given.load or given.only or given.tip_test:
        raise InputError(
            "STEP file", given.recipe, "takes no parameters, limits or loads: it has no materials"
        )
    settle(Path(given.recipe).parent)  # it may lie in a folder that a killed run was about to put in place
    progress = Progress()
    try:
        report, findings = check_step(given.recipe, tolerance_mm, progress)
    finally:
        progress.done()
    if given.json:
        sys.stdout.write(json_bytes(report).decode())
    else:
        units = given.units or "mm"
        print("\n".join([*findings_table(findings, units), "", safety()]))
    return int(any_failed(findings))
