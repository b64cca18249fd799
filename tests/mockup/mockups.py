"""Small pieces whose mockups can be reckoned by hand, and readers of mockup files that are not ours."""

from __future__ import annotations

import io
import re
import subprocess
from pathlib import Path

import lib3mf
import numpy as np
import trimesh

from furnigen import Draft, Piece, find_stock
from furnigen.mockup.make import MockupOptions, make_mockup
from furnigen.mockup.printer import Printer
from furnigen.mockup.scale import read_scale
from furnigen.pipeline.made import Made

BOARD = "birch-ply-18"
CHECKED_BY_ADMESH = (
    "Total disconnected facets", "Edges fixed", "Facets removed", "Facets added", "Facets reversed",
    "Backwards edges", "Normals fixed", "Degenerate facets",
)  # fmt: skip


def bench(width: float = 600.0, height: float = 400.0, depth: float = 300.0) -> Piece:
    """Two sides of 18 mm and a shelf of 18 mm between them, flush with their tops."""
    t = find_stock(BOARD).thickness_mm
    draft = Draft("bench")
    stock = find_stock(BOARD)
    draft.board("side.left", stock, (0, 0, 0), (t, depth, height), grain="z")
    draft.board("side.right", stock, (width - t, 0, 0), (width, depth, height), grain="z")
    draft.board("shelf", stock, (t, 0, height - t), (width - t, depth, height), grain="x")
    return draft.done()


def made(
    piece: Piece, scale: str, way: str, bed: tuple[float, float, float] = (220, 220, 250), **more
) -> Made:
    """A mockup without pictures."""
    printer = Printer(bed, **more)
    return make_mockup(piece, MockupOptions(read_scale(scale), printer, (way,), ("3mf", "stl", "part-stl")))


def failed(made: Made) -> list[tuple[str, str, str]]:
    """What of a mockup's checks failed."""
    return [(f.name, f.where, f.remedy) for f in made.findings if f.status == "fail"]


def admesh_repairs(data: bytes, folder: Path) -> dict[str, int]:
    """What admesh says it had to repair in an STL."""
    path = folder / "checked.stl"
    path.write_bytes(data)
    said = subprocess.run(["admesh", str(path)], capture_output=True, text=True, check=True).stdout
    found = {}
    for name in CHECKED_BY_ADMESH:
        counts = re.search(rf"{name}\s*:\s*(.*)", said)
        assert counts, f"admesh says nothing of {name}"
        numbers = re.findall(r"\d+", counts[1])
        assert numbers, said
        found[name] = int(numbers[-1])
    return found


def stl(data: bytes) -> trimesh.Trimesh:
    """An STL as trimesh reads it, equal corners merged."""
    return trimesh.load(io.BytesIO(data), file_type="stl")


def read_strictly(data: bytes) -> dict[str, trimesh.Trimesh]:
    """lib3mf's own reading of each mesh object of a 3MF in strict mode, by name."""
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromBuffer(data)
    assert [reader.GetWarning(i) for i in range(reader.GetWarningCount())] == []
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    found, objects = {}, model.GetMeshObjects()
    while objects.MoveNext():
        mesh = objects.GetCurrentMeshObject()
        assert mesh.IsManifoldAndOriented()
        points = np.array([list(v.Coordinates) for v in mesh.GetVertices()])
        triangles = np.array([list(t.Indices) for t in mesh.GetTriangleIndices()])
        found[mesh.GetName()] = trimesh.Trimesh(points, triangles, process=False)
    return found
