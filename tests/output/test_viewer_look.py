"""What a viewer shows of a GLB: exact normals of turned legs, and borders that tell boards of one tone apart.

Outside checks: the Khronos glTF validator, trimesh's reader, VTK's importer and its image-based light.
"""

from __future__ import annotations

import io
import json
import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import gltf_validator
import numpy as np
import pytest
import trimesh
from hand_built import OAK, box, part

from furnigen import Draft, TurnedLeg, build, find_recipe, find_stock
from furnigen.core.pose import Pose
from furnigen.formats.glb import glb_bytes
from furnigen.mesh.model import MeshInstance, MeshModel

RECIPES = ("divided_case", "ring_rack", "leaning_shelf", "crate_wall")


def glb_of(piece) -> bytes:
    """The GLB as `make` writes it."""
    return glb_bytes(build(piece).meshes)


def document_of(glb: bytes) -> tuple[dict, bytes]:
    """Its JSON and its binary chunk."""
    length = int.from_bytes(glb[12:16], "little")
    return json.loads(glb[20 : 20 + length]), glb[28 + length :]


def corners_of(glb: bytes, mesh_name: str) -> dict[str, np.ndarray]:
    """Points (mm, Z up), normals, places in the texture and triangles of one mesh, read by hand."""
    document, binary = document_of(glb)
    mesh = next(m for m in document["meshes"] if m["name"] == mesh_name)
    (primitive,) = mesh["primitives"]
    wanted = {**primitive["attributes"], "indices": primitive["indices"]}
    found = {}
    for name, index in wanted.items():
        accessor = document["accessors"][index]
        view = document["bufferViews"][accessor["bufferView"]]
        wide = {"VEC3": 3, "VEC2": 2, "SCALAR": 1}[accessor["type"]]
        kind = {5126: "<f4", 5125: "<u4", 5123: "<u2"}[accessor["componentType"]]
        at = view.get("byteOffset", 0) + accessor.get("byteOffset", 0)
        read = np.frombuffer(binary, kind, accessor["count"] * wide, at).reshape(-1, wide)
        found[name] = read.astype(float if kind == "<f4" else int)
    for name, scale in (("POSITION", 1000.0), ("NORMAL", 1.0)):
        x, y, z = found[name].T * scale
        found[name] = np.column_stack([x, -z, y])
    return found


def test_triangles_of_small_parts_take_two_bytes_a_corner() -> None:
    """Most of a file is its triangles; 65535 corners and less need no four bytes (glTF 2.0, 3.7.2.1)."""
    draft = Draft("board")
    draft.board("board", find_stock("birch-ply-18-2440"), (0, 0, 0), (800, 300, 17.6))
    document, _ = document_of(glb_of(draft.done()))
    (primitive,) = document["meshes"][0]["primitives"]
    assert document["accessors"][primitive["indices"]]["componentType"] == 5123


def worst_degrees(leg: TurnedLeg, points: np.ndarray, normals: np.ndarray) -> float:
    """How far normals on the side of a leg are from its cone's, whose gradient is worked out here.

    The cone about an axis along a, its radius r + k s at s along it: F(q) = |q - (q.a) a| - r - k (q.a).
    Corners elsewhere, on ends and tenons, are left out.
    """
    t = np.radians(leg.lean)
    a = np.array([-np.sin(t), 0.0, np.cos(t)])  # upward; the axis meets the top at the origin
    length = leg.height / np.cos(t)
    k = (leg.top - leg.foot) / 2 / length
    q = points - np.array([0.0, 0.0, leg.height])
    s = q @ a
    away = q - s[:, None] * a
    radius = np.linalg.norm(away, axis=1)
    side = (np.abs(radius - (leg.top / 2 + k * s)) < 0.01) & (np.abs(normals[:, 2]) < 0.9)
    assert side.sum() >= 24
    expected = away[side] / radius[side, None] - k * a
    expected /= np.linalg.norm(expected, axis=1)[:, None]
    off = np.linalg.norm(np.cross(expected, normals[side]), axis=1)
    assert (np.sum(expected * normals[side], axis=1) > 0).all()
    return float(np.degrees(np.arcsin(off)).max())


@pytest.mark.parametrize(
    "leg",
    [
        TurnedLeg(150, 40, 25, 0),
        TurnedLeg(150, 40, 25, 14),
        TurnedLeg(400, 50, 20, 22),
        TurnedLeg(80, 30, 45, 9),
    ],
)
def test_normals_of_turned_legs_are_those_of_the_cone(leg: TurnedLeg) -> None:
    draft = Draft("leg")
    draft.place("leg", leg, find_stock("beech-blank-50"), Pose())
    glb = glb_of(draft.done())
    mesh = corners_of(glb, document_of(glb)[0]["meshes"][0]["name"])
    assert worst_degrees(leg, mesh["POSITION"], mesh["NORMAL"]) < 0.1


def test_the_legs_of_a_case_have_exact_normals() -> None:
    # leaning legs with tenons, so meshed by the kernel
    piece = find_recipe("divided_case")()
    glb = glb_of(piece)
    legs = [p for p in piece.parts if isinstance(p.form, TurnedLeg)]
    assert legs
    for leg in legs:
        mesh = corners_of(glb, leg.name)
        assert worst_degrees(leg.form, mesh["POSITION"], mesh["NORMAL"]) < 0.1


