"""Posts and legs of whole pieces: what their lean does to them, by statics worked out here."""

from __future__ import annotations

from dataclasses import replace
from math import pi, radians, sqrt, tan

import pytest
from Pynite import FEModel3D
from strength_facts import G

from furnigen import find_recipe
from furnigen.catalogue.stock import find_stock
from furnigen.checks.strength import check_strength
from furnigen.core.finding import FAIL
from furnigen.drafting.draft import Draft
from furnigen.formats.report_strength import strength_rows
from furnigen.joints.fastened import dowelled
from furnigen.mesh.light_mesh import light_contacts
from furnigen.piece.description import LoadOn, Piece
from furnigen.strength.assess import Strength, assess
from furnigen.strength.formulas.allowable import LOAD_FACTOR, find_allowable
from furnigen.strength.formulas.column import END_CONDITIONS, FLOOR_FRICTION
from furnigen.strength.members.leaning_posts import bent_most, load_offsets, loads_on_post
from furnigen.strength.model.demands import Demands


def assessed(piece: Piece, **demands: object) -> Strength:
    piece = piece.without_loose
    touching = light_contacts(piece)
    return assess(piece, touching.contacts, touching.support.grounded, Demands(**demands))  # type: ignore[arg-type]


def test_a_leaning_leg_is_bent_by_the_load_on_its_foot() -> None:
    """Without friction the joint takes V H tan(lean); a floor of stated friction takes V mu of that push."""
    piece = find_recipe("divided_case")(rake=12.0, splay=12.0)
    without = {leg.label: leg for leg in assessed(piece).legs}
    strength = assessed(piece, floor_friction=FLOOR_FRICTION)
    posts = {p.label: p for p in strength.posts}
    assert strength.legs
    for leg in strength.legs:
        form = strength.bodies[leg.label].form
        lever = form.height * tan(radians(form.lean))
        share = 1 - FLOOR_FRICTION / tan(radians(form.lean))
        post = posts[leg.label]
        assert leg.held == pytest.approx(leg.foot_n * lever * share, rel=1e-9)
        assert without[leg.label].held == pytest.approx(leg.foot_n * lever, rel=1e-9)
        # M grows from the foot up as z, W as the cube of the leg's size: most where that is 3/2 of the foot's
        worst = min(form.foot / (2 * (form.top - form.foot)), 1.0)
        assert worst < 1
        told = post.from_lean / (post.axial_n * lever * share)
        assert told == pytest.approx(worst, abs=1 / 16)
        # and that much of the leg's strength is used beside the pressing
        assert post.pressed is not None
        stress = post.from_lean / (pi * (1.5 * form.foot) ** 3 / 32) * post.pressed.amplifier
        design = find_allowable(strength.bodies[leg.label].material).bending_mpa
        assert design is not None
        assert post.pressed.bending > 0.98 * stress / (design / LOAD_FACTOR)


def test_a_leg_without_lean_is_not_bent() -> None:
    strength = assessed(find_recipe("divided_case")(rake=0.0, splay=0.0))
    assert strength.legs == ()
    assert {p.from_lean for p in strength.posts if p.label.startswith("leg.")} == {0.0}


def test_a_turned_tenon_bends_and_presses() -> None:
    """Both are held against their own limit, and the one used most is told."""
    strength = assessed(find_recipe("divided_case")())
    for leg in strength.legs:
        by_what = {one.what: one for one in leg.bears}
        assert by_what.keys() == {"pressure in the socket", "bending of the tenon"}
        assert leg.bears[0].used == leg.used == max(one.used or 0.0 for one in leg.bears)
        assert all(one.source for one in leg.bears)
        turned = next(c for c in strength.bodies[leg.label].part.cuts if hasattr(c, "diameter"))
        stress = leg.held / (pi * turned.diameter**3 / 32)
        assert by_what["bending of the tenon"].value == pytest.approx(stress, rel=1e-9)


