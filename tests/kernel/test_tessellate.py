"""Meshes of solids: closed, outward, within the tolerance, the same each time."""

from __future__ import annotations

import hashlib
import math
import subprocess
import sys
from pathlib import Path
from typing import Any

import cadquery as cq
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from kernel_pieces import board, glaze_case, is_closed_manifold, mesh_volume, part
from manifold3d import Manifold
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from test_solids import forms, turned_legs

from furnigen.catalogue.materials import find_material
from furnigen.core.pose import Pose
from furnigen.kernel.custom import custom_form
from furnigen.kernel.measure import measure
from furnigen.kernel.solids import solid, solids
from furnigen.kernel.tessellation import TOLERANCE_MM, triangles
from furnigen.mesh.part_meshes import part_mesh
from furnigen.mesh.ruled_mesh import sides
from furnigen.parts.cuts import Bore, BoxCut
from furnigen.parts.forms.form import Form
from furnigen.parts.forms.prism import ring
from furnigen.parts.forms.rod import Rod
from furnigen.parts.forms.turned_leg import TurnedLeg
from furnigen.pipeline.part_cache import PartCache

GREY = (0.5, 0.5, 0.5)


def area(shape: Any) -> float:
    props = GProp_GProps()
    BRepGProp.SurfaceProperties_s(shape, props)
    return float(props.Mass())


@settings(max_examples=40, deadline=None)
@given(form=forms, tolerance=st.sampled_from([0.02, 0.1, 0.5]))
def test_every_form_gives_a_closed_mesh_of_its_volume(form: Form, tolerance: float) -> None:
    shape = solid(part(form))
    mesh = part_mesh(shape, part(form), GREY, tolerance_mm=tolerance)
    assert is_closed_manifold(mesh.faces)
    assert len(np.unique(mesh.faces)) == len(mesh.vertices)
    assert mesh.curved == (not form.flat)
    volume = mesh_volume(mesh.vertices, mesh.faces)
    # a surface nowhere further off than the tolerance misses at most area x tolerance
    bound = 1e-9 * form.volume_mm3 if form.flat else area(shape) * tolerance
    assert abs(volume - form.volume_mm3) <= bound
    box = form.bounds()
    # the corners at a leg's quarter turns are the ellipses' extremes, so the mesh fills the bounds
    assert mesh.vertices.min(axis=0) == pytest.approx(box.lo, abs=1e-6)
    assert mesh.vertices.max(axis=0) == pytest.approx(box.hi, abs=1e-6)
    if mesh.convex:
        # the convex hull that manifold3d finds round the corners is the mesh itself
        assert Manifold.hull_points(mesh.vertices).volume() == pytest.approx(volume, rel=1e-9)


@pytest.mark.parametrize(
    ("form", "count"), [(board(), 12), (ring(300, 200, 18, 40), 32)], ids=["board", "sawn ring"]
)
def test_flat_parts_get_the_fewest_triangles(form: Form, count: int) -> None:
    """A polygon of n corners takes n - 2 triangles, each window n + 2 more (Euler's formula):
    6 x 2 for a board; for a ring 8 sides x 2 and 2 faces x 8."""
    assert len(part_mesh(solid(part(form)), part(form), GREY).faces) == count


