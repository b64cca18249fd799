"""Mortise and tenon, square and round: shoulders bear, tips clear, legs stand at their compound angle."""

from __future__ import annotations

from math import cos, pi, radians

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from proving import PLY, prove

from furnigen import Draft, Pose, Rod, find_stock, legs_on_blocks, round_tenon, tenon, wedged_tenon
from furnigen.parts.forms.leg_lean import resultant_degrees

POST = find_stock("birch-ply-27@27")
DOWEL = find_stock("dowel-beech-25")


def rung_between_posts(fit=0.1, wide=40.0):
    d = Draft("ladder", fit_mm=fit)
    d.board("front", POST, (0, 0, 0), (27, 60, 900), grain="z")
    d.board("back", POST, (0, 340, 0), (27, 400, 900), grain="z")
    d.board("rung", PLY, (4.5, 60, 300), (22.5, 340, 300 + wide), grain="y")
    return d


@settings(max_examples=12, deadline=None)
@given(
    st.sampled_from([None, 10.0, 40.0]),
    st.sampled_from([None, 5.0, 12.0, 18.0]),
    st.sampled_from([None, 20.0, 40.0]),
    st.sampled_from([0.0, 0.1, 0.4]),
    st.booleans(),
)
def test_rungs_rest_on_their_shoulders_and_low_cheeks(length, thickness, width, fit, through):
    d = rung_between_posts(fit)
    for post in ("front", "back"):
        d.join(post, "rung", tenon(length, thickness=thickness, width=width, through=through))
    p = prove(d)
    # defaults of the trade: a third of the thinner board, two thirds of the mortised one; practice
    thick, high = thickness or 6.0, width or 40 - 2 * 40 / 6
    deep = 60 if through else length or 40.0
    assert p.size("rung")[0] == pytest.approx(280 + 2 * deep)
    mortise = (thick + 2 * fit) * (high + fit)
    assert p.removed("front") == pytest.approx(mortise * (60 if through else deep + fit))
    assert p.removed("rung") == pytest.approx(2 * deep * (18 * 40 - thick * high))
    # where the mortise is wider than the rung, its side does not count; there is no shoulder there
    over = min(thick + 2 * fit, 18.0) * min(high + fit, (40 + high) / 2)
    if min(18 * 40 - over, 1) > 0.5 and thick < 18 - 1:
        assert p.area("front", "rung", (0, 1, 0)) == pytest.approx(
            18 * 40 - over + (0 if fit or through else thick * high)
        )
    low = thick * deep
    assert p.area("front", "rung", (0, 0, 1)) == pytest.approx(low if fit else 2 * low)
    assert p.piece.quantities == (2, 1)


def test_wedges_go_into_saw_cuts_of_a_through_tenon():
    d = rung_between_posts()
    for post in ("front", "back"):
        d.join(post, "rung", wedged_tenon(2))
    p = prove(d)
    (wedges,) = p.piece.joints[0].fasteners
    assert (wedges.kind, len(wedges.sites)) == ("wedge", 2)
    assert all(point[1] == pytest.approx(0) for point, _ in wedges.sites)
    kerfs = [c for c in p.part("rung").cuts if c.name == "kerf"]
    assert len(kerfs) == 4


def rod_between_posts(diameter=24.0, fit=0.1):
    d = Draft("ladder", fit_mm=fit)
    d.board("left", POST, (0, 0, 0), (27, 60, 900), grain="z")
    d.board("right", POST, (373, 0, 0), (400, 60, 900), grain="z")
    place = Pose.at(27, 30 - diameter / 2, 300 - diameter / 2)
    d.place("rung", Rod(346, diameter), DOWEL, place, role="rung")
    return d


@settings(max_examples=10, deadline=None)
@given(st.sampled_from([None, 16.0, 24.0]), st.sampled_from([None, 10.0]), st.booleans())
def test_round_rungs(diameter, length, through):
    d = rod_between_posts()
    for post in ("left", "right"):
        d.join(post, "rung", round_tenon(diameter, length, through=through))
    p = prove(d)
    turned = diameter or (14.0 if through else 24.0)
    deep = 27.0 if through else length or 18.0
    assert p.size("rung")[0] == pytest.approx(346 + 2 * deep)
    assert p.removed("rung") == pytest.approx(2 * deep * pi / 4 * (24**2 - turned**2))
    bare = turned == 24
    hole = turned if bare and through else turned + 0.2
    bored = 27 if through else deep + (0 if bare else 1.6)
    assert p.removed("left") == pytest.approx(pi / 4 * hole**2 * bored)
    # a shoulder bears round the hole, a rod that goes in whole bears on the bottom
    if not bare:
        ring = pi / 4 * (24**2 - hole**2)
        assert p.area("left", "rung", (1, 0, 0)) == pytest.approx(ring, rel=5e-3)
    elif not through:
        assert p.area("left", "rung", (1, 0, 0)) == pytest.approx(pi / 4 * 24**2, rel=5e-3)


def test_square_rung_with_a_round_tenon():
    d = rung_between_posts()
    for post in ("front", "back"):
        d.join(post, "rung", round_tenon(12.0))
    p = prove(d)
    assert p.removed("rung") == pytest.approx(2 * 40 * (18 * 40 - pi / 4 * 144))
    shoulder = 18 * 40 - pi / 4 * 12.2**2
    assert p.area("front", "rung", (0, 1, 0)) == pytest.approx(shoulder, rel=1e-3)


@settings(max_examples=6, deadline=None)
@given(
    st.sampled_from(["turned", "square"]),
    st.sampled_from([(0.0, 0.0), (5.0, 10.0), (10.0, 10.0), (0.0, 12.0)]),
    st.booleans(),
)
def test_legs_on_blocks_bored_at_the_compound_angle(kind, angles, through):
    rake, splay = angles
    d = Draft("bench")
    d.board("bottom", PLY, (0, 0, 430), (900, 400, 448), grain="x")
    legs, blocks = legs_on_blocks(
        d,
        "bottom",
        find_stock("beech-blank-50"),
        find_stock("birch-ply-30@30"),
        kind=kind,
        top=42.0,
        foot=26.0,
        inset=60.0,
        rake=rake,
        splay=splay,
        block=100.0,
        tenon=24.0,
        through=through,
    )
    p = prove(d)
    lean = radians(resultant_degrees(rake, splay))
    for leg, block in zip(legs, blocks, strict=True):
        # the shoulder bears round the ellipse of the hole, level under the block
        hole = pi / 4 * 24.2**2 / cos(lean)
        section = p.area(leg, block, (0, 0, 1)) + hole
        assert section == pytest.approx(42**2 * (pi / 4 if kind == "turned" else 1) / cos(lean), rel=0.03)
        if through:
            assert p.removed(block) == pytest.approx(hole * 30)
    for joint in p.piece.joints:
        if joint.kind == "round tenon":
            # hand-derived: the way home is the leg's own axis
            assert joint.home[2] == pytest.approx(cos(lean))
    assert all(abs(n.drill_guide - (90 - resultant_degrees(rake, splay))) < 1e-9 for n in p.piece.legs)
