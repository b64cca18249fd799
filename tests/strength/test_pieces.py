"""Strength of whole pieces: hand-worked bays, what must hold of every recipe, and what is refused."""

from __future__ import annotations

import sys
from dataclasses import replace
from math import isclose
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from strength_facts import G

sys.path.insert(0, str(Path(__file__).parents[1] / "recipes"))

from space import space

from furnigen import InputError, find_recipe, list_recipes
from furnigen.catalogue.materials import find_material
from furnigen.catalogue.stock import find_stock, graded_stock
from furnigen.checks.strength import check_strength
from furnigen.core.finding import FAIL, PASS, WARN
from furnigen.drafting.draft import Draft
from furnigen.joints.fastened import butt, dowelled
from furnigen.joints.housing import housing, rabbet
from furnigen.joints.pins import shelf_pins
from furnigen.mesh.light_mesh import light_contacts
from furnigen.parts.volume.moments import centroid_mm, volume_mm3
from furnigen.piece.description import LoadOn, Piece
from furnigen.strength.assess import Strength, assess
from furnigen.strength.formulas.allowable import find_allowable
from furnigen.strength.model import members as body_module
from furnigen.strength.model.demands import Demands
from furnigen.strength.solver.beam import Beam, BeamSupport, PointLoad, SpreadLoad, solve_beams

PLY = find_stock("birch-ply-18@18")
E_PLY = find_material("plywood-birch-18").moe_mpa
BIRCH_KG_M3 = find_material("plywood-birch-18").density_kg_m3


def assessed(piece: Piece, **demands: object) -> Strength:
    piece = piece.without_loose
    touching = light_contacts(piece)
    return assess(piece, touching.contacts, touching.support.grounded, Demands(**demands))  # type: ignore[arg-type]


def findings(piece: Piece, **demands: object) -> dict[str, list]:
    piece = piece.without_loose
    touching = light_contacts(piece)
    found, _ = check_strength(
        piece,
        touching.contacts,
        touching.support.grounded,
        Demands(**demands),  # type: ignore[arg-type]
    )
    by_name: dict[str, list] = {}
    for f in found:
        by_name.setdefault(f.name, []).append(f)
    return by_name


def bay(joint: object = None, load: str = "40 kg/m", clear: float = 800.0, depth: float = 300.0) -> Piece:
    """Two sides 18 x 300 x 600 on the floor and one shelf between them."""
    draft = Draft("bay", fit_mm=0.0)
    draft.board("left", PLY, (0, 0, 0), (18, depth, 600), grain="z", role="side")
    draft.board("right", PLY, (18 + clear, 0, 0), (36 + clear, depth, 600), grain="z", role="side")
    draft.board("shelf", PLY, (18, 0, 300), (18 + clear, depth, 318))
    for side in ("left", "right"):
        draft.join(side, "shelf", joint or shelf_pins())  # type: ignore[arg-type]
    draft.load("shelf", load)
    return draft.done()


# -- one bay, by hand ---------------------------------------------------------------------------


def test_a_shelf_on_pins_by_hand() -> None:
    """5 w L⁴ / 384 E I and w L² / 8 (5/6 G A) between the pins, own weight with it, 1 + k_def = 1.8 in the
    long run; G 200 N/mm² across the plies of birch plywood (Handbook of Finnish Plywood, from memory).
    """
    strength = assessed(bay())
    (board,) = strength.boards
    result = board.result
    assert result is not None
    first, last = (s.at for s in board.span.stations)
    span = last - first
    own = 18 * 300 * 680e-9 * G  # N/mm
    w = 40 * G / 1000 + own
    i = 300 * 18**3 / 12
    # the pins stand in from the ends of the shelf, which run on by a few mm
    assert 780 <= span <= 800
    sag = 5 * w * span**4 / (384 * E_PLY * i) + w * span**2 / (8 * 5 / 6 * 200 * 300 * 18)
    assert result.first_mm == pytest.approx(sag, rel=2e-3)
    assert result.final_mm == pytest.approx(1.8 * result.first_mm, rel=1e-6)
    assert result.limit_mm == pytest.approx(span / 240)
    assert all(s.turning == 0 for s in board.span.stations)
    total = w * board.span.length
    assert sum(result.most) == pytest.approx(total, rel=1e-9)


