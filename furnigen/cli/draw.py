"""furnigen draw: the drawings of a piece."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from furnigen.cli.make import USUAL_OUT
from furnigen.cli.shared_options import add_units, named_request

CUT_LIST = "cutlist.csv"


def add_arguments(command: argparse.ArgumentParser) -> None:
    """RECIPE or FILE.toml, NAME=VALUE, --units, --sheet, --projection, --date, --out."""
    command.add_argument(
        "what", metavar="RECIPE|FILE.toml", help="a recipe, or a parameter file that names one"
    )
    command.add_argument(
        "values", metavar="NAME=VALUE", nargs="*", default=[], help="parameters, such as width='1.2 m'"
    )
    command.add_argument(
        "--sheet", metavar="PAPER", help="A3, A4, letter or tabloid (A3; tabloid for --units in)"
    )
    command.add_argument(
        "--projection",
        choices=("first", "third"),
        help="how views are laid out (first angle; third for --units in)",
    )
    command.add_argument("--date", metavar="TEXT", default="", help="date of issue in the title block (none)")
    command.add_argument("--out", metavar="DIR", help="folder for the results (out/RECIPE-drawings)")
    add_units(command)


def run(given: argparse.Namespace) -> int:
    """Draw a piece and write its folder."""
    from dataclasses import replace

    from furnigen.cli.show import Progress, safety
    from furnigen.cli.written_folder import after_writing, folder_lines, tell_aside
    from furnigen.cutting.cut_table import piece_cutlist_csv
    from furnigen.drawings.file_list import DRAWING_FILES
    from furnigen.drawings.sheet import Setting, scale_text
    from furnigen.formats.report import json_bytes
    from furnigen.pipeline.build import build
    from furnigen.pipeline.result_folder import check_writable, write_folder

    request = named_request(given.what, given.values, given.units)
    setting = Setting.usual(request.units)
    setting = replace(
        setting,
        sheet=setting.sheet if given.sheet is None else given.sheet,
        projection=given.projection or setting.projection,
        date=given.date,
    )
    stem = Path(given.what).stem if given.what.lower().endswith(".toml") else request.piece.name
    folder = Path(given.out) if given.out else Path(USUAL_OUT) / f"{stem}-drawings"
    check_writable(folder, (*DRAWING_FILES, CUT_LIST))
    progress = Progress()
    try:
        progress("loading the kernel")
        solids = build(request.piece).solids
        from furnigen.drawings.files import drawing_sheets, files_of, numbers_by_part

        drawn = drawing_sheets(request.piece, solids, setting, progress)
        files = files_of(request.piece, drawn, setting, progress)
        sheets = numbers_by_part([sheet for sheet, _ in drawn])
        files[CUT_LIST] = piece_cutlist_csv(request.piece, request.units, sheets=sheets)
        progress("writing the folder")
        written = write_folder(folder, files)
    finally:
        progress.done()
    listed = [
        {"sheet": n, "document": s.kind, "shows": s.name, "scale": s.scale, "parts": list(s.parts)}
        for n, (s, _) in enumerate(drawn, 1)
    ]
    with after_writing(folder):
        if given.json:
            sys.stdout.write(json_bytes({"sheets": listed, "files": sorted(files)}).decode())
            tell_aside(folder, written)
        else:
            for n, (sheet, _) in enumerate(drawn, 1):
                scale = f", {scale_text(sheet.scale, setting.units)}" if sheet.scale else ""
                print(f"{n:3}  {sheet.kind}: {sheet.name}{scale}")
            print("\n".join(folder_lines(folder, files, written)))
            print(safety())
    return 0
