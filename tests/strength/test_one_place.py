"""Cantilevers, boards on one support, bearings of panels, and what is said of shapes that are not checked.

Against by-hand statics (Wood Handbook Table 9-1: w L⁴/8EI, P L³/3EI; a joint that turns adds M L / k),
PyNiteFEA, and published bearing values.
"""

from __future__ import annotations

from dataclasses import replace
from math import cos, isclose, radians, sin

import pytest
from Pynite import FEModel3D
from strength_facts import PSI, G
from test_pieces import BIRCH_KG_M3, E_PLY, PLY, assessed, findings

from furnigen import InputError, custom_form
from furnigen.catalogue.materials import find_material
from furnigen.core.finding import FAIL, PASS, WARN
from furnigen.core.pose import Pose
from furnigen.drafting.draft import Draft
from furnigen.joints.fastened import butt, dowelled
from furnigen.joints.housing import housing
from furnigen.joints.pins import shelf_pins
from furnigen.parts.forms.prism import Prism
from furnigen.piece.description import LoadOn, Piece
from furnigen.strength.formulas.allowable import LOAD_FACTOR, find_allowable
from furnigen.strength.members.bearings import edge_mpa

T = 18.0
"""18 mm stock measured at 18 mm."""
GA = 5 / 6 * 200 * 300 * T
"""Against shear, N: 5/6 G A with G 200 N/mm² across the plies (Handbook of Finnish Plywood, from memory)."""


def arm(load: str = "20 kg/m", joint: object = None, reach: float = 300.0) -> Piece:
    """A shelf housed at one end in a post that stands on a base: a cantilever."""
    draft = Draft("arm", fit_mm=0.0)
    draft.board("base", PLY, (-300, 0, 0), (300, 300, T), role="base")
    draft.board("post", PLY, (0, 0, T), (T, 300, 600), grain="z", role="side")
    draft.board("shelf", PLY, (T, 0, 400), (T + reach, 300, 400 + T), role="shelf", grain="x")
    draft.join("base", "post", dowelled())
    draft.join("post", "shelf", joint or housing(depth=6))  # type: ignore[arg-type]
    draft.load("shelf", load)
    return draft.done()


def shelf_of(piece: Piece):  # type: ignore[no-untyped-def]
    strength = assessed(piece)
    (board,) = [b for b in strength.boards if b.label == "shelf"]
    return strength, board


def test_a_cantilever_by_hand() -> None:
    """20 kg/m on 306 mm, 6 mm of it housed; glued housing at the low end, 2000 N m/rad for each metre."""
    _, board = shelf_of(arm())
    assert board.result is not None
    assert board.result.segment.kind == "overhang"
    ei, k = E_PLY * 300 * T**3 / 12, 2000e3 * 0.3
    own = 300 * T * BIRCH_KG_M3 * 1e-9 * G
    free = 303.0  # beyond the middle of the housing
    w = own + 0.020 * G
    outer = w * free**4 / (8 * ei) + w * free**2 / 2 * free / k + w * free**2 / 2 / GA
    inner = -w * 3.0**2 / 2 * free / k  # what lies within the housing turns it back
    assert isclose(board.result.first_mm, outer + inner, rel_tol=2e-4)
    assert isclose(board.result.held[0], w * (free**2 - 3.0**2) / 2, rel_tol=2e-3)
    # the moment over the section modulus: E is known to the digit, so the stress is too
    assert isclose(board.result.stress_mpa, w * free**2 / 2 / (300 * T**2 / 6), rel_tol=2e-3)