def test_a_shelf_of_the_bookcase_by_hand() -> None:
    """Books at 25 lb/ft on 17.6 mm birch plywood glued into housings: ends of stiffness k turn by
    w L³/24 EI - M L/2 EI = M / k, and M takes M L²/8 EI off the sag of free ends."""
    piece = find_recipe("panel_bookcase")(width=1800.0)
    board = next(b for b in assessed(piece).boards if b.label == "shelf.1.1")
    result = board.result
    assert result is not None
    assert (board.span.depth, board.span.body.part.stock.thickness_mm) == (pytest.approx(313.6), 17.6)
    (low, k), (high, k2) = ((s.at, s.turning) for s in board.span.stations)
    # 2000 N mm/rad a mm is the low end of the table for a glued housing
    assert k == pytest.approx(2000 * 313.6, rel=1e-6)
    assert k2 == pytest.approx(k, rel=1e-6)
    span, deep, thick, e, g = high - low, 313.6, 17.6, 10048.0, 200.0
    assert span == pytest.approx(879.1)  # 873.6 clear, and half of the 5.5 mm that either end is let in
    w = (25 * 0.45359237 / 0.3048 + deep * thick * 680e-6) * G / 1000
    ei = e * deep * thick**3 / 12
    m = w * span**3 / (24 * ei) / (1 / k + span / (2 * ei))
    sag = 5 * w * span**4 / (384 * ei) - m * span**2 / (8 * ei) + w * span**2 / (8 * 5 / 6 * g * deep * thick)
    assert result.first_mm == pytest.approx(sag, rel=1e-4)
    assert result.final_mm == pytest.approx(1.8 * sag, rel=1e-4)
    assert result.stress_mpa == pytest.approx(6 * (w * span**2 / 8 - m) / (deep * thick**2), rel=1e-4)


def test_ends_are_held_as_their_joints_say() -> None:
    sags = {}
    for name, joint in (("pins", shelf_pins()), ("housing", housing(6.0)), ("dowelled", dowelled())):
        (board,) = assessed(bay(joint)).boards
        assert board.result is not None
        sags[name] = board.result.final_mm
        held = [s.turning > 0 for s in board.span.stations]
        assert held == [name != "pins"] * 2
        assert all(("partly held" in s.how) == h for s, h in zip(board.span.stations, held, strict=True))
        # which, and why, is told with the sag
        (told,) = findings(bay(joint))["sag"]
        assert f"Ends: {board.span.stations[0].how}" in told.source
        assert "Shear: added to bending" in told.source
    assert sags["dowelled"] < sags["pins"]
    assert sags["housing"] < sags["pins"]


def test_a_board_across_its_grain_is_soft_and_weak() -> None:
    """Oak bends across its grain between rails under its long edges: E_T / E_L is 0.05, the low end of the
    handbook's table, and its strength is taken to fall with it."""
    oak = find_stock("white-oak-4-4")
    thick = oak.thickness_mm
    draft = Draft("tray", fit_mm=0.0)
    for name, y in (("front", 0.0), ("back", 130.0 - thick)):
        draft.board(name, oak, (0, y, 0), (400, y + thick, 60), grain="x", role="rail")
    draft.board("slat", oak, (0, 0, 60), (400, 130, 60 + thick), grain="x", role="shelf")
    for name in ("front", "back"):
        draft.join("slat", name, dowelled())
    draft.load("slat", "40 kg spread")
    board = next(b for b in assessed(draft.done()).boards if b.label == "slat")
    assert abs(board.span.along[1]) == pytest.approx(1.0)
    assert board.result is not None
    wood = graded_stock(oak)
    assert board.span.section.bending == pytest.approx(0.05 * wood.moe_mpa * 400 * thick**3 / 12, rel=1e-9)
    whole = find_allowable(wood).bending_mpa
    assert whole is not None
    assert board.result.stress_allowed_mpa == pytest.approx(0.05 * whole / 1.5, rel=1e-9)
    heavy = replace(draft.done(), loads=(LoadOn("all", "1900 kg spread"),))
    (told,) = [f for f in findings(heavy)["bending"] if f.where.startswith("slat")]
    assert "x 0.05, as its modulus that way" in told.source


