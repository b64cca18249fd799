"""Splines, keys and wedges are parts: they fill their slots, are listed, carried and put in last."""

from __future__ import annotations

import csv
from io import StringIO
from math import radians, sqrt, tan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from proving import OAK, PLY, prove

from furnigen import Draft, InputError, Prism, build, butt, mitre, wedged_tenon
from furnigen.core.pose import Pose
from furnigen.parts.volume.moments import volume_mm3

T = 18.0


def corner(joint, wide=60.0, deep=T, high=T, fit=0.1):
    """A post and a rail that butt at a corner, both `wide` along X."""
    d = Draft("corner", fit_mm=fit)
    d.board("post", PLY.with_thickness(deep), (0, 0, 0), (wide, deep, 400), grain="z", face="y")
    d.board("rail", PLY.with_thickness(high), (0, deep, 400 - high), (wide, 300, 400), grain="y", face="z")
    d.join("post", "rail", joint)
    return d


def wood(piece):
    """Volume of all that a piece is made of (mm³)."""
    return sum(volume_mm3(part) * n for part, n in zip(piece.parts, piece.quantities, strict=True))


def loose(p):
    return [x for x in p.piece.placements if x.label in p.piece.loose]


@settings(max_examples=25, deadline=None)
@given(
    st.sampled_from(["spline", "key"]),
    st.sampled_from([15.5, 17.0, 18.0, 20.0]),
    st.sampled_from([15.5, 18.0, 20.0]),
    st.floats(30, 200),
    st.floats(0.1, 0.9),
)
def test_a_case_corner_is_solid_again_with_its_loose_parts(reinforce, deep, high, wide, share):
    """All the wood together is the plain corner: 18 mm boards that butt, by hand 400 + 282 mm long."""
    depth = share * (sqrt(deep**2 + high**2) if reinforce == "key" else min(deep, high) / 2)
    p = prove(corner(mitre(reinforce, depth=depth), wide, deep, high))
    whole = wide * (deep * 400 + (300 - deep) * high)
    assert wood(p.piece) == pytest.approx(whole, rel=1e-9)
    for one in loose(p):
        for member in ("post", "rail"):
            assert p.area(one.label, member) > 0


@settings(max_examples=15, deadline=None)
@given(st.sampled_from(["spline", "key"]), st.floats(40, 90), st.floats(0.1, 0.9))
def test_a_frame_is_solid_again_with_its_loose_parts(reinforce, member, share):
    """A frame 400 x 900 mm of flat boards: outer rectangle less the window, times the thickness."""
    depth = share * member * (sqrt(2) if reinforce == "key" else 0.5)
    d = Draft("frame")
    for label, y in (("front", 0.0), ("back", 400 - member)):
        d.board(label, PLY, (0, y, 0), (T, y + member, 900), grain="z")
    for label, z in (("bottom", 0.0), ("top", 900 - member)):
        d.board(label, PLY, (0, member, z), (T, 400 - member, z + member), grain="y")
    for a in ("front", "back"):
        for b in ("bottom", "top"):
            d.join(a, b, mitre(reinforce, depth=depth))
    p = prove(d)
    whole = T * (400 * 900 - (400 - 2 * member) * (900 - 2 * member))
    assert wood(p.piece) == pytest.approx(whole, rel=1e-9)
    assert p.piece.quantities == (2, 2, 4)
    box = p.piece.bounds
    assert box.size == pytest.approx((T, 400, 900))


def test_a_key_is_a_triangle_flush_with_both_faces():
    """A key as deep as half the mitre of 18√2 mm: a right-angled triangle, legs 18 mm, 6 mm thick."""
    p = prove(corner(mitre("key"), wide=30.0))
    (key,) = loose(p)
    part = p.part(key.label)
    assert volume_mm3(part) == pytest.approx(18 * 18 / 2 * 6)
    assert part.form.blank_mm == pytest.approx((18 * sqrt(2), 9 * sqrt(2), 6))
    box = p.piece.bounds_of(key)
    assert (box.lo[1], box.hi[2]) == pytest.approx((0, 400))
    assert box.size == pytest.approx((6, 18, 18))
    assert part.stock.material == "beech-european"


def test_a_corner_of_other_than_a_right_angle_takes_loose_parts():
    """Two boards sawn at 30° meet at 120°: the key's slot stands off tan 60° as far as it is deep."""
    run = 60 * tan(radians(30))
    outline = ((0.0, 0.0), (300.0, 0.0), (300.0, 60.0), (run, 60.0))
    for reinforce, volume in (("key", tan(radians(60)) * 20**2 * 6), ("spline", None)):
        d = Draft("corner")
        d.place("one", Prism(300, 60, T, outline), PLY, Pose(), role="one")
        mirrored = tuple((300 - x, y) for x, y in reversed(outline))
        there = Pose.turned("z", -60.0) @ Pose.at(-300.0)
        d.place("two", Prism(300, 60, T, mirrored), PLY, there, role="two")
        d.join("one", "two", mitre(reinforce, depth=20 if reinforce == "key" else 10))
        p = prove(d)
        (one,) = loose(p)
        if volume is not None:
            assert volume_mm3(p.part(one.label)) == pytest.approx(volume)
        assert wood(p.piece) == pytest.approx(2 * Prism(300, 60, T, outline).volume_mm3)


