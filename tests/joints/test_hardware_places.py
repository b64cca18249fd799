"""Hardware has its place, its hole and its wood, and is solid where that is asked for."""

from __future__ import annotations

import csv
from collections import Counter
from dataclasses import replace
from io import BytesIO, StringIO
from math import pi, sqrt

import pytest
import trimesh
from hypothesis import given, settings
from hypothesis import strategies as st
from proving import PLY
from test_housings import shelf_between_sides

from furnigen import (
    Draft,
    InputError,
    Part,
    Prism,
    Revolved,
    build,
    butt,
    check,
    cross_bolt,
    dowelled,
    find_recipe,
    find_stock,
    hardware_places,
    housing,
    shelf_pins,
    with_hardware,
)
from furnigen.core.finding import PASS
from furnigen.core.pose import Box, Pose
from furnigen.kernel.measure import measure
from furnigen.kernel.solids import solid
from furnigen.mesh.light_mesh import light_mesh
from furnigen.parts.cuts import Bore

T = 18.0
JOINTS = {
    "screw": butt(),
    "dowel": dowelled(),
    "bolt": cross_bolt(),
    "shelf pin": shelf_pins(),
}


def shelf(joint, z=182.0):
    d = shelf_between_sides(z=z)
    for side in ("left", "right"):
        d.join(side, "shelf", joint)
    return d.done()


def named(piece, *names):
    return {f.name: f for f in check(piece, with_hardware=True) if f.name in names}


radii = st.floats(1.0, 20.0)


@settings(max_examples=25, deadline=None)
@given(st.lists(st.tuples(st.floats(0.5, 30.0) | st.just(0.0), radii), min_size=1, max_size=5), radii)
def test_round_shapes_have_the_volume_of_their_frustums(steps, first):
    """Against the kernel's own integration, and a mesh that is closed and loses only its chords."""
    x, profile = 0.0, [(0.0, first)]
    for by, radius in [*steps, (1.0, first)]:
        if by == 0.0 and radius == profile[-1][1]:
            continue
        x += by
        if len(profile) > 1 and profile[-2][0] == profile[-1][0] == x:
            continue  # two steps at one place
        profile.append((x, radius))
    form = Revolved(tuple(profile))
    part = Part("knob", form, find_stock("oak-square-30"))
    found = measure(solid(part))
    assert form.volume_mm3 == pytest.approx(found.volume_mm3, rel=1e-9)
    assert form.centroid_mm == pytest.approx(found.centroid_mm, abs=1e-7)
    assert form.bounds().hi == pytest.approx(found.box.hi, abs=1e-6)
    drawn = light_mesh(part, 0.01)
    mesh = trimesh.Trimesh(drawn.vertices, drawn.faces, process=False)
    assert mesh.is_watertight
    assert mesh.volume == pytest.approx(form.volume_mm3, rel=0.06)
    assert mesh.volume < form.volume_mm3


@pytest.mark.parametrize(
    ("profile", "said"),
    [(((0, 5),), "two sections"), (((0, 5), (10, 5), (8, 5)), "one way"), (((0, 5), (9, 0)), "more than 0")],
)
def test_profiles_that_are_none_are_refused(profile, said):
    with pytest.raises(InputError, match=said):
        Revolved(profile)


@pytest.mark.parametrize("kind", JOINTS)
def test_the_report_places_each_and_the_list_counts_them(kind):
    built = build(shelf(JOINTS[kind]))
    rows = built.report["hardware"]
    made = built.make("hardware")
    table = csv.DictReader(StringIO(made.files["hardware.csv"].decode()))
    counted = {r["size"]: int(r["quantity"]) for r in table}
    assert {r["size"]: len(r["places"]) for r in rows} == counted
    for row in rows:
        for place in row["places"]:
            assert {place["a"], place["b"]} in ({"left", "shelf"}, {"right", "shelf"})
            assert sqrt(sum(c * c for c in place["way"])) == pytest.approx(1)
            assert place["label"].startswith("shelf.")
    # shelf pins stand in the sides: their row lies at the shelf's underside, half a pin below
    if kind == "shelf pin":
        assert {p["point_mm"][2] for p in rows[0]["places"]} == {182 - 2.5}


