"""Balloons: aligned, apart, each once, their leaders never crossing (ISO 6433)."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from furnigen.core.errors import InputError
from furnigen.drawings.balloons import PITCH, Callout, capacity, placed_balloons, segments_cross

BOTTOM, TOP, INNER = 20.0, 200.0, (40.0, 160.0)
points = st.tuples(st.floats(41, 159), st.floats(20, 200)).map(lambda p: (round(p[0], 1), round(p[1], 1)))


@given(st.lists(points, min_size=1, max_size=capacity(TOP - BOTTOM), unique=True))
def test_leaders_never_cross_and_balloons_stand_in_columns(anchors):
    callouts = [Callout(str(n), "1 x", at) for n, at in enumerate(anchors, 1)]
    found = placed_balloons(callouts, BOTTOM, TOP, INNER)
    assert [b.callout for b in found] == callouts
    assert len({b.centre[0] for b in found}) <= 2
    for one, other in combinations(found, 2):
        assert not segments_cross(one.callout.at, one.knee, other.callout.at, other.knee)
        if one.outward == other.outward:
            assert abs(one.centre[1] - other.centre[1]) >= PITCH - 1e-9
    for b in found:
        assert BOTTOM <= b.centre[1] <= TOP
        assert b.leader[0] == b.callout.at


def test_more_balloons_than_fit_are_refused_with_how_many_do():
    most = capacity(TOP - BOTTOM)
    callouts = [Callout(str(n), "", (50.0 + n, 50.0 + n / 3)) for n in range(most + 1)]
    with pytest.raises(InputError, match=str(most)):
        placed_balloons(callouts, BOTTOM, TOP, INNER)


def test_crossing_is_told_from_touching_and_passing():
    assert segments_cross((0, 0), (10, 10), (0, 10), (10, 0))
    assert not segments_cross((0, 0), (10, 0), (0, 1), (10, 1))
    assert not segments_cross((0, 0), (10, 10), (0, 0), (10, 0))
