"""Joints with hardware: both members bored, the right pieces in the right places."""

from __future__ import annotations

from math import pi

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from proving import OAK, PLY, prove
from test_housings import shelf_between_sides

from furnigen import (
    Box,
    Draft,
    butt,
    cleat,
    cross_bolt,
    dowelled,
    equal_clear,
    find_stock,
    four_legs,
    hardware_places,
    on_pin_rows,
    shelf_pins,
)

T = 18.0


def both(d, joint):
    for side in ("left", "right"):
        d.join(side, "shelf", joint)
    return d


@settings(max_examples=6, deadline=None)
@given(st.integers(1, 4), st.booleans())
def test_screws_go_through_the_side_into_the_shelf(count, pilot):
    p = prove(both(shelf_between_sides(), butt(count, pilot=pilot)))
    (screws,) = p.piece.joints[0].fasteners
    assert len(screws.sites) == count
    for point, way in screws.sites:
        assert point[0] == pytest.approx(0)
        assert point[2] == pytest.approx(109)
        assert way == pytest.approx((1, 0, 0))
    ys = sorted(p[1] for p, _ in screws.sites)
    assert [y + z for y, z in zip(ys, ys[::-1], strict=True)] == pytest.approx([300] * count)
    hole = pi / 4 * screws.diameter_mm**2
    assert p.removed("left") == pytest.approx(count * hole * T if pilot else 0)
    assert p.area("left", "shelf") == pytest.approx(300 * T - (count * hole if pilot else 0), rel=1e-3)


@settings(max_examples=8, deadline=None)
@given(st.sampled_from([None, 1, 2, 5]), st.sampled_from([(None, None), (6.0, 30.0), (8.0, 35.0)]))
def test_dowels_leave_spare_at_the_bottom_of_both_holes(count, size):
    diameter, length = size
    p = prove(both(shelf_between_sides(), dowelled(count, diameter=diameter, length=length)))
    (dowels,) = p.piece.joints[0].fasteners
    n, section = len(dowels.sites), pi / 4 * dowels.diameter_mm**2
    assert dowels.diameter_mm <= T / 2  # a dowel maker's page: never above half the board
    # 1.6 mm spare at each bottom: the same page
    in_side = p.removed("left") / section / n - 1.6
    in_shelf = p.removed("shelf") / section / n / 2 - 1.6
    assert in_side + in_shelf == pytest.approx(dowels.length_mm)
    assert in_side + 1.6 <= T * 2 / 3 + 1e-9
    for point, way in dowels.sites:
        assert point[0] - in_shelf == pytest.approx(T)
        assert way == pytest.approx((-1, 0, 0))
    # bored evenly from both ends, the two sides are one part
    assert p.piece.quantities == (2, 1)


def test_bolts_meet_their_barrel_nuts():
    p = prove(both(shelf_between_sides(), cross_bolt(2, barrel_in=40)))
    bolt, nut = p.piece.joints[0].fasteners
    assert (bolt.kind, nut.kind, len(bolt.sites), len(nut.sites)) == ("bolt", "barrel nut", 2, 2)
    for (head, way), (top, down) in zip(bolt.sites, nut.sites, strict=True):
        assert way == pytest.approx((1, 0, 0))
        assert down == pytest.approx((0, 0, 1))
        assert top[0] - head[0] == pytest.approx(T + 40)
        assert top[1] == pytest.approx(head[1])
        # long enough to pass the middle of the nut
        assert bolt.length_mm >= T + 40 + 3
    assert {c.name for c in p.part("shelf").cuts} == {"bolt hole", "barrel hole"}


