"""Joints that can not be made: refused at once, naming the boards, the value, and what would fit."""

from __future__ import annotations

import pytest
from proving import OAK, PLY
from test_housings import shelf_between_sides
from test_tenons import rod_between_posts, rung_between_posts

from furnigen import (
    Draft,
    InputError,
    Pose,
    butt,
    cleat,
    cross_bolt,
    cross_lap,
    dowelled,
    equal_clear,
    half_lap,
    housing,
    leaning,
    mitre,
    on_pin_rows,
    rabbet,
    round_tenon,
    shelf_pins,
    tenon,
    wedged_tenon,
)

T = 18.0


def refused(draft, joint, *words, a="left", b="shelf"):
    def declare():
        draft.join(a, b, joint)
        draft.done()

    with pytest.raises(InputError) as caught:
        declare()
    message = str(caught.value)
    for word in words:
        assert word in message, message


def test_boards_that_do_not_meet():
    d = shelf_between_sides()
    d.board("far", PLY, (T + 30, 0, 300), (600, 300, 318), grain="x")
    refused(d, housing(), "far to left", "do not meet", "30.0 mm apart", b="far")
    d.board("corner", PLY, (T, 300, 300), (600, 500, 318), grain="x")
    refused(d, housing(), "corner to left", "do not meet", b="corner")
    d.board("in", PLY, (10, 0, 350), (300, 300, 368), grain="x")
    refused(d, housing(), "stand in each other", "butt", b="in")
    refused(d, housing(), "can not be joined to itself", b="left")
    refused(d, housing(), "no placement is called so", b="nobody")


def test_groove_deeper_than_half_the_board():
    refused(
        shelf_between_sides(),
        housing(9.5),
        "depth (housing, shelf to left) = 9.5 mm",
        "at most 9.0 mm, half of left",
    )
    refused(shelf_between_sides(), housing(0), "more than 0")
    d = shelf_between_sides(z=382)
    refused(d, rabbet(12), "depth (rabbet", "at most 9.0 mm")


def test_stops_that_leave_no_groove():
    refused(shelf_between_sides(), housing(stop=150, stop_far=150), "leaves nothing of the groove")
    refused(shelf_between_sides(), housing(stop=-5), "0 or more")


def test_rabbet_needs_an_edge():
    refused(shelf_between_sides(), rabbet(), "flush with an edge of left", "housing")


@pytest.mark.parametrize("joint", [housing(2), tenon(2.0, thickness=4.0), rabbet(2)], ids=lambda j: j.kind)
def test_allowance_larger_than_the_joint(joint):
    d = shelf_between_sides(fit=2.0, z=382 if joint.kind == "rabbet" else 100)
    refused(d, joint, "fit allowance", "must be less than the")


def test_allowance_out_of_range():
    with pytest.raises(InputError, match=r"fit allowance = 5 mm: must be from 0 to 2 mm"):
        Draft("loose", fit_mm=5)


def test_screw_longer_than_both_boards():
    d = Draft("lid")
    d.board("left", PLY, (0, 0, 0), (T, 300, 400), grain="z")
    d.board("shelf", PLY, (T, 0, 0), (2 * T, 300, 400), grain="z")
    refused(
        d,
        butt(length=40),
        "screw (shelf to left) length = 40.0 mm",
        "longer than both boards",
        "at most 33.0 mm",
    )
    refused(d, butt(length=20), "at least 8.0 mm into the second board")
    refused(d, butt(lines=0), "lines of screws")


def test_screws_none_sold_would_hold_and_counts_below_one():
    d = Draft("thin")
    d.board("left", PLY.with_thickness(15.5), (0, 0, 0), (15.5, 300, 400), grain="z")
    d.board("shelf", PLY, (15.5, 0, 100), (15.5 + T, 300, 118), grain="y")
    d.done()
    refused(shelf_between_sides(), butt(-1), "number of fasteners", "1 or more")
    refused(shelf_between_sides(), dowelled(0), "number of fasteners", "1 or more")


def test_tenon_wider_than_its_board():
    d = rung_between_posts()
    refused(d, tenon(thickness=20), "tenon thickness", "at most the 18.0 mm of rung", a="front", b="rung")
    refused(
        rung_between_posts(),
        tenon(width=50),
        "tenon width",
        "at most the 40.0 mm of rung",
        a="front",
        b="rung",
    )
    refused(rung_between_posts(), tenon(80), "tenon length", "at most 56.9 mm in front", a="front", b="rung")
    refused(
        rung_between_posts(wide=60),
        round_tenon(25),
        "tenon diameter",
        "at most the 18.0 mm",
        a="front",
        b="rung",
    )
    with pytest.raises(InputError, match="number of wedges = 0"):
        wedged_tenon(0)


def test_mortise_that_breaks_out():
    d = Draft("t")
    d.board("left", PLY, (0, 0, 0), (T, 300, 400), grain="z")
    d.board("shelf", PLY, (T, 0, 382), (600, 300, 400), grain="x")
    refused(d, tenon(thickness=18, width=200), "mortise would break out of left")


def test_dowels_too_thick_too_long_or_out_of_the_edge():
    refused(
        shelf_between_sides(),
        dowelled(diameter=10, length=40),
        "dowel diameter",
        "at most 9.0 mm, half the edge",
    )
    refused(
        shelf_between_sides(wide=60),
        dowelled(diameter=8, length=80),
        "dowel length",
        "shelf has only 60.0 mm",
    )
    d = shelf_between_sides()
    d.join("left", "shelf", dowelled(80))
    with pytest.raises(InputError, match="dowel hole would run into each other"):
        d.done()


