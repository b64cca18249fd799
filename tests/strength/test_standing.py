"""Standing against the worked examples of the facts sheet (ordinary statics), and balance of moments."""

from math import asin, cos, degrees, inf, isclose, radians, sin, tan

import numpy as np
import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st
from strength_facts import POUND, G, check

from furnigen.core.errors import InputError
from furnigen.formats.report import SAFETY_NOTE
from furnigen.strength.formulas.tip_tests import find_test, list_tests, run_test
from furnigen.strength.formulas.tipping import (
    Mass,
    centre_of,
    convex_hull,
    find_tipping_stability,
    should_anchor,
    tip_over_line,
)
from furnigen.strength.solver.load_sharing import inverse_inertia, load_shares

CHILD = 60 * POUND * G


def bookcase(kg: float):  # type: ignore[no-untyped-def]
    """stability.md A: 1800 x 800 x 300 mm of even density."""
    feet = [(0.0, 0.0), (800.0, 0.0), (800.0, 300.0), (0.0, 300.0)]
    return find_tipping_stability([Mass(kg, (400.0, 150.0, 900.0))], feet)


def test_bookcase_of_the_facts_sheet() -> None:
    row = check("TIP-1")
    loaded = bookcase(85.0).side("front")[0]
    assert abs(loaded.pull_n(1800.0) - float(row["expected"])) <= float(row["tolerance"])
    row = check("TIP-2")
    assert abs(loaded.tilt_degrees - float(row["expected"])) <= float(row["tolerance"])
    empty = bookcase(25.0).side("front")[0]
    assert abs(empty.pull_n(1800.0) - 20.43) < 0.005
    assert abs(empty.resisting - 36775) < 1
    assert bookcase(25.0).weakest.side == "front"
    assert [e.side for e in bookcase(1.0).edges] == ["front", "right", "back", "left"]
    # E: a child hanging 100 mm in front of the loaded case: factor 4.68
    held = tip_over_line(bookcase(85.0), loaded, weight_n=CHILD, weight_at=(400.0, -100.0, 900.0))
    assert abs(held.factor - 4.68) < 0.005
    assert not held.tips
    assert held.anchor_n(1500.0) == 0.0


def test_chest_of_the_facts_sheet() -> None:
    """B: centre of mass at 95 mm with drawers out, a child 350 mm in front."""
    row = check("TIP-3")
    shifted = centre_of([Mass(28.0, (0.0, 200.0, 0.0)), Mass(12.0, (0.0, 200.0 - 350.0, 0.0))])
    assert isclose(shifted.at[1], 95.0)
    feet = [(-300.0, 0.0), (300.0, 0.0), (300.0, 450.0), (-300.0, 450.0)]
    chest = find_tipping_stability([Mass(40.0, (0.0, 95.0, 500.0))], feet)
    result = tip_over_line(
        chest, chest.side("front")[0], weight_n=27.2155 * G, weight_at=(0.0, -350.0, 600.0)
    )
    assert abs(result.anchor_n(900.0) - float(row["expected"])) <= float(row["tolerance"])
    assert result.tips
    assert abs(result.factor - 0.399) < 5e-4


def test_carpet_of_the_facts_sheet() -> None:
    """C: 457.2 mm deep, rear raised 10.92 mm: 1.369 degrees, a centre 381 mm up moves 9.10 mm."""
    feet = [(0.0, 0.0), (500.0, 0.0), (500.0, 457.2), (0.0, 457.2)]
    unit = find_tipping_stability([Mass(30.0, (250.0, 200.0, 381.0))], feet)
    raised = 0.43 * 25.4
    result = tip_over_line(unit, unit.side("front")[0], rear_raised=raised)
    slope = asin(raised / 457.2)
    assert abs(degrees(slope) - 1.369) < 5e-4
    assert abs(381 * sin(slope) - 9.10) < 5e-3
    assert isclose(result.resisting / (30 * G), 200 * (1 - slope**2 / 2) - 381 * sin(slope), abs_tol=1e-3)


def test_splayed_sideboard_of_the_facts_sheet() -> None:
    """D: legs 150 mm tall splayed 8 degrees: the base grows from 300 to 342.2 mm, d from 150 to 171.1."""
    out = 150 * tan(radians(8.0))
    feet = [(-out, -out), (900 + out, -out), (900 + out, 300 + out), (-out, 300 + out)]
    edge = find_tipping_stability([Mass(30.0, (450.0, 150.0, 400.0))], feet).side("front")[0]
    assert abs(edge.inside - 171.1) < 0.05
    assert abs(2 * edge.inside - 342.2) < 0.05


def test_a_piece_that_falls_by_itself() -> None:
    feet = [(0.0, 0.0), (100.0, 0.0), (100.0, 100.0), (0.0, 100.0)]
    front_heavy = find_tipping_stability([Mass(10.0, (50.0, -20.0, 500.0))], feet)
    edge = front_heavy.weakest
    assert edge.inside == -20.0
    assert edge.tilt_degrees < 0
    assert edge.pull_n(500.0) == 0.0
    assert tip_over_line(front_heavy, edge).tips
    assert edge.load_n((50.0, 50.0, 0.0)) == inf
    assert edge.pull_n(0.0) == inf