@pytest.mark.parametrize("load", ["25 kg/m", "8 kg at 280 mm", "200 kg/m2"])
def test_a_cantilever_as_pynite_bends_it(load: str) -> None:
    """A spring at the root, the board's own weight and its load."""
    _, board = shelf_of(arm(load))
    assert board.result is not None
    shelf, support = board.result.shelf, board.result.shelf.supports[0]
    model = FEModel3D()
    model.add_material("ply", E_PLY, 600.0, 0.3, 1e-6)
    model.add_section("s", 300 * T, 300 * T**3 / 12, 300 * T**3 / 12, 1e5)
    points = [(at, n) for at, n in shelf.load.points(shelf.length)]
    places = sorted({0.0, support.at, shelf.length, *(at for at, _ in points)})
    for i, x in enumerate(places):
        model.add_node(f"n{i}", x, 0, 0)
        root = x == support.at
        model.def_support(f"n{i}", root, root, True, True, True, False)
        if root:
            model.def_support_spring(f"n{i}", "RZ", support.turning)
    even = shelf.own_kg_m * G / 1000 + shelf.load.newton_per_mm(shelf.depth, shelf.length, shelf.row)
    for i in range(len(places) - 1):
        model.add_member(f"m{i}", f"n{i}", f"n{i + 1}", "ply", "s")
        model.add_member_dist_load(f"m{i}", "FY", -even, -even)
    for at, newton in points:
        model.add_node_load(f"n{places.index(at)}", "FY", -newton)
    model.analyze_linear(check_stability=False)
    tip = -model.nodes[f"n{len(places) - 1}"].DY["Combo 1"]
    sheared = (even * 303.0**2 / 2 + sum(n * (at - support.at) for at, n in points)) / GA
    assert isclose(board.result.first_mm, tip + sheared, rel_tol=1e-5)


def test_its_moment_goes_down_to_the_floor() -> None:
    """Statics: forces on the floor hold all weight and its moment about any line, without being put right."""
    strength, _ = shelf_of(arm("30 kg/m"))
    weight = [(b.kg * G, b.centre[0]) for b in strength.bodies.values()]
    weight.append((0.030 * (300 + 6) * G, T - 6 + (300 + 6) / 2))
    floor = [p for p in strength.stack.pushes if p.by == "floor"]
    assert isclose(sum(p.dead + p.live for p in floor), sum(n for n, _ in weight), rel_tol=1e-9)
    about = sum((p.dead + p.live) * p.at[0] for p in floor)
    assert isclose(about, sum(n * x for n, x in weight), rel_tol=1e-9)
    # and the post is bent by all of it
    (post,) = [p for p in strength.posts if p.label == "post"]
    beside = sum(n * (x - T / 2) for n, x in weight[2:])
    assert isclose(post.moment, beside, rel_tol=0.01)


def test_a_housing_pressed_by_a_cantilever() -> None:
    """joint check PN5: P 100 N at 4 mm from the face of a hole 5 wide and 12 deep peaks at 10.0 N/mm²."""
    assert isclose(edge_mpa(100.0, 100.0 * (4 + 12 / 2), 5.0, 12.0, two_way=True), 10.0, rel_tol=1e-12)
    strength, board = shelf_of(arm())
    (pressed,) = [p for p in strength.pressures if p.label == "shelf"]
    w = 300 * T * BIRCH_KG_M3 * 1e-9 * G + 0.020 * G
    load, e = w * 306.0, 300.0 / 2 - 3.0  # from the face of the post, 6 mm within the end of the shelf
    assert isclose(pressed.mpa, load / (300 * 6) * (4 + 6 * e / 6), rel_tol=2e-3)
    (found,) = findings(arm())["bearing"]
    assert (found.status, found.value) == (WARN, pressed.mpa)
    assert "N m" in found.source
    assert board.resting.turned is not None


def test_its_joint_holds_force_and_moment() -> None:
    """Three screws through the post into the end of the shelf: V, and w L² / 2 about that face."""
    strength = assessed(arm(joint=butt()))
    (held,) = [j for j in strength.joints if j.loaded.joint.b == "shelf"]
    (action,) = held.loaded.actions
    w = 300 * T * BIRCH_KG_M3 * 1e-9 * G + 0.020 * G
    assert isclose(action.force[2], w * 300, rel_tol=1e-3)
    assert isclose(action.moment, w * 300**2 / 2, rel_tol=1e-3)
    assert abs(action.lever[2]) == 1.0
    # all three at the middle of its thickness: each is pulled by M / 3 over half of that
    pulls = [b for b in held.bears if b.what == "pull on each screw"]
    assert isclose(pulls[0].value, w * 300**2 / 2 / 3 / (T / 2), rel_tol=1e-3)