def test_an_edge_strip_counts_when_glued() -> None:
    """A strip 40 x 18 under the front. On edge its plies share by thickness: of 13 of 1.4 mm, the faces
    1.1 mm, 9.2 of 17.6 mm run along it; we count on half of 17500 N/mm². What it leaves of the sag is held
    against elements in test_plates.py.
    """
    on_edge = (10048 + 7452) / 2
    assert on_edge == 17500 / 2 < 17500 * (2 * 1.1 + 5 * 1.4) / 17.6
    for glued in (True, False):
        draft = Draft("bay", fit_mm=0.0)
        draft.board("left", PLY, (0, 0, 0), (18, 300, 600), grain="z", role="side")
        draft.board("right", PLY, (818, 0, 0), (836, 300, 600), grain="z", role="side")
        draft.board("shelf", PLY, (18, 0, 300), (818, 300, 318))
        draft.board("strip", PLY, (18, 0, 260), (818, 18, 300), grain="x", role="edge strip")
        for side in ("left", "right"):
            draft.join(side, "shelf", dowelled())
        draft.join("shelf", "strip", butt(screws=0, glued=True) if glued else butt())
        draft.load("shelf", "40 kg/m")
        board = next(b for b in assessed(draft.done()).boards if b.label == "shelf")
        assert board.span.section.bending == pytest.approx(E_PLY * 300 * 18**3 / 12, rel=1e-9)
        assert board.span.plate.plain is not glued
        assert [s.modulus(board.span.along) for s in board.span.strips] == ([on_edge] if glued else [])
        assert board.span.others == (("strip",) if glued else ())


# -- boards on boards ---------------------------------------------------------------------------


def stacked(load: str) -> Piece:
    """Two long shelves between sides; a divider in the middle props the upper one from the lower."""
    draft = Draft("stack", fit_mm=0.0)
    draft.board("left", PLY, (0, 0, 0), (18, 300, 700), grain="z", role="side")
    draft.board("right", PLY, (1218, 0, 0), (1236, 300, 700), grain="z", role="side")
    for n, z in ((1, 200), (2, 500)):
        draft.board(f"shelf.{n}", PLY, (18, 0, z), (1218, 300, z + 18))
        for side in ("left", "right"):
            draft.join(side, f"shelf.{n}", butt())
    draft.board("divider", PLY, (609, 0, 218), (627, 300, 500), grain="z", role="divider")
    draft.load("all", load)
    return draft.done()