def test_test_loads() -> None:
    """Each by hand on the bookcase: 60 lb 20 mm in front, 10 lbf at 56 in, rear up 0.43 in."""
    case, edge = bookcase(25.0), (400.0, -20.0, 1200.0)
    results = {t.name: run_test(t, case, 1800.0, edge) for t in list_tests()}
    assert isclose(results["child"].factor, 25 * 150 / (60 * POUND * 20), rel_tol=1e-9)
    assert isclose(results["pull-top"].factor, 25 * 150 / (10 * POUND * 1422.4), rel_tol=1e-9)
    slope = asin(0.43 * 25.4 / 300)
    c, s = (1 - sin(slope) ** 2) ** 0.5, sin(slope)
    resisting, reach = 25 * (150 * c - 900 * s), 20 * c + 1200 * s
    assert isclose(results["carpet"].factor, resisting / (60 * POUND * reach), rel_tol=1e-9)
    assert isclose(results["early"].factor, 25 * 150 / (50 * POUND * 20), rel_tol=1e-9)
    assert results["pull-top"].tips is (10 * POUND * 1422.4 > 25 * 150)
    assert run_test(find_test("child"), case, 500.0, edge) is None
    assert all(t.source.text for t in list_tests())
    with pytest.raises(InputError, match="known tipping test"):
        find_test("elephant")


def test_when_to_anchor() -> None:
    assert "686 mm" in should_anchor(1800.0, 300.0)
    assert "times as tall" in should_anchor(600.0, 150.0)
    assert should_anchor(600.0, 300.0) == ""
    assert "Anchor" in SAFETY_NOTE
    assert "not certification" in SAFETY_NOTE
    assert "licensed practice" in SAFETY_NOTE


points = st.lists(st.tuples(st.floats(-500, 500), st.floats(-500, 500)), min_size=3, max_size=12)


@given(points)
@example([(0.0, 0.0), (1.0, 0.0), (1e-216, 1.0), (1e-279, -1.0)])  # noise must not order them
def test_hull_holds_every_foot(feet: list[tuple[float, float]]) -> None:
    corners = convex_hull(feet)
    assert set(corners) <= {(round(x, 6), round(y, 6)) for x, y in feet}
    if len(corners) > 2:
        for a, b in zip(corners, (*corners[1:], corners[0]), strict=True):
            for p in feet:
                turn = (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])
                assert turn >= -1e-5 * (abs(b[0] - a[0]) + abs(b[1] - a[1]))


@given(points, st.floats(1, 200), st.floats(-100, 100), st.floats(-100, 100))
def test_shares_of_feet_balance(feet: list[tuple[float, float]], kg: float, x: float, y: float) -> None:
    at = np.array(feet)
    arm = at - at.mean(0)
    # feet within a millimetre of one line hold nothing about it
    assume(np.linalg.eigvalsh(arm.T @ arm / len(feet))[0] > 1.01)
    loads = load_shares(feet, [1.0] * len(feet)) @ np.array([1.0, x, y]) * kg * G
    worst = np.abs(loads).max() + kg * G
    assert isclose(loads.sum(), kg * G, rel_tol=1e-6, abs_tol=1e-6 * worst)
    assert np.abs(loads @ at - kg * G * np.array([x, y])).max() < 1e-5 * worst * (np.abs(at).max() + 100)


@given(st.floats(0.0, 400.0), st.floats(0.0, 400.0), st.floats(0.0, 3.2))
def test_what_feet_hold_is_the_inverse_of_their_spread(long: float, wide: float, turned: float) -> None:
    """Along each principal way by itself; not along one that holds nothing."""
    way = np.array([[cos(turned), -sin(turned)], [sin(turned), cos(turned)]])
    values = np.array([long, wide]) ** 2
    least = max(1.0, 1e-6 * values.max())
    assume(np.abs(values - least).min() > 1e-3 * least)
    held = np.array([1 / v if v > least else 0.0 for v in values])
    assert np.allclose(inverse_inertia((way * values) @ way.T), (way * held) @ way.T, rtol=1e-8, atol=1e-12)


def test_four_feet_share_as_the_lever_says() -> None:
    feet = [(0.0, 0.0), (800.0, 0.0), (800.0, 300.0), (0.0, 300.0)]
    loads = load_shares(feet, [1.0] * 4) @ np.array([1.0, 400.0, 100.0])
    for load, share in zip(loads, (1 / 3, 1 / 3, 1 / 6, 1 / 6), strict=True):
        assert isclose(load, share, rel_tol=1e-9)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: find_tipping_stability([], [(0, 0), (1, 0), (0, 1)]), "mass"),
        (
            lambda: find_tipping_stability(
                [Mass(-1, (0, 0, 0)), Mass(3, (0, 0, 0))], [(0, 0), (1, 0), (0, 1)]
            ),
            "negative",
        ),
        (lambda: find_tipping_stability([Mass(1, (0, 0, 0))], []), "floor contacts = 0 points"),
        (lambda: find_tipping_stability([Mass(1, (0, 0, 0))], [(0, 0), (1, 1), (2, 2)]), "must span an area"),
        (lambda: tip_over_line(bookcase(9), bookcase(9).edges[0], weight_n=-1.0), "zero or more"),
        (lambda: tip_over_line(bookcase(9), bookcase(9).edges[0], rear_raised=400.0), "less than the 300 mm"),
        (lambda: tip_over_line(bookcase(9), bookcase(9).edges[0]).anchor_n(0.0), "anchor"),
        (lambda: should_anchor(100.0, 0.0), "depth"),
    ],
)
def test_what_can_not_stand_is_refused(call, words: str) -> None:  # type: ignore[no-untyped-def]
    with pytest.raises(InputError, match=words):
        call()
