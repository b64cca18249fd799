"""Housings and rabbets: the shelf grows, its opening does not, and it rests on what it should."""

from __future__ import annotations

from math import cos, radians, sin, tan

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from proving import PLY, prove

from furnigen import Draft, Pose, butt, find_stock, housing, leaning, rabbet

BACK = find_stock("birch-ply-6.5@6.5")
T = 18.0


def shelf_between_sides(wide=600.0, deep=300.0, tall=400.0, z=100.0, setback=0.0, fit=0.1):
    d = Draft("bay", fit_mm=fit)
    d.board("left", PLY, (0, 0, 0), (T, deep, tall), grain="z")
    d.board("right", PLY, (T + wide, 0, 0), (2 * T + wide, deep, tall), grain="z")
    d.board("shelf", PLY, (T, setback, z), (T + wide, deep, z + T), grain="x")
    return d


def test_default_depth_is_a_third_and_the_clear_opening_stays():
    # dimensions of the trade: 1/3 of the thickness, common practice, no source
    d = shelf_between_sides()
    bay = d.opening("bay", (T, 0, 118), (T + 600, 300, 400), left="left", right="right", bottom="shelf")
    for side in ("left", "right"):
        d.join(side, "shelf", housing())
    p = prove(d)
    assert p.size("shelf") == (612.0, 300.0, 18.0)
    assert p.piece.openings[0].clear_mm == bay.clear_mm == (600.0, 300.0, 282.0)
    # one groove of depth + fit, thickness + fit, the whole depth of the side
    assert p.removed("left") == pytest.approx(6.1 * 18.1 * 300)
    assert p.removed("shelf") == 0
    joint = p.piece.joints[0]
    assert (joint.kind, joint.a, joint.b, joint.glued) == ("housing", "left", "shelf", True)
    assert joint.home == pytest.approx((-1, 0, 0))
    assert joint.travel_mm == 6


@settings(max_examples=12, deadline=None)
@given(
    st.floats(1, 9),
    st.sampled_from([0.0, 0.1, 0.4]),
    st.sampled_from([0.0, 12.5, 40.0]),
    st.sampled_from([0.0, 20.0]),
    st.sampled_from([0.0, 15.0, 30.0]),
)
def test_any_housing_bears_on_its_low_cheek_only(depth, fit, stop, stop_far, setback):
    if fit >= depth:
        return
    d = shelf_between_sides(setback=setback, fit=fit)
    for side in ("left", "right"):
        d.join(side, "shelf", housing(depth, stop=stop, stop_far=stop_far))
    p = prove(d)
    assert p.size("shelf")[0] == pytest.approx(600 + 2 * depth)
    front = max(setback, stop + fit if stop else 0.0)
    back = 300 - (stop_far + fit if stop_far else 0.0)
    under = depth * (back - front)
    # nothing above: with room there, the only level faces in contact are below; without, both are
    levels = p.area("left", "shelf", (0, 0, 1))
    assert levels == pytest.approx(under if fit else 2 * under)
    groove = (depth + fit) * (18 + fit) * (300 - stop - stop_far)
    assert p.removed("left") == pytest.approx(groove)
    notches = (front - setback) + (300 - back)
    assert p.removed("shelf") == pytest.approx(2 * depth * 18 * notches)


def test_a_divider_stands_on_the_bottom_of_its_housing_and_bears_the_top_likewise():
    d = Draft("case")
    d.board("bottom", PLY, (0, 0, 0), (800, 300, T), grain="x")
    d.board("top", PLY, (0, 0, 500), (800, 300, 500 + T), grain="x")
    d.board("divider", PLY, (391, 0, T), (409, 300, 500), grain="z")
    for a in ("bottom", "top"):
        d.join(a, "divider", housing())
    p = prove(d)
    assert p.size("divider")[0] == 482 + 12
    for a in ("bottom", "top"):
        assert p.area(a, "divider", (0, 0, 1)) == pytest.approx(18 * 300)
    # grooved alike, eased on both cheeks, they are one part turned over
    assert p.piece.quantities == (2, 1)
    assert p.removed("bottom") == pytest.approx(6 * 18.2 * 300)


