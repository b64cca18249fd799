"""Shelves with a curved or bevelled front, L shapes: their straight ends take every joint a shelf does."""

from __future__ import annotations

from math import pi, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from proving import PLY, prove

from furnigen import (
    Draft,
    InputError,
    Prism,
    bullnose,
    butt,
    cleat,
    cross_bolt,
    cross_lap,
    dowelled,
    find_stock,
    finger_joint,
    half_lap,
    hardware_places,
    housing,
    mitre,
    rabbet,
    shelf_pins,
    sliding_dovetail,
    tenon,
)
from furnigen.core.pose import Pose

T, L, W, TALL = 18.0, 600.0, 300.0, 400.0
JOINTS = {
    "butt": butt(),
    "housing": housing(),
    "dowelled": dowelled(),
    "tenon": tenon(),
    "sliding dovetail": sliding_dovetail(),
    "cross bolt": cross_bolt(),
    "pins": shelf_pins(),
    "cleat": cleat(find_stock("birch-ply-18@18"), height=40),
}


def bevelled(back, rise):
    """Its front, y = 0, stands out `rise` in the middle of its length; its ends begin `rise` further back."""
    return ((0.0, rise), (200.0, 0.0), (400.0, 0.0), (L, rise), (L, back), (0.0, back))


def curved(rise):
    """A bow of twelve chords."""
    front = [(L * k / 12, rise * (1 - sin(pi * k / 12))) for k in range(13)]
    return (*front, (L, W), (0.0, W))


SHAPES = {
    "bevelled": bevelled(W, 80.0),
    "curved": curved(60.0),
    # an L: deep at its left end, shallow at its right
    "L": ((0.0, 0.0), (250.0, 0.0), (250.0, 150.0), (L, 150.0), (L, W), (0.0, W)),
}
ENDS = {"bevelled": (80.0, 80.0), "curved": (60.0, 60.0), "L": (0.0, 150.0)}


def bay(outline, fit=0.1):
    d = Draft("bay", fit_mm=fit)
    d.board("left", PLY, (0, 0, 0), (T, W, TALL), grain="z")
    d.board("right", PLY, (T + L, 0, 0), (2 * T + L, W, TALL), grain="z")
    d.place("shelf", Prism(L, W, T, outline), PLY, Pose.at(T, 0.0, 182.0), role="shelf")
    return d


@pytest.mark.parametrize("joint", JOINTS)
@pytest.mark.parametrize("shape", SHAPES)
def test_every_joint_takes_straight_ends(shape, joint):
    d = bay(SHAPES[shape])
    for side in ("left", "right"):
        d.join(side, "shelf", JOINTS[joint])
    p = prove(d)
    front = dict(zip(("left", "right"), ENDS[shape], strict=True))
    for place in hardware_places(p.piece):
        if place.joint.b == "shelf":
            assert front[place.joint.a] < place.point[1] < W
    # the bounds of what was placed stand
    box = p.piece.bounds_of(p.piece.placement("shelf"))
    assert (box.lo[1], box.hi[1]) == pytest.approx((0, W))


@settings(max_examples=10, deadline=None)
@given(st.sampled_from(sorted(SHAPES)), st.sampled_from([0.0, 0.1, 0.3]), st.sampled_from([4.0, 6.0]))
def test_a_housing_stops_where_the_end_does(shape, fit, depth):
    """By hand: each groove is as long as the end with its fit; the end grows by its depth."""
    d = bay(SHAPES[shape], fit)
    for side in ("left", "right"):
        d.join(side, "shelf", housing(depth=depth))
    p = prove(d)
    corners = SHAPES[shape]
    sides = zip(corners, corners[1:] + corners[:1], strict=True)
    area = sum((x0 * y1 - x1 * y0) / 2 for (x0, y0), (x1, y1) in sides)
    grown = area * T
    for side, front in zip(("left", "right"), ENDS[shape], strict=True):
        # at its back, and where it begins at the front edge, the groove runs out
        long = W - front + (fit if front else 0.0)
        assert p.removed(side) == pytest.approx(long * (depth + fit) * (T + fit))
        grown += (W - front) * depth * T
    assert p.part("shelf").form.volume_mm3 == pytest.approx(grown)
    low = {side: (W - front) * depth for side, front in zip(("left", "right"), ENDS[shape], strict=True)}
    for side, bears in low.items():
        assert p.area(side, "shelf", (0, 0, 1)) == pytest.approx(bears if fit else 2 * bears)


