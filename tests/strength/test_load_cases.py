"""Load cases: shoving across the floor, and a child who climbs; against statics worked by hand."""

from __future__ import annotations

from math import inf, isclose

import pytest
from joint_facts import expected, within
from strength_facts import POUND, G
from test_pieces import BIRCH_KG_M3, PLY, assessed, findings

from furnigen import InputError, find_recipe, list_recipes
from furnigen.core.finding import FAIL, PASS, WARN
from furnigen.drafting.draft import Draft
from furnigen.joints.fastened import butt, dowelled
from furnigen.joints.housing import housing
from furnigen.joints.pins import shelf_pins
from furnigen.piece.description import Piece
from furnigen.strength.formulas.load_cases import find_case, list_cases, shove, tip_factor
from furnigen.strength.formulas.tipping import Mass, find_tipping_stability
from furnigen.strength.joints.actions import Action
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


def test_friction_holds_or_it_tips() -> None:
    """Rows FR1 and FR2 of tests/facts/joint_checks.csv."""
    one = shove(85.0 * G, 150.0, 300.0, 100.0, 0.65)
    assert not one.tips
    assert isclose(one.push_n, expected("FR1"), abs_tol=within("FR1"))
    # a push above d / mu tips a piece before it slides
    height = 150.0 / 0.65
    assert isclose(height, expected("FR2"), abs_tol=within("FR2"))
    assert not shove(85.0 * G, 150.0, 300.0, height - 1, 0.65).tips
    assert shove(85.0 * G, 150.0, 300.0, height + 1, 0.65).tips


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
    names = {"shoved", "child-on-shelf", "child-on-joint", "child-tips"}
    assert not names & set(findings(piece, load_cases=("none",)))
    usual = findings(piece)
    assert {one for name in names for f in usual[name] for one in f.where.partition(":")[0].split(", ")} == {
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
    for name in ("shoved", "child-on-shelf", "child-on-joint", "child-tips"):
        told = [f for f in found[name] if f.value is not None]
        if recipe.name == "crate_wall" and name == "child-on-joint":
            # its uprights hang by the glue of a housing 4 mm deep: a child besides the load is too much
            assert [f.status for f in told] == [WARN]
            assert "keep children off it" in told[0].remedy
            continue
        assert all(f.status == PASS for f in told), name


def case_with(joint, *, depth: float = 300.0) -> Piece:
    """A shelf of 764 mm between two sides, with 30 kg/m."""
    draft = Draft("case", fit_mm=0.0)
    for name, x in (("left", 0.0), ("right", 782.0)):
        draft.board(name, PLY, (x, 0, 0), (x + T, depth, 900), grain="z", role="side")
    draft.board("bottom", PLY, (T, 0, 0), (782, depth, T), role="bottom", grain="x")
    draft.board("shelf", PLY, (T, 0, 400), (782, depth, 400 + T), role="shelf", grain="x")
    for name in ("left", "right"):
        draft.join(name, "bottom", dowelled())
        draft.join(name, "shelf", joint)
    draft.load("shelf", "30 kg/m")
    draft.load("bottom", "empty")
    return draft.done()


def under_child(piece: Piece, case: str, a: str, b: str) -> list[Action]:
    strength = assessed(piece)
    (joints,) = [joints for one, joints in strength.cases.under_child if one.name == case]
    (joint,) = [j for j in joints if (j.loaded.joint.a, j.loaded.joint.b) == (a, b)]
    return list(joint.loaded.actions)


def test_the_whole_child_stands_over_one_end_and_one_edge() -> None:
    """Half of shelf and goods, and all of 60 lb 50 mm within the front edge or the back one: statics."""
    piece = case_with(shelf_pins())
    front, back = under_child(piece, "child-stands", "left", "shelf")
    half = (0.030 * G * 764 + 764 * 300 * T * BIRCH_KG_M3 * 1e-9 * G) / 2
    assert isclose(front.force[2], half + CHILD, rel_tol=1e-3)
    for action, y in ((front, 50.0), (back, 250.0)):
        assert isclose(action.at[1], (half * 150 + CHILD * y) / (half + CHILD), abs_tol=0.5)
    # in front: 60 lb leaning out by 100 mm
    (out,) = under_child(piece, "child-climbs", "left", "shelf")
    assert isclose(out.at[1], (half * 150 - CHILD * 100) / (half + CHILD), abs_tol=0.5)
    (found,) = [f for f in findings(piece)["child-on-joint"] if f.where.startswith("child-climbs")]
    # two pins y apart by s: N/2 + N e / s on the one in front
    (sites,) = {
        tuple(s[1] for s, _ in f.sites)
        for j in piece.joints
        if j.a == "left"
        for f in j.fasteners
        if j.b == "shelf"
    }
    e, s = 150 - out.at[1], max(sites) - min(sites)
    assert isclose(found.value or 0, (half + CHILD) * (0.5 + e / s), rel_tol=0.01) or "pin" in found.where


def test_a_child_fails_joints_that_bear_the_load() -> None:
    """Two screws of 3 mm into end grain bear a shelf's load but no child besides."""
    piece = case_with(butt(screws=2, diameter=3))
    found = findings(piece)
    assert found["joint"][0].status == PASS
    assert found["child-on-joint"][0].status == WARN
    asked = findings(piece, load_cases=("child-stands",))["child-on-joint"][0]
    assert asked.status == FAIL
    assert "screws" in asked.remedy
    assert "F2057" in asked.source


def test_a_child_reaches_the_screws_in_the_wall() -> None:
    """All of the child on one rail of a hung piece, and the pull T = P e / z of it besides."""
    piece = find_recipe("crate_wall")()
    plain, strength = assessed(piece), assessed(piece)
    (joints,) = [joints for one, joints in strength.cases.under_child if one.name == "child-climbs"]
    before = {j.loaded.joint.b: j.loaded.actions[0] for j in plain.joints if j.loaded.a is None}
    after = {j.loaded.joint.b: j.loaded.actions[0] for j in joints if j.loaded.a is None}
    assert set(before) == set(after)
    (wall,) = plain.walls
    for label, action in after.items():
        down, out = (a - b for a, b in zip(action.force[2:0:-1], before[label].force[2:0:-1], strict=True))
        assert 0 < down <= CHILD * (1 + 1e-9)
        # 250 mm deep, 100 mm in front of it
        assert isclose(abs(out), down * 350 / wall.height, rel_tol=1e-6)


def test_a_push_shears_what_holds_a_back() -> None:
    """F / B along each edge: a back of 764 mm on five screws below takes a fifth of F each at its bottom."""
    draft = Draft("case", fit_mm=0.0)
    for name, x in (("left", 0.0), ("right", 782.0)):
        draft.board(name, PLY, (x, 0, 0), (x + T, 300, 900), grain="z", role="side")
    for name, z in (("bottom", 0.0), ("top", 882.0)):
        draft.board(name, PLY, (T, 0, z), (782, 300, z + T), role=name, grain="x")
    draft.board("back", PLY, (0, 300, 0), (800, 318, 900), grain="z", role="back")
    for name in ("left", "right"):
        draft.join(name, "bottom", dowelled())
        draft.join(name, "top", dowelled())
        draft.join(name, "back", butt(screws=4))
    for name in ("bottom", "top"):
        draft.join(name, "back", butt(screws=5))
    draft.load("bottom", "empty")
    draft.load("top", "empty")
    strength = assessed(draft.done())
    assert next(s.by for s in strength.sideways) == "a back"
    weight = strength.whole.kg * G
    pushes = {}
    for one in strength.cases.backs:
        (action,) = one.loaded.actions
        pushes[one.loaded.joint.a] = action
    push = 400 / 900 * weight  # its middle lies 400 mm from either side: pushed 900 mm up it tips before 0.7
    assert isclose(abs(pushes["bottom"].force[0]), push * 764 / 800, rel_tol=0.01)
    assert isclose(abs(pushes["left"].force[2]), push * 900 / 800, rel_tol=0.05)
    assert any(one.used for one in strength.cases.backs)
    assert "shoved back" in {f.title for f in findings(draft.done())["shoved"]}


def test_the_glue_of_a_strip_takes_the_shear_flow() -> None:
    """Two equal boards glued face to face: q = 1.5 V / h at the glue between them (theory of beams)."""
    draft = Draft("shelf", fit_mm=0.0)
    for name, x in (("left", 0.0), ("right", 782.0)):
        draft.board(name, PLY, (x, 0, 0), (x + T, 100, 900), grain="z", role="side")
    draft.board("bottom", PLY, (T, 0, 0), (782, 100, T), role="bottom", grain="x")
    draft.board("shelf", PLY, (T, 0, 400), (782, 100, 400 + T), role="shelf", grain="x")
    draft.board("strip", PLY, (T, 0.5, 400 - T), (782, 99.5, 400), role="strip", grain="x")
    for name in ("left", "right"):
        draft.join(name, "bottom", dowelled())
        draft.join(name, "shelf", housing(depth=6))
    draft.join("shelf", "strip", butt(screws=0, glued=True))
    draft.load("shelf", "60 kg/m")
    draft.load("bottom", "empty")
    strength = assessed(draft.done())
    (glue,) = [j for j in strength.joints if j.loaded.joint.b == "strip"]
    (flow,) = [b for b in glue.bears if b.action.startswith("the shear flow")]
    (board,) = [b for b in strength.boards if b.label == "shelf"]
    assert board.result is not None
    shear = max(board.result.most)
    assert isclose(flow.value, 1.5 * shear / (2 * T) * 764, rel_tol=0.01)
    assert 0 < flow.used < 1


def test_a_wall_holds_what_hangs() -> None:
    found = findings(find_recipe("crate_wall")())
    assert all("a wall holds it" in f.where for f in found["child-tips"])