def test_pin_holes_to_the_32_mm_pattern():
    # 5 mm holes, 32 mm pitch, rows 37 mm from the edges: three pages; 12 to 13 deep: practice
    d = Draft("case")
    d.board("left", PLY, (0, 0, 0), (T, 300, 800), grain="z")
    d.board("right", PLY, (618, 0, 0), (636, 300, 800), grain="z")
    bay = d.opening("bay", (T, 0, 0), (618, 300, 800), left="left", right="right")
    rule = on_pin_rows(equal_clear(3), 0.0, first=64.0)
    shelves, bays = d.divide(bay, "z", rule, PLY, role="shelf", grain="x")
    for shelf in shelves:
        for side in ("left", "right"):
            d.join(side, shelf, shelf_pins(64.0))
    p = prove(d)
    holes = p.part("left").cuts
    assert len(holes) == 2 * 22  # 64 + 21 x 32 = 736 = 800 - 64
    places = {(round(h.start[0], 6) % 32, round(h.start[1], 6)) for h in holes}
    assert places == {(0.0, 37.0), (0.0, 263.0)}
    assert p.removed("left") == pytest.approx(44 * pi / 4 * 25 * 12.5)
    assert p.piece.quantities == (2, 3)
    assert sum(o.clear_mm[2] for o in bays) == pytest.approx(800 - 3 * T)
    for shelf in shelves:
        joint = next(j for j in p.piece.joints if j.b == shelf)
        (pins,) = joint.fasteners
        assert (pins.kind, pins.diameter_mm, len(pins.sites)) == ("shelf pin", 5.0, 2)
        # the pin's top is the shelf's underside
        assert pins.sites[0][0][2] + 2.5 == pytest.approx(p.piece.bounds_of(p.piece.placement(shelf)).lo[2])


def test_holes_only_round_each_shelf_and_through_a_divider_with_shelves_on_both_sides():
    d = shelf_between_sides(tall=600, z=300)
    d.board("far", PLY, (636, 0, 300), (1000, 300, 318), grain="x")
    d.join("left", "shelf", shelf_pins(around=1))
    for b in ("shelf", "far"):
        d.join("right", b, shelf_pins(around=1, through=True))
    p = prove(d)
    assert p.removed("left") == pytest.approx(6 * pi / 4 * 25 * 12.5)
    assert p.removed("right") == pytest.approx(6 * pi / 4 * 25 * T)


def test_a_shelf_lies_on_cleats():
    d = both(shelf_between_sides(), cleat(OAK, setback=12))
    p = prove(d)
    assert [x.label for x in p.piece.placements][3:] == ["shelf.cleat.1", "shelf.cleat.2"]
    assert p.piece.quantities == (2, 1, 2)
    assert p.size("shelf.cleat.1") == (288, 30, 30)
    assert p.area("shelf.cleat.1", "shelf", (0, 0, 1)) == pytest.approx(288 * 30)
    assert p.area("shelf.cleat.1", "left", (1, 0, 0)) == pytest.approx(288 * 30)
    kinds = [(j.kind, j.a, j.b, sum(len(f.sites) for f in j.fasteners)) for j in p.piece.joints]
    assert kinds[:2] == [("cleat", "left", "shelf.cleat.1", 2), ("cleat", "shelf.cleat.1", "shelf", 0)]


@pytest.mark.parametrize("count", [1, 2, 3])
@pytest.mark.parametrize("round_one", [True, False])
def test_screws_into_a_leaning_leg_lie_on_its_top(round_one, count):
    """Its bounds reach from the top out to the foot: set out on them, screws would miss the leg."""
    d = Draft("stool")
    d.board("tray", PLY, (0, 0, 330), (320, 320, 348), grain="x")
    case = Box((0, 0, 330), (320, 320, 348))
    blank = find_stock("beech-blank-50")
    sizes = {"top": 40, "foot": 25, "inset": 50, "rake": 8, "splay": 8}
    legs = four_legs(d, blank, case, **sizes, kind="turned" if round_one else "square")
    for leg in legs:
        d.join("tray", leg, butt(screws=count))
    piece = d.done()
    places = hardware_places(piece)
    assert len(places) == 4 * count
    for one in places:
        assert all(min(abs(one.point[i] - 50), abs(one.point[i] - 270)) < 20.5 for i in (0, 1))
