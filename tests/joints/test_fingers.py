"""Finger joints: volumes and faces worked by hand, proved on solids and meshes; what is refused."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from proving import PLY, prove

from furnigen import Draft, InputError, finger_joint

T = 18.0


def corner(wide: float, fit: float = 0.1, spec=None) -> Draft:
    """A rail butting against two uprights, flush with their tops."""
    d = Draft("corner", fit_mm=fit)
    d.board("left", PLY, (0, 0, 0), (wide, T, 400), grain="z", face="y")
    d.board("right", PLY, (0, 300 - T, 0), (wide, 300, 400), grain="z", face="y")
    d.board("top", PLY, (0, T, 400 - T), (wide, 300 - T, 400), grain="y", face="z")
    for side in ("left", "right"):
        d.join(side, "top", spec or finger_joint())
    return d


@pytest.mark.parametrize(("wide", "count"), [(10, 3), (54, 3), (90, 5), (162, 9)])
def test_fingers_by_hand(wide, count):
    """Fingers about as wide as the board is thick; a keeps the outer ones, its gaps eased 0.1 mm a side."""
    p = prove(corner(wide))
    each, gaps = wide / count, count // 2
    assert p.size("top")[0] == 300
    assert p.removed("left") == pytest.approx(gaps * (each + 0.2) * T * T)
    assert p.removed("top") == pytest.approx(2 * (gaps + 1) * each * T * T)
    # b's fingers rest on the bottoms of a's gaps; the bottoms of b's gaps meet a's face
    assert p.area("left", "top", (0, 0, 1)) == pytest.approx(gaps * each * T)
    assert p.area("left", "top", (0, 1, 0)) == pytest.approx((gaps + 1) * each * T - 2 * gaps * 0.1 * T)
    assert p.piece.quantities == (2, 1)
    joint = p.piece.joints[0]
    assert (joint.kind, joint.glued, joint.fasteners, joint.travel_mm) == ("finger joint", True, (), T)


@settings(max_examples=15, deadline=None)
@given(st.floats(10, 200), st.sampled_from([0.0, 0.1, 0.5]))
def test_fingers_of_any_width_go_together(wide, fit):
    p = prove(corner(wide, fit))
    # with nothing between them the two fill the corner whole
    if fit == 0:
        assert p.removed("left") + p.removed("top") / 2 == pytest.approx(wide * T * T)


@pytest.mark.parametrize(
    ("wide", "fit", "count", "says"),
    [
        (60, 0.1, 4, "must be odd, at least 3"),
        (60, 0.1, 1, "must be odd, at least 3"),
        (60, 0.1, 21, "60.0 mm takes at most 19"),
        (8, 0.1, None, "boards at least 9.0 mm wide would fit"),
        (10, 0.9, None, "fit allowance"),
    ],
)
def test_fingers_that_can_not_be_cut_are_refused(wide, fit, count, says):
    with pytest.raises(InputError) as caught:
        corner(wide, fit, finger_joint(count)).done()
    assert says in str(caught.value)


def test_boards_that_make_no_corner_are_refused():
    d = Draft("tee")
    d.board("side", PLY, (0, 0, 0), (60, T, 400), grain="z", face="y")
    d.board("shelf", PLY, (0, T, 200), (60, 300, 200 + T), grain="y", face="z")
    with pytest.raises(InputError, match="flush with its end"):
        d.join("side", "shelf", finger_joint())
