"""The order of assembly: every step swept by a second way of sweeping, and orders read off small pieces."""

import subprocess
import sys
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import Manifold, Mesh64, OpType

from furnigen.catalogue.stock import find_stock
from furnigen.checks.construction import check_assembly_order
from furnigen.construction.assembly_order import AssemblyOrder, Step, find_assembly_order
from furnigen.construction.disassembly import _FreeUnits
from furnigen.construction.load_path import find_load_path
from furnigen.core.facts import Fact, Joinery
from furnigen.core.pose import Box, Pose, Vector
from furnigen.drafting.draft import Draft
from furnigen.drafting.leg_blocks import legs_on_blocks
from furnigen.drafting.ring_frames import ring_upright
from furnigen.formats.report_construction import assembly_rows, joint_rows, load_path_rows, step_text
from furnigen.joints.cleats import cleat
from furnigen.joints.cross_bolt import cross_bolt
from furnigen.joints.fastened import butt, dowelled
from furnigen.joints.housing import housing
from furnigen.joints.joint import Fastener, Joint
from furnigen.joints.mitre import mitre
from furnigen.joints.pins import shelf_pins
from furnigen.joints.round_tenons import round_tenon
from furnigen.joints.tenons import tenon
from furnigen.mesh import sweep
from furnigen.mesh.light_mesh import LightPiece, light_contacts
from furnigen.mesh.sweep import Sweeper
from furnigen.parts.cuts import Bore, BoxCut
from furnigen.parts.forms.prism import rectangle, ring
from furnigen.parts.forms.rod import Rod
from furnigen.piece.description import Piece
from furnigen.piece.hardware_list import hardware_list
from furnigen.recipes.discovery import find_recipe

HOUSED = partial(Joint, "housing", joinery=Joinery.HOUSING, facts=Fact.CARRIES_BY_ITS_SHAPE)
PLY = find_stock("birch-ply-18@18")
LEFT, RIGHT, DOWN = (-1.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, -1.0)


def joined(draft: Draft, *joints: Joint) -> Piece:
    return replace(draft.done(), joints=joints)


def plan(piece: Piece) -> AssemblyOrder:
    drawn = light_contacts(piece)
    path = find_load_path(piece, drawn.contacts, drawn.support.grounded)
    assembly = find_assembly_order(piece, drawn.scene, drawn.contacts, path, 0.1)
    if not assembly.locked:
        prove(piece, drawn, assembly)
    return assembly


# ---- a second, slower way to sweep: build the swept solid and intersect it


def solid(drawn: LightPiece, label: str) -> Manifold:
    model = drawn.scene.model
    instance = next(i for i in model.instances if i.label == label)
    faces = model.parts[instance.part].faces.astype(np.uint64)
    return Manifold(Mesh64(np.ascontiguousarray(model.world_vertices(instance)), faces))


def swept(body: Manifold, way: Vector, length: float) -> Manifold:
    """The space a body passes through: itself, and a prism over each triangle that looks forward."""
    mesh = body.to_mesh64()
    corners = np.asarray(mesh.vert_properties)[:, :3][np.asarray(mesh.tri_verts).astype(int)]
    d = np.asarray(way)
    forward = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0]) @ d > 1e-6
    prisms = [Manifold.hull_points(np.concatenate([t, t + d * length])) for t in corners[forward]]
    return Manifold.batch_boolean([body, *prisms], OpType.Add)


def prove(piece: Piece, drawn: LightPiece, assembly: AssemblyOrder) -> None:
    """Every part is brought in once, and its way back out is free of what was there before it."""
    solids = {p.label: solid(drawn, p.label) for p in piece.placements}
    there: dict[str, set[str]] = {}
    for step in assembly.steps:
        present = there.setdefault(step.builds, set())
        if step.way is not None:
            out = tuple(-c for c in step.way)
            for label in step.parts:
                way = swept(solids[label], out, step.travel_mm + 1.0)  # type: ignore[arg-type]
                for other in present:
                    assert (way ^ solids[other]).volume() < 0.05 * (way ^ solids[other]).surface_area() + 1e-3
            for label in step.parts:
                moved = solids[label].translate(tuple((step.travel_mm + 1.0) * c for c in out))  # type: ignore[arg-type]
                lo, hi = np.array(moved.bounding_box()).reshape(2, 3)
                for other in present:
                    low, high = np.array(solids[other].bounding_box()).reshape(2, 3)
                    assert np.any((lo >= high) | (low >= hi))
        assert not present & set(step.parts) or step.brings == ()
        present |= set(step.parts)
    assert there[""] == set(solids)


