"""The distances a maker measures: shelves to tops or undersides, legs by lean or by foot, insets."""

import doctest
from importlib import import_module
from itertools import pairwise
from math import cos, radians, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from furnigen import (
    INSETS_TO,
    SHELF_FACES,
    Box,
    Draft,
    InputError,
    find_stock,
    foot_out,
    four_legs,
    lean_to_foot,
    legs_on_blocks,
    levels,
    levels_at_pitch,
    room_under,
    upright_places,
)

BLANK = find_stock("beech-blank-50")
CASE = Box((0, 0, 400), (900, 500, 700))


@pytest.mark.parametrize(
    "name",
    [
        "core.asked",
        "joints.chosen",
        "recipes.parameters",
        "drafting.bays",
        "drafting.case",
        "drafting.legs",
        "drafting.levels",
        "drafting.ring_frames",
        "drafting.shelf_supports",
    ],
)
def test_examples_in_docstrings_run(name):
    module = import_module(f"furnigen.{name}")
    assert doctest.testmod(module).failed == 0


# -- shelves -----------------------------------------------------------------------------------


@given(
    st.floats(600, 3000),
    st.integers(1, 8),
    st.floats(40, 300),
    st.floats(40, 300),
    st.floats(5, 40),
    st.sampled_from(SHELF_FACES),
    st.sampled_from(SHELF_FACES),
)
def test_levels_stand_where_they_were_measured(height, count, first, below_top, thick, first_to, last_to):
    try:
        found = levels(height, count, first, below_top, thick, last_to, first_to=first_to)
    except InputError as error:
        assert error.what in ("first", "number of shelves")
        return
    assert found[0] + (thick if first_to == "top" else 0) == pytest.approx(first)
    if count > 1:
        assert found[-1] + (thick if last_to == "top" else 0) == pytest.approx(height - below_top)
    steps = [b - a for a, b in pairwise(found)]
    assert all(step == pytest.approx(steps[0]) and step > thick for step in steps)


@given(st.floats(20, 400), st.floats(50, 600), st.floats(5, 40), st.sampled_from(SHELF_FACES))
def test_at_a_pitch_as_many_shelves_stand_as_fit(first, pitch, thick, first_to):
    found = levels_at_pitch(1800, first, pitch, thick, first_to=first_to) if first >= thick else ()
    for a, b in pairwise(found):
        assert b - a == pytest.approx(pitch)
    if found:
        assert found[-1] + thick <= 1800 + 1e-3 < found[-1] + pitch + thick + 2e-3
        assert found[0] + (thick if first_to == "top" else 0) == pytest.approx(first)


@pytest.mark.parametrize(
    ("given", "says"),
    [
        ({"pitch": 18}, "pitch = 18 mm: must be more than the shelf's 18 mm"),
        ({"first": 990}, "first = 990 mm: must be at most 982.0 mm, below the top"),
        ({"first": 1001, "first_to": "top"}, "first = 1001 mm: must be at most 1000.0 mm, below the top"),
        ({"first": 10, "first_to": "top"}, "first = 10 mm: must be at least 18 mm, the first shelf's top"),
        ({"count": 4}, "number of shelves = 4: must be from 1 to 3 at a pitch of 300 mm"),
        ({"count": 0}, "number of shelves = 0: must be from 1 to 3"),
        ({"first_to": "front"}, "first shelf measured to its = front: must be top or underside"),
    ],
)
def test_a_pitch_that_does_not_fit_is_refused(given, says):
    with pytest.raises(InputError) as caught:
        levels_at_pitch(**({"height": 1000, "first": 100, "pitch": 300, "thickness": 18} | given))
    assert str(caught.value).startswith(says)


def test_shelves_stay_below_a_top_rail():
    assert levels(1000, 2, 100, 60, 18, rail=60) == (100, 922)
    with pytest.raises(InputError, match="below_top = 50 mm: must be at least 60 mm, the top rail"):
        levels(1000, 2, 100, 50, 18, rail=60)
    with pytest.raises(InputError, match="must be at least 78 mm, the top rail and the shelf"):
        levels(1000, 2, 100, 70, 18, "underside", rail=60)
    with pytest.raises(InputError, match=r"first = 950 mm: must be at most 922\.0 mm, below the top rail"):
        levels(1000, 1, 950, 0, 18, rail=60)


@pytest.mark.parametrize(
    ("heights", "sizes", "says"),
    [
        ((50.0,), {"rail": 60}, "first = 50 mm: must be at least 60 mm, the bottom rail"),
        ((80.0,), {"rail": 60}, "leaves no room for a bearer of 40 mm above the bottom rail; 60 mm, on the"),
        ((30.0,), {}, "above the floor; at least 40 mm would fit"),
        (
            (100.0, 150.0),
            {},
            "number of shelves = 2: leave 32.0 mm between them, less than a bearer of 40 mm",
        ),
    ],
)
def test_shelves_without_room_for_what_carries_them_are_refused(heights, sizes, says):
    with pytest.raises(InputError) as caught:
        room_under(heights, 18, 40, "bearer", **sizes)
    assert says in str(caught.value)


