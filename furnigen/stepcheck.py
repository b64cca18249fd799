"""The checks of a piece on any STEP assembly: nothing overlaps, nothing floats."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from furnigen import __version__
from furnigen.check.finding import Finding
from furnigen.check.solid import check_solid
from furnigen.kernel.step_reader import step_mesh_model
from furnigen.mesh.model import Floats, Ints, MeshModel
from furnigen.output.report import SAFETY_NOTE, Json, finding_row, rounded, solid_report
from furnigen.piece import Wall
from furnigen.progress import Sink, silent


def mesh_volume_mm3(vertices: Floats, faces: Ints) -> float:
    """Volume inside a closed mesh, by the divergence theorem (mm³)."""
    a, b, c = (vertices[faces[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6.0)


def check_step(path: str, tolerance_mm: float, on_step: Sink = silent) -> tuple[Json, list[Finding]]:
    """Check a STEP file; it stands on its own lowest plane, wherever its author put the floor.

    Returns: the report and the findings.

    Errors: InputError when it is no STEP file or holds no solid; GeometryError when it can not be meshed.
    """
    on_step(f"reading {Path(path).name}")
    model = step_mesh_model(path, tolerance_mm=tolerance_mm)
    corners = [model.world_vertices(copy) for copy in model.instances]
    low = np.min([c.min(axis=0) for c in corners], axis=0)
    high = np.max([c.max(axis=0) for c in corners], axis=0)
    on_step(f"checking {len(model.instances)} placements")
    ground = Wall("lowest plane", (0.0, 0.0, float(low[2])), (0.0, 0.0, 1.0))
    solid = check_solid(model, (ground,), tolerance_mm)
    # the file's own floor need not be z = 0
    findings = [f for f in solid.findings if f.name != "below-floor"]
    report = rounded(
        {
            "furnigen": __version__,
            "file": Path(path).name,
            "units": "mm",
            "placements": [_row(model, n, c) for n, c in enumerate(corners)],
            "bounds_mm": {"min": low.tolist(), "max": high.tolist()},
            "checks": [finding_row(f) for f in findings],
            "safety": SAFETY_NOTE,
        }
    )
    return report | solid_report(solid), findings


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
