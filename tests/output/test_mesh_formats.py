"""STL, 3MF and GLB: read back by other people's readers, against volumes in closed form.

Outside checks: the Khronos glTF validator, lib3mf (the 3MF consortium's reader, strict mode) and
trimesh's readers.
"""

from __future__ import annotations

import io
import json
import subprocess
import sys
import zipfile
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import gltf_validator
import lib3mf
import numpy as np
import pytest
import trimesh
from hand_built import BOUNDS, LEG_SIDES, PART_VOLUMES, about, at, box, leg, part, small_case, whole_volume
from hand_built import OAK as LOOK

from furnigen.core.errors import GeometryError
from furnigen.formats.glb import glb_bytes
from furnigen.formats.shading import shaded_corners
from furnigen.formats.stl import part_stls, stl_bytes
from furnigen.formats.threemf import threemf_bytes
from furnigen.mesh.model import MeshInstance, MeshModel

Writer = Callable[[MeshModel], bytes]
WRITERS: dict[str, Writer] = {"stl": stl_bytes, "3mf": threemf_bytes, "glb": glb_bytes}

# float32 keeps 24 bits, so a coordinate of 1050 mm is off by at most 2**-14 mm = 6e-5 mm
FLOAT32_MM = 6e-5
# and a volume by that on every face of the thinnest board (6 mm): 2 * 6e-5 / 6 = 2e-5
FLOAT32_VOLUME = 2e-5


def json_of(glb: bytes) -> dict:
    length = int.from_bytes(glb[12:16], "little")
    return json.loads(glb[20 : 20 + length])


@pytest.fixture(scope="module")
def validated(request: pytest.FixtureRequest) -> Callable[[bytes], dict]:
    modules = gltf_validator.node_modules(Path(request.config.cache.mkdir("gltf-validator")))
    return lambda data: gltf_validator.validate(data, modules)


def read_strictly(data: bytes) -> lib3mf.Model:
    model = lib3mf.get_wrapper().CreateModel()
    reader = model.QueryReader("3mf")
    reader.SetStrictModeActive(True)
    reader.ReadFromBuffer(data)
    assert [reader.GetWarning(i) for i in range(reader.GetWarningCount())] == []
    return model


def meshes_of(model: lib3mf.Model) -> dict[str, trimesh.Trimesh]:
    """lib3mf's own reading of each mesh object, by name, as a mesh whose volume we can ask."""
    found = {}
    objects = model.GetMeshObjects()
    while objects.MoveNext():
        mesh = objects.GetCurrentMeshObject()
        assert mesh.IsManifoldAndOriented()
        points = [list(v.Coordinates) for v in mesh.GetVertices()]
        triangles = [list(t.Indices) for t in mesh.GetTriangleIndices()]
        found[mesh.GetName()] = trimesh.Trimesh(points, triangles, process=False)
    return found


def test_the_hand_built_meshes_are_what_they_claim() -> None:
    for p in small_case().parts:
        mesh = trimesh.Trimesh(p.vertices, p.faces, process=False)
        assert mesh.is_volume
        assert mesh.volume == pytest.approx(PART_VOLUMES[p.name], rel=1e-12)


# --- the whole, by trimesh's readers --------------------------------------------------------------


def test_stl_is_the_whole_piece_in_place() -> None:
    data = stl_bytes(small_case())
    assert not data.startswith(b"solid")
    mesh = trimesh.load(io.BytesIO(data), file_type="stl")
    model = small_case()
    assert len(mesh.faces) == sum(len(model.parts[i.part].faces) for i in model.instances)
    assert mesh.bounds == pytest.approx(np.array(BOUNDS), abs=FLOAT32_MM)
    assert mesh.volume == pytest.approx(whole_volume(), rel=FLOAT32_VOLUME)
    # the normals in the file are those of its triangles
    records = np.frombuffer(data[84:], dtype=np.dtype([("n", "<f4", 3), ("c", "<f4", (3, 3)), ("a", "<u2")]))
    a, b, c = (records["c"][:, i].astype(float) for i in range(3))
    n = np.cross(b - a, c - a)
    assert np.sum(n / np.linalg.norm(n, axis=1)[:, None] * records["n"], axis=1).min() > 0.9999