def test_a_load_that_lies_beyond_the_middle_third_gaps() -> None:
    """Middle-third rule of footings: a strip 100 long, 60 kN mm off: 2 F / 3 b (L/2 - e), no tension."""
    assert isclose(edge_mpa(1000, 30000, 50, 100, two_way=False), 2000 / (3 * 50 * (50 - 30)), rel_tol=1e-12)
    assert isclose(edge_mpa(1000, 1000 * 100 / 6, 50, 100, two_way=False), 2 * 1000 / 5000, rel_tol=1e-9)


def test_panels_bear_what_is_published() -> None:
    """APA TT-001 (2013): 360 psi on the face of plywood and OSB, taken for good, x k_mod / gamma_M."""
    ply = find_allowable(find_material("plywood-birch-18"))
    assert isclose(ply.bearing_mpa or 0, 360 * PSI * 0.6 / 1.2, rel_tol=1e-3)
    assert ply.bearing_source is not None
    assert ply.bearing_source.provenance == "looked-up"
    for name in ("particleboard-p2", "mdf-12-19"):
        bears = find_allowable(find_material(name))
        assert 0 < (bears.bearing_mpa or 0) < (ply.bearing_mpa or 0)
        assert bears.bearing_source is not None
        assert bears.bearing_source.provenance == "memory"


def test_every_plywood_bearing_is_worked_out() -> None:
    draft = Draft("case", fit_mm=0.0)
    for name, x in (("left", 0.0), ("right", 700.0)):
        draft.board(name, PLY, (x, 0, 0), (x + T, 300, 600), grain="z", role="side")
    draft.board("shelf", PLY, (T, 0, 300), (700, 300, 300 + T), role="shelf", grain="x")
    for name in ("left", "right"):
        draft.join(name, "shelf", housing(depth=6))
    draft.load("shelf", "40 kg spread")
    (found,) = findings(draft.done())["bearing"]
    assert found.status == PASS
    # 40 kg and the board itself, half on each housing of 300 x 6 mm
    own = (700 - T + 12) * 300 * T * BIRCH_KG_M3 * 1e-9
    assert isclose(found.value, (40 + own) * G / 2 / (300 * 6), rel_tol=1e-6)
    assert isclose(found.limit, 360 * PSI * 0.6 / 1.2 / LOAD_FACTOR, rel_tol=1e-3)


def test_a_board_on_one_post_is_a_cantilever_each_way() -> None:
    draft = Draft("stand", fit_mm=0.0)
    draft.board("base", PLY, (0, 0, 0), (500, 300, T), role="base")
    draft.board("post", PLY, (250 - T / 2, 0, T), (250 + T / 2, 300, 600), grain="z", role="side")
    draft.board("shelf", PLY, (0, 0, 600), (500, 300, 600 + T), role="shelf", grain="x")
    for other in ("base", "shelf"):
        draft.join(other, "post", dowelled())
    draft.load("shelf", "20 kg/m")
    _, board = shelf_of(draft.done())
    assert board.result is not None
    # full on one side only: that half turns the dowels, glued, 3000 N m/rad for each metre
    w, own, k = 0.020 * G, 300 * T * BIRCH_KG_M3 * 1e-9 * G, 3000e3 * 0.3
    sag = (w + own) * 250**4 / (8 * E_PLY * 300 * T**3 / 12) + w * 250**2 / 2 / k * 250
    sag += (w + own) * 250**2 / 2 / GA
    assert isclose(board.result.first_mm, sag, rel_tol=1e-4)
    assert isclose(board.resting.turned.moment, w * 250**2 / 2, rel_tol=1e-9)


