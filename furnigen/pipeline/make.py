"""From a piece to its files: solids, meshes, checks, and whatever formats are asked for.

The kernel and the mesh library are loaded only when a format or check wants a solid.
"""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Collection, Iterable, Sequence
from concurrent.futures import Future, ThreadPoolExecutor
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

from furnigen.checks.fit import check_fit
from furnigen.core.errors import FurnigenError, InputError
from furnigen.core.finding import WARN, Finding, any_failed
from furnigen.core.progress import Sink, silent
from furnigen.core.quantities import check_length
from furnigen.formats.cut_list import cutlist_csv
from furnigen.formats.hardware_list import hardware_csv
from furnigen.formats.report import (
    Json,
    building_report,
    json_bytes,
    piece_report,
    sag_report,
    solid_report,
    strength_report,
)
from furnigen.piece.description import Piece
from furnigen.pipeline.part_cache import PartCache
from furnigen.pipeline.results.file_names import series
from furnigen.strength.model.demands import Demands

if TYPE_CHECKING:
    from furnigen.mesh.model import MeshModel
    from furnigen.strength.assess import LoadedBoards

MAKE_FORMATS = {
    "step": "model.step: solids with names, colours, materials and the assembly tree, mm",
    "stl": "model.stl: one mesh of the whole piece, mm",
    "3mf": "model.3mf: named meshes with units and colours",
    "glb": "model.glb: for viewers, metres, Y up",
    "cutlist": "cutlist.csv: what to cut",
    "hardware": "hardware.csv: screws, dowels, pins and bolts to buy",
    "picture": "preview.png: a shaded view",
    "part-stl": "parts/NAME.stl: one mesh for each distinct part, mm",
}
"""What `make` can write, besides report.json."""

USUAL_FORMATS = ("step", "stl", "3mf", "glb", "cutlist", "hardware", "picture")
TOLERANCE_MM = 0.1
"""Usual distance of a mesh's facets from a curved face."""
FINEST_MM, COARSEST_MM = 0.005, 5.0


@dataclass(frozen=True)
class MakeOptions:
    """How a piece is made.

    Attributes:
        formats: names from FORMATS.
        tolerance_mm: largest distance of mesh facets from curved faces (mm).
        units: "mm" or "in", for lists that people read.
        picture_px: width and height of the picture.
        demands: what the strength of the piece is held to.
    """

    formats: tuple[str, ...] = USUAL_FORMATS
    tolerance_mm: float = TOLERANCE_MM
    units: str = "mm"
    picture_px: tuple[int, int] = (1200, 900)
    demands: Demands = field(default_factory=Demands)

    def __post_init__(self) -> None:
        for name in self.formats:
            if name not in MAKE_FORMATS:
                raise InputError("format", name, f"must be one of {', '.join(MAKE_FORMATS)}")
        check_length(self.tolerance_mm, what="tolerance")
        if not FINEST_MM <= self.tolerance_mm <= COARSEST_MM:
            raise InputError(
                "tolerance", f"{self.tolerance_mm:g} mm", f"must be from {FINEST_MM} mm to {COARSEST_MM:g} mm"
            )


@dataclass(frozen=True)
class Made:
    """What making a piece gave.

    Attributes:
        report: the content of report.json.
        findings: results of all checks.
        files: name and content of every file, report.json among them.
    """

    report: Json
    findings: tuple[Finding, ...]
    files: dict[str, bytes] = field(default_factory=dict)


def solids_and_meshes(piece: Piece, tolerance_mm: float = TOLERANCE_MM) -> tuple[tuple[Any, ...], MeshModel]:
    """Solids of the distinct parts, and the placed meshes.

    Raises: GeometryError naming the part that can not be made.
    """
    from furnigen.kernel.solids import solids
    from furnigen.mesh.part_meshes import mesh_model

    made = solids(piece)
    return made, mesh_model(piece, made, tolerance_mm=tolerance_mm)


Touching = tuple[Any, Any]
"""Contacts (`furnigen.mesh.contacts`), and what stands on floor and walls (`furnigen.mesh.support`)."""


@dataclass(frozen=True)
class KnownResults:
    """What was found of a piece before it is examined; None where it was not.

    Attributes:
        touching: what touches in it.
        loaded: its boards under load.
    """

    touching: Touching | None = None
    loaded: LoadedBoards | None = None


_STRENGTH = frozenset({"sag", "strength", "standing"})
Advise = Callable[[list[Finding]], tuple[list[Finding], list[Json]]]
"""Puts computed remedies into findings; returns them and the remedies as the report lists them."""


def check_piece(
    piece: Piece, options: MakeOptions, on_step: Sink = silent, advise: Advise | None = None
) -> Made:
    """All checks of a piece and its report; no files.

    Raises: GeometryError naming the part that can not be made.
    """
    return make_piece(piece, replace(options, formats=()), on_step, advise=advise)


