"""furnigen check: the checks alone, of a recipe's piece or of any STEP file."""

from __future__ import annotations

import argparse
import sys
import textwrap
from collections.abc import Mapping
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

from furnigen.cli.shared_options import (
    add_findings,
    add_hardware,
    add_limits,
    add_recipe,
    add_steps,
    add_strength,
    add_tolerance,
    name_recipe,
    read_request,
    tolerance,
)
from furnigen.core.errors import InputError

if TYPE_CHECKING:
    from furnigen.pipeline.step_guard import StepLimits

STEP_ENDINGS = (".step", ".stp", ".p21")


def add_arguments(command: argparse.ArgumentParser) -> None:
    """RECIPE, FILE.toml or FILE.step, and what sets parameters."""
    what = "a recipe's name, the path of its .py file, a file of parameters that names it, or a STEP file"
    add_recipe(command, what, "RECIPE|FILE")
    add_limits(command)
    command.add_argument(
        "--only",
        metavar="LIST",
        help="some checks alone, of fit, solid, building, sag, strength, standing; fit, sag, strength and"
        " standing are quick",
    )
    command.add_argument(
        "--basis",
        action="store_true",
        help="instead of the findings, every method and value they rest on, with its source; as text, or as"
        " JSON with --json",
    )
    add_strength(command)
    add_hardware(command)
    add_tolerance(command)
    add_findings(command)
    add_steps(command)
    file = command.add_argument_group("limits of a STEP file")
    file.add_argument("--time-limit", metavar="SECONDS", help="time it may take (60 s and 60 s a megabyte)")
    file.add_argument("--memory-limit", metavar="GIB", help="memory it may take (4 GiB)")
    file.add_argument("--copy-limit", metavar="NUMBER", help="placed solids it may hold (10000)")


def run(given: argparse.Namespace) -> int:
    """Check a piece; 1 when a check fails."""
    from furnigen.pipeline.options import MakeOptions

    options = MakeOptions((), tolerance(given))
    if given.recipe.lower().endswith(STEP_ENDINGS):
        return _check_step(given, options.tolerance_mm)
    for option, value in _limits_given(given).items():
        if value is not None:
            raise InputError(option, value, f"is a limit of a STEP file, and {given.recipe} is a recipe")
    name_recipe(given)
    from furnigen.cli.finding_table import carried_lines, findings_table
    from furnigen.cli.show import Progress, headline, safety, steps_lines
    from furnigen.core.finding import any_failed
    from furnigen.formats.report import json_bytes
    from furnigen.pipeline.build import built_with_remedies
    from furnigen.pipeline.options import ALL_GROUPS, check_groups

    what = read_request(given)
    piece, units = what.piece, what.units
    options = replace(options, units=units, demands=what.demands, with_hardware=given.with_hardware)
    if given.steps and given.only is not None and "building" not in given.only:
        raise InputError("--only", given.only, "must hold building for --steps: that finds the order")
    groups = ALL_GROUPS if given.only is None else tuple(name.strip() for name in given.only.split(","))
    check_groups(groups)
    progress = Progress()
    try:
        built = built_with_remedies(piece, options, progress)
        findings, report = built.findings_of(groups), built.report_of(groups)
    finally:
        progress.done()
    if given.json:
        shown = {k: report[k] for k in ("furnigen", "recipe", "params", "basis", "safety")}
        sys.stdout.write(json_bytes(shown if given.basis else report).decode())
    else:
        print(headline(piece, report["mass_kg"], units))
        print("\n".join([*carried_lines(report.get("strength") or {}, whole=given.all), ""]))
        if given.basis:
            from furnigen.cli.basis_page import basis_lines

            print("\n".join([*basis_lines(report["basis"], units), ""]))
        else:
            print("\n".join([*findings_table(findings, units, whole=given.all, why=given.why), ""]))
        if given.steps:
            print("\n".join([*steps_lines(report), ""]))
        print(safety())
    return int(any_failed(findings))


def _check_step(given: argparse.Namespace, tolerance_mm: float) -> int:
    from furnigen.cli.finding_table import findings_table
    from furnigen.cli.show import Progress, safety
    from furnigen.core.finding import any_failed
    from furnigen.formats.report import json_bytes
    from furnigen.pipeline.result_folder import settle
    from furnigen.pipeline.step_guard import check_step_guarded

    asked = (
        given.values, given.params, given.limit, given.load, given.only, given.tip_test, given.load_case,
        given.with_hardware, given.basis, given.steps,
    )  # fmt: skip
    if any(asked) or any(
        x is not None for x in (given.sag_limit, given.climate, given.wall_material, given.floor_friction)
    ):
        raise InputError(
            "STEP file",
            given.recipe,
            "takes no parameters, limits, loads or steps: it has no materials and no joints",
        )
    settle(Path(given.recipe).parent)  # it may lie in a folder that a killed run was about to put in place
    limits = _step_limits(given)
    progress = Progress()
    try:
        report, findings = check_step_guarded(given.recipe, tolerance_mm, limits, progress)
    finally:
        progress.done()
    if given.json:
        sys.stdout.write(json_bytes(report).decode())
    else:
        units = given.units or "mm"
        table = findings_table(findings, units, whole=given.all, why=given.why)
        print("\n".join([*_step_lines(report, units), "", *table, "", safety()]))
    return int(any_failed(findings))


def _limits_given(given: argparse.Namespace) -> dict[str, str | None]:
    """The options that limit the check of a STEP file, as typed."""
    return {
        "--time-limit": given.time_limit,
        "--memory-limit": given.memory_limit,
        "--copy-limit": given.copy_limit,
    }


def _step_limits(given: argparse.Namespace) -> StepLimits:
    from furnigen.pipeline.step_guard import StepLimits

    seconds = _amount("--time-limit", given.time_limit, "seconds", 1e6)
    memory = _amount("--memory-limit", given.memory_limit, "GiB", 1e4)
    copies = _amount("--copy-limit", given.copy_limit, "solids", 1e7, whole=True)
    return StepLimits(seconds, memory, None if copies is None else int(copies))


def _amount(option: str, text: str | None, unit: str, most: float, *, whole: bool = False) -> float | None:
    """The number of an option; None where it is not given."""
    if text is None:
        return None
    try:
        value = float(text)
    except ValueError:
        value = 0.0
    if not 0.0 < value <= most or (whole and not value.is_integer()):
        number = "a whole number" if whole else "a number"
        raise InputError(option, text, f"must be {number} of {unit} above 0, at most {most:,.0f}")
    return value


def _step_lines(report: Mapping[str, Any], units: str) -> list[str]:
    """What a file is, so that a misread is seen: name, size, unit, what it holds, when it was written."""
    from furnigen.cli.finding_table import terminal_width
    from furnigen.core.quantities import format_length

    stated = report["stated"]
    size = " x ".join(format_length(s, units, mark_inexact=units == "in") for s in report["size_mm"])
    solids, shapes = (
        f"{n:,} {one}{'' if n == 1 else 's'}"
        for n, one in ((report["solids"], "solid"), (report["shapes"], "shape"))
    )
    written = f", written {stated['written']}" if stated["written"] else ""
    text = (
        f"{report['name']}: {size} (x, y, z), {solids} of {shapes}; the file's unit of length:"
        f" {' and '.join(stated['unit']) or 'none'}{written}; read and checked in {report['seconds']:.1f} s"
    )
    return textwrap.wrap(text, terminal_width(), subsequent_indent="  ")