def test_what_only_lies_on_one_post_falls() -> None:
    """Nothing keeps it from turning: pins and dry butts by the table, low end of their range."""
    draft = Draft("stand", fit_mm=0.0)
    draft.board("base", PLY, (0, 0, 0), (500, 300, T), role="base")
    draft.board("post", PLY, (250 - T / 2, 0, T), (250 + T / 2, 300, 600), grain="z", role="side")
    draft.board("shelf", PLY, (0, 0, 600), (500, 300, 600 + T), role="shelf", grain="x")
    draft.join("base", "post", dowelled())
    draft.load("shelf", "20 kg/m")
    (found,) = findings(draft.done())["slides-off"]
    assert (found.status, found.where) == (FAIL, "shelf")
    assert "one place alone" in found.source
    assert "screws" in found.remedy
    pinned = findings(arm(joint=shelf_pins()))
    assert pinned["slides-off"][0].where == "shelf"


def test_a_top_on_a_wide_pedestal_overhangs_its_edges() -> None:
    """A load at the tip tips what only lies there, and bends what is screwed: P L³/3EI beyond the edge."""
    draft = Draft("table", fit_mm=0.0)
    draft.board("pedestal", PLY, (200, 100, 0), (400, 100 + T, 500), grain="z", role="side")
    draft.board("pedestal.2", PLY, (200, 200, 0), (400, 200 + T, 500), grain="z", role="side")
    draft.board("shelf", PLY, (0, 0, 500), (600, 300, 500 + T), role="shelf", grain="x")
    draft.load("shelf", "3 kg at 10 mm")
    lying = findings(draft.done())
    assert lying["slides-off"][0].where == "shelf"
    for name in ("pedestal", "pedestal.2"):
        draft.join("shelf", name, dowelled())
    _, board = shelf_of(draft.done())
    assert board.result is not None
    assert board.result.segment.kind == "overhang"
    # carried half a thickness within the edges of the pedestal
    reach = 200 + T / 2
    assert isclose(board.result.segment.length, reach, abs_tol=0.01)
    # P a² (a + s) / 3EI at a load a beyond a support with s between the two, held down at the far one
    arm = reach - 10
    tip = 3 * G * arm**2 * (arm + 200 - T) / (3 * E_PLY * 300 * T**3 / 12)
    assert tip < board.result.first_mm < 1.6 * tip  # its own weight, shear and the end beyond add


def test_a_floating_shelf_hangs_on_its_wall() -> None:
    """Fixed to the wall along its rear edge: w L²/2 along it, told to the wall's fixings."""
    draft = Draft("floating", fit_mm=0.0)
    draft.wall("wall", (0, 250, 0), (0, -1, 0))
    draft.board("shelf", PLY, (0, 0, 1000), (600, 250, 1000 + T), role="shelf", grain="x")
    draft.say("shelf", "fixed to the wall")
    draft.load("shelf", "20 kg/m2")
    strength = assessed(draft.done())
    assert strength.ground.hangs
    (board,) = strength.boards
    assert board.span.along == (0.0, 1.0, 0.0)
    assert board.result is not None
    w = 20e-6 * 600 * G + 600 * T * BIRCH_KG_M3 * 1e-9 * G
    across = find_material("plywood-birch-18").moe_cross_mpa
    assert across is not None
    sag = w * 250**4 / (8 * across * 600 * T**3 / 12) + w * 250**2 / 2 / (2 * GA)
    assert isclose(board.result.first_mm, sag, rel_tol=1e-4)


def sloped(degrees: float) -> Piece:
    draft = Draft("display", fit_mm=0.0)
    for name, x in (("left", 0.0), ("right", 782)):
        draft.board(name, PLY, (x, 0, 0), (x + T, 300, 900), grain="z", role="side")
    draft.board("low", PLY, (T, 0, 50), (782, 300, 50 + T), role="shelf", grain="x")
    a = radians(degrees)
    form = Prism(764, 280, T, ((0, 0), (764, 0), (764, 280), (0, 280)))
    pose = Pose.columns((1, 0, 0), (0, cos(a), sin(a)), (0, -sin(a), cos(a)), (T, 10, 500))
    draft.place("display", form, PLY, pose, role="display")
    for side in ("left", "right"):
        draft.join(side, "low", housing(depth=6))
        draft.join(side, "display", butt())
    draft.load("low", "empty")
    return draft.done()


