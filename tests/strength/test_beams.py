"""Beams against printed tables, worked examples and closed forms; the source stands beside each row.

tests/facts/strength_beams.csv has unit length (of one span), EI and load, so results are coefficients.
tests/facts/strength_checks.csv is copied from the project's facts with its provenance.
"""

from dataclasses import replace
from itertools import pairwise
from math import inf, isclose, sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st
from strength_facts import INCH, LB_FT, PSF, PSI, G, check, inputs, rows

from furnigen.core.errors import InputError
from furnigen.strength.solver.beam import (
    Beam,
    BeamResult,
    BeamSupport,
    PointLoad,
    SpreadLoad,
    bearing_places,
    solve_beams,
)


def unit_beam(row: dict[str, str]) -> Beam:
    supports = tuple(
        BeamSupport(float(s.rstrip("c")), inf if s.endswith("c") else 0.0) for s in row["supports"].split(";")
    )
    spread = tuple(SpreadLoad(*map(float, s.split(":"))) for s in row["spread"].split(";") if s)
    points = tuple(PointLoad(*map(float, s.split(":"))) for s in row["points"].split(";") if s)
    ends = [s.at for s in supports] + [s.end for s in spread] + [p.at for p in points]
    return Beam(max(ends), 1.0, supports, spread, points)


def result_of(beam: Beam) -> BeamResult:
    (result,) = solve_beams([beam])
    assert result is not None
    return result


def deflection(result: BeamResult, at: float) -> float:
    return min(result.line, key=lambda p: abs(p[0] - at))[1]


def quantity(result: BeamResult, name: str) -> float:
    if name.startswith("reaction"):
        return result.reactions[int(name.split()[1])]
    if name.startswith("deflection@"):
        return deflection(result, float(name.split("@")[1]))
    if name == "lift":
        return max(s.up for s in result.segments)
    if name == "end turn":
        x0, y0 = result.line[0]
        end = next(p for p in result.line if p[0] > x0)
        return (end[1] - y0) / (end[0] - x0)
    return float(getattr(result, name))


@pytest.mark.parametrize("row", rows("strength_beams"), ids=lambda r: f"{r['case']}, {r['quantity']}")
def test_tabulated_coefficients(row: dict[str, str]) -> None:
    got = quantity(result_of(unit_beam(row)), row["quantity"])
    if row["quantity"] == "end turn":  # the overhang itself curves: its chord turns by w x^3 / 6 EI
        assert abs(got) < 2e-5
    else:
        assert abs(got - float(row["expected"])) <= float(row["tolerance"])


COEFFICIENT_BEAMS = {
    "COEF01": ("0;1", "0:1:1", None),
    "COEF02": ("0c;1c", "0:1:1", None),
    "COEF03": ("0;1;2", "0:2:1", None),
    "COEF04": ("0;1;2", "0:1:1", None),
    "COEF05": ("0;1;2;3", "0:3:1", None),
    "COEF06": ("0;1;2;3", "0:3:1", 1.5),
    "COEF07": ("0;1;2;3", "0:1:1;2:3:1", None),
    "COEF08": ("0;1;2;3", "1:2:1", None),
    "COEF09": ("0;1;2;3;4", "0:4:1", None),
    "COEF10": ("0c", "0:1:1", None),
}


@pytest.mark.parametrize("name", COEFFICIENT_BEAMS)
def test_published_coefficients(name: str) -> None:
    supports, spread, at = COEFFICIENT_BEAMS[name]
    row = check(name)
    result = result_of(unit_beam({"supports": supports, "spread": spread, "points": ""}))
    got = result.sag if at is None else deflection(result, at)
    assert abs(got - float(row["expected"])) <= float(row["tolerance"])


