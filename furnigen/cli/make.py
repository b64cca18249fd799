"""furnigen make: a piece's files."""

from __future__ import annotations

import argparse
import sys
import textwrap
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING

from furnigen.cli.shared_options import (
    add_findings,
    add_hardware,
    add_limits,
    add_list_style,
    add_recipe,
    add_shop,
    add_steps,
    add_strength,
    add_tolerance,
    list_style,
    name_recipe,
    piece_words,
    read_request,
    shop_of,
    tolerance,
)

if TYPE_CHECKING:
    from furnigen.piece.description import Piece
    from furnigen.pipeline.made import WrittenPiece
    from furnigen.pipeline.options import MakeOptions

USUAL_OUT = "out"
MOST_LINES = 40
"""Lines that are printed where not all is asked for."""
LEAST_PARTS, LEAST_TABLE, LEAST_SIZES = 5, 8, 4
"""How far parts, checks and sizes may be cut for that."""


def add_arguments(command: argparse.ArgumentParser) -> None:
    """RECIPE or FILE.toml, NAME=VALUE, --params, --out, --formats and the rest."""
    add_recipe(command)
    add_limits(command)
    command.add_argument("--out", metavar="DIR", help="folder for the results (out/RECIPE, or out/FILE)")
    command.add_argument(
        "--formats",
        metavar="LIST",
        help="comma-separated, of step, stl, 3mf, glb, cutlist, stock, hardware, picture, page,"
        " part-stl, cutting, drawings, booklet (all but the last four)",
    )
    add_shop(command, "; layouts and costs are then among the usual formats")
    add_list_style(command)
    add_strength(command)
    add_hardware(command)
    add_tolerance(command)
    add_findings(command)
    add_steps(command)
    command.add_argument(
        "--watch",
        action="store_true",
        help="make it anew whenever the recipe, the file of parameters or the stock file is saved, a line"
        " each, until Ctrl-C",
    )


def run(given: argparse.Namespace) -> int:
    """Make a piece and write its folder; 1 when a check fails."""
    called = name_recipe(given)
    if given.watch:
        from furnigen.cli.watch import watch

        return watch(given, make_options(given), USUAL_OUT, called)
    from furnigen.catalogue.stock import own_stock
    from furnigen.cli.show import Progress
    from furnigen.cli.written_folder import after_writing, tell_aside
    from furnigen.core.finding import any_failed
    from furnigen.formats.report import json_bytes
    from furnigen.pipeline.build import built_with_remedies
    from furnigen.pipeline.options import planned_files
    from furnigen.pipeline.result_folder import check_writable

    options = make_options(given)
    with own_stock(options.shop.own):
        what = read_request(given)
        piece, units = what.piece, what.units
        options = replace(options, units=units, demands=what.demands)
        folder = Path(given.out) if given.out else Path(USUAL_OUT) / (called or piece.name)
        check_writable(folder, planned_files(options.formats))
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
            print("\n".join(_lines(given, piece, written, units, folder)))
    return int(any_failed(written.findings))


def make_options(given: argparse.Namespace) -> MakeOptions:
    """What the options of `make` say of files and stock.

    Raises: InputError for an unknown format, or a stock file that can not be read.
    """
    from furnigen.pipeline.options import USUAL_FORMATS, MakeOptions, read_formats

    usual = (*USUAL_FORMATS, "cutting") if given.stock else USUAL_FORMATS
    return MakeOptions(
        read_formats(given.formats) if given.formats else usual,
        tolerance(given),
        list_style=list_style(given),
        with_hardware=given.with_hardware,
        shop=shop_of(given),
    )


def _lines(
    given: argparse.Namespace, piece: Piece, written: WrittenPiece, units: str, folder: Path
) -> list[str]:
    """What is printed of a piece that was made; `MOST_LINES` at most, unless more is asked for."""
    from furnigen.cli.finding_table import carried_lines, findings_table, terminal_width
    from furnigen.cli.show import headline, parts_table, safety, steps_lines
    from furnigen.cli.sizes import cost_lines, next_lines, sizes_lines
    from furnigen.cli.written_folder import folder_lines

    report, findings = written.report, written.findings
    head = textwrap.wrap(headline(piece, report["mass_kg"], units), terminal_width())
    sizes = sizes_lines(piece, units)
    carried = carried_lines(report.get("strength") or {}, whole=given.all) + cost_lines(report)
    steps = [*steps_lines(report), ""] if given.steps else []
    end = [
        *folder_lines(folder, written.files, written),
        *next_lines(str(folder), written.files, piece_words(given)),
        "",
        *safety().splitlines(),
    ]
    parts = parts_table(piece, units, whole=given.all)
    table = findings_table(findings, units, whole=given.all, why=given.why)
    blanks = 5
    room = MOST_LINES - len(head) - len(carried) - len(end) - blanks
    if not (given.all or given.why):
        over = len(sizes) + min(len(parts), LEAST_PARTS + 2) + min(len(table), LEAST_TABLE) - room
        if over > 0:
            kept = max(LEAST_SIZES, len(sizes) - over - 1)
            sizes = [*sizes[:kept], "more sizes: --all"] if kept < len(sizes) - 1 else sizes
        room -= len(sizes)
        if len(parts) + len(table) > room:
            listed = room - min(len(table), LEAST_TABLE) - 2
            parts = parts_table(piece, units, whole=False, most=max(LEAST_PARTS, min(listed, len(parts))))
            table = findings_table(findings, units, most=max(LEAST_TABLE, room - len(parts)))
    return [*head, "", *sizes, "", *parts, "", *([*carried, ""] if carried else []), *table, "", *steps, *end]