def test_a_divider_goes_down_with_the_shelf_it_stands_on() -> None:
    """Two equal shelves tied in the middle share: each sags by half of what both loads would do to one; by
    symmetry and superposition, 5 w L⁴/384 EI of the mean load."""
    piece = stacked("empty")
    loaded = replace(piece, loads=(LoadOn("shelf.2", "60 kg/m"), LoadOn("shelf.1", "empty")))
    boards = {b.label: b for b in assessed(loaded).boards}
    upper, lower = boards["shelf.2"], boards["shelf.1"]
    ei = upper.span.section.bending
    places = [s.at for s in upper.span.stations]
    span = places[2] - places[0]
    turning = upper.span.stations[0].turning
    # what the divider carries by superposition of one beam under w + point loads
    w = 60 * G / 1000

    def middle(even: float, push: float) -> float:
        ends = (BeamSupport(places[0], turning), BeamSupport(places[2], turning))
        loads = (SpreadLoad(0.0, upper.span.length, even),) if even else ()
        bent = solve_beams([Beam(upper.span.length, ei, ends, loads, (PointLoad(places[1], push),))])[0]
        assert bent is not None
        near = min(bent.line, key=lambda p: abs(p[0] - places[1]))
        return near[1]

    # live load alone: the upper goes down as the lower does
    prop = float(upper.resting.force[1, 1])
    assert middle(w, -prop) == pytest.approx(middle(0.0, prop), rel=1e-6)
    assert float(upper.resting.sunk[1, 1]) == pytest.approx(middle(0.0, prop), rel=1e-6)
    assert lower.resting.carried[0][2] == pytest.approx(prop, rel=1e-9)
    assert prop == pytest.approx(5 * w * span / 16, rel=0.02)  # half of the rigid prop's 5/8 w L
    assert upper.result is not None
    assert "sinking" in upper.result.loaded


@pytest.mark.parametrize("at", [150, 300, 900])
def test_a_board_that_lies_loose_rests_as_a_loose_beam(at: int) -> None:
    """What would have to pull it down is let go, also where a post stands on the board there."""
    draft = Draft("bench", fit_mm=0.0)
    for n, x in enumerate((0, 400, 800, 1182)):
        draft.board(f"upright.{n}", PLY, (x, 0, 0), (x + 18, 300, 400), grain="z", role="side")
    draft.board("seat", PLY, (0, 0, 400), (1200, 300, 418))
    draft.board("post", PLY, (800, 0, 418), (818, 300, 600), grain="z", role="divider")
    draft.load("seat", f"200 kg at {at} mm")
    rests = {b.label: b for b in assessed(draft.done()).boards}["seat"].resting
    span = rests.span
    own, post = (300 * 18e-9 * BIRCH_KG_M3 * G * long for long in (1200, 182))
    loads = (PointLoad(float(at), 200 * G), PointLoad(809.0, post))
    loose = tuple(BeamSupport(s.at, holds_down=False) for s in span.stations)
    spread = (SpreadLoad(0.0, span.length, own / span.length),)
    bent = solve_beams([Beam(span.length, span.section.bending, loose, spread, loads)])[0]
    assert bent is not None
    assert not all(bent.touching)
    force = rests.force.sum(1)
    for place, total in ((p, d + live) for p, d, live in rests.carried):
        assert (round(place), total) == (809, pytest.approx(post, rel=1e-6))
    if not rests.carried:  # the post stands on what carries the seat there: its weight never bends it
        force[2] += post
    assert force.tolist() == pytest.approx(list(bent.reactions), abs=1e-6 * 200 * G)


# -- every recipe -------------------------------------------------------------------------------

RECIPES = list_recipes()


def weighed(strength: Strength, piece: Piece) -> tuple[float, float, float]:
    """Weight (N) and its first moments about the room's axes, from volumes, densities and loads alone."""
    total = [0.0, 0.0, 0.0]
    for p in piece.placements:
        part = piece.part_of(p)
        density = find_material(part.stock.material).density_kg_m3
        n = volume_mm3(part) * 1e-9 * density * G
        x, y, _ = p.pose.apply(centroid_mm(part))
        total = [total[0] + n, total[1] + n * x, total[2] + n * y]
    for label, on in strength.carried.items():
        box = piece.bounds_of(piece.placement(label))
        # goods by the metre stand along the longer side, whichever way the board spans
        length, depth = max(box.size[:2]), min(box.size[:2])
        n = on.load.newton_per_mm(depth, length) * length
        total = [total[0] + n, total[1] + n * box.centre[0], total[2] + n * box.centre[1]]
    return total[0], total[1], total[2]


