"""CadQuery in and out: shapes placed as they are, pieces and parts as assemblies and solids."""

from __future__ import annotations

import math
import os
import pickle
import subprocess
import sys

import cadquery as cq
import pytest
import trimesh
from cadquery import func
from numpy import array

from furnigen import (
    Draft,
    FurnigenError,
    InputError,
    Pose,
    build,
    butt,
    check,
    find_recipe,
    find_stock,
    list_recipes,
    rectangle,
    to_cadquery,
    to_trimesh,
)
from furnigen.core.colour import srgb
from furnigen.parts.volume.moments import volume_mm3

BLANK = find_stock("beech-blank-50")
BOARD = find_stock("birch-ply-18")


def knob() -> cq.Workplane:
    return cq.Workplane("XY").circle(15).extrude(30).faces(">Z").fillet(3)


def placed(*shapes: object, stock=BLANK):
    draft = Draft("knobs")
    for n, shape in enumerate(shapes, 1):
        draft.place(f"knob.{n}", shape, stock, Pose.at(100.0 * n))
    return draft.done()


SAME_BLOCK = [
    cq.Workplane().box(40, 30, 20, centered=False),
    cq.Solid.makeBox(40, 30, 20),
    cq.Compound.makeCompound([cq.Solid.makeBox(40, 30, 20)]),
    func.box(40, 30, 20).moved(x=20, y=15),
    func.extrude(func.face(func.rect(40, 30).moved(x=20, y=15)), (0, 0, 20)),
    cq.Solid.makeBox(40, 30, 20).wrapped,
    cq.Solid.makeBox(30, 40, 20).moved(cq.Location((40, 0, 0), (0, 0, 1), 90)),
]


@pytest.mark.parametrize("shape", SAME_BLOCK, ids=range(len(SAME_BLOCK)))
def test_any_object_of_one_solid_is_placed_as_it_stands(shape):
    piece = placed(shape)
    (part,) = piece.parts
    assert part.form.volume_mm3 == pytest.approx(40 * 30 * 20)
    assert part.form.blank_mm == pytest.approx((40, 30, 20))
    assert piece.bounds.lo == pytest.approx((100, 0, 0), abs=1e-6)


def test_equal_shapes_are_one_part_however_they_were_made():
    piece = placed(*SAME_BLOCK)
    assert piece.quantities == (len(SAME_BLOCK),)


def test_shapes_that_differ_are_parts_of_their_own():
    left = cq.Workplane().polyline([(0, 0), (40, 0), (0, 30)]).close().extrude(20)
    right = left.mirror("YZ").translate((40, 0, 0))
    piece = placed(left, right, cq.Solid.makeBox(40, 30, 20), cq.Solid.makeBox(40, 30, 20.01))
    assert piece.quantities == (1, 1, 1, 1)


def test_a_shape_meshed_before_is_the_same_shape():
    meshed = knob().val()
    meshed.mesh(0.1)
    assert placed(knob(), meshed).quantities == (2,)


KEY = """
import hashlib, pickle, sys
import cadquery as cq
from furnigen import Draft, Pose, find_stock
draft = Draft("knobs")
knob = cq.Workplane().circle(15).extrude(30).faces(">Z").fillet(3)
draft.place("a", knob, find_stock("beech-blank-50"), Pose())
piece = draft.done()
sys.stdout.buffer.write(pickle.dumps(piece))
"""


@pytest.mark.slow
def test_a_description_with_a_shape_is_the_same_from_any_process():
    made = [
        subprocess.run(
            [sys.executable, "-c", KEY],
            capture_output=True,
            check=True,
            env={**os.environ, "PYTHONHASHSEED": seed},
        ).stdout
        for seed in ("1", "2")
    ]
    assert made[0] == made[1]
    there = pickle.loads(made[0])
    draft = Draft("knobs")
    draft.place("a", knob(), BLANK, Pose())
    here = draft.done()
    assert there == here
    assert hash(there) == hash(here)
    assert build(there).make(["step", "glb"]).files == build(here).make(["step", "glb"]).files