@pytest.mark.parametrize("kind", JOINTS)
def test_solids_stand_in_a_branch_of_their_own_and_meet_nothing_else(kind):
    piece = shelf(JOINTS[kind])
    whole = with_hardware(piece)
    ours = whole.placements[len(piece.placements) :]
    assert {p.path for p in ours} == {("hardware",)}
    assert [p.label for p in ours] == [p.label for p in hardware_places(piece)]
    assert whole.placements[: len(piece.placements)] == piece.placements
    assert Counter(p.role for p in ours)[kind] == sum(1 for p in hardware_places(piece) if p.kind == kind)
    found = named(piece, "hardware-room", "fastener-length", "hardware-holes")
    assert {f.status for f in found.values()} == {"pass"}
    assert len(found) == (2 if kind == "screw" else 3)


def test_a_screw_is_as_long_and_thick_as_it_is_sold():
    """4 x 40 mm, countersunk: cone of 90 degrees from 8 mm to 4 mm, shank, point of a shank's thickness."""
    part = with_hardware(shelf(butt(diameter=4.0, length=40.0))).parts[-1]
    cone = pi * 2 / 3 * (16 + 8 + 4)
    shank = pi * 4 * 34
    point = pi * 4 / 3 * (4 + 0.4 + 0.04)
    assert part.name == "screw 4 x 40 mm"
    assert part.form.blank_mm == pytest.approx((40, 8, 8))
    assert part.form.volume_mm3 == pytest.approx(cone + shank + point)
    assert part.stock.material == "steel"


def test_files_hold_hardware_only_where_it_is_asked_for():
    piece = shelf(dowelled())
    plain, whole = (
        build(piece).make("step,stl,3mf,glb,cutlist"),
        build(piece, with_hardware=True).make("step,stl,3mf,glb,cutlist"),
    )
    label = hardware_places(piece)[0].label
    for name in ("model.step", "model.glb"):
        assert label.encode() not in plain.files[name]
        assert label.encode() in whole.files[name]
    assert plain.files["cutlist.csv"] == whole.files["cutlist.csv"]
    mesh = trimesh.load_mesh(BytesIO(whole.files["model.stl"]), file_type="stl")
    bare = trimesh.load_mesh(BytesIO(plain.files["model.stl"]), file_type="stl")
    solid_mm3 = sum(pi / 4 * p.diameter_mm**2 * p.length_mm for p in hardware_places(piece))
    assert mesh.volume - bare.volume == pytest.approx(solid_mm3, rel=0.1)
    assert mesh.volume - bare.volume < solid_mm3


def test_two_screws_in_one_place_are_found():
    d = shelf_between_sides()
    d.board("next", PLY, (-600, 0, 100), (0, 300, 118), grain="x")
    d.join("left", "shelf", butt())
    d.join("left", "next", butt())
    found = named(d.done(), "hardware-room", "fasteners-meet")
    assert {f.status for f in found.values()} == {"fail"}
    assert "screw" in found["hardware-room"].where


def test_a_screw_that_comes_out_is_found():
    """The shelf is hollowed 20 mm from its end on: a screw of 60 mm through 18 mm of side ends in air."""
    d = shelf_between_sides()
    d.join("left", "shelf", butt(screws=2, length=60.0))
    d.cut("shelf", Box((T + 20, 10, 102), (T + 90, 290, 118)), "hollow")
    (found,) = named(d.done(), "fastener-length").values()
    assert (found.status, found.unit) == ("fail", "mm")
    assert found.value == 60
    assert found.limit == pytest.approx(38, abs=0.02)
    d = shelf_between_sides()
    with pytest.raises(InputError, match="longer than both boards"):
        d.join("left", "shelf", butt(length=700.0))


def test_a_screw_through_a_third_part_is_found():
    """Of a shaped part the bounds say too much: a screw is not set off from it, but found in it."""
    d = shelf_between_sides()
    d.join("left", "shelf", butt(screws=1, length=60.0))
    d.cut("shelf", Box((T, 120, 100), (T + 100, 180, 118)), "notch")
    chamfered = Prism(100, 60, T, ((0, 0), (90, 0), (100, 10), (100, 60), (0, 60)))
    d.place("block", chamfered, PLY, Pose.at(T, 120, 100))
    found = named(d.done(), "hardware-room", "fastener-length")
    assert found["hardware-room"].status == "fail"
    assert "block" in found["hardware-room"].where