def test_overhang_of_least_sag_and_airy_points() -> None:
    best, airy = check("OVER-1"), check("OVER-2")
    result = result_of(unit_beam({"supports": "0.22315;0.77685", "spread": "0:1:1", "points": ""}))
    assert abs(result.sag - float(best["expected"])) <= float(best["tolerance"])
    assert abs(deflection(result, 0.0) - deflection(result, 0.5)) < 1e-6
    a = inputs({"inputs": airy["inputs"].replace("supports ", "a=")})["a"]
    from furnigen.strength.solver.beam import pad_beams
    from furnigen.strength.solver.one_sided_supports import solve_one_sided

    beam = unit_beam({"supports": f"{a};{1 - a}", "spread": "0:1:1", "points": ""})
    # turn at the end = turn at the support less what the overhang bends back, w a^3 / 6 EI
    end_turn = solve_one_sided(pad_beams([beam])).turn[0, 0] - a**3 / 6
    assert abs(end_turn - float(airy["expected"])) <= float(airy["tolerance"])


@pytest.mark.parametrize("row", rows("strength_checks", "AWS"), ids=lambda r: r["id"])
def test_span_table_of_the_woodwork_standard(row: dict[str, str]) -> None:
    """The printed length is the longest that meets L/144, rounded down to the inch (one row up by 0.02)."""
    v = inputs(row)
    ei = v["E_psi"] * PSI * INCH * (v["t_in"] * INCH) ** 3 / 12  # of a strip an inch wide
    load = v["q_psf"] * PSF * INCH

    def sag_share(length: float) -> float:
        beam = Beam(length, ei, (BeamSupport(0.0), BeamSupport(length)), (SpreadLoad(0.0, length, load),))
        return result_of(beam).sag / length

    # sag / L grows as L^3
    longest = 1000.0 * (1 / 144 / sag_share(1000.0)) ** (1 / 3) / INCH
    printed = float(row["expected"])
    assert printed - 0.05 <= longest < printed + 1
    assert isclose(sag_share(longest * INCH), 1 / 144, rel_tol=1e-9)


def test_validation_page() -> None:
    row = check("BEAM-1")
    beam = Beam(
        4800.0, 11000.0 * 7119e4, (BeamSupport(0.0), BeamSupport(4800.0)), (SpreadLoad(0.0, 4800.0, 2.4),)
    )
    assert abs(result_of(beam).sag - float(row["expected"])) <= float(row["tolerance"])


def test_shelves_worked_by_hand() -> None:
    row = check("SAG-1")
    ei = 10900 * 11.25 * INCH * (0.75 * INCH) ** 3 / 12
    length = 36 * INCH
    poplar = Beam(length, ei, (BeamSupport(0.0), BeamSupport(length)), (SpreadLoad(0.0, length, 20 * LB_FT),))
    assert abs(result_of(poplar).sag - float(row["expected"])) <= float(row["tolerance"])

    row = check("SAG-2")
    ei = 10048 * 300 * 18**3 / 12
    load = (SpreadLoad(0.0, 800.0, 40 * G / 800),)
    birch = Beam(800.0, ei, (BeamSupport(0.0), BeamSupport(800.0)), load)
    assert abs(result_of(birch).sag - float(row["expected"])) <= float(row["tolerance"])
    # beams.md 8.9: the same load over two spans of 800 mm
    twice = Beam(
        1600.0, ei, tuple(map(BeamSupport, (0.0, 800.0, 1600.0))), (SpreadLoad(0.0, 1600.0, 40 * G / 800),)
    )
    assert abs(result_of(twice).sag - 0.743) < 5e-4
    # beams.md 8.10: 1200 mm long on brackets 0.22315 of it from the ends, and at the ends
    on_brackets = Beam(
        1200.0, ei, (BeamSupport(267.78), BeamSupport(932.22)), (SpreadLoad(0.0, 1200.0, 40 * G / 800),)
    )
    assert abs(result_of(on_brackets).sag - 0.187) < 5e-4
    at_ends = Beam(
        1200.0, ei, (BeamSupport(0.0), BeamSupport(1200.0)), (SpreadLoad(0.0, 1200.0, 40 * G / 800),)
    )
    assert abs(result_of(at_ends).sag - 9.04) < 5e-3

    row = check("SAG-5")
    ei = 2500 * 300 * 18**3 / 12
    mdf = Beam(800.0, ei, (BeamSupport(0.0), BeamSupport(800.0)), (SpreadLoad(0.0, 800.0, 20 * 9.81 / 800),))
    assert abs(result_of(mdf).sag - float(row["expected"])) <= float(row["tolerance"])


