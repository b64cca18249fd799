"""The same part, truly, with cuts: turned over it is one part, mirrored it is a handed pair."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from proving import PLY, prove
from test_housings import shelf_between_sides

from furnigen import Draft, Pose, butt, cross_bolt, dowelled, housing, rabbet, shelf_pins, tenon

T = 18.0


def named(p):
    return {part.name: (n, part.hand) for part, n in zip(p.piece.parts, p.piece.quantities, strict=True)}


def test_through_housings_sides_are_one_part_stopped_ones_a_handed_pair():
    """A side housed right through is the other one turned about; a stop at the front tells them apart."""
    for joint, sides in ((housing(), 1), (housing(stop=20), 2), (housing(stop=20, stop_far=20), 1)):
        d = shelf_between_sides()
        for side in ("left", "right"):
            d.join(side, "shelf", joint)
        p = prove(d)
        handed = [part.hand for part in p.piece.parts if part.hand]
        assert sorted(handed) == (["left", "right"] if sides == 2 else [])
        assert len(p.piece.parts) == sides + 1


def test_the_left_hand_is_the_one_that_stands_left():
    d = shelf_between_sides()
    for side in ("right", "left"):
        d.join(side, "shelf", housing(stop=20))
    p = prove(d)
    assert p.part("left").hand == "left"
    assert p.part("right").hand == "right"
    assert p.part("left").name == "left/right left"


@pytest.mark.parametrize(
    "joint", [butt(2), dowelled(), cross_bolt(), shelf_pins(), tenon()], ids=lambda j: j.kind
)
def test_sides_bored_alike_from_both_edges_are_one_part(joint):
    d = shelf_between_sides()
    for side in ("left", "right"):
        d.join(side, "shelf", joint)
    p = prove(d)
    assert sorted(p.piece.quantities) == [1, 2]


def test_divider_with_shelves_on_both_sides_at_two_heights():
    d = Draft("case")
    for k in range(3):
        d.board(f"up.{k}", PLY, (400 * k, 0, 0), (400 * k + T, 300, 900), grain="z", role="upright")
    for k, heights in enumerate(((200, 500), (300, 600))):
        for n, z in enumerate(heights):
            shelf = f"shelf.{k}.{n}"
            d.board(shelf, PLY, (400 * k + T, 0, z), (400 * k + 400, 300, z + T), grain="x")
            d.join(f"up.{k}", shelf, housing())
            d.join(f"up.{k + 1}", shelf, housing())
    p = prove(d)
    # hand-worked: the outer two have grooves at different heights and on different faces; shelves all alike
    assert named(p)["shelf"] == (4, "")
    assert sorted(p.piece.quantities) == [1, 1, 1, 4]
    assert p.removed("up.1") == pytest.approx(4 * 6.1 * 18.1 * 300)


@settings(max_examples=6, deadline=None)
@given(st.permutations(range(6)))
def test_the_order_of_joins_does_not_matter(order):
    d = shelf_between_sides()
    d.board("back", PLY, (T, 282, 118), (T + 600, 300, 400), grain="x")
    d.board("divider", PLY, (300, 0, 118), (318, 282, 400), grain="z")
    joins = [
        ("left", "shelf", housing(stop=15)),
        ("right", "shelf", housing(stop=15)),
        ("left", "back", rabbet()),
        ("right", "back", rabbet()),
        ("shelf", "back", rabbet()),
        ("shelf", "divider", housing()),
    ]
    for i in order:
        d.join(*joins[i])
    p = prove(d)
    first = shelf_between_sides()
    first.board("back", PLY, (T, 282, 118), (T + 600, 300, 400), grain="x")
    first.board("divider", PLY, (300, 0, 118), (318, 282, 400), grain="z")
    for join in joins:
        first.join(*join)
    assert {x.name: x for x in p.piece.parts} == {x.name: x for x in first.done().parts}


@pytest.mark.parametrize("axis", ["x", "y", "z"])
def test_mirrored_and_moved_copies_take_their_joints_along(axis):
    d = shelf_between_sides()
    for side in ("left", "right"):
        d.join(side, "shelf", housing(7, stop=20))
    labels = ["left", "right", "shelf"]
    d.repeat(labels, [Pose.at(y=1000.0)], lambda s, i: f"{s}.copy.{i}")
    d.mirror(labels, axis, -50.0, lambda s: f"{s}.mirror")
    p = prove(d)
    assert len(p.piece.joints) == 6
    for label in ("shelf", "shelf.copy.1", "shelf.mirror"):
        assert p.size(label)[0] == 614
    assert p.piece.placement("shelf").part == p.piece.placement("shelf.copy.1").part
    assert p.removed("left.mirror") == pytest.approx(p.removed("left"))
    if axis == "z":  # upside down the tight cheek is above: the same parts, the other hand
        assert p.area("left.mirror", "shelf.mirror") == pytest.approx(p.area("left", "shelf"))
    # the mirror image of a left side is a right side
    assert p.piece.placement("left.mirror").part == p.piece.placement("right").part


def test_done_twice_gives_the_same_piece():
    d = shelf_between_sides()
    d.join("left", "shelf", housing())
    assert d.done() == d.done()