@st.composite
def two_parts(draw: st.DrawFn) -> Piece:
    """Two notched boards, near each other and apart."""
    draft = Draft("two")
    for label, x in (("a", 0.0), ("b", draw(st.sampled_from((0.0, 30.0, 60.0, 120.0))))):
        turn = Pose.turned(draw(st.sampled_from("xyz")), draw(st.sampled_from((0.0, 90.0, 20.0, 45.0))))
        place = Pose.at(
            x,
            draw(st.sampled_from((0.0, 20.0, 40.0))),
            0.0 if label == "a" else draw(st.sampled_from((0.0, 25.0, 60.0))),
        )
        pose = place @ turn
        draft.place(label, rectangle(100.0, 60.0, 20.0), PLY, pose)
    piece = draft.done()
    notch = BoxCut(Pose.at(30.0, 20.0, -1.0), (40.0, 50.0, 22.0))
    return replace(piece, parts=tuple(replace(p, cuts=(notch,)) for p in piece.parts))


@settings(max_examples=60, deadline=None)
@given(
    two_parts(),
    st.sampled_from([(1, 0, 0), (0, 1, 0), (0, 0, 1), (-1, 0, 0), (0.6, 0.8, 0.0), (0.0, 0.6, -0.8)]),
)
def test_the_sweep_agrees_with_the_swept_solid(piece: Piece, way: Vector) -> None:
    drawn = light_contacts(piece)
    one, two = solid(drawn, "a"), solid(drawn, "b")
    if (one ^ two).volume() > 1e-6:
        return  # parts that overlap at the start can not be swept apart
    sweeper = Sweeper(drawn.scene)
    found = sweeper.blocking(way)
    # the way back, which is read off the way there, is what a sweep of its own finds
    ways = [s.blocking(tuple(-c for c in way)) for s in (sweeper, Sweeper(drawn.scene))]  # type: ignore[arg-type]
    read, swept_back = (sorted(zip(b.mover, b.blocker, b.free_mm.round(6), strict=True)) for b in ways)
    assert read == swept_back
    blocked = {
        (int(m), int(b)): float(f) for m, b, f in zip(found.mover, found.blocker, found.free_mm, strict=True)
    }
    for mover, body, other in ((0, one, two), (1, two, one)):
        shared = (swept(body, way, 400.0) ^ other).volume()
        free = blocked.get((mover, 1 - mover))
        if shared > 1.0:
            assert free is not None
        if free is not None:
            assert shared > 0.0
            # it gets that far, and no further
            near = body.translate(tuple(max(free - 0.01, 0.0) * c for c in way))  # type: ignore[arg-type]
            assert (near ^ other).volume() < 1e-3
            hit = body.translate(tuple((free + 2.0) * c for c in way))  # type: ignore[arg-type]
            assert (hit ^ other).volume() > 0.0


@pytest.mark.parametrize("block", [1, 60, sweep.BLOCK])
def test_ways_swept_together_find_what_each_finds_alone(block: int, monkeypatch: pytest.MonkeyPatch) -> None:
    drawn = light_contacts(case(3, stopped=10.0))
    ways: list[Vector] = [(0.0, 0.0, 1.0), LEFT, (0.6, 0.0, 0.8), RIGHT, (0.0, 0.6, -0.8)]
    alone = [Sweeper(drawn.scene).blocking(way) for way in ways]
    monkeypatch.setattr(sweep, "BLOCK", block)
    together = Sweeper(drawn.scene)
    together.sweep(ways)
    for way, one in zip(ways, alone, strict=True):
        found = together.blocking(way)
        rows = [
            sorted(zip(b.mover.tolist(), b.blocker.tolist(), b.free_mm.round(6).tolist(), strict=True))
            for b in (one, found)
        ]
        assert rows[0] == rows[1]
        assert rows[0]


