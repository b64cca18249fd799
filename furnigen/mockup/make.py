"""From a piece to the files of its mockup."""

from __future__ import annotations

from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass
from typing import TYPE_CHECKING

from furnigen import __version__
from furnigen.core.errors import InputError
from furnigen.core.file_names import series
from furnigen.core.finding import FAIL, WARN, Finding
from furnigen.core.progress import Sink, silent
from furnigen.formats.report import Json, finding_row, json_bytes, piece_report, rounded_for_report
from furnigen.mockup.printer import CLOSED_LAYERS, DENSITY_G_CM3, INFILL, PLASTIC, Printer
from furnigen.mockup.scale import Scale
from furnigen.piece.description import Piece
from furnigen.pipeline.built import Built
from furnigen.pipeline.made import Made

if TYPE_CHECKING:
    from furnigen.mockup.print_plan import PrintPlan
    from furnigen.mockup.scaled_bodies import ScaledPiece

WHOLE, KIT = "whole", "kit"
PRINT_WAYS = (WHOLE, KIT)
NAMES = {
    "hidden": "on faces nobody sees: undersides, inner sides, rears",
    "any": "there, and on the other face of parts that are better printed so",
    "none": "nowhere",
}
"""Where the names of a kit's parts may stand."""
MOCKUP_FORMATS = {
    "3mf": "one for each bed: named objects, mm",
    "stl": "one for each bed, mm",
    "part-stl": "one for each piece as it lies, mm",
    "picture": "each bed, the mockup, and its pieces drawn apart",
}
"""What a mockup can be written as, besides mockup.json and report.json."""


@dataclass(frozen=True)
class MockupOptions:
    """How a mockup is made.

    Attributes:
        scale: its scale.
        printer: what it is printed with.
        ways: names from WAYS.
        formats: names from FORMATS.
        units: "mm" or "in", for lists that people read.
        names: a word of NAMES.

    Raises: InputError for a format or a place of names that is not known.
    """

    scale: Scale
    printer: Printer
    ways: tuple[str, ...] = PRINT_WAYS
    formats: tuple[str, ...] = tuple(MOCKUP_FORMATS)
    units: str = "mm"
    names: str = "hidden"

    def __post_init__(self) -> None:
        for name in self.formats:
            if name not in MOCKUP_FORMATS:
                raise InputError("format", name, f"must be one of {', '.join(MOCKUP_FORMATS)}")
        if self.names not in NAMES:
            raise InputError("names", self.names, f"must be one of {', '.join(NAMES)}")


def make_mockup(piece: Piece, options: MockupOptions, on_step: Sink = silent) -> Made:
    """Make the mockup of a piece: its checks, its report, and the content of its files.

    Of two ways asked for, one that is impossible becomes a finding; the other is made.

    Raises: InputError when no way that was asked for can be made; GeometryError naming a part that can not.
    """
    from furnigen.mockup.scaled_bodies import scaled_bodies

    on_step("scaling the parts")
    piece = piece.without_loose  # their slots stay uncut: at any scale they are one with what they join
    scaled = scaled_bodies(piece, options.scale, options.printer, Built(piece).custom_meshes)
    files: dict[str, bytes] = {}
    ways: list[PrintPlan] = []
    findings: list[Finding] = []
    pictures: list[Future[dict[str, bytes]]] = []
    with ThreadPoolExecutor(max_workers=1) as beside:
        for name in options.ways:
            on_step(f"making the {name}")
            try:
                way = _planned(name, piece, scaled, options)
            except InputError as error:
                if len(options.ways) == 1 or (name == options.ways[-1] and not ways):
                    raise
                findings.append(Finding(name, FAIL, 0, 1, "mockups", "", "", str(error)))
                continue
            if "picture" in options.formats:
                pictures.append(beside.submit(_draw, way, options.printer))
            ways.append(way)
            findings += way.findings
            on_step(f"writing the {name}")
            files.update(_meshes(way, options.formats))
        if pictures:
            on_step("drawing the pictures")
        for drawn in pictures:
            _collect(drawn, files, findings)
    return _reported(piece, options, scaled, ways, findings, files)


def _planned(name: str, piece: Piece, scaled: ScaledPiece, options: MockupOptions) -> PrintPlan:
    if name == WHOLE:
        from furnigen.mockup.whole_print import print_whole

        return print_whole(piece, scaled, options.printer, options.scale)
    from furnigen.mockup.kit import print_kit

    return print_kit(piece, scaled, options.printer, options.scale, options.names)


