"""Laps and mitres: what one gives the other has, and the faces that meet are whole."""

from __future__ import annotations

from math import sqrt

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from proving import PLY, prove

from furnigen import Draft, cross_lap, half_lap, mitre, ring_upright

T = 18.0
shares = st.sampled_from([0.25, 0.5, 0.6])


@settings(max_examples=10, deadline=None)
@given(shares, st.sampled_from(["", "low", "high"]), st.sampled_from([0.0, 0.1, 0.3]))
def test_crate_of_shelf_and_divider(share, b_side, fit):
    d = Draft("crate", fit_mm=fit)
    d.board("divider", PLY, (200, 0, 0), (218, 300, 400), grain="z")
    d.board("shelf", PLY, (0, 0, 150), (500, 280, 168), grain="x")
    d.join("divider", "shelf", cross_lap(share=share, b_side=b_side))
    p = prove(d)
    # a keeps `share` of the 280 they have in common; b comes from the front by default
    shelf_keeps = 280 * (1 - share)
    slot_a = shelf_keeps if b_side != "high" else shelf_keeps + 20
    assert p.removed("divider") == pytest.approx(slot_a * T * (T + fit))
    assert p.removed("shelf") == pytest.approx(280 * share * T * (T + 2 * fit))
    # the shelf lies on the slot's low cheek; both bottoms meet
    under = shelf_keeps * T + 280 * share * 0
    level = p.area("divider", "shelf", (0, 0, 1))
    assert level == pytest.approx(under if fit else 2 * under)
    assert p.area("divider", "shelf", (0, 1, 0)) == pytest.approx(T * T)


def test_grid_of_uprights_drops_home_and_every_board_keeps_half():
    d = Draft("grid")
    for k in range(2):
        d.board(f"long.{k}", PLY, (0, 100 + 120 * k, 0), (500, 118 + 120 * k, 200), grain="x")
    for k in range(3):
        d.board(f"short.{k}", PLY, (80 + 130 * k, 0, 0), (98 + 130 * k, 338, 200), grain="y")
    for k in range(2):
        for j in range(3):
            d.join(f"long.{k}", f"short.{j}", cross_lap())
    p = prove(d)
    assert p.piece.quantities == (2, 3)
    assert p.removed("long.0") == pytest.approx(3 * 100 * T * 18.2)
    assert p.piece.joints[0].home == pytest.approx((0, 0, -1))
    assert p.piece.joints[0].travel_mm == 100


@settings(max_examples=8, deadline=None)
@given(shares, st.floats(20, 120))
def test_rails_over_posts(share, wide):
    d = Draft("frame")
    d.board("left", PLY, (0, 0, 0), (60, T, 900), grain="z")
    d.board("right", PLY, (740, 0, 0), (800, T, 900), grain="z")
    d.board("rail", PLY, (0, 0, 300), (800, T, 300 + wide), grain="x")
    for post in ("left", "right"):
        d.join(post, "rail", half_lap(share=share))
    p = prove(d)
    assert p.piece.quantities == (2, 1)
    assert p.area("left", "rail", (0, 1, 0)) == pytest.approx(60 * wide)
    assert p.removed("left") == pytest.approx((1 - share) * T * 60 * (wide + 0.1))
    # at the rail's ends the lap runs out
    assert p.removed("rail") == pytest.approx(2 * share * T * wide * 60.1)
    # the rail rests in its notches
    assert p.area("left", "rail", (0, 0, 1)) == pytest.approx(60 * (1 - share) * T)


@pytest.mark.parametrize("fit", [0.0, 0.2])
def test_corner_and_tee_from_boards_that_butt(fit):
    d = Draft("frame", fit_mm=fit)
    d.board("post", PLY, (0, 0, 0), (T, 60, 900), grain="z")
    d.board("rail", PLY, (0, 60, 840), (T, 400, 900), grain="y")
    d.board("mid", PLY, (0, 60, 400), (T, 400, 460), grain="y")
    for b in ("rail", "mid"):
        d.join("post", b, half_lap())
    p = prove(d)
    assert p.size("rail")[0] == p.size("mid")[0] == 400
    assert p.area("post", "rail", (1, 0, 0)) == pytest.approx(3600)
    assert p.area("post", "mid", (1, 0, 0)) == pytest.approx(3600)
    # at the post's top the notch runs out, so only the tee is eased above
    assert p.removed("post") == pytest.approx(9 * 60 * (60 + 60 + fit))
    assert p.removed("rail") == pytest.approx(9 * 60 * (60 + fit))


