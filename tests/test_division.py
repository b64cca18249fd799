"""Dividing a clear size: every rule, against sums done by hand and against what must always hold."""

from itertools import pairwise
from math import isclose

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from furnigen import (
    InputError,
    arithmetic,
    at_least,
    at_most,
    clear_sizes,
    equal_centres,
    equal_clear,
    fixed_pitch,
    geometric,
    levels,
    upright_places,
)

CLEAR = st.floats(50.0, 5000.0)
THICKNESS = st.floats(3.0, 60.0)
COUNT = st.integers(0, 60)
NOISE_MM = 1e-6
"""What sums of doubles over 5 m may err by; no maker can see it."""


def tried(call, *given):
    """What `call` makes of `given`, and its refusal: one of the two is None."""
    try:
        return call(*given), None
    except InputError as error:
        return None, error


def check_fills(division, clear, thickness):
    """Boards and openings alternate from end to end, nothing negative, nothing left over."""
    assert len(division.clear) == len(division.starts) + 1
    assert all(c > 0 for c in division.clear)
    at = 0.0
    for start, opening in zip(division.starts, division.clear, strict=False):
        assert isclose(start, at + opening, abs_tol=NOISE_MM)
        at = start + thickness
    assert isclose(at + division.clear[-1], clear, abs_tol=NOISE_MM)


@given(CLEAR, THICKNESS, COUNT)
def test_equal_clear_openings_are_equal_and_fill(clear, thickness, count):
    division, error = tried(equal_clear(count), clear, thickness)
    if error:
        assert count * thickness >= clear - NOISE_MM
        return
    check_fills(division, clear, thickness)
    assert max(division.clear) - min(division.clear) < NOISE_MM
    assert isclose(division.clear[0], (clear - count * thickness) / (count + 1))


@given(CLEAR, THICKNESS, COUNT)
@example(35.0, 10.0, 3)  # three boards fit by their sum, yet at equal centres they would overlap
def test_equal_centres_part_the_clear_size_equally_or_are_refused(clear, thickness, count):
    division, error = tried(equal_centres(count), clear, thickness)
    if error:
        step = clear / (count + 1)
        assert count > 0
        assert (step if count > 1 else clear) <= thickness + NOISE_MM
        return
    check_fills(division, clear, thickness)
    centres = [0.0, *(s + thickness / 2 for s in division.starts), clear]
    steps = [b - a for a, b in pairwise(centres)]
    assert max(steps) - min(steps) < NOISE_MM


@given(CLEAR, THICKNESS, st.floats(1.0, 3000.0))
def test_fixed_pitch_repeats_and_leaves_less_than_a_pitch(clear, thickness, pitch):
    division, error = tried(fixed_pitch(pitch), clear, thickness)
    if error:
        assert pitch <= thickness + NOISE_MM or pitch >= clear - NOISE_MM
        return
    check_fills(division, clear, thickness)
    assert all(isclose(c, pitch - thickness, abs_tol=NOISE_MM) for c in division.clear[:-1])
    assert division.clear[-1] <= pitch + NOISE_MM


@given(st.lists(st.floats(1.0, 500.0), max_size=8), THICKNESS, st.floats(-100.0, 800.0))
def test_listed_clear_sizes_stand_in_order_and_the_rest_comes_last(sizes, thickness, rest):
    clear = sum(sizes) + thickness * len(sizes) + rest
    assume(clear > 1)
    division, error = tried(clear_sizes(*sizes), clear, thickness)
    if error:
        assert rest <= NOISE_MM
        assert "clear sizes" in str(error)
        return
    check_fills(division, clear, thickness)
    assert division.clear[: len(sizes)] == tuple(sizes)
    assert len(division.starts) == (len(sizes) if rest > 0 else len(sizes) - 1)


def test_listed_clear_sizes_may_fill_the_opening_exactly():
    assert clear_sizes(200, 300)(518, 18).starts == (200,)


