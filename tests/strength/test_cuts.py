"""Cuts weaken: sections that are left, notches by Eurocode 5, and a notched beam of elements."""

from __future__ import annotations

import json

import pytest
from hypothesis import given
from hypothesis import strategies as st
from orthotropic_fem import Glued, Wood, solve_shelf

from furnigen import find_recipe
from furnigen.catalogue.stock import find_stock
from furnigen.cli.main import main
from furnigen.core.errors import InputError
from furnigen.drafting.draft import Draft
from furnigen.joints.housing import housing
from furnigen.mesh.light_mesh import light_contacts
from furnigen.piece.description import Piece
from furnigen.strength.assess import Strength, assess
from furnigen.strength.formulas.notch import notch_factor
from furnigen.strength.model.net_sections import bending_of, net_rectangles
from furnigen.strength.solver.beam import Beam, BeamSupport, PointLoad, SpreadLoad, solve_beams
from furnigen.strength.solver.inner_forces import inner_forces


def assessed(piece: Piece) -> Strength:
    piece = piece.without_loose
    touching = light_contacts(piece)
    return assess(piece, touching.contacts, touching.support.grounded)


# EN 1995-1-1 6.5.2, worked values of a public library of Eurocode 5 (looked up)
@pytest.mark.parametrize(
    ("height", "left", "reach", "factor"),
    [(100.0, 75.0, 20.0, 0.8719), (100.0, 50.0, 20.0, 0.7026), (18.0, 12.0, 10.0, 1.0)],
)
def test_notch_factor_of_the_standard(height: float, left: float, reach: float, factor: float) -> None:
    assert notch_factor(height, left, reach) == pytest.approx(factor, abs=1e-4)


def test_impossible_notches_are_refused() -> None:
    with pytest.raises(InputError, match="height left by a notch = 120 mm: must be more than 0 and"):
        notch_factor(100.0, 120.0, 5.0)
    with pytest.raises(InputError, match="must be zero or more"):
        notch_factor(100.0, 50.0, -1.0)


def test_section_with_a_groove_below_by_hand() -> None:
    """A board 100 x 20 with a groove 40 wide, 8 deep below: A = 2000 - 320 = 1680; moments about its low side
    2000 x 10 - 320 x 4 = 18720, so z0 = 11.142857; I = 100 x 20³/12 + 2000 (1.142857)² - 40 x 8³/12
    - 320 (7.142857)²; the underside is the farthest fibre."""
    area, second, modulus = bending_of(net_rectangles(100.0, 20.0, [(30.0, 70.0, 0.0, 8.0)]))
    z0 = 18720 / 1680
    i = 100 * 20**3 / 12 + 2000 * (z0 - 10) ** 2 - 40 * 8**3 / 12 - 320 * (z0 - 4) ** 2
    assert (area, second, modulus) == pytest.approx((1680.0, i, i / z0), rel=1e-12)


@given(
    st.lists(st.tuples(st.floats(0, 50), st.floats(55, 100), st.floats(0, 9), st.floats(12, 20)), max_size=3),
)
def test_what_cuts_leave_is_never_more(cuts: list[tuple[float, float, float, float]]) -> None:
    left = net_rectangles(100.0, 20.0, cuts)
    area = sum((r[1] - r[0]) * (r[3] - r[2]) for r in left)
    assert area <= 2000.0 + 1e-9
    for cut in cuts:
        assert all(
            not (r[0] < (cut[0] + cut[1]) / 2 < r[1] and r[2] < (cut[2] + cut[3]) / 2 < r[3]) for r in left
        )


@given(
    st.floats(100, 700),
    st.floats(0, 1e7),
    st.lists(st.tuples(st.floats(1, 999), st.floats(0, 300)), max_size=3),
)
def test_inner_forces_meet_the_largest_of_the_solver(
    middle: float, turning: float, points: list[tuple[float, float]]
) -> None:
    """Statics from reactions: nothing left beyond the end, and never more than the solver's extremes."""
    beam = Beam(
        1000.0,
        1e9,
        (BeamSupport(0.0, turning), BeamSupport(middle), BeamSupport(1000.0, turning)),
        (SpreadLoad(0.0, 1000.0, 0.4),),
        tuple(PointLoad(at, newton) for at, newton in points),
    )
    (result,) = solve_beams([beam])
    assert result is not None
    moments = [inner_forces(beam, result, 5.0 * n)[0] for n in range(201)]
    assert max(moments) <= result.moment_most + 1e-3
    assert min(moments) >= result.moment_least - 1e-3
    last = inner_forces(beam, result, 1000.0)
    assert last == pytest.approx((0.0, 0.0), abs=1e-2)