def area_of(outline):
    sides = zip(outline, outline[1:] + outline[:1], strict=True)
    return sum((x0 * y1 - x1 * y0) / 2 for (x0, y0), (x1, y1) in sides)


@pytest.mark.parametrize("through", [False, True])
@pytest.mark.parametrize("shape", SHAPES)
def test_a_rabbet_takes_straight_ends(shape, through):
    """A top with a shaped front in rabbets along the upper ends of the sides. Volumes by hand."""
    d = Draft("case", fit_mm=0.1)
    d.board("left", PLY, (0, 0, 0), (T, W, TALL), grain="z")
    d.board("right", PLY, (T + L, 0, 0), (2 * T + L, W, TALL), grain="z")
    d.place("top", Prism(L, W, T, SHAPES[shape]), PLY, Pose.at(T, 0.0, TALL - T), role="shelf")
    for side in ("left", "right"):
        d.join(side, "top", rabbet(depth=6.0, through=through))
    p = prove(d)
    grown = area_of(SHAPES[shape]) * T
    for side, front in zip(("left", "right"), ENDS[shape], strict=True):
        # the step runs out at the back and, where the end is as wide as the side, at the front
        long = W if through or not front else W - front + 0.1
        assert p.removed(side) == pytest.approx(long * 6.1 * T)
        grown += (W - front) * 6.0 * T
    assert p.part("top").form.volume_mm3 == pytest.approx(grown)


@pytest.mark.parametrize("shape", ["bevelled", "curved"])
@pytest.mark.parametrize("joint", ["fingers", "mitre"])
def test_corners_take_straight_ends(shape, joint):
    """A top that bulges out in front of its sides, which are as wide as its ends."""
    spec = {"fingers": finger_joint(5), "mitre": mitre()}[joint]
    front = ENDS[shape][0]
    d = Draft("case", fit_mm=0.1)
    d.board("left", PLY, (0, front, 0), (T, W, TALL), grain="z")
    d.board("right", PLY, (T + L, front, 0), (2 * T + L, W, TALL), grain="z")
    d.place("top", Prism(L, W, T, SHAPES[shape]), PLY, Pose.at(T, 0.0, TALL - T), role="shelf")
    for side in ("left", "right"):
        d.join(side, "top", spec)
    p = prove(d)
    assert p.piece.bounds.size == pytest.approx((L + 2 * T, W, TALL))
    wide = W - front
    assert p.part("top").form.volume_mm3 == pytest.approx((area_of(SHAPES[shape]) + 2 * T * wide) * T)
    away = {"fingers": 3 / 5 * wide * T * T, "mitre": wide * T * T / 2}[joint]
    assert p.removed("top") == pytest.approx(2 * away)


@pytest.mark.parametrize("joint", ["half-lap", "mitre"])
def test_an_arched_rail_goes_into_a_frame(joint):
    """An apron with an arched lower edge between two posts in its plane, at their upper ends."""
    arch = ((0.0, 0.0), (100.0, 60.0), (L - 100.0, 60.0), (L, 0.0), (L, 100.0), (0.0, 100.0))
    rail = Pose(((1.0, 0.0, 0.0), (0.0, 0.0, -1.0), (0.0, 1.0, 0.0)), (80.0, T, 300.0))
    d = Draft("frame", fit_mm=0.0)
    d.board("left", PLY, (0, 0, 0), (80, T, TALL), grain="z")
    d.board("right", PLY, (80 + L, 0, 0), (160 + L, T, TALL), grain="z")
    d.place("rail", Prism(L, 100.0, T, arch), PLY, rail)
    for post in ("left", "right"):
        d.join(post, "rail", half_lap() if joint == "half-lap" else mitre())
    p = prove(d)
    assert p.piece.bounds.size == pytest.approx((160 + L, T, TALL))
    # half of what both fill at each corner, of 80 by 100 by the thickness
    assert p.removed("left") == pytest.approx(80 * 100 * T / 2)
    assert p.removed("rail") == pytest.approx(80 * 100 * T)