# ---- orders


def case(shelves: int = 2, stopped: float = 0.0) -> Piece:
    draft = Draft("case")
    draft.board("side.left", PLY, (0, 0, 0), (18, 300, 700), grain="z")
    draft.board("side.right", PLY, (582, 0, 0), (600, 300, 700), grain="z")
    joints = []
    for n in range(1, shelves + 1):
        z = 200.0 * n
        draft.board(f"shelf.{n}", PLY, (12, stopped, z), (588, 300, z + 18))
        for side, x0, x1, home in (("side.left", 12, 18, LEFT), ("side.right", 582, 588, RIGHT)):
            draft.cut(side, Box((x0, stopped, z), (x1, 300, z + 18)), "housing")
            screws = Fastener("screw", 4.0, 45.0, (((0.0, 37.0, z), RIGHT), ((0.0, 263.0, z), RIGHT)))
            joints.append(HOUSED(side, f"shelf.{n}", True, (screws,), home, 6.0))
    return joined(draft, *joints)


def test_a_case_goes_together_by_its_joints_own_ways() -> None:
    steps = plan(case()).steps
    assert [(s.brings, s.onto, s.way) for s in steps] == [
        (("side.left",), (), None),
        (("shelf.1", "shelf.2"), ("side.left",), LEFT),
        (("side.right",), ("shelf.1", "shelf.2"), LEFT),
    ]
    assert steps[1].travel_mm == pytest.approx(6.0)
    assert steps[1].glued
    assert [(r.kind, r.quantity) for s in steps for r in s.hardware] == [("screw", 4), ("screw", 4)]
    assert step_text(steps[1]) == (
        "bring shelf.1, shelf.2 to the left onto side.left (housing, glued); 4 screws 4 x 45 mm"
    )
    assert step_text(steps[0]) == "start with side.left"
    (found,) = check_assembly_order(plan(case()))
    assert (found.status, found.value, found.unit) == ("pass", 3, "steps")


def test_a_shelf_slides_in_where_both_sides_stand_already() -> None:
    # sides and their top are one ring: a shelf in through housings can only come from front or back
    draft = Draft("niche")
    draft.place("ring", ring(600, 600, 300, 18), PLY, Pose.columns(RIGHT, (0, 0, 1), (0, -1, 0), (0, 300, 0)))
    draft.board("shelf", PLY, (12, 0, 300), (588, 300, 318))
    draft.cut("ring", Box((12, 0, 300), (588, 300, 318)), "housing")
    steps = plan(joined(draft, HOUSED("ring", "shelf", home=LEFT))).steps
    assert [s.brings for s in steps] == [("ring",), ("shelf",)]
    assert steps[1].way == (0.0, 1.0, 0.0)  # from the front, though that is not the joint's own way
    assert steps[1].travel_mm == pytest.approx(300.0)


@pytest.mark.parametrize("bays", [1, 2, 3])
def test_shelves_on_pins_are_laid_in_when_the_case_stands(bays: int) -> None:
    piece = find_recipe("panel_bookcase")(width=700.0 * bays, bays=bays, shelves=4, shelf_joint="pins")
    *_, last = plan(piece).steps
    laid = {p.label for p in piece.placements if p.label.startswith("shelf")}
    assert len(laid) == 4 * bays
    assert set(last.parts) == laid
    assert last.way == (0.0, 1.0, 0.0)