@given(CLEAR, THICKNESS, st.integers(0, 12), st.floats(0.3, 3.0))
def test_geometric_openings_grow_by_the_ratio(clear, thickness, count, ratio):
    assume(clear - count * thickness > 1)
    division = geometric(count, ratio)(clear, thickness)
    check_fills(division, clear, thickness)
    assert all(isclose(b / a, ratio, rel_tol=1e-9) for a, b in pairwise(division.clear))


@pytest.mark.parametrize("ratio", [0, -1, float("nan"), 1e300, 1e-300])
def test_geometric_refuses_ratios_that_leave_nothing(ratio):
    with pytest.raises(InputError, match=r"^ratio"):
        geometric(4, ratio)(900, 18)


@given(CLEAR, THICKNESS, st.integers(0, 12), st.floats(-60.0, 60.0))
def test_arithmetic_openings_grow_by_the_step_or_say_what_would(clear, thickness, count, step):
    assume(clear - count * thickness > 1)
    division, error = tried(arithmetic(count, step), clear, thickness)
    if error:
        assert error.what == "step"
        assert count > 0
        assert abs(step) * count * (count + 1) / 2 >= clear - count * thickness - NOISE_MM * 100
        return
    check_fills(division, clear, thickness)
    assert all(isclose(b - a, step, abs_tol=NOISE_MM) for a, b in pairwise(division.clear))


@given(CLEAR, THICKNESS, st.floats(5.0, 3000.0))
@example(100.0, 10.0, 100.0000005)  # the whole opening, but for noise
def test_at_least_fits_as_many_boards_as_can(clear, thickness, least):
    division, error = tried(at_least(least), clear, thickness)
    if error:
        assert least > clear
        return
    check_fills(division, clear, thickness)
    assert min(division.clear) >= least - NOISE_MM
    one_more = len(division.starts) + 1
    assert (clear - one_more * thickness) / (one_more + 1) < least


@given(CLEAR, THICKNESS, st.floats(5.0, 3000.0))
@example(clear=50.0, thickness=60.0, most=10.0)  # a board is thicker than the opening
def test_at_most_uses_as_few_boards_as_can(clear, thickness, most):
    division, error = tried(at_most(most), clear, thickness)
    if error:
        assert error.what == "largest clear size"
        return
    check_fills(division, clear, thickness)
    assert max(division.clear) <= most + NOISE_MM
    one_less = len(division.starts) - 1
    assert one_less < 0 or (clear - one_less * thickness) / (one_less + 1) > most


def test_hand_worked_divisions():
    """design.md: n boards of t in W leave (W - n t)/(n + 1). 1000 mm, three of 18: 236.5 mm each."""
    assert equal_clear(3)(1000, 18).clear == (236.5,) * 4
    assert equal_clear(3)(1000, 18).starts == (236.5, 491.0, 745.5)
    assert equal_centres(1)(500, 20).starts == (240.0,)
    # pitch from far face to far face: 32, 64 ... in 100 mm, boards of 2
    assert fixed_pitch(32)(100, 2).starts == (30, 62, 94)
    # 1 : 2 : 4 of 700
    assert geometric(2, 2)(700 + 36, 18).clear == (100, 200, 400)
    # 100, 150, 200
    assert arithmetic(2, 50)(450 + 36, 18).clear == (100, 150, 200)
    # 300 clear with boards of 18 in 1000: three openings need 936, four need 1254
    assert at_least(300)(1000, 18).starts == at_most(330)(1000, 18).starts == equal_clear(2)(1000, 18).starts