def test_a_shape_is_checked_and_written_like_any_part():
    draft = Draft("peg_board")
    board = draft.board("board", BOARD, (0, 0, 0), (300, 200, BOARD.thickness_mm), role="shelf")
    draft.place("knob", knob(), BLANK, Pose.at(150, 100, BOARD.thickness_mm))
    draft.join(board, "knob", butt(screws=0))
    piece = draft.done()
    assert {f.status for f in check(piece, only="solid")} == {"pass"}
    files = build(piece).make(["step", "stl", "3mf", "glb", "cutlist", "hardware"]).files
    assert b"knob" in files["cutlist.csv"]
    assert piece.parts[1].to_cadquery().Volume() == pytest.approx(knob().val().Volume(), rel=1e-9)


def open_shell() -> cq.Shape:
    return cq.Shell.makeShell(cq.Workplane().box(10, 10, 10).faces("not >Z").vals())


@pytest.mark.parametrize(
    ("shape", "message"),
    [
        (
            cq.Workplane().box(9, 9, 9).union(cq.Workplane(origin=(50, 0, 0)).box(9, 9, 9)),
            "2 solids.*fuse or split",
        ),
        (cq.Workplane().rarray(50, 1, 2, 1).box(9, 9, 9, combine=False), "2 solids"),
        (cq.Workplane(), "a Workplane holding nothing"),
        (cq.Workplane().box(9, 9, 9).faces(">Z"), r"a Workplane holding face.*\.solids\(\)"),
        (open_shell(), "a Shell, an open shell"),
        (cq.Workplane(open_shell()), "a Workplane, an open shell"),
        (cq.Solid.makeBox(9, 9, 9).Shells()[0], "a closed shell and no solid.*makeSolid"),
        (cq.Compound.makeCompound([]), "a Compound"),
        (cq.Assembly(), "an Assembly"),
        (cq.Sketch().rect(9, 9), "a Sketch"),
        (trimesh.creation.box(), "a Trimesh.*a mesh has no exact faces"),
        (cq.Solid, "a type"),
        ([cq.Solid.makeBox(9, 9, 9)], "a list"),
    ],
    ids=lambda v: type(v).__name__,
)
def test_what_is_no_one_solid_is_refused_at_once(shape, message):
    with pytest.raises(InputError, match=rf"^knob = .*{message}|^knob = {message}"):
        Draft("trial").place("knob", shape, BLANK, Pose())


def test_an_invalid_solid_is_refused():
    faces = cq.Solid.makeBox(9, 9, 9).Faces()[:-1]
    broken = cq.Solid.makeSolid(cq.Shell.makeShell(faces))
    with pytest.raises(FurnigenError, match="knob"):
        Draft("trial").place("knob", broken, BLANK, Pose())


# -- out -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", [r.name for r in list_recipes()])
def test_an_assembly_holds_every_placement_where_it_stands(name):
    piece = find_recipe(name)()
    whole = to_cadquery(piece)
    found = {child.name: child for child in walk(whole)}
    assert whole.name == piece.name
    assert {p.label for p in piece.placements} <= set(found)
    shapes: dict[int, set[int]] = {}
    for placement in piece.placements:
        child = found[placement.label]
        shapes.setdefault(placement.part, set()).add(id(child.obj))
        box = child.obj.moved(child.loc).BoundingBox()
        exact = piece.bounds_of(placement)
        assert (box.xmin, box.ymin, box.zmin) == pytest.approx(exact.lo, abs=1e-3)
        assert (box.xmax, box.ymax, box.zmax) == pytest.approx(exact.hi, abs=1e-3)
        assert path_of(child)[1:-1] == placement.path
        part = piece.part_of(placement)
        assert child.metadata["part"] == part.name
        assert child.material.name == part.stock.material
    assert [len(ids) for ids in shapes.values()] == [1] * len(piece.parts), "one shape a part"
    volume = sum(volume_mm3(part) * n for part, n in zip(piece.parts, piece.quantities, strict=True))
    assert sum(s.Volume() for s in whole.toCompound().Solids()) == pytest.approx(volume, rel=1e-6)


def walk(assembly):
    for child in assembly.children:
        yield child
        yield from walk(child)


def path_of(child) -> tuple[str, ...]:
    return (*(path_of(child.parent) if child.parent else ()), child.name)


def test_an_assembly_survives_a_step_file(tmp_path):
    piece = find_recipe("ring_rack")(frames=2, shelves=2)
    to_cadquery(piece).export(str(tmp_path / "rack.step"))
    back = cq.importers.importStep(str(tmp_path / "rack.step"))
    assert back.solids().size() == len(piece.placements)