def test_a_panel_caught_in_a_groove_all_round_is_named_with_its_frame() -> None:
    draft = Draft("caught")
    draft.place("frame", ring(400, 300, 18, 50), PLY, Pose())
    draft.cut("frame", Box((44, 44, 6), (356, 256, 12)), "groove")
    draft.place("panel", rectangle(312, 212, 6), find_stock("birch-ply-6.5"), Pose.at(44, 44, 6))
    draft.board("lid", PLY, (0, 0, 18), (400, 300, 36))
    assembly = plan(draft.done())
    assert assembly.locked == (("frame", "panel"),)
    (found,) = check_assembly_order(assembly)
    assert (found.status, found.where, found.value) == ("fail", "frame, panel", 2)
    assert "lock each other" in found.remedy
    # what could still be brought in is told: the lid goes on last
    assert assembly.steps[-1].brings == ("lid",)


def test_the_same_panel_in_a_frame_of_boards_goes_in_before_the_last_of_them() -> None:
    draft = Draft("framed")
    boxes = {
        "stile.left": ((0, 0, 0), (50, 300, 18)),
        "stile.right": ((350, 0, 0), (400, 300, 18)),
        "rail.front": ((50, 0, 0), (350, 50, 18)),
        "rail.back": ((50, 250, 0), (350, 300, 18)),
    }
    for label, (lo, hi) in boxes.items():
        draft.board(label, PLY, lo, hi)
        draft.cut(label, Box((44, 44, 6), (356, 256, 12)), "groove")
    draft.place("panel", rectangle(312, 212, 6), find_stock("birch-ply-6.5"), Pose.at(44, 44, 6))
    order = [label for s in plan(draft.done()).steps for label in s.brings]
    assert order.index("panel") < 4


def locked_pairs() -> Piece:
    """Two trays of two, each pair put together sideways, one tray pegged on the other from above.

    No single part can leave: it would have to go sideways out of its partner and up off its peg at once.
    """
    draft = Draft("pairs")
    sizes = {"a": (0, 0, 100, 20), "b": (90, 0, 200, 20), "c": (0, 15, 100, 40), "d": (90, 15, 200, 40)}
    for label, (x0, z0, x1, z1) in sizes.items():
        draft.place(label, rectangle(x1 - x0, 100, z1 - z0), PLY, Pose.at(x0, 0, z0))
    for z, hollow, tongue in ((7, "a", "b"), (27, "c", "d")):
        key = Box((90, 20, z), (100, 80, z + 6))
        draft.cut(hollow, key, "groove")
        lowest = 0 if hollow == "a" else 15
        for lo, hi in (
            ((90, 0, lowest), (100, 100, z)),
            ((90, 0, z + 6), (100, 100, 40)),
            ((90, 0, z), (100, 20, z + 6)),
            ((90, 80, z), (100, 100, z + 6)),
        ):
            draft.cut(tongue, Box(lo, hi), "shoulder")
    for x, low, high in ((40, "a", "c"), (150, "b", "d")):
        draft.cut(low, Box((x, 40, 15), (x + 20, 60, 20)), "peg hole")
        for lo, hi in (
            ((0, 0, 15), (x, 100, 20)),
            ((x + 20, 0, 15), (200, 100, 20)),
            ((x, 0, 15), (x + 20, 40, 20)),
            ((x, 60, 15), (x + 20, 100, 20)),
        ):
            draft.cut(high, Box(lo, hi), "shoulder")
    return draft.done()


def test_where_no_single_part_is_free_a_group_comes_in_as_one() -> None:
    steps = plan(locked_pairs()).steps
    groups = [s for s in steps if s.builds]
    assert [set(s.parts) for s in groups] in ([{"c"}, {"d"}], [{"d"}, {"c"}], [{"a"}, {"b"}], [{"b"}, {"a"}])
    whole = next(s for s in steps if s.brings == ("group 1",))
    assert len(whole.parts) == 2
    assert whole.way in ((0.0, 0.0, 1.0), DOWN)