def test_a_sloping_shelf_is_listed_and_its_load_counts() -> None:
    for degrees, listed in ((4.9, False), (5.1, True), (15, True), (44, True), (46, False)):
        found = findings(sloped(degrees))
        told = [f for f in found.get("sag-unknown", ()) if "display" in f.where]
        assert bool(told) == listed, degrees
        if told:
            assert told[0].source.startswith("not estimated: sag and bending, because it slopes")
    piece = sloped(15)
    bare = assessed(piece).whole.kg
    loaded = replace(piece, loads=(*piece.loads, LoadOn("display", "30 kg spread")))
    assert isclose(assessed(loaded).whole.kg, bare + 30, rel_tol=1e-9)
    feet = sum(f.newton for f in assessed(loaded).feet)
    assert isclose(feet, (bare + 30) * G, rel_tol=1e-9)


def corner() -> Draft:
    draft = Draft("corner", fit_mm=0.0)
    for n, (x, y) in enumerate(((0, 0), (882, 0), (0, 850), (250, 250))):
        draft.board(f"post.{n}", PLY, (x, y, 0), (x + T, y + 50, 600), grain="z", role="post")
    outline = ((0, 0), (900, 0), (900, 300), (300, 300), (300, 900), (0, 900))
    upright = Pose.columns((1, 0, 0), (0, 1, 0), (0, 0, 1), (0, 0, 600))
    draft.place("shelf", Prism(900, 900, T, outline), PLY, upright, role="shelf")
    return draft


def test_an_l_shape_is_listed_and_its_load_counts() -> None:
    draft = corner()
    draft.load("shelf", "60 kg spread")
    found = findings(draft.done())
    (told,) = found["sag-unknown"]
    assert told.where == "shelf"
    assert "turns a corner" in told.source
    assert isclose(sum(f.newton for f in assessed(draft.done()).feet), assessed(draft.done()).whole.kg * G)


def test_a_shape_of_its_own_is_listed_and_its_load_counts() -> None:
    pytest.importorskip("cadquery")
    import cadquery as cq

    draft = corner()
    tray = cq.Workplane().box(300, 200, 40, centered=False).faces(">Z").shell(-5)
    stand = Pose.columns((1, 0, 0), (0, 1, 0), (0, 0, 1), (0, 0, 600 + T))
    draft.place("tray", custom_form(lambda: tray), PLY, stand, role="tray")
    draft.load("shelf", "empty")
    draft.load("tray", "12 kg spread")
    from furnigen import build

    built = build(draft.done())
    strength = built.strength_of(("strength",))
    assert strength is not None
    assert strength.carried["tray"].load.spread_kg == 12
    names = [(f.name, f.where) for f in built.findings_of(("strength",)) if f.value is None]
    assert ("sag-unknown", "tray") in names


def test_a_load_on_nothing_is_one_clear_error() -> None:
    piece = replace(arm(), loads=(LoadOn("shelff", "books"),))
    with pytest.raises(InputError, match=r"load on = shelff.*did you mean shelf"):
        assessed(piece)


def test_rails_that_a_cantilever_twists_are_listed() -> None:
    draft = Draft("twisted", fit_mm=0.0)
    for name, x in (("left", 0.0), ("right", 800.0)):
        draft.board(name, PLY, (x, 0, 0), (x + T, 300, 600), grain="z", role="side")
    draft.board("rail", PLY, (T, 280, 400), (800, 280 + T, 500), role="rail", grain="x")
    draft.board("shelf", PLY, (300, 60, 440), (500, 280, 440 + T), role="shelf", grain="y")
    for side in ("left", "right"):
        draft.join(side, "rail", dowelled())
    draft.join("rail", "shelf", dowelled())
    draft.load("shelf", "5 kg spread")
    found = findings(draft.done())
    (told,) = found["twist"]
    assert told.where.startswith("rail: by up to")
    assert told.value is None
