"""Boards drawn out from a profile are the same solids that a boolean cuts."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
from proving import PLY

from furnigen.errors import GeometryError
from furnigen.kernel import solids as kernel
from furnigen.kernel.measure import measure
from furnigen.parts.cuts import Bore, BoxCut
from furnigen.parts.forms import mitred, rectangle
from furnigen.parts.part import Part
from furnigen.parts.profile import grooved_profile
from furnigen.pose import Pose

LENGTH, WIDTH, THICK = 400.0, 120.0, 18.0
BOARD = rectangle(LENGTH, WIDTH, THICK)


def groove(x, wide, z, deep):
    return BoxCut(Pose.at(x, 0.0, z), (wide, WIDTH, deep), "housing")


def tenths(lo, hi):
    """Sizes in tenths of a millimetre: what is closer than a ten thousandth counts as one."""
    return st.integers(10 * lo, 10 * hi).map(lambda n: n / 10)


places = tenths(-10, 395)


@settings(max_examples=20, deadline=None)
@given(st.lists(st.tuples(places, tenths(1, 60), st.booleans(), tenths(1, 8)), min_size=1, max_size=5))
def test_profile_against_boolean(grooves):
    cuts = tuple(groove(x, wide, -1.0 if low else THICK - deep, deep + 1.0) for x, wide, low, deep in grooves)
    drawn = grooved_profile(BOARD, cuts)
    assert drawn is not None
    assert drawn[2] == ()
    one = measure(kernel.solid(Part("board", BOARD, PLY, cuts)))
    tools = [kernel._tool(c, BOARD) for c in cuts]
    two = measure(kernel._boolean(BRepAlgoAPI_Cut(), kernel._form_solid(BOARD), tools))
    assert one.volume_mm3 == pytest.approx(two.volume_mm3, rel=1e-10)
    assert one.centroid_mm == pytest.approx(two.centroid_mm, abs=1e-7)
    assert one.box.lo == pytest.approx(two.box.lo, abs=1e-6)
    assert one.box.hi == pytest.approx(two.box.hi, abs=1e-6)


@pytest.mark.parametrize("axis", [0, 1, 2])
def test_grooves_along_any_axis_leave_the_other_cuts_to_the_boolean(axis):
    lo, size = [10.0, 10.0, 10.0], [6.0, 6.0, 6.0]
    lo[axis], size[axis] = -1.0, BOARD.blank_mm[axis] + 2.0
    lo[(axis + 1) % 3], size[(axis + 1) % 3] = -5.0, 12.0
    through = BoxCut(Pose.at(*lo), tuple(size), "lap")
    hole = Bore((300.0, 60.0, THICK), (0.0, 0.0, -1.0), 8.0, 10.0)
    found = grooved_profile(BOARD, (through, hole))
    assert found is not None
    assert (found[0], found[2]) == (axis, (hole,))
    assert len(found[1]) == 8


@pytest.mark.parametrize(
    ("form", "cut"),
    [
        (mitred(LENGTH, WIDTH, THICK), groove(100, 18, 12, 6)),  # no rectangle
        (BOARD, BoxCut(Pose.at(100, 20, 12), (18, 100, 6))),  # stopped
        (BOARD, BoxCut(Pose.at(100, 20, 0), (30, 30, THICK))),  # a hole in the middle: two loops
        (BOARD, BoxCut(Pose.turned("z", 10.0, (100, 0, 12)), (18, 300, 6))),  # askew
    ],
)
def test_what_is_no_profile_is_left_whole_to_the_boolean(form, cut):
    assert grooved_profile(form, (cut,)) is None


def test_a_board_cut_in_two_is_refused():
    with pytest.raises(GeometryError, match="its cuts leave 2 pieces"):
        kernel.solid(Part("board", BOARD, PLY, (groove(100, 18, -1, 20),)))