def balances(piece: Piece) -> None:
    strength = assessed(piece)
    weight, mx, my = weighed(strength, piece)
    assert sum(f.walked for f in strength.feet) == pytest.approx(weight, rel=1e-9)
    assert sum(f.newton for f in strength.feet) == pytest.approx(weight, rel=1e-9)
    if not piece.walls:
        reach = max(piece.bounds.size)
        assert abs(sum(f.newton * f.at[0] for f in strength.feet) - mx) < 1e-6 * weight * reach
        assert abs(sum(f.newton * f.at[1] for f in strength.feet) - my) < 1e-6 * weight * reach
    for push in strength.stack.pushes:
        assert push.dead + push.live == push.dead + push.live  # no NaN


@pytest.mark.parametrize("recipe", RECIPES, ids=lambda r: r.name)
def test_floor_reactions_balance_the_weight(recipe) -> None:
    balances(recipe().without_loose)


@pytest.mark.parametrize("recipe", RECIPES, ids=lambda r: r.name)
@settings(
    max_examples=12,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much],
)
@given(data=st.data())
@pytest.mark.slow
def test_floor_reactions_balance_the_weight_of_any_piece(recipe, data) -> None:
    try:
        piece = recipe(**data.draw(space(recipe)))
    except InputError:
        return
    balances(piece.without_loose)


@pytest.mark.parametrize("recipe", RECIPES, ids=lambda r: r.name)
def test_a_recipe_holds_under_its_own_load(recipe) -> None:
    piece = recipe()
    assert piece.loads, "a recipe says what it carries"
    found = findings(piece)
    assert [f for group in found.values() for f in group if f.status == FAIL] == []
    assert {"sag", "bending", "upright", "sideways"} <= found.keys()


def test_a_symmetric_case_stands_evenly_on_its_legs() -> None:
    piece = next(r for r in RECIPES if r.name == "divided_case")(back="none")
    feet = assessed(piece).feet
    quarter = sum(f.newton for f in feet) / 4
    for foot in feet:
        assert foot.newton == pytest.approx(quarter, rel=1e-6)


@pytest.mark.parametrize("member", [20.90625, 20.8828125])
def test_levels_that_rounding_parts_are_one(member: float) -> None:
    """A rail at the very top of the frame, by some millionths of a millimetre."""
    recipe = next(r for r in RECIPES if r.name == "ring_rack")
    assert assessed(recipe(build="butted rails", member=member, boards="flat")).sideways


# -- sideways, standing, walls --------------------------------------------------------------------


def cased(*, back: bool, joint: object = None) -> Piece:
    """A case 900 wide, 1200 tall: sides, top, bottom, a shelf, and a back let into rabbets or none."""
    draft = Draft("case", fit_mm=0.0)
    draft.board("left", PLY, (0, 0, 0), (18, 300, 1200), grain="z", role="side")
    draft.board("right", PLY, (882, 0, 0), (900, 300, 1200), grain="z", role="side")
    deep = 293.5 if back else 300
    for name, z in (("bottom", 0), ("shelf", 600), ("top", 1182)):
        draft.board(name, PLY, (18, 0, z), (882, deep, z + 18), role="shelf")
        for side in ("left", "right"):
            draft.join(side, name, joint or dowelled())  # type: ignore[arg-type]
    if back:
        thin = find_stock("birch-ply-6.5@6.5")
        draft.board("back", thin, (18, 293.5, 0), (882, 300, 1200), grain="z", role="back")
        for side in ("left", "right"):
            draft.join(side, "back", rabbet())
    draft.load("all", "books")
    return draft.done()


def test_only_joints_resist_a_case_without_a_back() -> None:
    bare, backed = findings(cased(back=False)), findings(cased(back=True))
    (one,) = [f for f in bare["sideways"] if "left-right" in f.where]
    assert one.status == WARN
    assert "only its joints resist" in one.remedy
    (other,) = [f for f in backed["sideways"] if "left-right" in f.where]
    assert other.status == PASS
    assert "the back holds" in other.where
    assert other.value > 3 * one.value
    # front to back the sides are walls
    assert any("its own panels" in f.where for f in bare["sideways"])


