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
    butt,
    cleat,
    cross_bolt,
    dowelled,
    find_stock,
    hardware_places,
    housing,
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