def test_a_grid_shelf_bears_at_its_laps_what_half_of_it_bears() -> None:
    """Lapped to half their depth, the shelves have half the section modulus there: twice the stress (closed
    form, W goes with the width)."""
    strength = assessed(find_recipe("crate_wall")())
    board = next(b for b in strength.boards if b.label == "shelf.1")
    assert board.result is not None
    laps = [c for c in board.span.cuts if c.end - c.start < 20.0 and c.start > 100.0]
    assert len(laps) == 3
    whole = 250.0 * 12.0**2 / 6
    for lap in laps:
        assert lap.modulus == pytest.approx(whole / 2, rel=0.01)
    # the largest stress is now over a lap
    assert any(lap.start <= board.result.stress_at <= lap.end for lap in laps)


def test_a_housing_above_mid_span_weakens_a_shelf() -> None:
    """An upright stands in a groove 6 mm deep in an 18 mm shelf: W of 12 mm there, (12/18)² of the whole."""
    ply = find_stock("birch-ply-18@18")
    draft = Draft("case", fit_mm=0.0)
    draft.board("left", ply, (0, 0, 0), (18, 300, 700), grain="z", role="side")
    draft.board("right", ply, (918, 0, 0), (936, 300, 700), grain="z", role="side")
    draft.board("shelf", ply, (18, 0, 300), (918, 300, 318), grain="x", role="shelf")
    draft.board("divider", ply, (459, 0, 318), (477, 300, 600), grain="z", role="divider")
    for side in ("left", "right"):
        draft.join(side, "shelf", housing())
    draft.join("shelf", "divider", housing(6.0))
    draft.load("shelf", "30 kg/m")
    strength = assessed(draft.done())
    board = next(b for b in strength.boards if b.label == "shelf")
    assert board.result is not None
    (groove,) = [c for c in board.span.cuts if 300 < c.start < 600]
    assert groove.modulus == pytest.approx(300 * 12.0**2 / 6, rel=1e-9)
    assert board.result.stress_at == pytest.approx((groove.start + groove.end) / 2, abs=9.5)
    # and the whole board's stress would be less than half as large under the same moment
    moment = board.result.stress_mpa * groove.modulus
    assert moment / (300 * 18.0**2 / 6) == pytest.approx(board.result.stress_mpa * (12 / 18) ** 2, rel=1e-9)


def test_net_stress_of_a_notched_beam_against_elements() -> None:
    """A board 20 wide and 40 high, cut to 24 from below over the middle 200 mm of 600: what is left bends by
    q L²/8 over its own W about its own axis, at the middle, far from the corners of the notch."""
    wood = Wood(10000.0, 500.0, 500.0, 600.0, 600.0, 600.0)
    # 24 mm over the whole span, and 16 mm more glued below it but for the middle: the same body
    solved = solve_notched(wood)
    q = 1e-3 * 20.0
    moment = q * 600.0**2 / 8
    left = net_rectangles(20.0, 40.0, [(0.0, 20.0, 0.0, 16.0)])
    stress = moment / bending_of(left)[2]
    assert solved == pytest.approx(stress, rel=0.05)


def solve_notched(wood: Wood) -> float:
    """Largest stress along the grain at the middle of a board notched from below over its middle third."""
    solved = solve_shelf(600.0, 20.0, 24.0, wood, (Glued(0.0, 20.0, 16.0, wood),), gap=100.0)
    return max(abs(solved.stretch(y, z)) for y in (0.0, 20.0) for z in (0.0, 24.0)) * wood.ex


def test_the_report_tells_where_it_is_cut(capsys: pytest.CaptureFixture[str]) -> None:
    main(["check", "ladder_rack", "--only", "strength", "--json"])
    report = json.loads(capsys.readouterr().out)
    rung = next(b for b in report["strength"]["boards"] if ".rung." in b["label"])
    assert rung["cuts"]
    assert rung["shear_where_cut"]["height_left_mm"] < rung["shear_where_cut"]["height_mm"]
    shear = next(c for c in report["checks"] if c["name"] == "shear")
    assert "EN 1995-1-1" in shear["source"]
    assert "EN 338" in shear["source"]