@pytest.mark.parametrize("lean", [8.0, 10.0, 12.0])
def test_a_leaning_post_is_bent_as_a_frame_program_says(lean: float) -> None:
    """PyNite: the post from foot to top, hinged below and held sideways above, with each shelf's load and its
    moment about the post's middle line, which reaches from there to the middle of the shelf.

    26.5 N m by default; with the loads on the post's own line it would be 16.2 N m.
    """
    piece = find_recipe("leaning_shelf")(lean=lean)
    strength = assessed(piece)
    post = next(p for p in strength.posts if p.label == "post.left")
    body = strength.bodies["post.left"]
    slope = tan(radians(lean))
    level = 90.0 / sqrt(1 / (1 + slope**2))
    top = body.box.hi[2]
    model = FEModel3D()
    model.add_material("ply", 1e4, 4e3, 0.3, 1e-9)
    model.add_section("post", 2000.0, 1e6, 1e6, 1e6)
    pushes = [p for p in strength.stack.pushes if p.by == "post.left"]
    heights = sorted({0.0, top, body.centre[2], *(p.at[2] for p in pushes)})
    for n, z in enumerate(heights):
        model.add_node(f"n{n}", level / 2 + z * slope, z, 0.0)
    for n in range(len(heights) - 1):
        model.add_member(f"m{n}", f"n{n}", f"n{n + 1}", "ply", "post")
    loads = [(p.at[2], p.dead + p.live, strength.bodies[p.label].box.centre[1]) for p in pushes]
    for z, newton, middle in [*loads, (body.centre[2], body.kg * G, body.centre[1])]:
        node = f"n{heights.index(z)}"
        model.add_node_load(node, "FY", -newton)
        model.add_node_load(node, "MZ", -newton * (middle - level / 2 - z * slope))
    model.def_support("n0", True, True, True, True, True, False)
    model.def_support(f"n{len(heights) - 1}", True, False, True, True, True, False)
    model.analyze_linear()
    truth = max(
        max(m.max_moment("Mz", "Combo 1"), -m.min_moment("Mz", "Combo 1")) for m in model.members.values()
    )
    top_down = loads_on_post(body, pushes, load_offsets(strength.boards))
    assert bent_most(body, top_down, 0.0, top)[0] == pytest.approx(truth, rel=1e-6)
    # what counts is the stretch between two levels where pressing and bending together use most
    assert 0.95 * truth < post.from_lean <= truth * (1 + 1e-6)


def test_all_of_it_is_in_the_report() -> None:
    told = strength_rows(assessed(find_recipe("divided_case")()))
    for row in told["uprights"]:
        assert {"axial_n", "moment_nmm", "moment_from_lean_nmm", "buckling_n", "used"} <= row.keys()
        assert row["euler_k"] == END_CONDITIONS[row["ends"]].used
        assert row["euler_k_source"]
        assert row["why"]
    for row in told["legs"]:
        assert {"axial_n", "thrust_n", "moment_held_nmm", "friction_needed", "joint"} <= row.keys()
        assert [one["what"] for one in row["bears"]]
        assert all(one["source"] for one in row["bears"])
        assert row["floor_friction"] == 0.0
        assert row["thrust_for_a_stretcher_n"] == row["thrust_n"]
    assert all(row["n_per_mm2"] > 0 for row in told["feet"])


def test_screwed_legs_are_held_by_their_screws() -> None:
    """Pull = M / lever / number of screws, the lever half the leg's blank; an end grain thread holds
    0.75 x 108.25 G² D L / 5 (Wood Handbook ch. 8), half of the screw being in the leg."""
    strength = assessed(find_recipe("divided_case")(rake=12.0, splay=12.0, leg_joint="screwed"))
    assert strength.legs
    for leg in strength.legs:
        (one,) = leg.bears
        assert (one.what, one.unit) == ("pull on each screw", "N")
        joint = next(j for _, j in strength.ground.joined[leg.label] if j.b == leg.label)
        (screws,) = [f for f in joint.fasteners if "screw" in f.kind]
        body = strength.bodies[leg.label]
        lever = body.form.blank_mm[1] / 2
        assert one.value == pytest.approx(leg.held / lever / len(screws.sites), rel=1e-9)
        gravity = body.material.density_kg_m3 / 1120
        holds = 0.75 * 108.25 * gravity**2 * screws.diameter_mm * screws.length_mm / 2 / 5
        assert one.allowed == pytest.approx(holds, rel=1e-9)