def test_a_case_on_pins_folds() -> None:
    (one,) = [
        f for f in findings(cased(back=False, joint=shelf_pins()))["sideways"] if "left-right" in f.where
    ]
    assert (one.status, one.value) == (FAIL, 0.0)


def test_tipping_by_hand() -> None:
    """The footprint is 0 .. 300 deep; the pull that tips it is W d / h (stability.md 3)."""
    piece = replace(cased(back=False), loads=(LoadOn("all", "empty"),))
    strength = assessed(piece, tip_tests=("all",))
    stability = strength.stability
    assert stability is not None
    kg = sum(b.kg for b in strength.bodies.values())
    (front,) = stability.empty.side("front")
    assert front.inside == pytest.approx(150.0)
    assert front.pull_n(1200.0) == pytest.approx(kg * G * 150 / 1200, rel=1e-9)
    found = findings(piece, tip_tests=("pull-top", "child"))
    assert [f.where.split(":")[0] for f in found["tip-test"]] == ["pull-top", "child"]
    pull = found["tip-test"][0]
    # 10 lbf at the top, which is below 56 in
    assert pull.value == pytest.approx(kg * G * 150 / (44.482216 * 1200), rel=1e-6)
    assert found["anchor"][0].status == WARN
    assert "anchor it to the wall" in found["anchor"][0].remedy


def test_a_hanging_case_pulls_at_its_rail() -> None:
    """Weight W at e from the wall, fixings h above its lowest touch: pull W e / h."""
    draft = Draft("hanging", fit_mm=0.0)
    draft.wall("wall", (0.0, 300.0, 0.0), (0.0, -1.0, 0.0))
    draft.board("left", PLY, (0, 0, 1000), (18, 300, 1600), grain="z", role="side")
    draft.board("right", PLY, (582, 0, 1000), (600, 300, 1600), grain="z", role="side")
    draft.board("shelf", PLY, (18, 0, 1000), (582, 300, 1018))
    draft.board("rail", PLY, (18, 282, 1540), (582, 300, 1600), grain="x", role="rail")
    for side in ("left", "right"):
        draft.join(side, "shelf", dowelled())
        draft.join(side, "rail", dowelled())
    draft.load("all", "empty")
    strength = assessed(draft.done())
    (wall,) = strength.walls
    kg = sum(b.kg for b in strength.bodies.values())
    away = 300 - sum(b.kg * b.centre[1] for b in strength.bodies.values()) / kg
    assert wall.hangs
    assert wall.out_n == pytest.approx(kg * G * away / (1570 - 1000), rel=1e-6)
    assert isclose(sum(f.newton for f in strength.feet), kg * G, rel_tol=1e-9)
    assert {f.label for f in strength.feet} == {"rail"}


# -- what is assumed, and what is refused ---------------------------------------------------------


def test_an_assumed_load_warns_and_a_stated_one_fails() -> None:
    long = bay(clear=1400.0)
    assert findings(long)["sag"][0].status == FAIL
    silent = replace(long, loads=())
    (one,) = findings(silent)["sag"]
    assert one.status == WARN
    assert "the load is assumed" in one.remedy
    assert "Any shelf, woodwork standard" in one.source


def test_loads_by_label_role_and_all() -> None:
    piece = stacked("empty")
    loads = (LoadOn("all", "books"), LoadOn("shelf", "dishes"), LoadOn("shelf.2", "empty"))
    carried = assessed(replace(piece, loads=loads)).carried
    assert {label: on.load.text for label, on in carried.items()} == {"shelf.1": "dishes", "shelf.2": "empty"}
    # the last that names a board holds
    assert assessed(replace(piece, loads=loads[::-1])).carried["shelf.2"].load.text == "books"
    with pytest.raises(InputError, match=r"did you mean shelf\.1"):
        assessed(replace(piece, loads=(LoadOn("shelf.11", "books"),)))
    with pytest.raises(InputError, match="is not a board that things are put on"):
        assessed(replace(piece, loads=(LoadOn("left", "books"),)))