def test_frames_are_built_flat_and_brought_in_whole() -> None:
    draft = Draft("rack")
    for n, x in ((1, 0.0), (2, 500.0)):
        ring_upright(draft, f"frame.{n}", PLY, x=x, depth=300.0, height=600.0, member=50.0, boards="flat")
    draft.board("shelf", PLY, (0, 50, 50), (518, 250, 68))
    steps = plan(draft.done()).steps
    builds = [s.builds for s in steps]
    assert {"frame.1", "frame.2", ""} == set(builds)
    brought = [b for s in steps if not s.builds for b in s.brings]
    assert sorted(brought) == ["frame.1", "frame.2", "shelf"]
    for n in (1, 2):
        inner = [label for s in steps if s.builds == f"frame.{n}" for label in s.parts]
        assert sorted(inner) == [f"frame.{n}.{side}" for side in ("back", "bottom", "front", "top")]
        assert builds.index(f"frame.{n}") < next(k for k, s in enumerate(steps) if f"frame.{n}" in s.brings)


def test_a_frame_that_closes_round_a_shelf_is_not_brought_in_whole() -> None:
    # the shelf has lips past both sides of the one frame: its boards must close round it
    draft = Draft("collar")
    ring_upright(
        draft,
        "frame",
        PLY,
        x=100.0,
        depth=300.0,
        height=400.0,
        member=50.0,
        build="butted uprights",
        boards="flat",
    )
    draft.place("bar", rectangle(300, 260, 36), PLY, Pose.at(0, 20, 180))
    for y in (20, 250):
        draft.cut("bar", Box((100, y, 180), (118, y + 30, 216)), "notch")
    steps = plan(draft.done()).steps
    assert {s.builds for s in steps} == {""}
    assert len({label for s in steps for label in s.parts}) == 5


def test_cross_lapped_boards_come_down_onto_each_other() -> None:
    draft = Draft("grid")
    for n, y in ((1, 100), (2, 300)):
        draft.board(f"long.{n}", PLY, (0, y, 0), (400, y + 18, 100))
    for n, x in ((1, 100), (2, 300)):
        draft.board(f"short.{n}", PLY, (x, 0, 0), (x + 18, 400, 100))
        for m, y in ((1, 100), (2, 300)):
            draft.cut(f"long.{m}", Box((x, y, 50), (x + 18, y + 18, 100)), "lap")
            draft.cut(f"short.{n}", Box((x, y, 0), (x + 18, y + 18, 50)), "lap")
    steps = plan(draft.done()).steps
    assert {s.way for s in steps if s.way} <= {DOWN, (0.0, 0.0, 1.0)}
    assert sum(len(s.parts) for s in steps) == 4


def test_a_leaning_board_comes_in_along_the_bottom_of_its_housing() -> None:
    # no joint tells the way, and none of the six axes is free
    draft = Draft("lean")
    base = draft.place("base", rectangle(300, 300, 60), PLY, Pose())
    turn = Pose.turned("y", 30.0, (150.0, 0.0, 60.0))
    draft.place("board", rectangle(18, 200, 200), PLY, turn @ Pose.at(-9, 50, -20))
    piece = draft.done()
    cut = BoxCut(turn @ Pose.at(-9, 50, -20), (18, 200, 200))
    piece = replace(piece, parts=tuple(replace(p, cuts=(cut,)) if p.name == base else p for p in piece.parts))
    steps = plan(piece).steps
    (way,) = [s.way for s in steps if s.way]
    along = turn.turn((0.0, 0.0, 1.0))
    assert abs(sum(a * b for a, b in zip(way, along, strict=True))) == pytest.approx(1.0)