@settings(max_examples=30, deadline=None)
@given(leg=turned_legs, tolerance=st.sampled_from([0.02, 0.1, 1.0]))
def test_a_round_mesh_lacks_exactly_what_a_polygon_lacks_of_a_circle(
    leg: TurnedLeg, tolerance: float
) -> None:
    """A regular n-gon in a circle has sin(2 pi / n) / (2 pi / n) of its area; an ellipse is a circle
    stretched, so every level section of the mesh, and its volume, has the same share."""
    mesh = part_mesh(solid(part(leg)), part(leg), GREY, tolerance_mm=tolerance)
    turn = 2 * math.pi / (len(mesh.vertices) // 2)
    assert mesh_volume(mesh.vertices, mesh.faces) == pytest.approx(
        leg.volume_mm3 * math.sin(turn) / turn, rel=1e-9
    )


@settings(max_examples=30)
@given(r=st.floats(1, 500), tolerance=st.floats(0.005, 5), angle=st.floats(0.05, 1.5))
def test_chords_stay_within_tolerance_and_angle(r: float, tolerance: float, angle: float) -> None:
    """The height of a circular segment, r (1 - cos(half its angle))."""
    n = sides(r, tolerance, angle)
    assert n % 4 == 0
    assert r * (1 - math.cos(math.pi / n)) <= tolerance * (1 + 1e-6)
    assert 2 * math.pi / n <= angle * (1 + 1e-6)


@pytest.mark.parametrize(("diameter", "expected"), [(5, 18), (400, 141)])
def test_the_kernels_chords_keep_to_angle_and_tolerance_too(diameter: float, expected: int) -> None:
    """A thin rod is ruled by the angle, 2 pi / 0.35 = 17.95 chords; a thick one by the tolerance, where
    the kernel keeps to half of it: pi / acos(1 - 0.05 / 200) = 140.5."""
    vertices, _ = triangles(solid(part(Rod(100, diameter))))
    assert len(vertices) // 2 == expected


def knob() -> Any:
    return cq.Workplane().box(100, 50, 20).edges("|Z").fillet(8).faces(">Z").shell(-3)


def cone_with_apex() -> Any:
    return cq.Solid.makeCone(20, 0, 50)


def ball() -> Any:
    return cq.Solid.makeSphere(20)


def tilted_ring() -> Any:
    return cq.Solid.makeTorus(40, 10).moved(cq.Location((100, 0, 0), (1, 1, 0), 30))


@pytest.mark.parametrize("function", [knob, cone_with_apex, ball, tilted_ring], ids=lambda f: f.__name__)
def test_seams_apexes_and_fillets_close(function: Any) -> None:
    one = part(custom_form(function))
    shape = solid(one)
    mesh = part_mesh(shape, one, GREY)
    assert is_closed_manifold(mesh.faces)
    assert mesh.curved
    assert not mesh.convex
    volume = mesh_volume(mesh.vertices, mesh.faces)
    assert 0 <= abs(measure(shape).volume_mm3 - volume) <= area(shape) * TOLERANCE_MM


def test_a_cut_part_closes_and_is_not_called_convex() -> None:
    one = part(
        board(),
        cuts=(
            BoxCut(Pose.at(50, 0, 12), (20, 100, 6)),
            *(Bore((150 + 32 * k, 50, 18), (0, 0, -1), 5, 12) for k in range(4)),
        ),
    )
    shape = solid(one)
    mesh = part_mesh(shape, one, GREY)
    assert is_closed_manifold(mesh.faces)
    assert (mesh.convex, mesh.curved) == (False, True)
    # the walls of four holes are all that is curved
    walls = 4 * math.pi * 5 * 12
    assert abs(mesh_volume(mesh.vertices, mesh.faces) - measure(shape).volume_mm3) <= walls * TOLERANCE_MM


def test_a_mesh_does_not_depend_on_meshes_made_before() -> None:
    form = TurnedLeg(300, 40, 25, 10)
    fresh = triangles(solid(part(form)), tolerance_mm=0.5)
    used = solid(part(form))
    triangles(used, tolerance_mm=0.01)
    again = triangles(used, tolerance_mm=0.5)
    assert len(again[1]) < len(triangles(used, tolerance_mm=0.01)[1])
    for a, b in zip(fresh, again, strict=True):
        np.testing.assert_array_equal(a, b)


def test_a_finer_tolerance_comes_closer() -> None:
    form = Rod(100, 40)
    shape = solid(part(form))
    off = []
    for tolerance in (1.0, 0.1, 0.01):
        vertices, faces = triangles(shape, tolerance_mm=tolerance, angle_radians=1.5)
        off.append(form.volume_mm3 - mesh_volume(vertices, faces))
    assert off[0] > off[1] > off[2] > 0


def test_a_model_places_one_mesh_many_times() -> None:
    piece = glaze_case()
    model = PartCache().mesh_of(piece, 0.2)
    assert model.name == "glaze_case"
    assert [p.name for p in model.parts] == [p.name for p in piece.parts]
    assert [i.label for i in model.instances] == [p.label for p in piece.placements]
    assert model.instances[2].path == ("case", "left end")
    shelf = model.parts[0]
    assert shelf.material == piece.parts[0].stock.material
    assert shelf.colour == find_material(shelf.material).colour
    for copy, placement in zip(model.instances, piece.placements, strict=True):
        if not piece.part_of(placement).cuts:
            box = piece.bounds_of(placement)
            corners = model.world_vertices(copy)
            # a mesh lies within its solid, and a polygon may miss the extremes of a turned one
            assert (corners.min(axis=0) >= np.array(box.lo) - 1e-6).all()
            assert corners.min(axis=0) == pytest.approx(box.lo, abs=0.2)
            assert corners.max(axis=0) == pytest.approx(box.hi, abs=0.2)


def test_two_processes_make_the_same_mesh() -> None:
    script = (
        "import sys, hashlib; sys.path.insert(0, sys.argv[1])\n"
        "from kernel_pieces import glaze_case\n"
        "from furnigen.kernel.solids import solids\n"
        "from furnigen.kernel.tessellation import triangles\n"
        "h = hashlib.sha256()\n"
        "for s in solids(glaze_case()):\n"
        "    for a in triangles(s): h.update(a.tobytes())\n"
        "print(h.hexdigest())"
    )
    here = hashlib.sha256()
    for each in solids(glaze_case()):
        for array in triangles(each):
            here.update(array.tobytes())
    folder = str(Path(__file__).parent)
    there = subprocess.run(
        [sys.executable, "-c", script, folder], capture_output=True, text=True, check=True
    ).stdout
    assert there == here.hexdigest() + "\n"
