"""Sliding dovetails: the groove and tongue by hand numbers, held in, and only the way along is free."""

from __future__ import annotations

import doctest
from math import radians, tan

import numpy as np
import pytest
from furnigen.pipeline.make import MakeOptions, make_piece
from hypothesis import given, settings
from hypothesis import strategies as st
from proving import PLY, prove

from furnigen import Draft, InputError, Pose, bullnose, dowelled, find_stock, housing, sliding_dovetail
from furnigen.construction.assembly_order import find_assembly_order
from furnigen.construction.load_path import find_load_path
from furnigen.core.facts import Fact, Joinery
from furnigen.joints import sliding_dovetail as module
from furnigen.mesh.interference import find_interference
from furnigen.mesh.light_mesh import light_contacts
from furnigen.mesh.scene import scene_of
from furnigen.strength.model.racking import find_turning

T = 18.0


def bay(deep=300.0, front=0.0, fit=0.1) -> Draft:
    d = Draft("bay", fit_mm=fit)
    d.board("left", PLY, (0, 0, 0), (T, deep, 400), grain="z")
    d.board("right", PLY, (T + 600, 0, 0), (2 * T + 600, deep, 400), grain="z")
    d.board("shelf", PLY, (T, front, 100), (T + 600, deep, 100 + T), grain="x")
    return d


def joined(d: Draft, joint) -> Draft:
    for side in ("left", "right"):
        d.join(side, "shelf", joint)
    return d


def test_groove_and_tongue_by_hand():
    """6 mm deep at 8°: each side is undercut by 6 tan 8° = 0.8432 mm."""
    p = prove(joined(bay(), sliding_dovetail()))
    under = 6 * tan(radians(8))
    assert under == pytest.approx(0.8432, abs=1e-4)
    assert p.size("shelf") == (612, 300, 18)
    # off either face of both ends a triangle, the whole depth of the shelf
    assert p.removed("shelf") == pytest.approx(4 * under * 6 / 2 * 300)
    # the groove: 0.1 mm eased on its upper side and at its bottom
    mouth, bottom = 18.1 - 2 * under, 18.1 + 2 * 0.1 * tan(radians(8))
    assert p.removed("left") == pytest.approx((mouth + bottom) / 2 * 6.1 * 300)
    # the low side of the tongue rests on that of the groove, and both shoulders on the board's face
    slope = (-np.sin(radians(8)), 0.0, np.cos(radians(8)))
    assert p.area("left", "shelf", tuple(slope)) == pytest.approx(6 / np.cos(radians(8)) * 300, rel=1e-6)
    assert p.area("left", "shelf", (1, 0, 0)) == pytest.approx((2 * under - 0.1) * 300, rel=1e-6)


@settings(max_examples=10, deadline=None)
@given(
    st.floats(2, 9),
    st.floats(4, 15),
    st.sampled_from([0.0, 20.0]),
    st.sampled_from(["front", "back"]),
    st.sampled_from([0.0, 0.1, 0.2]),
    st.sampled_from([0.0, 25.0]),
)
def test_any_size_fits_and_shares_no_place(depth, degrees, stop, side, fit, front):
    d = bay(front=front, fit=fit)
    try:
        joined(d, sliding_dovetail(depth, degrees=degrees, stop=stop, slides_from=side))
    except InputError as error:
        assert "neck" in str(error) or "undercut" in str(error)
        return
    p = prove(d)
    assert {j.home for j in p.piece.joints} == {(0.0, 1.0 if side == "front" else -1.0, 0.0)}


@pytest.mark.parametrize(
    ("joint", "home", "travel"),
    [
        (sliding_dovetail(), (0, -1, 0), 300),
        (sliding_dovetail(slides_from="front"), (0, 1, 0), 300),
        # notched 20 mm and the allowance behind the front edge
        (sliding_dovetail(stop=20), (0, -1, 0), 279.9),
    ],
)
def test_it_comes_home_along_the_groove(joint, home, travel):
    piece = joined(bay(), joint).done()
    for one in piece.joints:
        assert one.home == pytest.approx(home)
        assert one.travel_mm == pytest.approx(travel)
        assert one.joinery is Joinery.SLIDING_DOVETAIL
        assert Fact.CARRIES_BY_ITS_SHAPE in one.facts


def overlaps_when_moved(piece, way, mm) -> bool:
    scene = scene_of(light_contacts(piece).scene.model)
    moved = [
        c.__class__(c.label, c.part, _shifted(c.matrix, way, mm) if c.label == "shelf" else c.matrix, c.path)
        for c in scene.model.instances
    ]
    model = scene.model.__class__(scene.model.name, scene.model.parts, tuple(moved), scene.model.walls)
    return bool(find_interference(scene_of(model), 0.001).overlaps)


def _shifted(matrix, way, mm):
    out = matrix.copy()
    out[:3, 3] += np.array(way) * mm
    return out


def shelf_in_one_side(joint):
    d = Draft("bay")
    d.board("left", PLY, (0, 0, 0), (T, 300, 400), grain="z")
    d.board("shelf", PLY, (T, 0, 100), (T + 600, 300, 100 + T), grain="x")
    d.join("left", "shelf", joint)
    return d.done()