@pytest.mark.parametrize("length", [1617.3 + 7.7 * n for n in range(12)])
def test_of_mirror_images_the_left_one_is_told(length: float) -> None:
    """Rounding does not choose between two spans alike, nor between the ends of a board."""
    middle = BeamSupport(length / 2)
    for supports in (
        (BeamSupport(0.0), middle, BeamSupport(length)),
        (BeamSupport(length), middle, BeamSupport(0.0)),
    ):
        result = result_of(Beam(length, 1.465e9, supports, (SpreadLoad(0.0, length, 0.5 / 3),)))
        assert isclose(result.moment_most_at, length * 3 / 16, rel_tol=1e-9)  # 3/8 of a span
        assert isclose(result.shear_most_at, length / 2, rel_tol=1e-9)
        assert result.sag_at < length / 2
    held = result_of(
        Beam(
            length,
            1.465e9,
            (BeamSupport(0.0, inf), BeamSupport(length, inf)),
            (SpreadLoad(0.0, length, 0.7),),
        )
    )
    assert (held.moment_least_at, held.shear_most_at) == (0.0, 0.0)


def test_books_on_four_supports() -> None:
    """A statics homework page: 19 books of 1 lb on a shelf with two supports at each end."""
    row = check("SHELF-REACT")
    length = 40 * INCH
    pounds = 19 / length
    result = result_of(
        Beam(length, 1e9, (BeamSupport(0.0), BeamSupport(length)), (SpreadLoad(0.0, length, pounds),))
    )
    assert all(isclose(r / 2, float(row["expected"]), rel_tol=1e-12) for r in result.reactions)


def test_shear_deflection_of_the_handbook() -> None:
    """Wood Handbook Eq. 9-2: shear adds ks W L / (G A'), ks of Table 9-1."""
    ei, ga, length = 2e9, 3e5, 900.0
    for supports, spread, points, kb, ks in (
        ((BeamSupport(0.0), BeamSupport(length)), (SpreadLoad(0.0, length, 1 / length),), (), 5 / 384, 1 / 8),
        (
            (BeamSupport(0.0, inf), BeamSupport(length, inf)),
            (SpreadLoad(0.0, length, 1 / length),),
            (),
            1 / 384,
            1 / 8,
        ),
        ((BeamSupport(0.0), BeamSupport(length)), (), (PointLoad(length / 2, 1.0),), 1 / 48, 1 / 4),
        (
            (BeamSupport(0.0, inf), BeamSupport(length, inf)),
            (),
            (PointLoad(length / 2, 1.0),),
            1 / 192,
            1 / 4,
        ),
        ((BeamSupport(0.0, inf),), (SpreadLoad(0.0, length, 1 / length),), (), 1 / 8, 1 / 2),
        ((BeamSupport(0.0, inf),), (), (PointLoad(length, 1.0),), 1 / 3, 1.0),
    ):
        result = result_of(Beam(length, ei, supports, spread, points, shear=ga))
        assert isclose(result.sag, kb * length**3 / ei + ks * length / ga, rel_tol=1e-9)


def test_spring_supports_lie_between_free_and_clamped() -> None:
    """Two springs k at the ends: the end moment is w L²/12 / (1 + 2 EI/(k L)) (slope-deflection, by hand)."""
    length, ei, w = 800.0, 1.5e9, 0.5
    for k in (1e4, 1e6, 1e8):
        ends = (BeamSupport(0.0, k), BeamSupport(length, k))
        result = result_of(Beam(length, ei, ends, (SpreadLoad(0.0, length, w),)))
        moment = w * length**2 / 12 / (1 + 2 * ei / (k * length))
        assert isclose(-result.moment_least, moment, rel_tol=1e-9)
        assert isclose(abs(result.held[0]), moment, rel_tol=1e-9)
        sag = 5 * w * length**4 / (384 * ei) - moment * length**2 / (8 * ei)
        assert isclose(result.sag, sag, rel_tol=1e-9)