GROUPS = {
    "fit": "the brief, openings, and whether parts can be cut from their stock",
    "solid": "overlaps, floating and sunk parts",
    "building": "joints, load path, order of assembly, wood movement",
    "sag": "how far boards sag",
    "strength": "sag, stress, bearings, uprights, legs, sway",
    "standing": "tipping, anchor and wall",
}
"""Groups of checks that can be asked for alone."""


def check_only(
    piece: Piece,
    options: MakeOptions,
    groups: Collection[str],
    on_step: Sink = silent,
    advise: Advise | None = None,
) -> Made:
    """Some groups of checks of a piece and its report; no files besides. See `examine`."""
    made = examine(piece, options, groups, on_step, advise)
    return replace(made, files={"report.json": json_bytes(made.report)})


def examine(
    piece: Piece,
    options: MakeOptions,
    groups: Collection[str],
    on_step: Sink = silent,
    advise: Advise | None = None,
    files: Collection[str] = (),
    known: KnownResults = KnownResults(),
) -> Made:
    """Some groups of checks of a piece and its report, as data. Fit, sag, strength and standing need no
    kernel, unless a part is of a form of the author's own.

    Args:
        groups: names from GROUPS.
        files: names of files that go with the report.
        known: what was found before (`known_together`).

    Raises: InputError for an unknown group; GeometryError naming the part that can not be made.
    """
    for name in groups:
        if name not in GROUPS:
            raise InputError("checks", name, f"must be one of {', '.join(GROUPS)}")
    findings: list[Finding] = check_fit(piece) if "fit" in groups else []
    extra: Json = {}
    touching, path = known.touching, None
    if {"solid", "building"} & set(groups):
        from furnigen.checks.construction import check_construction
        from furnigen.checks.solids import check_solid

        on_step("loading the kernel")
        solid = check_solid(
            solids_and_meshes(piece, options.tolerance_mm)[1], piece.walls, options.tolerance_mm
        )
        touching = (solid.contacts, solid.support.grounded)
        extra |= solid_report(solid)
        if "solid" in groups:
            findings += solid.findings
        if "building" in groups:
            building = check_construction(piece, solid, options.tolerance_mm)
            findings += building.findings
            path = building.path
            extra |= building_report(piece, building)
    asked = _STRENGTH & set(groups)
    if asked:
        from furnigen.checks.strength import check_sag, check_strength, in_groups

        remedies: list[Json] = []
        only_sag = asked == {"sag"}
        touching = touching or _touching(piece, options, on_step, whole=not only_sag)
        loaded, strength = None, None
        if only_sag:
            wanted, loaded = check_sag(piece, *touching, options.demands, known.loaded)
        else:
            found, strength = check_strength(piece, *touching, options.demands, path)
            wanted = in_groups(found, groups)
        if advise is not None and any_failed(wanted):
            on_step("looking for remedies")
            wanted, remedies = advise(wanted)
        findings += wanted
        extra |= sag_report(loaded, remedies) if only_sag else strength_report(strength, remedies)
    report = piece_report(piece, findings, list(files), options.units) | extra
    return Made(report, tuple(findings))


_OF_ONE = (FurnigenError, MemoryError)
"""What is wrong with one of several pieces: it is said of that piece, when it is made alone."""


def known_together(
    pieces: Sequence[Piece], options: MakeOptions, groups: Collection[str]
) -> list[KnownResults]:
    """What is found for several pieces at once, for `examine`: what touches, and the loaded boards for sag.

    Nothing where some group of checks finds it anyhow, or none asks, or where it can not be found together.
    """
    touching = _touching_together(pieces, options, groups)
    if touching is None:
        return [KnownResults()] * len(pieces)
    loaded: Sequence[LoadedBoards | None] = [None] * len(pieces)
    if _STRENGTH & set(groups) == {"sag"}:
        from furnigen.strength.assess import load_boards_together

        whole = [(piece, *touches) for piece, touches in zip(pieces, touching, strict=True)]
        with contextlib.suppress(*_OF_ONE):
            loaded = load_boards_together(whole, options.demands)
    return [KnownResults(*found) for found in zip(touching, loaded, strict=True)]


def _touching_together(
    pieces: Sequence[Piece], options: MakeOptions, groups: Collection[str]
) -> list[Touching] | None:
    from furnigen.mesh.light_mesh import light_contacts_together, without_hardware_holes

    asked = _STRENGTH & set(groups)
    custom = any(part.form.needs_kernel for piece in pieces for part in piece.parts)
    if not asked or custom or {"solid", "building"} & set(groups):
        return None
    if asked == {"sag"}:
        pieces = [
            replace(piece, parts=tuple(without_hardware_holes(p) for p in piece.parts)) for piece in pieces
        ]
    try:
        found = light_contacts_together(pieces, options.tolerance_mm)
    except _OF_ONE:
        return None
    return [(contacts, support.grounded) for contacts, support in found]