def test_part_stls_are_the_distinct_parts_each_closed() -> None:
    files = part_stls(small_case())
    assert list(files) == [p.name for p in small_case().parts]
    for name, data in files.items():
        mesh = trimesh.load(io.BytesIO(data), file_type="stl")
        assert mesh.is_volume, name
        assert mesh.volume == pytest.approx(PART_VOLUMES[name], rel=FLOAT32_VOLUME)
    side = trimesh.load(io.BytesIO(files["side"]), file_type="stl")
    assert side.bounds.tolist() == [[0, 0, 0], [900, 320, 18]]


def test_glb_holds_one_mesh_a_part_and_every_copy_in_metres_y_up() -> None:
    scene = trimesh.load(io.BytesIO(glb_bytes(small_case())), file_type="glb", process=False)
    assert len(scene.geometry) == len(small_case().parts)
    assert len(scene.graph.nodes_geometry) == len(small_case().instances)
    lo, hi = np.array(BOUNDS) / 1000
    # glTF: X stays, height goes to Y, the front (-Y of furnigen) faces +Z
    assert scene.bounds == pytest.approx(
        np.array([(lo[0], lo[2], -hi[1]), (hi[0], hi[2], -lo[1])]), abs=FLOAT32_MM / 1000
    )
    assert sum(m.volume for m in scene.dump()) == pytest.approx(whole_volume() * 1e-9, rel=FLOAT32_VOLUME)


def test_3mf_by_trimesh_has_the_whole_piece() -> None:
    scene = trimesh.load(io.BytesIO(threemf_bytes(small_case())), file_type="3mf")
    assert set(scene.geometry) == {p.name for p in small_case().parts}
    assert len(scene.graph.nodes_geometry) == len(small_case().instances)
    assert scene.bounds == pytest.approx(np.array(BOUNDS), abs=1e-9)
    assert sum(m.volume for m in scene.dump()) == pytest.approx(whole_volume(), rel=1e-9)


# --- 3MF, by the consortium's reader --------------------------------------------------------------


def test_3mf_reads_strictly_without_a_warning_and_keeps_volumes() -> None:
    model = read_strictly(threemf_bytes(small_case()))
    assert model.GetUnit() == lib3mf.ModelUnit.MilliMeter
    found = meshes_of(model)
    assert set(found) == set(PART_VOLUMES)
    for name, mesh in found.items():  # lib3mf holds float32
        assert mesh.volume == pytest.approx(PART_VOLUMES[name], rel=FLOAT32_VOLUME)


def test_3mf_names_every_copy_and_assembly() -> None:
    model = read_strictly(threemf_bytes(small_case()))
    names, part_numbers = [], {}
    objects = model.GetComponentsObjects()
    while objects.MoveNext():
        o = objects.GetCurrentComponentsObject()
        names.append(o.GetName())
        if o.GetPartNumber():
            part_numbers[o.GetName()] = o.GetPartNumber()
    piece = small_case()
    assert part_numbers == {i.label: piece.parts[i.part].name for i in piece.instances}
    assert sorted(set(names) - set(part_numbers)) == sorted({piece.name, "case", "inside", "base"})
    items = model.GetBuildItems()
    assert items.MoveNext()
    assert items.GetCurrent().GetPartNumber() == piece.name
    assert not items.MoveNext()


def test_3mf_carries_the_materials_colour_in_srgb() -> None:
    violet = replace(small_case().parts[0], material="cherry", colour=(0.18, 0.0, 1.0))
    data = threemf_bytes(MeshModel("one", (violet,), (MeshInstance("a", 0, np.eye(4)),)))
    groups = read_strictly(data).GetBaseMaterialGroups()
    assert groups.MoveNext()
    group = groups.GetCurrentBaseMaterialGroup()
    (only,) = group.GetAllPropertyIDs()
    assert group.GetName(only) == "cherry"
    colour = group.GetDisplayColor(only)
    # 18 % grey is 118 of 255 in sRGB (from memory); by hand 1.055 0.18^(1/2.4) - 0.055 = 0.4614
    assert (colour.Red, colour.Green, colour.Blue) == (118, 0, 255)