# ---- boards that only lie on their supports


def test_a_loose_board_lifts_off_the_far_support() -> None:
    """One bay of two full: the far end would be held down by w L / 16; loose, it rises straight."""
    loose = tuple(BeamSupport(x, holds_down=False) for x in (0.0, 1.0, 2.0))
    result = result_of(Beam(2.0, 1.0, loose, (SpreadLoad(0.0, 1.0, 1.0),)))
    assert result.touching == (True, True, False)
    assert [round(r, 12) for r in result.reactions] == [0.5, 0.5, 0.0]
    assert isclose(result.sag, 5 / 384, rel_tol=1e-9)
    assert isclose(result.segments[-1].up, 1 / 24, rel_tol=1e-9)  # turn w L³/24 over one more span
    assert [s.kind for s in result.segments] == ["span", "overhang"]


def test_a_board_that_tips_off_is_said_to_fall() -> None:
    edge = (PointLoad(1000.0, 10.0),)
    loose = (BeamSupport(300.0, holds_down=False), BeamSupport(700.0, holds_down=False))
    assert solve_beams([Beam(1000.0, 1e9, loose, (), edge)]) == (None,)
    assert solve_beams([Beam(1000.0, 1e9, (BeamSupport(500.0),), (), edge)]) == (None,)
    assert solve_beams([Beam(1000.0, 1e9, (), (), edge)]) == (None,)
    assert solve_beams([Beam(1000.0, 1e9, (BeamSupport(300.0), loose[1]), (), edge)])[0] is not None
    assert solve_beams([]) == ()


def test_a_loose_board_tips_onto_a_support_that_has_sunk_less() -> None:
    """It rests on the two that let it lie, not on one that would have to hold it down."""
    places, sunk = (0.08, 0.646, 0.725, 0.81, 0.974), (0.2, 0.48, 1.37, 2.87, 2.83)
    supports = tuple(BeamSupport(x, holds_down=False, sunk=w) for x, w in zip(places, sunk, strict=True))
    for some in (supports, tuple(replace(s, at=1 - s.at) for s in supports)):
        for at in (0.1, 0.3, 0.6, 0.66, 0.7):
            at = at if some is supports else 1 - at
            result = result_of(Beam(1.0, 1e3, some, (), (PointLoad(at, 1.0),)))
            assert min(result.reactions) >= 0.0
            assert isclose(sum(result.reactions), 1.0, rel_tol=1e-9)


@given(
    st.lists(st.floats(0.0, 1.0), min_size=2, max_size=12, unique_by=lambda x: round(x, 2)),
    st.lists(st.tuples(st.floats(0.0, 1.0), st.floats(0.1, 10.0)), max_size=4),
    st.lists(st.booleans(), min_size=12, max_size=12),
    st.lists(st.floats(0.0, 0.1), min_size=12, max_size=12) | st.just([0.0] * 12),
)
def test_a_loose_board_rests(
    places: list[float], loads: list[tuple[float, float]], holds: list[bool], sunk: list[float]
) -> None:
    """No support pulls that can not, the board sinks through none, and force and moment balance."""
    each = zip(places, holds, sunk, strict=False)
    supports = tuple(BeamSupport(x, holds_down=h, sunk=round(w, 6)) for x, h, w in each)
    points = tuple(PointLoad(*p) for p in loads)
    beam = Beam(1.0, 1.0, supports, (SpreadLoad(0.2, 0.9, 1.0),), points)
    result = solve_beams([beam])[0]
    whole = 0.7 + sum(p.newton for p in points)
    about = 0.7 * 0.55 + sum(p.newton * p.at for p in points)
    if result is None:
        # only a load outside the supports tips a board off
        pushing = [s.at for s in supports if not s.holds_down]
        assert sum(s.holds_down for s in supports) < 2
        pivots = [s.at for s in supports if s.holds_down]
        middle = about / whole
        assert not min(pushing + pivots) < middle < max(pushing + pivots)
        return
    assert isclose(sum(result.reactions), whole, rel_tol=1e-9)
    balance = sum(r * s.at for r, s in zip(result.reactions, supports, strict=True))
    assert isclose(balance, about, rel_tol=1e-8, abs_tol=1e-8)
    for s, r, on in zip(supports, result.reactions, result.touching, strict=True):
        assert s.holds_down or r >= -1e-8 * whole
        assert on or r == 0.0
        if not on:
            left = [p for p in result.line if p[0] <= s.at][-1][1]
            right = next(p for p in result.line if p[0] >= s.at)[1]
            assert min(left, right) - s.sunk <= 1e-6 * max(abs(y) for _, y in result.line)