def test_a_piece_in_the_air_is_a_finding() -> None:
    draft = Draft("air")
    draft.board("shelf", PLY, (0, 0, 300), (800, 300, 318))
    (one,) = findings(draft.done())["carried"]
    assert one.status == FAIL
    assert "touches neither the floor" in one.where


def test_a_part_that_nothing_carries_is_named() -> None:
    draft = Draft("bay", fit_mm=0.0)
    draft.board("left", PLY, (0, 0, 0), (18, 300, 600), grain="z", role="side")
    draft.board("shelf", PLY, (18, 0, 300), (818, 300, 318))
    (one,) = findings(draft.done())["carried"]
    assert (one.status, one.value, one.where) == (FAIL, 1.0, "shelf")


def test_a_material_without_a_modulus_is_refused(monkeypatch) -> None:
    real = graded_stock
    monkeypatch.setattr(body_module, "graded_stock", lambda stock: replace(real(stock), moe_mpa=float("nan")))
    with pytest.raises(InputError, match="modulus of plywood-birch-18 = nan N/mm²: must be more than zero"):
        assessed(bay())


@pytest.mark.parametrize(
    ("load", "says"),
    [
        ("bookz", "must be a known use"),
        ("-40 kg/m", "must not be negative"),
        ("40 kg", "does not say where"),
        ("40 lightyears", "can not be in lightyears"),
        ("40", "needs a unit"),
    ],
)
def test_bad_loads_are_refused_when_they_are_said(load: str, says: str) -> None:
    with pytest.raises(InputError, match=says):
        Draft("bay").load("shelf", load)


@pytest.mark.parametrize(
    ("demands", "says"),
    [
        ({"sag_limit": "invisible"}, "sag limit"),
        ({"sag_limit": "L/3"}, "must be from L/20"),
        ({"climate": 4}, "climate = 4"),
        ({"tip_tests": ("earthquake",)}, "tipping test"),
    ],
)
def test_bad_demands_are_refused(demands: dict, says: str) -> None:
    with pytest.raises(InputError, match=says):
        Demands(**demands)


def test_shelves_on_pins_in_an_upright_that_stands_on_the_bottom() -> None:
    """The upright between two bays is further from the floor than the shelves are through the sides: it
    carries them all the same, and every shelf is held against its limit."""
    strength = assessed(find_recipe("panel_bookcase")(shelf_joint="pins"))
    boards = {b.label: b for b in strength.boards}
    shelves = [label for label in strength.carried if label.startswith("shelf.")]
    assert len(shelves) == 8
    for label in shelves:
        assert len(boards[label].span.stations) == 2
        assert {p.by for s in boards[label].span.stations for p in s.places} > {"upright.1"}
    # pinned ends turn freely: it sags more than in housings
    housed = {b.label: b for b in assessed(find_recipe("panel_bookcase")()).boards}
    pinned = boards["shelf.1.1"].result
    glued = housed["shelf.1.1"].result
    assert pinned is not None
    assert glued is not None
    assert pinned.final_mm > 1.1 * glued.final_mm


@pytest.mark.parametrize("recipe", RECIPES, ids=lambda r: r.name)
@pytest.mark.slow
def test_every_loaded_board_of_a_recipe_is_estimated(recipe) -> None:
    """With whatever joints it offers."""
    for p in recipe.parameters:
        for choice in p.options if p.kind == "choice" else ():
            try:
                piece = recipe(**{p.name: choice})
            except InputError:
                continue
            assert "sag-unknown" not in findings(piece), (p.name, choice)