def _touching(piece: Piece, options: MakeOptions, on_step: Sink, *, whole: bool) -> Touching:
    """What touches, from the description; parts of the author's own form are meshed by the kernel.

    Args:
        whole: with every hole for hardware; without them boards bear on the same places, found far sooner.
    """
    from furnigen.mesh.light_mesh import light_contacts, without_hardware_holes

    made = {}
    if any(p.form.needs_kernel for p in piece.parts):
        on_step("loading the kernel")
        model = solids_and_meshes(piece, options.tolerance_mm)[1]
        made = {m.name: m for m, p in zip(model.parts, piece.parts, strict=True) if p.form.needs_kernel}
    if not whole:
        piece = replace(piece, parts=tuple(without_hardware_holes(p) for p in piece.parts))
    drafted = light_contacts(piece, made, options.tolerance_mm)
    return drafted.contacts, drafted.support.grounded


def make_piece(
    piece: Piece,
    options: MakeOptions | None = None,
    on_step: Sink = silent,
    parts_cache: PartCache | None = None,
    advise: Advise | None = None,
) -> Made:
    """Make a piece: its checks, its report, and the content of its files.

    Args:
        parts_cache: makes its solids and meshes; that of a family keeps those of parts it has met before.
        advise: finds remedies for what fails.

    Raises: GeometryError naming the part that can not be made.
    """
    from furnigen.checks.construction import check_construction
    from furnigen.checks.solids import check_solid
    from furnigen.checks.strength import check_strength

    options = options or MakeOptions()
    on_step("loading the kernel")
    parts_cache = PartCache() if parts_cache is None else parts_cache
    model = parts_cache.mesh_of(piece, options.tolerance_mm)
    files: dict[str, bytes] = {}
    findings = check_fit(piece)
    with ThreadPoolExecutor(max_workers=1) as beside:
        picture = _start_picture(model, options, beside)
        on_step(f"checking {len(piece.placements)} placements")
        solid = check_solid(model, piece.walls, options.tolerance_mm)
        on_step("finding the order of assembly")
        building = check_construction(piece, solid, options.tolerance_mm)
        on_step("loading the shelves")
        touching = solid.contacts, solid.support.grounded
        found, strength = check_strength(piece, *touching, options.demands, building.path)
        for name, make in _writers(piece, parts_cache, model, options).items():
            on_step(f"writing {name}")
            files.update(make())
        if picture is not None:
            on_step("drawing the picture")
            files.update(_picture(picture, findings))
    findings += [*solid.findings, *building.findings, *found]
    remedies: list[Json] = []
    if advise is not None and any_failed(found):
        on_step("looking for remedies")
        findings, remedies = advise(findings)
    report = piece_report(piece, findings, list(files), options.units)
    report |= solid_report(solid) | building_report(piece, building) | strength_report(strength, remedies)
    files["report.json"] = json_bytes(report)
    return Made(report, tuple(findings), files)


def _writers(
    piece: Piece, parts_cache: PartCache, model: MeshModel, options: MakeOptions
) -> dict[str, Callable[[], dict[str, bytes]]]:
    """The writers of the formats asked for, by format."""
    from furnigen.formats.glb import glb_bytes
    from furnigen.formats.stl import part_stls, stl_bytes
    from furnigen.formats.threemf import threemf_bytes

    table: dict[str, Callable[[], dict[str, bytes]]] = {
        "step": lambda: {"model.step": parts_cache.step_bytes(piece)},
        "stl": lambda: {"model.stl": stl_bytes(model)},
        "3mf": lambda: {"model.3mf": threemf_bytes(model)},
        "glb": lambda: {"model.glb": glb_bytes(model)},
        "cutlist": lambda: {"cutlist.csv": cutlist_csv(piece, options.units)},
        "hardware": lambda: {"hardware.csv": hardware_csv(piece)},
        "part-stl": lambda: series("parts", ".stl", part_stls(model)),
    }
    return {name: table[name] for name in table if name in options.formats}


def planned_files(formats: Iterable[str]) -> tuple[str, ...]:
    """The files that some formats are written as, where their names do not depend on the piece."""
    names = (MAKE_FORMATS[name].partition(":")[0] for name in formats if name in MAKE_FORMATS)
    return (*(name for name in names if "NAME" not in name), "report.json")


def _start_picture(
    model: MeshModel, options: MakeOptions, beside: ThreadPoolExecutor
) -> Future[bytes] | None:
    """Begin the picture in a process of its own, while this one goes on."""
    if "picture" not in options.formats:
        return None
    from furnigen.picture.picture import picture_png

    width, height = options.picture_px
    return beside.submit(picture_png, model, width=width, height=height)


def _picture(picture: Future[bytes], findings: list[Finding]) -> Iterable[tuple[str, bytes]]:
    """The picture; where the machine can not draw, a warning and nothing else."""
    from furnigen.picture.picture import PictureError

    try:
        return [("preview.png", picture.result())]
    except PictureError as error:
        findings.append(Finding("picture", WARN, 0, 1, "pictures", "preview.png", "", str(error)))
        return []
