"""furnigen mockup: the scaled, printable version of a piece."""

from __future__ import annotations

import argparse
import sys
from pathlib import Path
from typing import Any

from furnigen.cli.make import USUAL_OUT
from furnigen.cli.shared_options import add_findings, add_recipe, describe_request, name_recipe
from furnigen.core.finding import name_labels
from furnigen.core.quantities import parse_length
from furnigen.core.wording import in_words, shown, worded

MOST_GLUE_LINES = 8


def add_arguments(command: argparse.ArgumentParser) -> None:
    """RECIPE or FILE.toml, NAME=VALUE, --scale, --bed, --nozzle and the rest."""
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
        "--margin",
        metavar="LENGTH",
        default="7",
        help="left free round the bed, for the slicer's skirt (7 mm)",
    )
    command.add_argument(
        "--spacing", metavar="LENGTH", default="6", help="room between two pieces on one bed (6 mm)"
    )
    command.add_argument(
        "--names",
        choices=("hidden", "any", "none"),
        default="hidden",
        help="where a kit's parts bear their names: on faces nobody sees, on any face, or nowhere (hidden)",
    )
    command.add_argument(
        "--way",
        choices=("whole", "kit", "both"),
        default="both",
        help="in one solid, as a kit of flat parts, or both (both)",
    )
    command.add_argument(
        "--out", metavar="DIR", help="folder for the results (out/RECIPE-mockup, or by FILE)"
    )
    add_findings(command)
    command.add_argument(
        "--formats", metavar="LIST", help="comma-separated, of 3mf, stl, part-stl, picture (all)"
    )


def run(given: argparse.Namespace) -> int:
    """Make a mockup and write its folder; 1 when a check fails."""
    from dataclasses import replace

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
        parse_length(given.margin, what="margin", allow_zero=True),
        parse_length(given.spacing, what="spacing", allow_zero=True),
    )
    ways = PRINT_WAYS if given.way == "both" else (given.way,)
    formats = (
        tuple(f.strip() for f in given.formats.split(",") if f.strip())
        if given.formats
        else tuple(MOCKUP_FORMATS)
    )
    options = MockupOptions(scale, printer, ways, formats, names=given.names)
    called = name_recipe(given)
    piece, units = describe_request(given)
    folder = Path(given.out) if given.out else Path(USUAL_OUT) / f"{called or piece.name}-mockup"
    check_writable(folder, ("mockup.json", "report.json"))
    progress = Progress()
    try:
        made = make_mockup(piece, replace(options, units=units), progress)
        progress("writing the folder")
        written = write_folder(folder, made.files)
    finally:
        progress.done()
    with after_writing(folder):
        if given.json:
            sys.stdout.write(made.files["mockup.json"].decode())
            tell_aside(folder, written)
        else:
            print("\n".join(_summary(made.files["mockup.json"], piece.title, units)))
            print("\n".join(["", *findings_table(made.findings, units, whole=given.all, why=given.why), ""]))
            print("\n".join(folder_lines(folder, made.files, written)))
    return int(any_failed(made.findings))


def _summary(mockup_json: bytes, title: str, units: str) -> list[str]:
    """What a person reads of mockup.json."""
    import json

    told = json.loads(mockup_json)
    printer = told["printer"]
    lines = [f"{title} at {told['scale']['text']}: {in_words(*told['scaled_size_mm'])}"]
    for name, way in told["ways"].items():
        pieces = len(way["pieces"])
        beds = sum(b["way"] == name for b in told["beds"])
        lies = ", ".join(dict.fromkeys(way.get("lies", ())))
        lines.append(
            f"{name}: {_count(pieces, 'piece')} on {_count(beds, 'bed')}, {lies + ', ' if lies else ''}"
            f"{_grams(way, printer['infill'])} of {printer['plastic']}, {in_words(way['height_mm'])} high,"
            f" {way['support_mm2'] / 100:.1f} cm² to be supported"
        )
        lines += [f"  {line}" for line in (*_glue(way), *_names(way))]
    for row in told["changes"]:
        lines.append(
            f"  {row['label']}: {row['what']} {in_words(row['scaled_mm'], digits=2)}"
            f" printed as {in_words(row['printed_mm'], digits=2)}, {row['how']}"
        )
    return [shown(worded(line), units) for line in lines]


def _grams(way: dict[str, Any], infill: float) -> str:
    """Mass from shells and infill to printed solid."""
    least, most = (f"{way[key]:.0f}" for key in ("least_mass_g", "mass_g"))
    hollow = f"{least} g (shells and {100 * infill:g} % infill)"
    return f"{most} g" if least == most else f"{hollow} to {most} g (solid)"


def _glue(way: dict[str, Any]) -> list[str]:
    """Which joints want glue: those without a key, and the seams of a mockup in several pieces."""
    if way.get("pegs"):
        return [f"glue: the seams between its {len(way['pieces'])} pieces; pegs only place them"]
    joints = way.get("connections", ())
    bare: dict[str, list[str]] = {}
    for joint in joints:
        if joint["kind"] == "glued":
            bare.setdefault(joint["into"], []).append(joint["from"])
    if not joints:
        return []
    if not bare:
        return ["glue: none needed, every joint has a tab, a lap or a peg, or slides"]
    count = sum(map(len, bare.values()))
    each = [f"{into} with {name_labels(sorted(labels, key=_in_order))}" for into, labels in bare.items()]
    more = len(each) - MOST_GLUE_LINES
    return [
        f"glue: {count} of {_count(len(joints), 'joint')} {'has' if count == 1 else 'have'} no tab or peg",
        *(f"  {line}" for line in each[:MOST_GLUE_LINES]),
        *(
            [f"  and those of {_count(more, 'part')} more, see connections in mockup.json"]
            if more > 0
            else []
        ),
    ]


def _names(way: dict[str, Any]) -> list[str]:
    """Which boards of a kit bear no name, where some do."""
    labels = way.get("labels", ())
    bare = [row["part"] for row in labels if not row["raised"]]
    if not bare or len(bare) == len(labels):
        return []
    return [f"without a name: {name_labels(bare)}"]


def _in_order(label: str) -> list[tuple[int, str]]:
    """Labels in the order of their numbers."""
    return [(int(word), "") if word.isdecimal() else (-1, word) for word in label.split(".")]


def _count(number: int, noun: str) -> str:
    return f"{number} {noun}" if number == 1 else f"{number} {noun}s"