@settings(max_examples=8, deadline=None)
@given(st.sampled_from(["", "spline", "key"]), st.floats(40, 90))
def test_frame_corners_cut_here_or_sawn_before_come_to_the_same(reinforce, member):
    cut = Draft("cut")
    for label, y in (("front", 0.0), ("back", 400 - member)):
        cut.board(label, PLY, (0, y, 0), (T, y + member, 900), grain="z")
    for label, z in (("bottom", 0.0), ("top", 900 - member)):
        cut.board(label, PLY, (0, member, z), (T, 400 - member, z + member), grain="y")
    sawn = Draft("sawn")
    labels = ring_upright(
        sawn, "f", PLY, x=0, depth=400, height=900, member=member, build="mitred", boards="flat"
    )
    for a in ("front", "back"):
        for b in ("bottom", "top"):
            cut.join(a, b, mitre(reinforce))
            sawn.join(labels[a], labels[b], mitre(reinforce))
    one, two = prove(cut), prove(sawn)
    face = member * sqrt(2) * T
    # a spline takes a third of the face, a key half of that third
    left = {"": face, "spline": face * 2 / 3, "key": face * 5 / 6}[reinforce]
    for p, front, top in ((one, "front", "top"), (two, "f.front", "f.top")):
        assert p.area(front, top) == pytest.approx(left)
        assert p.piece.quantities == ((2, 2, 4) if reinforce else (2, 2))
    triangles = 2 * member**2 / 2 * T  # the two corners sawn off a blank
    assert one.removed("front") - two.removed("f.front") == pytest.approx(triangles)
    assert one.size("top") == pytest.approx((400, member, T))
    hardware = [f for j in one.piece.joints for f in j.fasteners]
    assert len(hardware) == (4 if reinforce else 0)
    assert all(f.kind == reinforce and f.diameter_mm == T / 3 for f in hardware)


@pytest.mark.parametrize(("wide", "keys"), [(30, 1), (60, 2), (150, 4)])
def test_keys_across_a_case_corner(wide, keys):
    """Keys 6 mm thick, as deep as half the mitre of 18√2 mm: a triangle of (9√2)² each in both boards."""
    d = Draft("case")
    d.board("side", PLY, (0, 0, 0), (T, wide, 400), grain="z")
    d.board("top", PLY, (T, 0, 382), (582, wide, 400), grain="x")
    d.join("side", "top", mitre("key"))
    p = prove(d)
    (key,) = p.piece.joints[0].fasteners
    assert (key.kind, len(key.sites)) == ("key", keys)
    assert key.diameter_mm == pytest.approx(6)
    deep = 9 * sqrt(2)
    assert p.area("side", "top") == pytest.approx(T * sqrt(2) * wide - keys * 6 * deep)
    # half of the slot's triangle is in each board
    assert p.removed("side") == pytest.approx(T * T / 2 * wide + keys * 6 * deep * deep / 2)
    ys = sorted(site[1] for site, _ in key.sites)
    assert ys == pytest.approx([wide * (i + 0.5) / keys for i in range(keys)])


@pytest.mark.parametrize("reinforce", ["", "spline"])
def test_case_corners(reinforce):
    d = Draft("case")
    d.board("left", PLY, (0, 0, 0), (T, 300, 400), grain="z")
    d.board("right", PLY, (582, 0, 0), (600, 300, 400), grain="z")
    d.board("top", PLY, (T, 0, 382), (582, 300, 400), grain="x")
    for a in ("left", "right"):
        d.join(a, "top", mitre(reinforce))
    p = prove(d)
    assert p.size("top")[0] == 600
    whole = T * sqrt(2) * 300
    assert p.area("left", "top") == pytest.approx(whole - (6 * 300 if reinforce else 0))
    # the groove's bottom corners stay in the wood: 6 thick, 4.5 deep, whole length
    spline = 6 * 4.5 * 300 if reinforce else 0
    assert p.removed("left") == pytest.approx(T * T / 2 * 300 + spline)
    assert p.piece.quantities == ((2, 1, 2) if reinforce else (2, 1))