def post_and_rung(joint, fit=0.0):
    d = Draft("ladder", fit_mm=fit)
    for label, y in (("front", 0.0), ("back", 370.0)):
        d.board(label, OAK, (0, y, 0), (30, y + 30, 900), grain="z")
    d.board("rung", PLY, (6, 30, 300), (24, 370, 340), grain="y", face="x")
    for post in ("front", "back"):
        d.join(post, "rung", joint)
    return d


@settings(max_examples=10, deadline=None)
@given(st.integers(1, 4))
def test_wedges_fill_the_saw_cuts(count):
    """Without a fit allowance post, rung and wedges are all of the wood: what the mortise took, tenon and
    wedges give back."""
    p = prove(post_and_rung(wedged_tenon(count)))
    assert wood(p.piece) == pytest.approx(2 * 30 * 30 * 900 + 18 * 40 * 340)
    wedges = loose(p)
    assert len(wedges) == 2 * count
    assert p.part(wedges[0].label).form.kind == "shaped board"
    for one in wedges:
        assert p.area(one.label, "rung") > 0


def test_too_many_wedges_are_refused():
    with pytest.raises(InputError, match="for its wedges"):
        post_and_rung(wedged_tenon(9)).done()


def finished_corner(joint="spline"):
    d = corner(mitre(joint))
    return build(d.done())


@pytest.mark.parametrize("joint", ["spline", "key"])
def test_loose_parts_are_in_lists_and_files(joint):
    built = finished_corner(joint)
    made = built.make("step,stl,3mf,glb,cutlist,hardware")
    rows = {r["part"]: r for r in csv.DictReader(StringIO(made.files["cutlist.csv"].decode()))}
    count = {"spline": 1, "key": 2}[joint]
    assert rows[joint]["quantity"] == str(count)
    assert rows[joint]["labels"].split() == [f"rail.{joint}.{k + 1}" for k in range(count)]
    assert len(made.files["hardware.csv"].decode().splitlines()) == 1  # nothing to buy
    for name in ("model.step", "model.glb"):
        assert f"rail.{joint}.1".encode() in made.files[name]
    (row,) = made.report["joints"]
    assert row["parts"] == rows[joint]["labels"].split()
    placed = {p["label"]: p for p in made.report["placements"]}
    assert placed[f"rail.{joint}.1"]["role"] == joint
    # only the corner holds the rail: it tips, and sags at the soft end of what its joint holds
    assert {c.name for c in made.findings if c.status == "fail"} <= {"tips-by-itself", "sag"}


def test_loose_parts_go_in_last_and_are_carried_by_their_joint():
    built = finished_corner()
    steps = built.construction.assembly.steps
    assert steps[-1].brings == ("rail.spline.1",)
    under = built.construction.path.under["rail.spline.1"]
    assert {(s.by, s.kind) for s in under} == {("post", "holds"), ("rail", "holds")}
    assert "rail.spline.1" in built.construction.path.order


def test_a_spline_that_is_shut_in_goes_in_before_its_corner_closes():
    """Boards glued against both ends of the slot leave it no way out but along the mitre's own."""
    d = corner(mitre("spline"))
    for label, x in (("left", -T), ("right", 60.0)):
        d.board(label, PLY, (x, 0, 0), (x + T, 300, 400), grain="z", face="x")
        for member in ("post", "rail"):
            d.join(label, member, butt(screws=0, glued=True))
    order = build(d.done()).construction.assembly
    assert not order.locked
    brought = [label for step in order.steps for label in step.parts]
    assert sorted(brought) == ["left", "post", "rail", "rail.spline.1", "right"]
    assert brought.index("rail.spline.1") < len(brought) - 1


def test_strength_is_that_of_the_piece_without_its_loose_parts():
    from furnigen import find_recipe

    plain = find_recipe("ring_rack")(corner="spline")
    bare = plain.without_loose
    assert len(bare.placements) + len(plain.loose) == len(plain.placements)
    for groups in (("sag",), ("sag", "strength", "standing"), ("building", "strength")):
        whole = [f for f in build(plain).findings_of(groups) if f.name in ("sag", "sideways", "bending")]
        assert whole == [
            f for f in build(bare).findings_of(groups) if f.name in ("sag", "sideways", "bending")
        ]


def test_wedges_that_go_in_one_way_are_one_step():
    """Two rungs between two posts, two wedges at either end: four from the front, four from the back."""
    d = post_and_rung(wedged_tenon(2), fit=0.1)
    d.board("rung.2", PLY, (6, 30, 600), (24, 370, 640), grain="y", face="x")
    for post in ("front", "back"):
        d.join(post, "rung.2", wedged_tenon(2))
    steps = [s for s in build(d.done()).construction.assembly.steps if "wedge" in s.parts[0]]
    assert [len(s.parts) for s in steps] == [4, 4]
    assert {s.way for s in steps} == {(0.0, 1.0, 0.0), (0.0, -1.0, 0.0)}