@pytest.mark.parametrize("recipe", RECIPES)
def test_borders_change_no_shape(recipe: str) -> None:
    built = build(find_recipe(recipe)())
    glb = glb_bytes(built.meshes)
    for plain in built.meshes.parts:
        mesh = corners_of(glb, plain.name)
        welded = trimesh.Trimesh(mesh["POSITION"], mesh["indices"].reshape(-1, 3), process=False)
        before = trimesh.Trimesh(plain.vertices, plain.faces, process=False)
        assert welded.area == pytest.approx(before.area, rel=1e-5)
        assert welded.volume == pytest.approx(before.volume, rel=1e-5)
        welded.merge_vertices(merge_tex=True, merge_norm=True, digits_vertex=3)
        assert welded.is_watertight, plain.name
        inside = mesh["TEXCOORD_0"][:, 0]
        assert set(np.unique(inside)) == {0.0, 1.0}


def test_the_border_of_a_board_lies_along_its_edges() -> None:
    # by hand: borders are 0.2 % of the piece's diagonal, 1 to 5 mm; here sqrt(900² + 300² + 18²) = 948.85 mm
    width = 0.002 * 948.85
    bar = part("bar", box(900.0, 300.0, 18.0), OAK)
    mesh = corners_of(glb_bytes(MeshModel("bar", (bar,), (MeshInstance("bar.1", 0, np.eye(4)),))), "bar")
    inside = mesh["TEXCOORD_0"][:, 0] == 1.0
    assert (len(inside), inside.sum()) == (48, 24)
    size = np.array([900.0, 300.0, 18.0])
    edge = np.minimum(mesh["POSITION"], size - mesh["POSITION"])
    flat = np.sort(edge[inside], axis=1)
    assert flat == pytest.approx(np.tile([0.0, width, width], (24, 1)), abs=1e-3)


@pytest.fixture(scope="module")
def validated(request: pytest.FixtureRequest) -> Callable[[bytes], dict]:
    modules = gltf_validator.node_modules(Path(request.config.cache.mkdir("gltf-validator")))
    return lambda data: gltf_validator.validate(data, modules)


@pytest.mark.parametrize("recipe", RECIPES)
def test_recipes_pass_the_validator_and_keep_small(recipe: str, validated: Callable[[bytes], dict]) -> None:
    data = glb_of(find_recipe(recipe)())
    issues = validated(data)["issues"]
    assert [issues[k] for k in ("numErrors", "numWarnings", "numInfos", "numHints")] == [0, 0, 0, 0], issues
    assert len(data) < 250_000
    scene = trimesh.load(io.BytesIO(data), file_type="glb", process=False)
    looks = {tuple(g.visual.material.baseColorFactor[:3]) for g in scene.geometry.values()}
    assert looks - {(255, 255, 255)} == looks  # the colour of the wood, not of the texture


_DRAWN = """
import sys
import numpy as np
import vtk
from vtk.util.numpy_support import vtk_to_numpy

window = vtk.vtkRenderWindow()
window.SetOffScreenRendering(1)
window.SetSize(600, 400)
window.SetMultiSamples(8)
window.AddRenderer(vtk.vtkRenderer())
reader = vtk.vtkGLTFImporter()
reader.SetFileName(sys.argv[1])
reader.SetRenderWindow(window)
reader.Update()
renderer = window.GetRenderers().GetFirstRenderer()
even = vtk.vtkImageData()
even.SetDimensions(64, 32, 1)
even.AllocateScalars(vtk.VTK_FLOAT, 3)
vtk_to_numpy(even.GetPointData().GetScalars())[:] = 0.8
light = vtk.vtkTexture()
light.SetInputData(even)
light.SetColorModeToDirectScalars()
light.MipmapOn()
light.InterpolateOn()
renderer.AutomaticLightCreationOff()
renderer.RemoveAllLights()
renderer.UseImageBasedLightingOn()
renderer.SetEnvironmentTexture(light)
camera = renderer.GetActiveCamera()
camera.SetPosition(0, 0, 2)
camera.SetFocalPoint(0, 0, 0)
camera.SetViewUp(0, 1, 0)
camera.ParallelProjectionOn()
renderer.ResetCamera()
window.Render()
grab = vtk.vtkWindowToImageFilter()
grab.SetInput(window)
grab.ReadFrontBufferOff()
grab.Update()
pixels = vtk_to_numpy(grab.GetOutput().GetPointData().GetScalars()).reshape(400, 600, -1)
np.save(sys.argv[2], pixels)
"""


def test_boards_that_meet_flush_are_told_apart_in_even_light(tmp_path: Path) -> None:
    # two boards side by side, their fronts flush, one tone: in even light they were one plain rectangle
    bar = part("bar", box(300.0, 18.0, 200.0), OAK)
    shifted = np.eye(4)
    shifted[0, 3] = 300.0
    model = MeshModel("pair", (bar,), (MeshInstance("a", 0, np.eye(4)), MeshInstance("b", 0, shifted)))
    (tmp_path / "pair.glb").write_bytes(glb_bytes(model))
    # in a process of its own: VTK ends it where there is no OpenGL
    run = subprocess.run(
        [sys.executable, "-c", _DRAWN, str(tmp_path / "pair.glb"), str(tmp_path / "pair.npy")],
        env={**os.environ, "DISPLAY": ""},
        capture_output=True,
        text=True,
        timeout=240,
        check=False,
    )
    assert run.returncode == 0, run.stderr
    row = np.load(tmp_path / "pair.npy")[200, :, :3].astype(float).mean(axis=1)
    wood = np.median(row[200:280])
    seam = row[295:305].min()
    assert seam < 0.92 * wood
    assert row[320:400] == pytest.approx(np.full(80, wood), abs=2.0)
