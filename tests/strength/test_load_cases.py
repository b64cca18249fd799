"""Load cases: shoving across the floor, and a child who climbs; against statics worked by hand."""

from __future__ import annotations

from math import inf, isclose

import pytest
from strength_facts import POUND, G
from test_pieces import BIRCH_KG_M3, PLY, assessed, findings

from furnigen import InputError, find_recipe, list_recipes
from furnigen.core.finding import FAIL, PASS, WARN
from furnigen.drafting.draft import Draft
from furnigen.joints.fastened import dowelled
from furnigen.joints.housing import housing
from furnigen.joints.pins import shelf_pins
from furnigen.piece.description import Piece
from furnigen.strength.formulas.load_cases import find_case, list_cases, shove, tip_factor
from furnigen.strength.formulas.tipping import Mass, find_tipping_stability
from furnigen.strength.model.demands import Demands

T = 18.0
CHILD = 60 * POUND * G
"""60 lb: ASTM F2057-23."""


def bookcase(mass: float) -> object:
    feet = [(0.0, 0.0), (800.0, 0.0), (800.0, 300.0), (0.0, 300.0)]
    return find_tipping_stability([Mass(mass, (400, 150, 900))], feet)


def test_a_child_in_front_of_a_loaded_bookcase() -> None:
    """Worked example E: 85 kg, 150 mm behind the front, a child of 27.2155 kg 100 mm before it: 4.68."""
    case = find_case("child-climbs")
    assert isclose(case.weight_n, 27.2155 * G, rel_tol=1e-4)
    (front,) = bookcase(85.0).side("front")  # type: ignore[attr-defined]
    factor = tip_factor(front, (400, -case.beyond, 500), case.weight_n)
    assert isclose(factor, 12750 / 2721.55, rel_tol=1e-4)
    assert isclose(factor, 4.68, abs_tol=0.005)
    assert tip_factor(front, (400, 100, 500), case.weight_n) == inf


@pytest.mark.parametrize(("mass", "push"), [(25.0, 20.43), (85.0, 69.46)])
def test_a_piece_pushed_at_its_top_tips_before_it_slides(mass: float, push: float) -> None:
    """Worked example A: W d / h at 1.8 m; with friction 150 / 1800 and less it slides."""
    one = shove(mass * G, 150.0, 300.0, 1800.0, 0.7)
    assert isclose(one.push_n, push, abs_tol=0.005)
    assert one.tips
    assert isclose(one.tips_at, 150 / 1800)
    # all of its weight is then on the leading feet: half of it more than they had
    assert isclose(one.leading_n, mass * G / 2, rel_tol=1e-12)
    slides = shove(mass * G, 150.0, 300.0, 1800.0, 0.05)
    assert (slides.tips, isclose(slides.push_n, 0.05 * mass * G)) == (False, True)


def test_both_frictions_are_tried_and_all_cases_have_a_source() -> None:
    """Published spread of dry wood's friction, 5 to 1: test both 0.2 and 0.7."""
    for case in list_cases():
        assert case.source.text
        assert case.source.provenance == "looked-up"
        assert case.note
        assert case.frictions in ((), (0.2, 0.7))


def trestle(*, lowest: float = 200.0, load: str = "empty") -> Piece:
    """Two panels 300 deep, a board housed between them: each stands free below it."""
    draft = Draft("trestle", fit_mm=0.0)
    for name, x in (("left", 0.0), ("right", 782.0)):
        draft.board(name, PLY, (x, 0, 0), (x + T, 300, 600), grain="z", role="side")
    draft.board("shelf", PLY, (T, 0, lowest), (782, 300, lowest + T), role="shelf", grain="x")
    draft.board("top", PLY, (T, 0, 582), (782, 300, 600), role="top", grain="x")
    for name in ("left", "right"):
        draft.join(name, "shelf", housing(depth=6))
        draft.join(name, "top", dowelled())
    draft.load("shelf", load)
    draft.load("top", "empty")
    return draft.done()


def test_uprights_bent_below_their_lowest_level() -> None:
    """0.7 of its weight, half of it on each panel and what the push at the top moves over: H z / W."""
    strength = assessed(trestle())
    weight = sum(b.kg for b in strength.bodies.values()) * G
    (one,) = strength.cases.shoved
    assert (one.case.name, one.shove.friction) == ("shove-empty", 0.7)
    assert one.side in ("left", "right")
    centre = sum(b.kg * b.centre[0] for b in strength.bodies.values()) * G / weight
    push = min(0.7, centre / 600) * weight
    assert isclose(one.shove.push_n, push, rel_tol=1e-9)
    leading = weight / 2 + push * 600 / 800
    held = push * min(leading, weight) / weight
    assert one.bears is not None
    # the panel is as thick as its stock; free to the underside of the shelf
    assert isclose(one.bears.value, held * 200.0 / (300 * T**2 / 6), rel_tol=1e-6)
    assert one.bears.allowed is not None
    # 18 mm birch plywood for a short load: k_mod 0.9, gamma_M 1.2, 1.5 on the load
    bending = strength.bodies["left"].material.mor_mpa
    assert bending is not None
    assert isclose(one.bears.allowed, bending * 0.9 / 1.2 / 1.5, rel_tol=1e-9)


