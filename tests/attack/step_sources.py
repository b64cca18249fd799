"""Good STEP files to be damaged: our own, and one as another writer lays it out."""

from __future__ import annotations

import io
import tempfile
from pathlib import Path

import cadquery as cq

from furnigen import find_recipe
from furnigen.kernel.solids import solids
from furnigen.kernel.step import step_bytes


def _of_recipe(name: str, **given: object) -> str:
    piece = find_recipe(name)(**given)
    return step_bytes(piece, solids(piece)).decode()


def _nested() -> str:
    """Two frames of two posts and a rail with a round hole, nested, with curves in surface parameters."""
    post = cq.Workplane().box(20, 20, 300, centered=False)
    rail = cq.Workplane().box(200, 20, 40, centered=False).faces("<Y").workplane().hole(8)
    whole = cq.Assembly(name="trestles")
    for k in (0, 1):
        frame = cq.Assembly(name=f"frame.{k}")
        frame.add(post, name=f"left.{k}", color=cq.Color(0.8, 0.6, 0.4))
        frame.add(post, name=f"right.{k}", loc=cq.Location((220, 0, 0)))
        frame.add(rail, name=f"rail.{k}", loc=cq.Location((20, 0, 200)))
        whole.add(frame, loc=cq.Location((0, 500 * k, 0), (0, 0, 1), 30))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "model.step")
        whole.export(str(path))
        return io.StringIO(path.read_text(encoding="utf-8")).read()


def sources() -> dict[str, str]:
    """The good files, by name."""
    return {
        "leaning shelf": _of_recipe("leaning_shelf"),
        "nested trestles": _nested(),
        "ring rack": _of_recipe("ring_rack"),
    }