def test_it_can_not_be_drawn_out_but_slides():
    piece = shelf_in_one_side(sliding_dovetail())
    assert overlaps_when_moved(piece, (1, 0, 0), 3.0)
    assert not overlaps_when_moved(piece, (0, 1, 0), 3.0)
    assert not overlaps_when_moved(piece, (0, -1, 0), 3.0)
    # a plain housing lets go
    assert not overlaps_when_moved(shelf_in_one_side(housing()), (1, 0, 0), 3.0)


@pytest.mark.parametrize(("stop", "side", "way"), [(20.0, "back", (0, -1, 0)), (20.0, "front", (0, 1, 0))])
def test_the_order_of_assembly_slides_it_in(stop, side, way):
    piece = joined(bay(), sliding_dovetail(stop=stop, slides_from=side)).done()
    light = light_contacts(piece)
    path = find_load_path(piece, light.contacts, light.support.grounded)
    order = find_assembly_order(piece, light.scene, light.contacts, path)
    assert not order.locked
    last = next(s for s in order.steps if "shelf" in s.parts and s.way is not None)
    assert last.way == pytest.approx(way)
    assert last.joints == ("sliding dovetail",)


def test_a_whole_piece_passes_its_checks():
    d = joined(bay(), sliding_dovetail(stop=20))
    d.board("top", PLY, (0, 0, 400), (636, 300, 418), grain="x")
    for side in ("left", "right"):
        d.join("top", side, dowelled())
    made = make_piece(d.done(), MakeOptions(formats=("step", "stl", "3mf", "glb")))
    assert not [f for f in made.findings if f.status == "fail"]


def test_a_divider_stands_in_a_dovetail():
    """Upright, its shoulders bear; both sides of the groove are eased."""
    d = Draft("stand")
    d.board("shelf", PLY, (0, 0, 0), (600, 300, T), grain="x")
    d.board("divider", PLY, (291, 0, T), (309, 300, 300), grain="z")
    d.join("shelf", "divider", sliding_dovetail())
    p = prove(d)
    under = 6 * tan(radians(8))
    assert p.area("shelf", "divider") == pytest.approx((2 * under - 0.2) * 300, rel=1e-6)


def test_a_nosed_shelf_slides_into_a_stopped_dovetail():
    oak = find_stock("oak-panel-18@18")
    d = Draft("bay")
    d.board("left", PLY, (0, 0, 0), (T, 300, 400), grain="z")
    d.place("shelf", bullnose(600, 300, T), oak, Pose.at(T, 0.0, 100.0))
    with pytest.raises(InputError, match="shaped edge of shelf"):
        d.join("left", "shelf", sliding_dovetail())
    d.join("left", "shelf", sliding_dovetail(stop=12))
    prove(d)


def test_a_nosing_may_stand_out_in_front_of_a_dovetail():
    d = Draft("bay")
    d.board("left", PLY, (0, 0, 0), (T, 300, 400), grain="z")
    d.place("shelf", bullnose(600, 315, T), PLY, Pose.at(T, -15.0, 100.0))
    d.join("left", "shelf", sliding_dovetail())
    prove(d)


def test_its_stiffness_lies_between_housing_and_tenon():
    for glued in (False, True):
        mine, loose, firm = (find_turning(k, glued=glued) for k in ("sliding dovetail", "housing", "tenon"))
        assert loose.low <= mine.low <= mine.design <= mine.high <= firm.high
        assert loose.design <= mine.design <= firm.design


@pytest.mark.parametrize(
    ("joint", "says"),
    [
        ({"depth": 10}, "at most 9.0 mm"),
        ({"depth": -1}, "more than 0"),
        ({"degrees": 14, "depth": 9, "thin": True}, "too thin at its neck"),
        ({"stop": -1}, "must be 0 or more"),
        ({"stop": 300}, "leaves nothing of the groove"),
    ],
)
def test_sizes_that_do_not_fit_are_refused(joint, says):
    d = Draft("bay", fit_mm=0.1)
    d.board("left", PLY, (0, 0, 0), (T, 300, 400), grain="z")
    thin = find_stock("birch-ply-6.5@6.5") if joint.pop("thin", False) else PLY
    d.board("shelf", thin, (T, 0, 100), (600, 300, 100 + thin.thickness_mm), grain="x")
    with pytest.raises(InputError, match=says):
        d.join("left", "shelf", sliding_dovetail(**joint))


@pytest.mark.parametrize(
    ("words", "says"),
    [({"slides_from": "top"}, "front, back"), ({"degrees": 0}, "20°"), ({"degrees": 30}, "20°")],
)
def test_words_and_angles_that_are_none_are_refused(words, says):
    with pytest.raises(InputError, match=says):
        sliding_dovetail(**words)


def test_an_allowance_wider_than_the_undercut_holds_nothing():
    d = bay(fit=1.0)
    with pytest.raises(InputError, match="undercut"):
        d.join("left", "shelf", sliding_dovetail())


def test_its_example_runs():
    assert doctest.testmod(module).failed == 0
