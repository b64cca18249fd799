"""Over each recipe's whole parameter space: valid solids, true meshes, no interference, nothing floating.

Every accepted input must give solids the kernel calls valid, closed meshes whose volume equals the closed
form within what tessellation can explain, no overlap, and a chain of face contacts to the floor or wall.
Every refused one must be a clear message about one of the recipe's own parameters.
"""

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from OCP.BRepCheck import BRepCheck_Analyzer
from space import space

from furnigen import InputError, list_recipes
from furnigen.checks.as_drawn import check_as_drawn
from furnigen.checks.hardware import check_hardware, check_hardware_room
from furnigen.checks.joint_rules import check_joints
from furnigen.checks.solids import check_solid
from furnigen.parts.volume.moments import volume_mm3
from furnigen.pipeline.built import Built
from furnigen.pipeline.options import MakeOptions
from furnigen.pipeline.step_meshes import mesh_volume_mm3

RECIPES = list_recipes()
TOLERANCE_MM = 0.1
CHECKED = settings(
    deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much], print_blob=True
)


def prove(recipe, keywords) -> bool:
    """Make a piece and hold all of it; False when the recipe refuses the input, with a good message."""
    try:
        piece = recipe(**keywords)
    except InputError as error:
        names = {p.name for p in recipe.parameters}
        assert error.what in names, f"{error} names no parameter of {recipe.name}"
        assert error.allowed
        assert "\n" not in str(error)
        return False
    built = Built(piece, MakeOptions(tolerance_mm=TOLERANCE_MM, with_hardware=True))
    shapes, model = built.solids, built.meshes
    for part, shape, mesh in zip(piece.parts, shapes, model.parts, strict=True):
        assert BRepCheck_Analyzer(shape).IsValid(), part.name
        exact, meshed = volume_mm3(part), mesh_volume_mm3(mesh.vertices, mesh.faces)
        # chords lie within the tolerance of a curved face, so the loss is at most surface x tolerance
        a, b, c = (mesh.vertices[mesh.faces[:, k]] for k in range(3))
        surface = np.linalg.norm(np.cross(b - a, c - a), axis=1).sum() / 2
        slack = surface * TOLERANCE_MM if mesh.curved else 1e-9 * exact
        assert abs(meshed - exact) <= slack + 1e-6, part.name
        edges = np.sort(
            np.vstack([mesh.faces[:, [0, 1]], mesh.faces[:, [1, 2]], mesh.faces[:, [2, 0]]]), axis=1
        )
        _, counts = np.unique(edges, axis=0, return_counts=True)
        assert (counts == 2).all(), f"{part.name} is not closed and manifold"
    solid = check_solid(model, piece.walls, TOLERANCE_MM)
    assert [f for f in solid.findings if f.status == "fail"] == [], keywords
    assert [f for f in check_as_drawn(piece, solid) if f.status == "fail"] == [], keywords
    assert [f for f in check_hardware(piece, model.parts) if f.status == "fail"] == [], keywords
    # fasteners of two joints that meet are told of by the rules of joints as well
    room = check_hardware_room(piece, built.shown_meshes, TOLERANCE_MM)
    told = {f.name for f in check_joints(piece) if f.status == "fail"}
    assert [f for f in room if f.status == "fail" and "fasteners-meet" not in told] == [], keywords
    for placement, copy in zip(piece.placements, model.instances, strict=True):
        corners = model.world_vertices(copy)
        box = piece.bounds_of(placement)
        assert np.allclose(corners.min(axis=0), box.lo, atol=1.5 * TOLERANCE_MM), placement.label
        assert np.allclose(corners.max(axis=0), box.hi, atol=1.5 * TOLERANCE_MM), placement.label
    return True


@pytest.mark.parametrize("recipe", RECIPES, ids=lambda r: r.name)
def test_defaults_are_true(recipe):
    assert prove(recipe, {})


CHOICES = [
    pytest.param(recipe, p.name, option, id=f"{recipe.name} {p.name}={option}")
    for recipe in RECIPES
    for p in recipe.parameters
    if p.kind == "choice"
    for option in p.options
]


@pytest.mark.parametrize(("recipe", "name", "option"), CHOICES)
def test_every_choice_is_true(recipe, name, option):
    keywords = {name: option}
    if name == "corner" and option in ("dowelled", "tenoned", "half-lap", "screwed", "rabbet", "finger"):
        keywords["build"] = "butted uprights"
    if option in ("tenoned", "half-lap", "one piece"):
        keywords |= {"boards": "flat"} if recipe.name == "ring_rack" else {}
    if option == "cross-lap":
        keywords["dividers"] = (2, 2, 2)
    if recipe.name == "panel_bookcase" and option in ("dowelled", "screwed", "knock-down"):
        keywords["bays"] = 1  # an upright between two bays can not take them from both sides
    assert prove(recipe, keywords)


def test_heads_of_bolts_keep_clear_of_the_plinth_behind():
    recipe = next(r for r in RECIPES if r.name == "panel_bookcase")
    assert prove(recipe, {"case_joint": "knock-down", "shelf_joint": "pins"})


def test_housings_from_both_faces_that_would_meet_are_refused():
    recipe = next(r for r in RECIPES if r.name == "panel_bookcase")
    with pytest.raises(InputError, match=r"in both faces of upright.1 1.5 and 1.5 mm meet in the 3.0 mm"):
        recipe(board="mdf-3", bays=2, fit=0.5)


def test_bays_too_narrow_for_their_screws_are_refused():
    recipe = next(r for r in RECIPES if r.name == "panel_bookcase")
    with pytest.raises(
        InputError, match=r"bays = 11: must leave bays 40 mm wide or more, .*; at most 4 would fit"
    ):
        recipe(bays=11, width=300)
    assert prove(recipe, {"bays": 4, "width": 300})


def test_dowels_that_would_meet_in_an_upright_are_refused():
    recipe = next(r for r in RECIPES if r.name == "panel_bookcase")
    with pytest.raises(InputError, match=r"case_joint = dowelled: .*upright.* meet"):
        recipe(case_joint="dowelled", bays=2)


@pytest.mark.parametrize(
    ("name", "keywords", "says"),
    [
        ("panel_bookcase", {"case_joint": "screwed"}, "hides the heads"),
        ("divided_case", {"divider_joint": "screwed", "dividers": (2, 2, 2)}, "hide each other's screws"),
    ],
)
def test_screws_that_could_not_be_reached_are_refused(name, keywords, says):
    with pytest.raises(InputError, match=says):
        next(r for r in RECIPES if r.name == name)(**keywords)


@pytest.mark.parametrize("recipe", RECIPES, ids=lambda r: r.name)
@settings(CHECKED, max_examples=12)
@given(data=st.data())
def test_a_few_inputs_are_true(recipe, data):
    prove(recipe, data.draw(space(recipe)))


@pytest.mark.slow
@pytest.mark.parametrize("recipe", RECIPES, ids=lambda r: r.name)
@settings(CHECKED, max_examples=60)
@given(data=st.data())
def test_many_inputs_are_true(recipe, data):
    prove(recipe, data.draw(space(recipe)))