def test_names_that_meet_are_told_apart():
    draft = Draft("shelf")
    form = rectangle(100, 50, BOARD.thickness_mm)
    draft.place("shelf", form, BOARD, Pose(), path=("frame",))
    draft.place("frame", form, BOARD, Pose.at(0, 0, 100), path=("frame",))
    draft.place("other", form, BOARD, Pose.at(0, 0, 200), path=("side", "frame"))
    piece = draft.done()
    names = [child.name for child in walk(to_cadquery(piece))]
    assert {"shelf", "frame", "other"} <= set(names)
    scene = to_trimesh(piece)
    assert {"shelf", "frame", "other"} <= set(scene.graph.nodes)
    assert len(scene.geometry) == 1


def test_colours_are_those_of_the_material():
    piece = find_recipe("crate_wall")()
    child = next(walk(to_cadquery(piece)))
    scene = to_trimesh(piece)
    (mesh, *_) = scene.geometry.values()
    material_mesh = build(piece).meshes.parts[0]
    linear = child.color.toTuple()[:3]
    assert srgb(array(material_mesh.colour)) == pytest.approx(mesh.visual.face_colors[0][:3] / 255, abs=3e-3)
    assert linear == pytest.approx(material_mesh.colour, abs=1e-3) or linear == pytest.approx(
        tuple(srgb(array(material_mesh.colour))), abs=1e-3
    )


@pytest.mark.parametrize("name", ["ring_rack", "divided_case"])
def test_a_scene_holds_each_part_once_and_each_copy_by_name(name):
    piece = find_recipe(name)()
    scene = to_trimesh(piece)
    assert scene.units == "mm"
    assert sorted(scene.geometry) == sorted(part.name for part in piece.parts)
    assert sorted(scene.graph.nodes_geometry) == sorted(p.label for p in piece.placements)
    for placement in piece.placements:
        matrix, geometry = scene.graph[placement.label]
        assert geometry == piece.part_of(placement).name
        assert matrix.ravel() == pytest.approx([v for row in placement.pose.matrix() for v in row], abs=1e-9)
    for part in piece.parts:
        mesh = scene.geometry[part.name]
        assert mesh.is_watertight
        assert mesh.volume == pytest.approx(volume_mm3(part), rel=0.02)
        assert mesh.metadata["material"] == part.stock.material
    assert tuple(scene.bounds[1]) == pytest.approx(piece.bounds.hi, abs=0.2)


def test_a_part_is_its_solid():
    piece = find_recipe("divided_case")()
    for part in piece.parts:
        solid = part.to_cadquery()
        assert isinstance(solid, cq.Solid)
        assert solid.Volume() == pytest.approx(volume_mm3(part), rel=1e-6)


def test_a_round_knob_keeps_its_exact_form():
    plain = placed(cq.Workplane().circle(15).extrude(30)).parts[0].to_cadquery()
    assert plain.Volume() == pytest.approx(math.pi * 15**2 * 30, rel=1e-12)
    assert sorted(face.geomType() for face in plain.Faces()) == ["CYLINDER", "PLANE", "PLANE"]


@pytest.mark.slow
def test_the_command_line_never_loads_cadquery_unless_a_recipe_does(tmp_path):
    script = (
        "import sys\n"
        "from furnigen.cli.main import main\n"
        "main(['make', *sys.argv[1:]])\n"
        "print('cadquery' in sys.modules, file=sys.stderr)\n"
    )
    (tmp_path / "peg.py").write_text(
        "from furnigen import Draft, Pose, find_stock, length, recipe\n"
        "@recipe('A peg')\n"
        "def peg(size=length('30 mm', '20 mm', '40 mm', 'its height')):\n"
        "    import cadquery as cq\n"
        "    draft, peg = Draft('peg'), cq.Workplane().circle(10).extrude(size)\n"
        "    draft.place('peg', peg, find_stock('beech-blank-50'), Pose())\n"
        "    return draft.done()\n",
        encoding="utf-8",
    )
    for words, loaded in ((["crate_wall"], "False"), (["peg.py"], "True")):
        done = subprocess.run(
            [sys.executable, "-c", script, *words, "--formats", "step,glb", "--out", f"out/{words[0]}"],
            cwd=tmp_path, capture_output=True, text=True, check=True,
        )  # fmt: skip
        assert done.stderr.strip().splitlines()[-1] == loaded