def test_bearings() -> None:
    assert bearing_places(0.0, 18.0, 18.0) == (9.0,)
    assert bearing_places(100.0, 160.0, 18.0) == (109.0, 151.0)
    places = bearing_places(0.0, 1018.0, 18.0)
    assert places[0] == 9.0
    assert places[-1] == 1009.0
    assert max(b - a for a, b in pairwise(places)) <= 180.0
    with pytest.raises(InputError, match="thickness"):
        bearing_places(0.0, 1.0, 0.0)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"length": -1.0}, "length of a beam"),
        ({"bending": 0.0}, "bending stiffness"),
        ({"shear": -2.0}, "shear stiffness"),
        ({"supports": (BeamSupport(0.0), BeamSupport(0.0))}, "one place"),
        ({"supports": (BeamSupport(2000.0),)}, "along the board"),
        ({"supports": (BeamSupport(0.0, turning=-1.0),)}, "turning"),
        ({"supports": (BeamSupport(0.0, turning=1.0, holds_down=False),)}, "must hold it down"),
        ({"spread": (SpreadLoad(500.0, 400.0, 1.0),)}, "beyond its start"),
        ({"points": (PointLoad(1.0, float("nan")),)}, "finite"),
    ],
)
def test_impossible_beams_are_refused(changes: dict[str, object], words: str) -> None:
    good = {"length": 1000.0, "bending": 1e9, "supports": (BeamSupport(0.0), BeamSupport(1000.0))}
    with pytest.raises(InputError, match=words):
        Beam(**(good | changes))  # type: ignore[arg-type]


def test_equal_moments_need_that_overhang() -> None:
    """(sqrt 2 - 1)/2 of the length, hand-derived; a beam handbook page gives the spacing 2/(2 + sqrt 2)."""
    a = (sqrt(2) - 1) / 2
    assert isclose(1 - 2 * a, 2 / (2 + sqrt(2)), rel_tol=1e-12)


def test_a_prop_that_sinks_sheds_its_load() -> None:
    """Two spans L, the middle prop sunk by d: it carries 5/4 w L less 6 EI d / L³; sunk further it is left.

    By superposition of the propped beam and a point load P at the middle of 2 L, d = P (2 L)³ / 48 EI.
    """

    ei, w, span = 1.465e9, 0.5, 800.0
    for sunk in (0.0, 1.0, 5.0):
        prop = BeamSupport(span, holds_down=False, sunk=sunk)
        beam = Beam(
            2 * span, ei, (BeamSupport(0.0), prop, BeamSupport(2 * span)), (SpreadLoad(0.0, 2 * span, w),)
        )
        result = solve_beams([beam])[0]
        assert result is not None
        expected = 1.25 * w * span - 6 * ei * sunk / span**3
        assert isclose(result.reactions[1], max(expected, 0.0), rel_tol=1e-9)
        free = 5 * w * (2 * span) ** 4 / (384 * ei)
        assert result.touching[1] == (sunk < free)
        if sunk > free:
            assert isclose(result.sag, free, rel_tol=1e-9)