def _meshes(way: PrintPlan, formats: tuple[str, ...]) -> dict[str, bytes]:
    from furnigen.formats.stl import part_stls, stl_bytes
    from furnigen.formats.threemf import threemf_bytes

    files: dict[str, bytes] = {}
    pieces: dict[str, bytes] = {}
    for bed in way.beds:
        model = bed.model()
        if "3mf" in formats:
            files[f"{way.name}/{bed.name}.3mf"] = threemf_bytes(model)
        if "stl" in formats:
            files[f"{way.name}/{bed.name}.stl"] = stl_bytes(model)
        if "part-stl" in formats:
            pieces.update(part_stls(model))
    return files | series(f"{way.name}/parts", ".stl", pieces)


def _draw(way: PrintPlan, printer: Printer) -> dict[str, bytes]:
    from furnigen.mockup.pictures import VIEWS, bed_picture
    from furnigen.picture.picture import render_many

    shown = {f"{way.name}/{bed.name}.png": bed_picture(bed, printer) for bed in way.beds}
    shown[f"{way.name}/mockup.png"] = way.assembled
    if way.apart is not None:
        shown[f"{way.name}/assembly.png"] = way.apart
    return dict(zip(shown, render_many(list(shown.values()), VIEWS[way.name]), strict=True))


def _collect(drawn: Future[dict[str, bytes]], files: dict[str, bytes], findings: list[Finding]) -> None:
    """Pictures; where the machine can not draw, a warning and nothing else."""
    from furnigen.picture.picture import PictureError

    try:
        files.update(drawn.result())
    except PictureError as error:
        findings.append(Finding("picture", WARN, 0, 1, "pictures", "", "", str(error)))


def _reported(
    piece: Piece,
    options: MockupOptions,
    scaled: ScaledPiece,
    ways: list[PrintPlan],
    findings: list[Finding],
    files: dict[str, bytes],
) -> Made:
    names = [*files, "mockup.json"]
    files["mockup.json"] = json_bytes(_mockup_report(piece, options, scaled, ways, findings, names))
    report = piece_report(piece, findings, names, options.units)
    files["report.json"] = json_bytes(report)
    return Made(report, tuple(findings), files)


def _mockup_report(
    piece: Piece,
    options: MockupOptions,
    scaled: ScaledPiece,
    ways: list[PrintPlan],
    findings: list[Finding],
    files: list[str],
) -> Json:
    printer, beds = options.printer, [(way, bed) for way in ways for bed in way.beds]
    return rounded_for_report(  # type: ignore[no-any-return]
        {
            "furnigen": __version__,
            "recipe": piece.name,
            "title": piece.title,
            "params": dict(piece.parameters),
            "units": "mm",
            "scale": {"text": options.scale.text, "ratio": options.scale.ratio},
            "printer": {
                "bed_mm": list(printer.bed_mm),
                "nozzle_mm": printer.nozzle_mm,
                "thinnest_wall_mm": printer.wall_mm,
                "clearance_mm": printer.clearance_mm,
                "margin_mm": printer.margin_mm,
                "spacing_mm": printer.spacing_mm,
                "infill": INFILL,
                "plastic": PLASTIC,
                "density_g_cm3": DENSITY_G_CM3,
            },
            "scaled_size_mm": list(scaled.size_mm),
            "changes": [
                {
                    "label": c.label,
                    "what": c.what,
                    "scaled_mm": c.from_mm,
                    "printed_mm": c.to_mm,
                    "added_mm": c.to_mm - c.from_mm,
                    "how": c.how,
                }
                for c in scaled.changes
            ],
            "left_out": [
                {"label": c.label, "cut": c.cut, "count": c.count, "why": c.why} for c in scaled.left_out
            ],
            "ways": {
                way.name: {
                    "volume_mm3": sum(p.volume_mm3 for p in way.pieces),
                    "mass_g": sum(bed.mass_g for bed in way.beds),
                    "least_mass_g": sum(bed.least_mass_g for bed in way.beds),
                    "height_mm": max(bed.height_mm for bed in way.beds),
                    "support_mm2": sum(p.orientation.support_mm2 for p in way.pieces),
                    **way.details,
                }
                for way in ways
            },
            "beds": [
                {
                    "way": way.name,
                    "name": bed.name,
                    "pieces": [p.name for p, _ in bed.pieces],
                    "height_mm": bed.height_mm,
                    "mass_g": bed.mass_g,
                    "least_mass_g": bed.least_mass_g,
                }
                for way, bed in beds
            ],
            "checks": [finding_row(f) for f in findings],
            "notes": "Volumes and masses are of pieces printed solid, least masses of pieces with shells of"
            f" two lines, {CLOSED_LAYERS} closed layers and {INFILL:.0%} infill; supports are not counted.",
            "files": sorted(files),
        }
    )
