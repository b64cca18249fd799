"""furnigen mockup: the scaled, printable version of a piece."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

from furnigen.cli.make import USUAL_OUT
from furnigen.cli.shared_options import add_findings, add_recipe, describe_request
from furnigen.core.quantities import parse_length


def add_arguments(command: argparse.ArgumentParser) -> None:
    """RECIPE, NAME=VALUE, --scale, --bed, --nozzle and the rest."""
    add_recipe(command)
    command.add_argument(
        "--scale", metavar="SCALE", required=True, help="""such as 1:12, 1" = 1' or 1/2 in = 1 ft"""
    )
    command.add_argument(
        "--bed", metavar="XxYxZ", default="220x220x250", help="what the printer can reach, mm (220x220x250)"
    )
    command.add_argument(
        "--nozzle", metavar="LENGTH", default="0.4", help="width of a printed line (0.4 mm); walls take two"
    )
    command.add_argument(
        "--clearance",
        metavar="LENGTH",
        default="0.2",
        help="gap on each side of a connection (0.2 mm: slides)",
    )
    command.add_argument(
        "--way",
        choices=("whole", "kit", "both"),
        default="both",
        help="in one solid, as a kit of flat parts, or both (both)",
    )
    command.add_argument("--out", metavar="DIR", help="folder for the results (out/RECIPE-mockup)")
    add_findings(command)
    command.add_argument(
        "--formats", metavar="LIST", help="comma-separated, of 3mf, stl, part-stl, picture (all)"
    )


def run(given: argparse.Namespace) -> int:
    """Make a mockup and write its folder; 1 when a check fails."""
    from furnigen.cli.finding_table import findings_table
    from furnigen.cli.show import Progress
    from furnigen.cli.written_folder import after_writing, folder_lines, tell_aside
    from furnigen.core.finding import any_failed
    from furnigen.mockup.make import MOCKUP_FORMATS, PRINT_WAYS, MockupOptions, make_mockup
    from furnigen.mockup.printer import Printer, read_bed
    from furnigen.mockup.scale import read_scale
    from furnigen.pipeline.result_folder import check_writable, write_folder

    scale = read_scale(given.scale)
    printer = Printer(
        read_bed(given.bed),
        parse_length(given.nozzle, what="nozzle"),
        parse_length(given.clearance, what="clearance", allow_zero=True),
    )
    ways = PRINT_WAYS if given.way == "both" else (given.way,)
    formats = (
        tuple(f.strip() for f in given.formats.split(",") if f.strip())
        if given.formats
        else tuple(MOCKUP_FORMATS)
    )
    MockupOptions(scale, printer, ways, formats)
    piece, units = describe_request(given)
    folder = Path(given.out) if given.out else Path(USUAL_OUT) / f"{piece.name}-mockup"
    check_writable(folder, ("mockup.json", "report.json"))
    progress = Progress()
    try:
        made = make_mockup(piece, MockupOptions(scale, printer, ways, formats, units), progress)
        progress("writing the folder")
        written = write_folder(folder, made.files)
    finally:
        progress.done()
    with after_writing(folder):
        if given.json:
            sys.stdout.write(made.files["mockup.json"].decode())
            tell_aside(folder, written)
        else:
            print("\n".join(_summary(made.files["mockup.json"], piece.title)))
            print("\n".join(["", *findings_table(made.findings, units, whole=given.all, why=given.why), ""]))
            print("\n".join(folder_lines(folder, made.files, written)))
    return int(any_failed(made.findings))


def _summary(mockup_json: bytes, title: str) -> list[str]:
    """What a person reads of mockup.json."""
    import json

    told = json.loads(mockup_json)
    size = " x ".join(f"{s:.1f}" for s in told["scaled_size_mm"])
    lines = [f"{title} at {told['scale']['text']}: {size} mm"]
    for name, way in told["ways"].items():
        pieces = len(way["pieces"])
        beds = sum(b["way"] == name for b in told["beds"])
        lies = ", ".join(dict.fromkeys(way.get("lies", ())))
        lines.append(
            f"{name}: {_count(pieces, 'piece')} on {_count(beds, 'bed')}, {lies + ', ' if lies else ''}"
            f"{way['mass_g']:.0f} g of {told['printer']['plastic']}, {way['height_mm']:.1f} mm high,"
            f" {way['support_mm2'] / 100:.1f} cm² to be supported"
        )
    for row in told["changes"]:
        lines.append(
            f"  {row['label']}: {row['what']} {row['scaled_mm']:.2f} mm"
            f" printed as {row['printed_mm']:.2f} mm, {row['how']}"
        )
    return lines


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