def test_a_rung_of_round_tenons_is_held_between_two_posts() -> None:
    draft = Draft("ladder")
    for n, x in ((1, 0), (2, 400)):
        draft.place(
            f"post.{n}", rectangle(600, 40, 30), PLY, Pose.columns((0, 0, 1), (0, 1, 0), LEFT, (x + 30, 0, 0))
        )
    draft.place("rung", Rod(400, 20), find_stock("dowel-beech-20"), Pose.at(15, 10, 290))
    piece = draft.done()
    # the two posts are one part turned about; each gets the bore that faces the other
    post = piece.parts[0]
    right = replace(post, name="post right")
    bores = [Bore((15.0, 20.0, 300.0), RIGHT, 20.0, 15.0), Bore((400.0, 20.0, 300.0), RIGHT, 20.0, 15.0)]
    placed = {p.label: p for p in piece.placements}
    parts = (
        replace(post, cuts=(bores[0].moved(placed["post.1"].pose.inverse()),)),
        *piece.parts[1:],
        replace(right, cuts=(bores[1].moved(placed["post.2"].pose.inverse()),)),
    )
    placements = tuple(replace(p, part=2) if p.label == "post.2" else p for p in piece.placements)
    joints = tuple(
        Joint("round tenon", f"post.{n}", "rung", True, (), home, 15.0) for n, home in ((1, LEFT), (2, RIGHT))
    )
    piece = replace(piece, parts=parts, placements=placements, joints=joints)
    steps = plan(piece).steps
    assert [s.brings for s in steps] == [("post.1",), ("rung",), ("post.2",)]
    assert [s.way for s in steps] == [None, LEFT, LEFT]
    assert steps[1].travel_mm == pytest.approx(15.0)


def test_fixing_to_the_wall_is_the_last_step() -> None:
    piece = case(1)
    anchor = Fastener("wall anchor", 8.0, 50.0, (((300.0, 300.0, 209.0), (0.0, 1.0, 0.0)),))
    draft = Draft("walls")
    draft.wall("back wall", (0, 300, 0), (0, -1, 0))
    draft.board("x", PLY, (0, 0, 0), (100, 100, 18))
    piece = replace(
        piece,
        walls=draft.done().walls,
        joints=(*piece.joints, Joint("anchor", "back wall", "shelf.1", fasteners=(anchor,))),
    )
    last = plan(piece).steps[-1]
    assert step_text(last) == "fix shelf.1 to the back wall (anchor); 1 wall anchor 8 x 50 mm"


@pytest.mark.parametrize(
    ("way", "legs", "words"),
    [
        ((0.173, -0.103, 0.98), ("post",), "bring post up along the leg's slope onto block"),
        ((-0.173, 0.103, -0.98), ("post",), "bring post down along the leg's slope onto block"),
        ((0.0, -(0.5**0.5), -(0.5**0.5)), (), "bring post down and to the front, 45° askew onto block"),
        ((-0.9, 0.3, 0.316), (), "bring post to the left, up and to the back, askew onto block"),
        ((0.0, 0.0, 1.0), ("post",), "bring post up onto block"),
    ],
)
def test_a_way_askew_is_told_without_numbers_of_a_vector(way, legs, words) -> None:
    step = Step("", ("post",), ("post",), ("block",), way, 40.0, (), glued=False, hardware=())
    assert step_text(step, legs) == words


def test_rows_of_the_report_are_plain_and_repeat() -> None:
    import json

    piece = case()

    def rows() -> dict[str, Any]:
        drawn = light_contacts(piece)
        path = find_load_path(piece, drawn.contacts, drawn.support.grounded)
        assembly = find_assembly_order(piece, drawn.scene, drawn.contacts, path)
        return {
            "joints": joint_rows(piece),
            "load_path": load_path_rows(path),
            "assembly": assembly_rows(piece, assembly),
        }

    text = json.dumps(rows())
    assert text == json.dumps(rows())
    read = json.loads(text)
    assert [r["step"] for r in read["assembly"]] == [1, 2, 3]
    assert read["assembly"][1]["hardware"] == [
        {
            "kind": "screw",
            "size": "4 x 45 mm",
            "quantity": 4,
            "where": ["2 shelf.1 to side.left", "2 shelf.2 to side.left"],
        }
    ]
    assert read["load_path"][2]["supports"][0]["by"] == "side.left"
    assert read["joints"][0]["home"] == [-1.0, 0.0, 0.0]


# ---- every kind of joint