def test_what_a_frame_takes_is_that_of_a_portal() -> None:
    """Two posts on hinges and one level at the top: F h / 2 in each corner, whatever its stiffness."""
    draft = Draft("portal", fit_mm=0.0)
    for name, x in (("left", 0.0), ("right", 782.0)):
        draft.board(name, PLY, (x, 0, 0), (x + T, 300, 600), grain="z", role="side")
    draft.board("top", PLY, (T, 0, 591), (782, 300, 609), role="top", grain="x")
    for name in ("left", "right"):
        draft.join(name, "top", dowelled())
    draft.load("top", "empty")
    (one,) = assessed(draft.done()).cases.shoved
    # from face to face: the corner's moment falls off over half a panel's thickness
    assert isclose(one.joint_moment, one.shove.push_n * 600 / 2, rel_tol=0.05)
    # glued dowels are held to that moment by the rules of joints
    held = [f for f in findings(draft.done())["shoved"] if "the most loaded takes" in f.where]
    assert len(held) == 1
    assert f"takes {one.joint_moment / 1000:.1f} N m" in held[0].where
    results = assessed(draft.done()).cases.joints
    moments = [action.moment for result in results for action in result.loaded.actions]
    assert isclose(max(moments), one.joint_moment, rel_tol=1e-9)


def test_a_child_on_a_shelf_on_pins() -> None:
    """P L / 4 + w L² / 8 over b t² / 6, with its load of 30 kg/m and its own weight."""
    draft = Draft("case", fit_mm=0.0)
    for name, x in (("left", 0.0), ("right", 782.0)):
        draft.board(name, PLY, (x, 0, 0), (x + T, 300, 900), grain="z", role="side")
    draft.board("bottom", PLY, (T, 0, 0), (782, 300, T), role="bottom", grain="x")
    draft.board("shelf", PLY, (T, 0, 400), (782, 300, 400 + T), role="shelf", grain="x")
    for name in ("left", "right"):
        draft.join(name, "bottom", dowelled())
        draft.join(name, "shelf", shelf_pins())
    draft.load("shelf", "30 kg/m")
    draft.load("bottom", "empty")
    strength = assessed(draft.done())
    (one,) = strength.cases.on_shelves
    (board,) = [b for b in strength.boards if b.label == "shelf"]
    a, b = (s.at for s in board.span.stations)
    w = 0.030 * G + 300 * T * BIRCH_KG_M3 * 1e-9 * G
    ends = w * a**2 / 2  # beyond the pins
    moment = CHILD * (b - a) / 4 + w * (b - a) ** 2 / 8 - ends
    assert (one.what, one.label) == ("bending", "shelf")
    assert isclose(one.mpa, moment / (300 * T**2 / 6), rel_tol=1e-4)
    (found,) = findings(draft.done())["child-on-shelf"]
    assert found.status == PASS
    assert "F2057" in found.source
    assert "children off it" in found.source


def test_a_child_breaks_a_thin_shelf() -> None:
    draft = Draft("case", fit_mm=0.0)
    from furnigen.catalogue.stock import find_stock

    thin = find_stock("birch-ply-6.5")
    t = thin.thickness_mm
    for name, x in (("left", 0.0), ("right", 1382.0)):
        draft.board(name, PLY, (x, 0, 0), (x + T, 200, 900), grain="z", role="side")
    draft.board("bottom", PLY, (T, 0, 0), (1382, 200, T), role="bottom", grain="x")
    draft.board("shelf", thin, (T, 0, 400), (1382, 200, 400 + t), role="shelf", grain="x")
    for name in ("left", "right"):
        draft.join(name, "bottom", dowelled())
        draft.join(name, "shelf", housing(depth=6))
    draft.load("shelf", "1 kg spread")
    draft.load("bottom", "empty")
    by_default = findings(draft.done())["child-on-shelf"][0]
    asked = findings(draft.done(), load_cases=("child-stands",))["child-on-shelf"][0]
    assert (by_default.status, asked.status) == (WARN, FAIL)
    assert asked.remedy
    assert asked.used is not None
    assert asked.used > 1


def test_cases_are_on_and_off_by_name() -> None:
    piece = find_recipe("divided_case")()
    names = {"shoved", "child-on-shelf", "child-tips"}
    assert not names & set(findings(piece, load_cases=("none",)))
    usual = findings(piece)
    assert {f.where.partition(":")[0] for name in names for f in usual[name]} == {
        "shove-empty",
        "child-stands",
        "child-climbs",
    }
    every = findings(piece, load_cases=("all",))
    assert "shove-loaded" in {f.where.partition(":")[0] for f in every["shoved"]}
    with pytest.raises(InputError, match=r"load case = shove.*did you mean"):
        Demands(load_cases=("shove",))
    with pytest.raises(InputError, match="excludes all others"):
        Demands(load_cases=("none", "all"))


@pytest.mark.parametrize("recipe", list_recipes(), ids=lambda r: r.name)
def test_default_recipes_stand_a_shove_and_a_child(recipe) -> None:
    found = findings(recipe())
    for name in ("shoved", "child-on-shelf", "child-tips"):
        assert all(f.status == PASS for f in found[name] if f.value is not None), name


def test_a_wall_holds_what_hangs() -> None:
    found = findings(find_recipe("crate_wall")())
    assert all("a wall holds it" in f.where for f in found["child-tips"])
