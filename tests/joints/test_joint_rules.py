"""Rules of joints as findings: what holds passes, what is weak is told with a remedy."""

from __future__ import annotations

import pytest
from proving import PLY, prove
from test_housings import shelf_between_sides

from furnigen import Draft, butt, dowelled, housing, shelf_pins
from furnigen.checks.joint_rules import check_joints
from furnigen.core.finding import FAIL, PASS, WARN

T = 18.0


def found(draft):
    return {f.name: f for f in check_joints(prove(draft).piece)}


def both(joint, **sizes):
    d = shelf_between_sides(**sizes)
    for side in ("left", "right"):
        d.join(side, "shelf", joint)
    return d


def test_a_piece_without_joints_has_nothing_to_check():
    assert check_joints(shelf_between_sides().done()) == []


def test_grooves_to_a_third_pass_deeper_ones_warn():
    assert found(both(housing()))["groove-depth"].status == PASS
    deep = found(both(housing(8)))["groove-depth"]
    # 1/3 of 18, common practice; the groove is as deep as its fit lets it be
    assert (deep.status, deep.value, deep.limit) == (WARN, pytest.approx(8.1), 6)
    assert deep.where == "left, right"
    assert "6.0 mm" in deep.remedy


@pytest.mark.parametrize(("depth", "status"), [(6.0, None), (7.0, WARN), (8.0, FAIL)])
def test_web_between_grooves_on_both_faces(depth, status):
    d = both(housing(depth))
    d.board("far", PLY, (636, 0, 100), (1000, 300, 118), grain="x")
    d.join("right", "far", housing(depth))
    f = found(d).get("web-between-grooves")
    if status is None:
        assert f is None
    else:
        assert (f.status, f.value, f.limit) == (status, pytest.approx(18 - 2 * depth - 0.2), 4.5)
    # set off from each other they have the whole board
    d = both(housing(depth))
    d.board("far", PLY, (636, 0, 200), (1000, 300, 218), grain="x")
    d.join("right", "far", housing(depth))
    assert "web-between-grooves" not in found(d)


def test_wood_behind_a_blind_hole():
    assert found(both(shelf_pins()))["hole-bottom"].status == PASS
    d = Draft("thin")
    thin = PLY.with_thickness(17.8)
    d.board("left", thin, (0, 0, 0), (17.8, 300, 400), grain="z")
    d.board("shelf", PLY, (17.8, 0, 100), (600, 300, 118), grain="x")
    d.join("left", "shelf", dowelled(2, diameter=8, length=30))
    assert found(d)["hole-bottom"].status == PASS


def test_screws_too_near_an_edge():
    assert found(both(butt()))["edge-distance"].status == PASS
    near = found(both(butt(3, diameter=6.0, length=50)))["edge-distance"]
    assert (near.status, near.value, near.limit) == (WARN, pytest.approx(9), 12)
    assert near.where.startswith("screw of shelf to")


def test_screws_from_both_sides_that_meet():
    d = both(butt(3))
    d.board("far", PLY, (636, 0, 100), (1000, 300, 118), grain="x")
    d.join("right", "far", butt(3))
    meet = found(d)["fasteners-meet"]
    assert meet.status == FAIL
    assert meet.where == "screw of shelf to right and screw of far to right"
    assert meet.value < 0
    # at another height they do not
    d = both(butt(3))
    d.board("far", PLY, (636, 0, 140), (1000, 300, 158), grain="x")
    d.join("right", "far", butt(3))
    assert found(d)["fasteners-meet"].status == PASS


def test_screws_clear_the_holes_bored_for_them_and_no_others():
    assert found(both(butt(3, pilot=True)))["fasteners-meet"].status == PASS
    d = both(butt(2))
    d.board("far", PLY, (636, 0, 100), (1000, 300, 118), grain="x")
    d.join("right", "far", dowelled(2))
    clash = found(d)["fasteners-meet"]
    assert clash.status == FAIL
    assert "dowel" in clash.where