def test_hardware_without_its_hole_is_found():
    piece = shelf(dowelled())
    parts = tuple(
        replace(p, cuts=tuple(c for c in p.cuts if not isinstance(c, Bore))) if p.name == "shelf" else p
        for p in piece.parts
    )
    (found,) = [
        f for f in check(replace(piece, parts=parts)) if f.name == "hardware-holes" and "left" in f.where
    ]
    assert found.status == "fail"
    assert found.value == len([p for p in hardware_places(piece) if p.joint.a == "left"])


def test_a_cut_beside_the_wood_and_a_joint_cut_away_are_found():
    d = shelf_between_sides()
    d.join("left", "shelf", butt(screws=0, glued=True))
    d.join("right", "shelf", butt(screws=0, glued=True))
    d.cut("left", Box((100, 0, 0), (120, 20, 20)), "groove")
    d.cut("shelf", Box((T, 0, 100), (T + 5, 300, 118)), "recess")
    found = {f.name: f for f in check(d.done()) if f.status == "fail"}
    assert "groove in left" in found["cut-as-drawn"].where
    assert found["joint-as-drawn"].where == "butt of shelf to left"


@pytest.mark.parametrize("thick", [13.5, 18.0, 24.0, 27.0])
def test_a_barrel_nut_lies_in_its_hole_with_its_middle_on_the_bolt(thick):
    """The nut sold for M6 is bored through its middle; 12 mm is the shortest."""
    d = Draft("bay")
    d.board("side", PLY, (0, 0, 0), (T, 300, 400), grain="z")
    board = find_stock("red-oak-6-4").with_thickness(thick)
    d.board("shelf", board, (T, 0, 100), (600, 300, 100 + thick), grain="x")
    d.join("side", "shelf", cross_bolt(2))
    piece = d.done()
    nuts = [p for p in hardware_places(piece) if p.kind == "barrel nut"]
    for nut in nuts:
        assert nut.at(nut.length_mm / 2)[2] == pytest.approx(100 + thick / 2)
        assert nut.at(nut.length_mm)[2] < 100 + thick
    assert named(piece, "hardware-holes")["hardware-holes"].status == "pass"


def test_recipes_with_hardware_are_clean():
    for name in ("crate_wall", "ring_rack"):
        piece = find_recipe(name)()
        names = ("hardware-room", "fastener-length", "hardware-holes", "cut-as-drawn", "joint-as-drawn")
        found = named(piece, *names)
        assert {f.status for f in found.values()} == {"pass"}, name


def test_screws_are_set_off_from_boards_that_stand_on_their_heads():
    """An upright stands where the second of three screws through the bottom would have its head."""

    def bottom_on_plinth(upright):
        d = Draft("case")
        d.board("plinth", PLY, (0, 100, 0), (900, 118, 80), grain="x")
        d.board("bottom", PLY, (0, 0, 80), (900, 300, 98), grain="x")
        if upright is not None:
            d.board("upright", PLY, (upright, 0, 98), (upright + T, 300, 500), grain="z")
            d.join("bottom", "upright", housing())
        d.join("bottom", "plinth", butt(screws=3))
        return d.done()

    free = [p.point[0] for p in hardware_places(bottom_on_plinth(None))]
    assert free == pytest.approx([37, 450, 863])
    piece = bottom_on_plinth(445.0)
    moved = [p.point[0] for p in hardware_places(piece)]
    assert (moved[0], moved[2]) == pytest.approx((37, 863))
    # a 4 mm screw's head is 8 mm wide: clear of the upright by 1 mm at its nearer side
    assert moved[1] == pytest.approx(445 - 4 - 1)
    assert named(piece, "hardware-room")["hardware-room"].status == "pass"


@pytest.mark.parametrize("joint", ["housing", "dowelled", "screwed", "knock-down"])
def test_screws_are_set_off_from_the_fasteners_and_holes_of_other_joints(joint):
    piece = find_recipe("divided_case")(shelf_joint=joint)
    found = check(piece, only=["fit", "building"])
    assert {f.status for f in found if f.name == "fasteners-meet"} == {PASS}
    assert not [f for f in found if f.name == "hardware-holes" and f.status != PASS]