def test_a_nosed_top_goes_into_a_rabbet_that_its_nosing_stands_clear_of():
    def case(front):
        d = Draft("case", fit_mm=0.1)
        d.board("left", PLY, (0, 0, 0), (T, W, TALL), grain="z")
        d.place("top", bullnose(L, W - front, T), PLY, Pose.at(T, front, TALL - T), role="shelf")
        d.join("left", "top", rabbet(depth=6.0))
        return d

    with pytest.raises(InputError, match="shaped edge of top"):
        case(20.0)
    assert prove(case(-9.0)).removed("left") == pytest.approx(W * 6.1 * T)


def test_a_rabbet_along_a_nosing_is_refused():
    d = Draft("case")
    side = Pose(((1.0, 0.0, 0.0), (0.0, 0.0, -1.0), (0.0, 1.0, 0.0)), (0.0, T, 0.0))
    d.place("front", bullnose(L, W, T), PLY, side)
    d.board("floor", PLY, (0, T, 0), (L, 200, T), grain="x")
    with pytest.raises(InputError, match="that edge of front is shaped"):
        d.join("front", "floor", rabbet())


def test_what_laps_across_a_shaped_board_is_refused_with_a_reason():
    """Boards that run through each other need whole rectangles: nothing else has two straight sides there."""
    d = Draft("grid")
    d.board("upright", PLY, (300, 0, 0), (300 + T, W, TALL), grain="z")
    d.place("shelf", Prism(L, W, T, SHAPES["curved"]), PLY, Pose.at(0.0, 0.0, 200.0))
    with pytest.raises(InputError, match=r"shelf is a .*; boards that run through each other"):
        d.join("upright", "shelf", cross_lap())


def test_an_end_that_is_not_straight_is_refused():
    d = bay(((0.0, 0.0), (L, 20.0), (L - 20.0, W), (0.0, W)))
    with pytest.raises(InputError, match=r"straight end|face to face"):
        d.join("right", "shelf", housing())


def test_a_shelf_set_back_has_a_housing_that_stops():
    """40 mm back: the groove begins 40 mm back, less the fit, and no corner is notched."""
    d = Draft("bay")
    d.board("left", PLY, (0, 0, 0), (T, W, TALL), grain="z")
    d.board("shelf", PLY, (T, 40, 182), (T + L, W, 200), grain="x")
    d.join("left", "shelf", housing(depth=6))
    p = prove(d)
    assert p.removed("left") == pytest.approx(260.1 * 6.1 * 18.1)
    assert p.removed("shelf") == 0
    d = Draft("bay")
    d.board("left", PLY, (0, 0, 0), (T, W, TALL), grain="z")
    d.board("shelf", PLY, (T, 40, 182), (T + L, W, 200), grain="x")
    d.join("left", "shelf", housing(depth=6, stop=0))
    assert prove(d).removed("left") == pytest.approx(300 * 6.1 * 18.1)


def test_parts_of_an_own_recipe_are_named_after_their_labels():
    d = Draft("frame")
    for name, lo, hi, grain in (
        ("front", (0, 0, 0), (18, 60, 900), "z"),
        ("back", (0, 340, 0), (18, 400, 900), "z"),
        ("bottom", (0, 60, 0), (18, 340, 60), "y"),
        ("shelf", (18, 0, 100), (400, 300, 118), "x"),
    ):
        d.board(f"frame.1.{name}", PLY, lo, hi, grain=grain)
    piece = d.done()
    assert [part.name for part in piece.parts] == ["frame front/frame back", "frame bottom", "frame shelf"]
    d = Draft("case")
    d.board("side.left", PLY, (0, 0, 0), (18, 300, 400), grain="z")
    d.board("side.right", PLY, (600, 0, 0), (618, 300, 400), grain="z")
    assert [part.name for part in d.done().parts] == ["side"]