def test_in_the_weather_an_upright_bears_less() -> None:
    """k_mod 0.50 for 0.60 (EN 1995-1-1 Table 3.1, from memory); its sag grows by k_def 2.00 for 0.60."""
    oak = find_stock("white-oak-4-4")
    thick = oak.thickness_mm
    draft = Draft("bench", fit_mm=0.0)
    draft.board("left", oak, (0, 0, 0), (thick, 120, 400), grain="z", role="side")
    draft.board("right", oak, (800, 0, 0), (800 + thick, 120, 400), grain="z", role="side")
    draft.board("seat", oak, (0, 0, 400), (800 + thick, 120, 400 + thick), role="seat")
    for side in ("left", "right"):
        draft.join("seat", side, dowelled())
    draft.load("seat", "80 kg at middle")
    piece = draft.done()
    piece = piece.without_loose
    touching = light_contacts(piece)
    dry, wet = (
        assess(piece, touching.contacts, touching.support.grounded, Demands(climate=n)) for n in (1, 3)
    )
    (indoors,), (outdoors,) = dry.boards, wet.boards
    assert indoors.result is not None
    assert outdoors.result is not None
    assert outdoors.result.stress_allowed_mpa == pytest.approx(
        indoors.result.stress_allowed_mpa * 0.5 / 0.6, rel=1e-3
    )
    assert outdoors.result.final_mm / indoors.result.final_mm == pytest.approx(3.0 / 1.6, rel=1e-6)
    for low, high in zip(dry.posts, wet.posts, strict=True):
        assert low.pressed is not None
        assert high.pressed is not None
        assert high.pressed.used > 1.05 * low.pressed.used


@pytest.mark.parametrize(
    ("joint", "words"),
    [("screwed", "longer or more screws"), ("block", "a thicker or deeper tenon")],
)
def test_what_would_hold_long_leaning_legs(joint: str, words: str) -> None:
    """Thin legs that lean far: the advice is about legs, and about the joint they have."""
    made = find_recipe("divided_case")
    sizes = {"leg_height": 600.0, "leg_top": 30.0, "leg_foot": 20.0, "rake": 18.0, "splay": 18.0}
    piece = replace(made(**sizes, leg_joint=joint), loads=(LoadOn("all", "bagged clay"),))
    piece = piece.without_loose
    touching = light_contacts(piece)
    found, _ = check_strength(piece, touching.contacts, touching.support.grounded)
    remedies = {f.name: f.remedy for f in found if f.status == FAIL or (f.name == "sideways" and f.remedy)}
    assert remedies["leg-joint"].startswith(words)
    assert remedies["upright"].startswith("thicker legs, less lean")
    assert remedies["sideways"].startswith("only the joints of its legs")


def test_wood_bears_less_pressed_than_bent() -> None:
    """f_c,k = 4.3 sqrt(f_m,k) (EN 384:2016, from memory), both characteristic: birch plywood f_m,k 40.2, so
    27.3 N/mm², with the same k_mod 0.6, gamma_M 1.2 and load factor 1.5 on either."""
    strength = assessed(find_recipe("panel_bookcase")())
    post = next(p for p in strength.posts if p.label == "upright.1")
    assert post.pressed is not None
    # what two housings 5.5 mm deep, with 0.1 mm of room, leave between them
    area = (17.6 - 2 * 5.6) * strength.bodies["upright.1"].form.blank_mm[1]
    pressed = 4.3 * sqrt(40.2) * 0.6 / 1.2 / 1.5
    assert post.pressed.compression == pytest.approx(post.axial_n / (area * pressed), rel=1e-3)