def test_a_shelf_on_the_bottom_rail_needs_no_room_and_cleats_beside_a_frame_stand_on_the_floor():
    room_under((60.0, 500.0), 18, 40, "bearer", rail=60)
    room_under((70.0, 500.0), 18, 40, "cleat", rail=60, above_rail=False)
    with pytest.raises(InputError, match="at least 100 mm"):
        room_under((70.0, 500.0), 18, 40, "cleat", rail=60)


# -- uprights ----------------------------------------------------------------------------------


@given(st.floats(500, 6000), st.integers(2, 12), st.floats(10, 60), st.floats(0, 400))
def test_uprights_stand_an_overhang_in_from_both_ends(overall, count, thick, overhang):
    try:
        found = upright_places(overall, count, thick, overhang=overhang)
    except InputError as error:
        assert error.what in ("overhang", "number of uprights")
        return
    assert found[0] == pytest.approx(overhang)
    assert found[-1] + thick == pytest.approx(overall - overhang)
    assert all(b - a > thick for a, b in pairwise(found))


def test_uprights_without_a_run_between_them_are_refused():
    with pytest.raises(
        InputError, match=r"overhang = 280 mm: leaves a run of 40\.0 mm .*less than 280\.0 mm"
    ):
        upright_places(600, 2, 20, overhang=280)
    with pytest.raises(InputError, match=r"number of uprights = 9: .*uprights of less than 22\.2 mm"):
        upright_places(200, 9, 30)


# -- legs --------------------------------------------------------------------------------------


@given(st.floats(50, 900), st.floats(0, 200))
def test_the_lean_of_a_leg_and_how_far_its_foot_stands_out_are_one(height, out):
    lean = lean_to_foot(height, out)
    assert foot_out(height, lean) == pytest.approx(out, abs=1e-9)
    assert tan(radians(lean)) == pytest.approx(out / height)


def test_a_lean_needs_a_height():
    with pytest.raises(InputError, match="leg height = 0 mm: must be more than 0 mm"):
        lean_to_foot(0, 50)


@pytest.mark.parametrize("kind", ["turned", "square"])
@pytest.mark.parametrize(("rake", "splay"), [(0, 0), (0, 12), (6, 0), (8, 11)])
def test_the_foot_of_a_leg_stands_where_its_inset_says(kind, rake, splay):
    """Inset to the foot's outer edge: the legs as placed reach to just that far from the case's edges."""
    draft = Draft("legs")
    sizes = {"kind": kind, "top": 30, "foot": 30, "inset": 20, "rake": rake, "splay": splay}
    labels = four_legs(draft, find_stock("beech-blank-50"), CASE, **sizes, inset_to="foot")
    boxes = [draft.box(label) for label in labels]
    assert min(b.lo[0] for b in boxes) == pytest.approx(20)
    assert max(b.hi[0] for b in boxes) == pytest.approx(880)
    assert min(b.lo[1] for b in boxes) == pytest.approx(20)
    assert max(b.hi[1] for b in boxes) == pytest.approx(480)


@pytest.mark.parametrize(("kind", "half"), [("turned", 20), ("square", 20)])
def test_an_inset_to_the_top_of_upright_legs_is_half_a_leg_less(kind, half):
    sizes = {"kind": kind, "top": 40, "foot": 25}
    axis, top = Draft("axis"), Draft("top")
    four_legs(axis, BLANK, CASE, **sizes, inset=60)
    four_legs(top, BLANK, CASE, **sizes, inset=60 - half, inset_to="top")
    for corner in ("front.left", "back.right"):
        a, b = axis.box(f"leg.{corner}"), top.box(f"leg.{corner}")
        assert [*a.lo, *a.hi] == pytest.approx([*b.lo, *b.hi])


def test_the_top_of_a_leaning_square_leg_is_wider_than_square_across():
    """Cut level, a side square to the axis measures side / cos(lean): 40 / cos 10° = 40.617 mm."""
    axis, top = Draft("axis"), Draft("top")
    sizes = {"kind": "square", "top": 40, "foot": 40, "splay": 10}
    four_legs(axis, BLANK, CASE, **sizes, inset=60)
    four_legs(top, BLANK, CASE, **sizes, inset=60 - 20 / cos(radians(10)), inset_to="top")
    assert axis.box("leg.front.left").lo[0] == pytest.approx(top.box("leg.front.left").lo[0], abs=1e-6)


@pytest.mark.parametrize("inset_to", INSETS_TO)
def test_blocks_sit_over_the_axes_of_their_legs(inset_to):
    draft = Draft("blocks")
    draft.board("bottom", find_stock("birch-ply-18-2440"), (0, 0, 400), (900, 500, 417.6), grain="x")
    legs, blocks = legs_on_blocks(
        draft,
        "bottom",
        BLANK,
        find_stock("beech-6-4"),
        top=40,
        foot=25,
        inset=60,
        rake=5,
        splay=9,
        block=80,
        inset_to=inset_to,
    )
    piece = draft.done()
    for leg, block in zip(legs, blocks, strict=True):
        middle = piece.bounds_of(piece.placement(block)).centre
        assert piece.placement(leg).label == leg
        assert middle[:2] == pytest.approx(draft._items[leg].pose.origin[:2])


def test_what_an_inset_can_be_measured_to_is_said():
    with pytest.raises(InputError, match="leg inset to = side: must be one of axis, top, foot"):
        four_legs(Draft("a"), BLANK, CASE, top=40, foot=25, inset=60, inset_to="side")