def test_3mf_entries_carry_no_clock_and_no_system() -> None:
    with zipfile.ZipFile(io.BytesIO(threemf_bytes(small_case()))) as archive:
        assert {e.date_time for e in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert {e.create_system for e in archive.infolist()} == {0}


# --- glTF, by the Khronos validator ---------------------------------------------------------------


def test_glb_passes_the_khronos_validator_without_a_word(validated: Callable[[bytes], dict]) -> None:
    report = validated(glb_bytes(small_case()))
    issues = report["issues"]
    assert [issues[k] for k in ("numErrors", "numWarnings", "numInfos", "numHints")] == [0, 0, 0, 0], issues
    # it counts each mesh once, however often it is placed; a side of a board is a face and its border
    case = small_case()
    boards = {p.name for p in case.parts if len(p.faces) == 12}
    n = LEG_SIDES  # a band between two loops of n takes 2 n triangles, what is in it n - 2
    legs = (2 * n + 2 * (2 * n + n - 2)) * (len(case.parts) - len(boards))
    assert report["info"]["totalTriangleCount"] == 6 * (2 + 8) * len(boards) + legs
    assert report["info"]["materialCount"] == 3


def test_the_validator_would_have_complained(validated: Callable[[bytes], dict]) -> None:
    data = glb_bytes(small_case())
    broken = data.replace(b'"count":48', b'"count":99', 1)
    assert broken != data
    assert validated(broken)["issues"]["numErrors"] > 0


def test_glb_names_materials_and_assemblies() -> None:
    piece = small_case()
    document = json_of(glb_bytes(piece))
    nodes = document["nodes"]
    labels = {n["name"]: document["meshes"][n["mesh"]]["name"] for n in nodes if "mesh" in n}
    assert labels == {i.label: piece.parts[i.part].name for i in piece.instances}
    (root,) = document["scenes"][0]["nodes"]
    paths = {}

    def walk(index: int, path: tuple[str, ...]) -> None:
        node = nodes[index]
        if "mesh" in node:
            paths[node["name"]] = path
        for child in node.get("children", []):
            walk(child, (*path, node["name"]))

    walk(root, ())
    assert paths == {i.label: (piece.name, *i.path) for i in piece.instances}
    looks = {
        m["name"]: tuple(m["pbrMetallicRoughness"]["baseColorFactor"][:3]) for m in document["materials"]
    }
    assert looks == {p.material: p.colour for p in piece.parts}
    assert not any("scale" in n or "matrix" in n for n in nodes)


@pytest.mark.parametrize("degrees", [0.0, 30.0, 90.0, 179.999, 180.0, 270.0])
@pytest.mark.parametrize("axis", [0, 1, 2])
def test_any_turn_survives(axis: int, degrees: float) -> None:
    turn = about(axis, degrees) @ about((axis + 1) % 3, 12.5)
    bar = part("bar", box(700.0, 50.0, 20.0), LOOK)
    model = MeshModel("turned", (bar,), (MeshInstance("bar.1", 0, at(3.0, -4.0, 5.0, turn)),))
    corners = model.world_vertices(model.instances[0])
    expected = np.array([corners.min(axis=0), corners.max(axis=0)])
    for kind, write in WRITERS.items():
        scene = trimesh.load(io.BytesIO(write(model)), file_type=kind)
        bounds = scene.bounds
        if kind == "glb":
            bounds = 1000 * np.array([[b[0], -b[2], b[1]] for b in bounds])
            bounds = np.array([bounds.min(axis=0), bounds.max(axis=0)])
        assert bounds == pytest.approx(expected, abs=2 * FLOAT32_MM), kind


# --- how it is shaded -----------------------------------------------------------------------------


def test_boards_are_shaded_flat_and_turned_legs_round() -> None:
    _, normals, faces = shaded_corners(*box(100.0, 60.0, 18.0))
    assert len(normals) == 24  # three normals at each of eight corners
    assert sorted(set(np.abs(normals).max(axis=1))) == [1.0]
    points, normals, faces = shaded_corners(*leg())
    # foot and top: one flat vertex a side and the centre; the turned face: one round vertex a side, each end
    assert len(points) == 4 * 48 + 2
    round_ones = np.abs(normals[:, 2]) < 0.9
    assert np.sum(round_ones) == 2 * 48
    outward = points[round_ones][:, :2] / np.linalg.norm(points[round_ones][:, :2], axis=1)[:, None]
    # on a right circular cone every surface normal points straight away from the axis
    sideways = normals[round_ones][:, :2]
    sideways /= np.linalg.norm(sideways, axis=1)[:, None]
    assert np.sum(outward * sideways, axis=1).min() > np.cos(np.radians(0.5))
    assert faces.shape == (4 * 48, 3)


# --- same input, same bytes -----------------------------------------------------------------------

_IN_A_NEW_PROCESS = """
import hashlib, sys
sys.path.insert(0, sys.argv[1])
from hand_built import small_case
from furnigen.formats.glb import glb_bytes
from furnigen.formats.stl import stl_bytes
from furnigen.formats.threemf import threemf_bytes
for write in (stl_bytes, threemf_bytes, glb_bytes):
    print(hashlib.sha256(write(small_case())).hexdigest())
print('trimesh' in sys.modules)
"""


def test_same_bytes_in_this_process_and_in_a_new_one() -> None:
    import hashlib

    here = [hashlib.sha256(write(small_case())).hexdigest() for write in WRITERS.values()]
    again = [hashlib.sha256(write(small_case())).hexdigest() for write in WRITERS.values()]
    run = subprocess.run(
        [sys.executable, "-c", _IN_A_NEW_PROCESS, str(Path(__file__).parent)],
        check=True,
        capture_output=True,
        text=True,
    )
    assert here == again == run.stdout.split()[:3]
    assert run.stdout.split()[3] == "False"  # writing loads no mesh library


# --- refused --------------------------------------------------------------------------------------


def one(**change: object) -> MeshModel:
    bar = replace(part("bar", box(10.0, 10.0, 10.0), LOOK), **change)  # type: ignore[arg-type]
    return MeshModel("bar", (bar,), (MeshInstance("bar.1", 0, np.eye(4)),))


BAR = one().parts[0]
SCALED = np.diag([1.0, 1.0, 2.0, 1.0])
MIRRORED = np.diag([1.0, 1.0, -1.0, 1.0])
NAN = np.diag([1.0, np.nan, np.inf, 1.0])
BAD = {
    "has no parts": MeshModel("nothing", (), ()),
    "label 'bar.1': used twice": replace(one(), instances=one().instances * 2),
    "part name 'bar': used twice": replace(one(), parts=(BAR, BAR)),
    "label '': a name must be": replace(one(), instances=(MeshInstance("", 0, np.eye(4)),)),
    r"part name 'a\\x00b': a name must be": one(name="a\0b"),
    "no triangles": one(faces=np.zeros((0, 3), dtype=np.int64)),
    "names corner 9 of 8": one(faces=np.array([[0, 1, 9]])),
    "not a finite number": one(vertices=BAR.vertices * np.nan),
    "outside 0 to 1": one(colour=(0.1, 1.2, 0.3)),
    "names part 3": replace(one(), instances=(MeshInstance("bar.1", 3, np.eye(4)),)),
    "bar.1: its placement scales": replace(one(), instances=(MeshInstance("bar.1", 0, SCALED),)),
    "scales, shears or mirrors": replace(one(), instances=(MeshInstance("bar.1", 0, MIRRORED),)),
    "matrix of finite numbers": replace(one(), instances=(MeshInstance("bar.1", 0, NAN),)),
    "4 x 4": replace(one(), instances=(MeshInstance("bar.1", 0, np.eye(3)),)),
}


@pytest.mark.parametrize("write", [stl_bytes, part_stls, threemf_bytes, glb_bytes])
@pytest.mark.parametrize("message", BAD)
def test_a_model_no_file_could_carry_is_refused(write: Callable[[MeshModel], object], message: str) -> None:
    with pytest.raises(GeometryError, match=message):
        write(BAD[message])