def test_back_in_rabbets_of_four_boards_in_any_order():
    pieces = []
    for order in (("left", "right", "top", "bottom"), ("bottom", "right", "top", "left")):
        d = Draft("case")
        d.board("left", PLY, (0, 0, 0), (T, 300, 600), grain="z")
        d.board("right", PLY, (500 - T, 0, 0), (500, 300, 600), grain="z")
        d.board("bottom", PLY, (T, 0, 0), (500 - T, 300, T), grain="x")
        d.board("top", PLY, (T, 0, 600 - T), (500 - T, 300, 600), grain="x")
        d.board("back", BACK, (T, 293.5, T), (500 - T, 300, 600 - T), grain="z")
        for a in order:
            d.join(a, "back", rabbet())
        for a in ("left", "right"):
            for b in ("top", "bottom"):
                d.join(a, b, housing())
        p = prove(d)
        # half of 18 at each side: 3/8 in in 3/4 stock, common practice
        assert p.size("back") == (600 - 2 * T + 18, 500 - 2 * T + 18, 6.5)
        assert p.removed("back") == 0
        assert p.area("left", "back", (0, 1, 0)) > 9 * 560
        pieces.append(p.piece)
    assert pieces[0].parts == pieces[1].parts
    assert [x.pose for x in pieces[0].placements] == [x.pose for x in pieces[1].placements]


@settings(max_examples=8, deadline=None)
@given(st.floats(2, 9), st.booleans())
def test_rabbet_at_a_corner(depth, through):
    d = Draft("corner")
    d.board("top", PLY, (0, 0, 400), (600, 300, 418), grain="x")
    d.board("side", PLY, (0, 20, 0), (18, 300, 400), grain="z")
    d.join("top", "side", rabbet(depth, through=through))
    p = prove(d)
    assert p.size("side")[0] == pytest.approx(400 + depth)
    assert p.area("top", "side", (0, 0, 1)) == pytest.approx(18 * 280)
    assert p.area("top", "side", (1, 0, 0)) == pytest.approx(depth * 280)
    # fitted, it runs from 0.1 in front of the side to the back edge
    assert p.removed("top") == pytest.approx(depth * 18 * (300 if through else 280.1))


def test_a_shelf_deeper_than_its_post_is_notched_round_it():
    d = Draft("rack")
    for label, y in (("front", 30), ("back", 200)):
        d.board(label, PLY, (0, y, 0), (T, y + 60, 600), grain="z")
    d.board("shelf", PLY, (T, 0, 200), (500, 300, 218), grain="x")
    for label in ("front", "back"):
        d.join(label, "shelf", housing(6))
    p = prove(d)
    assert p.size("shelf")[0] == 482 + 6
    # what no post takes keeps the clear length: 300 - 2 x 60 deep
    assert p.removed("shelf") == pytest.approx(6 * 180 * 18)
    assert p.area("front", "shelf", (0, 0, 1)) == pytest.approx(6 * 60)
    assert p.piece.quantities == (2, 1)


@settings(max_examples=10, deadline=None)
@given(st.integers(-30, 30), st.floats(2, 9), st.sampled_from([60.0, 90.0, 200.0]))
def test_level_shelf_housed_at_the_lean(lean, depth, wide):
    d = Draft("leaning")
    a = radians(lean)
    tall = 900 / cos(a) + abs(wide * tan(a))
    form = leaning(tall, wide, T, lean)
    up, back = (0.0, sin(a), cos(a)), (0.0, cos(a), -sin(a))
    for label, x in (("left", 0.0), ("right", 518.0)):
        pose = Pose.columns(up, back, (-1.0, 0.0, 0.0), (x + T, 0.0, 0.0))
        d.place(label, form, PLY, pose, role="post")
    # the shelf reaches in front of the post and stops within it
    at = 400 * tan(a)
    d.board("shelf", PLY, (T, at - 40, 400), (518, at + wide, 418), grain="x")
    for label in ("left", "right"):
        d.join(label, "shelf", housing(depth))
    p = prove(d)
    assert p.size("shelf")[0] == pytest.approx(500 + 2 * depth)
    # the groove crosses the whole post: a parallelogram wide / cos(lean) long
    assert p.removed("left") == pytest.approx((depth + 0.1) * 18.1 * wide / cos(a))
    # at the low cheek the post runs from the lean's line, wide / cos(lean) to the back: the shelf ends first
    assert p.area("left", "shelf", (0, 0, 1)) == pytest.approx(depth * wide)


def test_shelf_without_sides_touching_stays_as_it_was_when_only_butted():
    d = shelf_between_sides()
    for side in ("left", "right"):
        d.join(side, "shelf", butt(0, glued=True))
    p = prove(d)
    assert p.size("shelf")[0] == 600
    assert p.area("left", "shelf") == pytest.approx(300 * 18)
    assert p.piece.joints[0].glued
