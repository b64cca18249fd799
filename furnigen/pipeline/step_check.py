"""The checks of a piece on any STEP assembly: all of it read, nothing overlaps, nothing floats."""

from __future__ import annotations

import time
from dataclasses import asdict, dataclass
from pathlib import Path

import numpy as np

from furnigen import __version__
from furnigen.checks.solids import check_solid
from furnigen.core.array_types import Floats
from furnigen.core.errors import FurnigenError, GeometryError
from furnigen.core.finding import Finding
from furnigen.core.progress import Sink, silent
from furnigen.formats.report import SAFETY_NOTE, Json, finding_row, rounded_for_report, solid_report
from furnigen.kernel.step_reader import StepFile, read_step
from furnigen.kernel.tessellation import ANGLE_RADIANS
from furnigen.mesh.model import MeshModel
from furnigen.piece.description import Wall
from furnigen.pipeline.step_meshes import MeasuredSolid, measured, mesh_volume_mm3, model_of
from furnigen.pipeline.step_proof import prove


@dataclass(frozen=True)
class _Read:
    """A STEP file as it was read, and its solids measured."""

    file: StepFile
    solids: list[MeasuredSolid]
    model: MeshModel


def _read(path: Path, tolerance_mm: float, most_copies: int | None, on_step: Sink) -> _Read:
    on_step(f"reading {path.name}")
    file = read_step(path, most_copies=most_copies, on_complaint=lambda text: on_step(f"reader: {text}"))
    solids = []
    for k, solid in enumerate(file.solids):
        on_step(f"measuring {k + 1} of {len(file.solids)} shapes")
        solids.append(measured(solid, tolerance_mm, ANGLE_RADIANS))
    model = model_of(file, solids)
    if not model.instances:
        first = solids[0]
        raise GeometryError(
            f"{path}: none of its solids can be measured: {first.solid.name!r}: {first.fault}"
        )
    return _Read(file, solids, model)


def check_step(
    path: str | Path, tolerance_mm: float, on_step: Sink = silent, *, most_copies: int | None = None
) -> tuple[Json, list[Finding]]:
    """Check a STEP file; it stands on its own lowest plane, wherever its author put the floor.

    What the kernel left out, or can not close or measure, is a finding. A broken file may end the process or
    never come back: `furnigen.pipeline.guarded_process` runs this in a process of its own.

    Args:
        tolerance_mm: of the meshes of curved faces.
        most_copies: as in `furnigen.kernel.step_reader.read_step`.

    Returns: the report and the findings.

    Raises: InputError when it is no STEP file, holds no solid or too many; GeometryError when none of its
        solids can be measured.
    """
    begun = time.monotonic()
    path = Path(path)
    read = _read(path, tolerance_mm, most_copies, on_step)
    model = read.model
    corners = [model.world_vertices(copy) for copy in model.instances]
    low = np.min([c.min(axis=0) for c in corners], axis=0)
    high = np.max([c.max(axis=0) for c in corners], axis=0)
    on_step(f"checking {len(model.instances)} placements")
    ground = Wall("lowest plane", (0.0, 0.0, float(low[2])), (0.0, 0.0, 1.0))
    solid = check_solid(model, (ground,), max(one.tolerance_mm for one in read.solids))
    # the file's own floor need not be z = 0
    findings = [
        *prove(read.file, read.solids, tolerance_mm),
        *(f for f in solid.findings if f.name != "below-floor"),
    ]
    report = rounded_for_report(
        {
            "furnigen": __version__,
            "file": path.name,
            "name": read.file.name,
            "units": "mm",
            "stated": _stated(read.file),
            "solids": len(read.file.copies),
            "shapes": len(read.file.solids),
            "placements": [_row(model, n, c) for n, c in enumerate(corners)],
            "bounds_mm": {"min": low.tolist(), "max": high.tolist()},
            "size_mm": (high - low).tolist(),
            "seconds": round(time.monotonic() - begun, 2),
            "checks": [finding_row(f) for f in findings],
            "safety": SAFETY_NOTE,
        }
    )
    return report | solid_report(solid), findings


def check_step_rows(
    path: str, folder: str, tolerance_mm: float, most_copies: int, on_step: Sink = silent
) -> tuple[Json, list[Json]]:
    """As `check_step`, as plain data: what `furnigen.pipeline.guarded_process` runs.

    Args:
        folder: that `path` starts from where it is relative.
    """
    try:
        report, findings = check_step(Path(folder, path), tolerance_mm, on_step, most_copies=most_copies)
    except FurnigenError as error:
        raise type(error)(*(_as_asked(a, folder, path) for a in error.args)) from error
    return report, [asdict(f) for f in findings]


def _as_asked(value: object, folder: str, path: str) -> str:
    """A part of a message, with the path as it was typed."""
    return str(value).replace(str(Path(folder, path)), path)


def _stated(file: StepFile) -> Json:
    """What the file says of itself."""
    held = file.stated
    units = {held.shapes.extent(s).unit for p in held.products for s in p.held.solids}
    return {
        "unit": sorted(unit.name if unit else "none" for unit in units),
        "unit_mm": sorted(unit.mm for unit in units if unit),
        "solids": held.solids_placed,
        "sheets": held.placed("sheets"),
        "curves": held.placed("curves"),
        "written": held.written,
        "other_files": held.elsewhere,
    }


def _row(model: MeshModel, number: int, corners: Floats) -> Json:
    copy = model.instances[number]
    part = model.parts[copy.part]
    return {
        "label": copy.label,
        "part": part.name,
        "path": list(copy.path),
        "material": part.material,
        "volume_mm3": mesh_volume_mm3(part.vertices, part.faces),
        "bounds_mm": {"min": corners.min(axis=0).tolist(), "max": corners.max(axis=0).tolist()},
    }