def test_pins_from_both_sides_that_meet():
    d = shelf_between_sides()
    d.board("far", PLY, (636, 0, 100), (1000, 300, 118), grain="x")
    d.join("right", "shelf", shelf_pins(depth=12.5))
    d.join("right", "far", shelf_pins(depth=12.5))
    with pytest.raises(
        InputError, match=r"pin holes in both faces of right = 12.5 and 12.5 mm: meet in the 18.0 mm"
    ):
        d.done()


def test_pins_off_their_rows_too_deep_or_without_room():
    refused(
        shelf_between_sides(z=101.0), shelf_pins(64.0), "height of a shelf on pins", "98.5 mm or 130.5 mm"
    )
    refused(shelf_between_sides(), shelf_pins(depth=17), "depth of pin holes", "at most 16.0 mm")
    refused(shelf_between_sides(), shelf_pins(setback=140), "setback of pin rows", "no two rows")
    with pytest.raises(InputError, match="holes round a shelf"):
        shelf_pins(around=-1)
    with pytest.raises(InputError, match="pitch of pin holes"):
        shelf_pins(pitch=0)
    with pytest.raises(InputError, match="shelves on pins"):
        on_pin_rows(equal_clear(9), 0.0, first=64.0, pitch=128.0)(500.0, T)
    d = Draft("t")
    d.board("left", PLY, (0, 0, 0), (600, 300, T), grain="x")
    d.board("shelf", PLY, (100, 0, T), (118, 300, 400), grain="z")
    refused(d, shelf_pins(), "must lie level")


def test_bolts_need_room():
    d = Draft("t")
    thin = PLY.with_thickness(15.3)
    d.board("left", PLY, (0, 0, 0), (T, 300, 400), grain="z")
    d.board("shelf", thin, (T, 0, 100), (600, 300, 115.3), grain="x")
    d.join("left", "shelf", cross_bolt())
    refused(shelf_between_sides(), cross_bolt(barrel_in=5), "distance of the barrel nut", "from 10 mm")
    refused(shelf_between_sides(), cross_bolt(barrel_in=150), "bolt", "longer than any M6 bolt sold")


def test_laps_that_are_none():
    d = Draft("t")
    d.board("left", PLY, (0, 0, 0), (600, 300, T), grain="x")
    d.board("shelf", PLY, (0, 0, T), (600, 300, 2 * T), grain="x")
    refused(d, half_lap(), "face to face")
    with pytest.raises(InputError, match="share of a lap = 1"):
        cross_lap(share=1)
    with pytest.raises(InputError, match="side of b in a lap"):
        cross_lap(b_side="front")


def test_mitres_that_are_none():
    refused(shelf_between_sides(), mitre(), "flush with its end")
    d = shelf_between_sides(z=382, setback=40)
    refused(d, mitre(), "equally wide")
    refused(shelf_between_sides(z=382), mitre("key", thickness=200), "must be at most")
    refused(shelf_between_sides(z=382), mitre("spline", depth=12), "depth of the spline", "less than 9.0 mm")
    with pytest.raises(InputError, match="reinforcement of a mitre = biscuit"):
        mitre("biscuit")
    d = Draft("t")
    d.board("left", PLY, (0, 0, 0), (600, 300, T), grain="x")
    d.board("shelf", PLY, (100, 100, 0), (200, 400, T), grain="y")
    refused(d, mitre(), "share no sawn edge")


def test_round_tenons_need_a_round_end_in_a_board():
    d = rod_between_posts()
    refused(d, housing(), "rung is a rod", a="left", b="rung")
    refused(rod_between_posts(), round_tenon(30.0), "at most the 24.0 mm of rung", a="left", b="rung")
    refused(
        rod_between_posts(), round_tenon(length=26.0), "tenon length", "take it through", a="left", b="rung"
    )
    refused(rod_between_posts(), round_tenon(), "not a board in a rod", a="rung", b="left")


def test_cleats_need_a_level_shelf_and_room():
    d = Draft("t")
    d.board("left", PLY, (0, 0, 0), (600, 300, T), grain="x")
    d.board("shelf", PLY, (100, 0, T), (118, 300, 400), grain="z")
    refused(d, cleat(OAK), "must lie level")
    refused(shelf_between_sides(), cleat(OAK, setback=280), "setback of a cleat", "less than 40.0 mm")
    with pytest.raises(InputError, match="cleat"):
        cleat(OAK, height=0)


def test_stopped_housings_and_tenons_askew():
    from math import cos, radians, sin

    d = Draft("t")
    a = radians(10)
    pose = Pose.columns((0.0, sin(a), cos(a)), (0.0, cos(a), -sin(a)), (-1.0, 0.0, 0.0), (T, 0.0, 0.0))
    d.place("left", leaning(900, 90, T, 10), PLY, pose)
    d.board("shelf", PLY, (T, 60, 400), (500, 120, 418), grain="x")
    refused(d, housing(stop=10), "0 for boards askew")
    refused(d, tenon(), "must stand square to each other")
    # a face that leans toward the shelf gives its end nothing to go into squarely
    d.board("level", PLY, (0, -282, 400), (T, 0, 418), grain="y")
    refused(d, housing(), "do not meet", b="level")