@pytest.mark.parametrize(
    ("rule", "clear", "thickness", "says"),
    [
        (equal_clear(9), 100, 18, "at most 5 would fit"),
        (equal_clear(-1), 100, 18, "must be 0 or more"),
        (equal_clear(10), 10 * 17.6 + 1e-9, 17.6, "at most 9 would fit"),  # noise is no room
        (equal_centres(3), 35, 10, "at most 2 would fit"),
        (fixed_pitch(18), 1000, 18, "must be more than the board thickness 18 mm"),
        (fixed_pitch(float("nan")), 1000, 18, "must be more than the board thickness 18 mm"),
        (fixed_pitch(1000), 1000, 18, "must be less than the clear size 1000.0 mm"),
        (clear_sizes(500, 600), 1000, 18, "may sum to less than 964.0 mm"),
        (clear_sizes(500, 0), 1000, 18, "must all be more than 0 mm"),
        (arithmetic(4, 100), 672, 18, "from -60.0 mm to 60.0 mm, ends left out, would fit"),
        (arithmetic(4, -100), 672, 18, "from -60.0 mm to 60.0 mm, ends left out, would fit"),
        (at_least(1001), 1000, 18, "must be at most 1000.0 mm"),
        (at_least(0), 1000, 18, "must be more than 0 mm"),
        (at_most(-5), 1000, 18, "must be more than 0 mm"),
        (
            at_most(5),
            10,
            18,
            "1 board of 18 mm would be needed and can not fit in 10.0 mm; 10.0 mm would fit",
        ),
        (at_most(float("nan")), 10, 18, "must be more than 0 mm"),
        (at_least(float("nan")), 10, 18, "must be more than 0 mm"),
    ],
)
def test_impossible_divisions_say_what_would_fit(rule, clear, thickness, says):
    with pytest.raises(InputError) as caught:
        rule(clear, thickness)
    assert says in str(caught.value)


# -- uprights and levels -----------------------------------------------------------------------


@given(CLEAR, THICKNESS, st.integers(2, 60))
def test_uprights_stand_flush_at_equal_steps_or_the_offer_fits(overall, thickness, count):
    places, error = tried(upright_places, overall, count, thickness)
    if error:
        most = int(error.fits.split()[2]) if error.fits.startswith("at most") else 1
        assert most < count
        if most > 1:
            upright_places(overall, most, thickness)
        # the offer is the most: one more is refused
        with pytest.raises(InputError):
            upright_places(overall, most + 1, thickness)
        return
    assert places[0] == 0.0
    assert isclose(places[-1] + thickness, overall)
    steps = [b - a for a, b in pairwise(places)]
    assert max(steps) - min(steps) < NOISE_MM
    assert min(steps) > thickness


def test_the_first_and_last_upright_are_flush():
    """design.md: a run of n uprights over an overall width is flush at both ends. (1818 - 18)/3 = 600."""
    assert upright_places(1818, 4, 18) == (0.0, 600.0, 1200.0, 1800.0)
    with pytest.raises(InputError, match="must be 2 or more"):
        upright_places(1818, 1, 18)
    with pytest.raises(InputError, match="at most 9 would fit"):
        upright_places(95, 12, 10)  # steps of 85/8 = 10.625 mm


@given(
    st.floats(300.0, 3000.0), st.integers(1, 40), st.floats(0.0, 2000.0), st.floats(0.0, 2000.0), THICKNESS
)
def test_levels_keep_their_ends_and_their_steps(height, count, first, below_top, thickness):
    undersides, error = tried(levels, height, count, first, below_top, thickness)
    if error:
        assert error.what in ("first", "number of shelves")
        if error.fits.startswith("at most"):
            most = int(error.fits.split()[2])
            assert most < count
            levels(height, most, first, below_top, thickness)
        return
    assert len(undersides) == count
    assert undersides[0] == first
    if count > 1:
        assert isclose(undersides[-1] + thickness + below_top, height)
        steps = [b - a for a, b in pairwise(undersides)]
        assert max(steps) - min(steps) < NOISE_MM
        assert min(steps) > thickness


def test_levels_by_hand():
    """First 200 above the floor, last 182 below 1800 with 18 mm shelves: 200, 666.67, 1133.33, 1600."""
    assert levels(1800, 4, 200, 182, 18) == pytest.approx((200, 200 + 1400 / 3, 200 + 2800 / 3, 1600))
    assert levels(1800, 1, 200, 182, 18) == (200,)
    with pytest.raises(InputError, match="must be 1 or more"):
        levels(1800, 0, 200, 182, 18)
    with pytest.raises(InputError, match="must be at most 1782"):
        levels(1800, 2, 1790, 0, 18)