def joined_case(ends: Any, shelf: Any) -> Draft:
    """Two sides with a bottom and a top joined by `ends`, and a shelf joined by `shelf`."""
    draft = Draft("case")
    draft.board("side.left", PLY, (0, 0, 0), (18, 280, 900), grain="z")
    draft.board("side.right", PLY, (582, 0, 0), (600, 280, 900), grain="z")
    for label, z, joint in (("bottom", 50, ends), ("top", 882, ends), ("shelf", 400, shelf)):
        draft.board(label, PLY, (18, 0, z), (582, 280, z + 18))
        for side in ("side.left", "side.right"):
            draft.join(side, label, joint)
    return draft


def ladder() -> Draft:
    draft = Draft("ladder")
    post = find_stock("oak-square-45")
    for n, x in ((1, 0), (2, 400)):
        draft.board(f"post.{n}", post, (x, 0, 0), (x + 45, 45, 900), grain="z")
    for n in (1, 2, 3):
        draft.place(f"rung.{n}", Rod(355, 25), find_stock("dowel-beech-25"), Pose.at(45, 10, 200.0 * n))
        for m in (1, 2):
            draft.join(f"post.{m}", f"rung.{n}", round_tenon())
    return draft


def mitred_frame() -> Draft:
    draft = Draft("frame")
    sides = ring_upright(draft, "frame", PLY, x=0.0, depth=300.0, height=600.0, member=60.0, boards="flat")
    for upright in ("front", "back"):
        for rail in ("bottom", "top"):
            draft.join(sides[upright], sides[rail], mitre())
    return draft


def legged() -> Draft:
    draft = Draft("stool")
    draft.board("seat", PLY, (0, 0, 400), (400, 300, 418))
    legs_on_blocks(
        draft, "seat", find_stock("beech-blank-50"), find_stock("oak-blank-40"),
        top=40, foot=25, inset=60, rake=8, splay=5, block=90,
    )  # fmt: skip
    return draft


JOINED = {
    "housings": lambda: joined_case(housing(), housing()),
    "stopped housings": lambda: joined_case(housing(stop=10.0), housing(stop=10.0)),
    "dowels": lambda: joined_case(dowelled(), dowelled()),
    "screws and pins": lambda: joined_case(butt(), shelf_pins()),
    "tenons and bolts": lambda: joined_case(tenon(), cross_bolt()),
    "cleats": lambda: joined_case(housing(), cleat(find_stock("pine-square-20"))),
    "round tenons": ladder,
    "mitres": mitred_frame,
    "splayed legs": legged,
}


@pytest.mark.parametrize("name", JOINED)
def test_every_kind_of_joint_carries_and_goes_together(name: str) -> None:
    piece = JOINED[name]().done()
    drawn = light_contacts(piece)
    path = find_load_path(piece, drawn.contacts, drawn.support.grounded)
    assert path.islands == ()
    assembly = plan(piece)  # which sweeps every step a second way
    assert assembly.locked == ()
    # every joint is made once, in some step; every screw and pin is fitted in one
    fitted = sum(row.quantity for s in assembly.steps for row in s.hardware)
    assert fitted == sum(row.quantity for row in hardware_list(piece))
    assert {k for s in assembly.steps for k in s.joints} == {j.kind for j in piece.joints}


def test_finding_the_order_needs_no_cad_kernel_and_loading_it_no_arrays() -> None:
    program = "import sys, furnigen.construction.assembly_order; print('numpy' in sys.modules)"
    out = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "False"


def test_taking_a_long_run_apart_looks_only_at_what_is_freed(monkeypatch: pytest.MonkeyPatch) -> None:
    run = find_recipe(str(Path(__file__).parent / "benchmarks" / "long_run.py"))
    looks: list[int] = []
    look = _FreeUnits._look
    monkeypatch.setattr(_FreeUnits, "_look", lambda units, at: (looks.append(at), look(units, at)))
    counts = []
    for bays in (10, 40):
        looks.clear()
        piece = run(bays=bays)
        drawn = light_contacts(piece)
        path = find_load_path(piece, drawn.contacts, drawn.support.grounded)
        assert find_assembly_order(piece, drawn.scene, drawn.contacts, path, 0.1).steps
        counts.append(len(looks))
    # a part is looked at when something goes that it is joined to, or that was watched
    assert counts[1] <= 5 * counts[0]
