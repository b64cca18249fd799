"""The load path: what bears, holds or only touches, on pieces small enough to read off a drawing."""

import subprocess
import sys
from dataclasses import replace
from functools import partial

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from furnigen.catalogue.stock import find_stock
from furnigen.checks.load_path import check_load_path
from furnigen.construction.load_path import LoadPath, can_carry, find_load_path
from furnigen.core.errors import GeometryError
from furnigen.core.facts import Fact, Joinery
from furnigen.core.finding import Finding
from furnigen.core.pose import Box, Pose
from furnigen.drafting.draft import Draft
from furnigen.joints.joint import Fastener, Joint
from furnigen.mesh.light_mesh import description_contacts, light_contacts, light_mesh, light_model
from furnigen.parts.cuts import Bore, BoxCut, Turned
from furnigen.parts.forms.custom import Custom
from furnigen.parts.forms.prism import leaning, mitred, rectangle, ring
from furnigen.parts.forms.rod import Rod
from furnigen.parts.forms.square_leg import SquareLeg
from furnigen.parts.forms.turned_leg import TurnedLeg
from furnigen.parts.part import Part
from furnigen.parts.volume.moments import volume_mm3
from furnigen.piece.description import Piece

PLY = find_stock("birch-ply-18@18")
HOUSED = partial(Joint, "housing", joinery=Joinery.HOUSING, facts=Fact.CARRIES_BY_ITS_SHAPE)
SCREW = Fastener("screw", 4.0, 45.0, (((0.0, 37.0, 309.0), (1.0, 0.0, 0.0)),))


def walk(piece: Piece) -> LoadPath:
    touching = light_contacts(piece)
    return find_load_path(piece, touching.contacts, touching.support.grounded)


def joined(draft: Draft, *joints: Joint) -> Piece:
    return replace(draft.done(), joints=joints)


def uprights() -> Draft:
    """Two boards 18 x 300 x 600 standing on the floor, 400 clear between them."""
    draft = Draft("bay")
    draft.board("side.left", PLY, (0, 0, 0), (18, 300, 600), grain="z")
    draft.board("side.right", PLY, (418, 0, 0), (436, 300, 600), grain="z")
    return draft


def butted(kind: str = "butt", **how: object) -> Piece:
    draft = uprights()
    draft.board("shelf", PLY, (18, 0, 300), (418, 300, 318))
    return joined(draft, *(Joint(kind, side, "shelf", **how) for side in ("side.left", "side.right")))  # type: ignore[arg-type]


def housed(depth: float = 6.0) -> Piece:
    draft = uprights()
    draft.board("shelf", PLY, (18 - depth, 0, 300), (418 + depth, 300, 318))
    draft.cut("side.left", Box((18 - depth, 0, 300), (18, 300, 318)), "housing")
    draft.cut("side.right", Box((418, 0, 300), (418 + depth, 300, 318)), "housing")
    return joined(
        draft,
        HOUSED("side.left", "shelf", home=(-1.0, 0.0, 0.0), travel_mm=depth),
        HOUSED("side.right", "shelf", home=(1.0, 0.0, 0.0), travel_mm=depth),
    )


def only(findings: list[Finding], name: str) -> list[Finding]:
    return [f for f in findings if f.name == name]


# ---- what carries


def test_a_shelf_in_housings_bears_on_their_lower_cheeks() -> None:
    path = walk(housed(6.0))
    left, right = path.under["shelf"]
    assert (left.by, left.kind, left.joint) == ("side.left", "bears", "housing")
    assert (right.by, right.kind) == ("side.right", "bears")
    # the cheek is 6 deep and 300 long, at the shelf's underside z = 300
    assert left.area_mm2 == pytest.approx(6 * 300)
    assert (*left.lo, *left.hi) == pytest.approx((12, 0, 300, 18, 300, 300))
    assert left.normal == (0.0, 0.0, 1.0)
    assert path.under["side.left"][0].by == "floor"
    assert path.under["side.left"][0].area_mm2 == pytest.approx(18 * 300)
    assert dict(path.rank) == {"side.left": 1, "side.right": 1, "shelf": 2}
    assert path.order == ("side.left", "side.right", "shelf")
    assert [label for label, _ in path.on["side.left"]] == ["shelf"]
    assert [f.status for f in check_load_path(path)] == ["pass"]


def test_a_shelf_that_only_touches_is_a_failed_check_with_a_remedy() -> None:
    path = walk(butted())
    assert path.under["shelf"] == ()
    assert dict(path.touches)["shelf"] == ("side.left", "side.right")
    (found,) = check_load_path(path)
    assert (found.name, found.status, found.where) == ("load-path", "fail", "shelf")
    assert "only touches side.left, side.right" in found.remedy
    assert "cleat" in found.remedy


@pytest.mark.parametrize(
    "how",
    [{"glued": True}, {"fasteners": (SCREW,)}, {"facts": Fact.CARRIES_BY_ITS_SHAPE}],
    ids=["glued", "screwed", "dowelled"],
)
def test_a_joint_that_can_carry_holds_a_butted_shelf(how: dict[str, object]) -> None:
    path = walk(butted(**how))  # type: ignore[arg-type]
    assert [(p.by, p.kind) for p in path.under["shelf"]] == [("side.left", "holds"), ("side.right", "holds")]
    place = path.under["shelf"][0]
    # the face it is glued or screwed on: the end of the shelf
    assert place.area_mm2 == pytest.approx(18 * 300)
    assert (*place.lo, *place.hi) == pytest.approx((18, 0, 300, 18, 300, 318))
    assert place.normal == (1.0, 0.0, 0.0)
    assert [f.status for f in check_load_path(path)] == ["pass"]


def test_which_joints_carry() -> None:
    assert not can_carry(Joint("butt", "a", "b"))
    assert not can_carry(Joint("mitre", "a", "b"))
    assert not can_carry(Joint("butt", "a", "b", fasteners=(replace(SCREW, sites=()),)))
    assert can_carry(Joint("mitre", "a", "b", glued=True))
    assert can_carry(Joint("stopped housing", "a", "b", facts=Fact.CARRIES_BY_ITS_SHAPE))
    # the word for a joint decides nothing
    assert not can_carry(Joint("stopped housing", "a", "b"))


def test_pins_carry_where_they_stand_even_without_a_face() -> None:
    draft = uprights()
    draft.board("shelf", PLY, (19, 0, 300), (417, 300, 318))  # 1 mm clear at each end
    joints = []
    for side, x, way in (("side.left", 18.0, -1.0), ("side.right", 418.0, 1.0)):
        sites = tuple(((x, y, 297.5), (way, 0.0, 0.0)) for y in (37.0, 263.0))
        joints.append(Joint("pins", side, "shelf", fasteners=(Fastener("shelf pin", 5.0, 16.0, sites),)))
    left, right = walk(joined(draft, *joints)).under["shelf"]
    assert (left.kind, left.lo, left.hi) == ("holds", (18.0, 37.0, 297.5), (18.0, 263.0, 297.5))
    assert (right.kind, right.lo) == ("holds", (418.0, 37.0, 297.5))


def test_a_shelf_runs_over_three_uprights() -> None:
    draft = Draft("trestle")
    for k, x in enumerate((0, 400, 800), 1):
        draft.board(f"upright.{k}", PLY, (x, 0, 0), (x + 18, 300, 500), grain="z")
    draft.board("shelf", PLY, (-50, 0, 500), (868, 300, 518))
    path = walk(draft.done())
    places = path.under["shelf"]
    assert [(p.by, p.lo[0], p.hi[0]) for p in places] == [
        ("upright.1", 0.0, 18.0),
        ("upright.2", 400.0, 418.0),
        ("upright.3", 800.0, 818.0),
    ]
    assert all(p.kind == "bears" and p.joint == "" for p in places)
    assert [f.status for f in check_load_path(path)] == ["pass"]


def test_a_divider_props_the_shelf_above_and_does_not_hang_from_it() -> None:
    piece = housed()
    draft = uprights()
    for n, z in ((1, 200.0), (2, 418.0)):
        draft.board(f"shelf.{n}", PLY, (12, 0, z), (424, 300, z + 18))
        draft.cut("side.left", Box((12, 0, z), (18, 300, z + 18)), "housing")
        draft.cut("side.right", Box((418, 0, z), (424, 300, z + 18)), "housing")
    draft.board("divider", PLY, (209, 0, 212), (227, 300, 424), grain="z")
    draft.cut("shelf.1", Box((209, 0, 212), (227, 300, 218)), "housing")
    draft.cut("shelf.2", Box((209, 0, 418), (227, 300, 424)), "housing")
    ends = [HOUSED(s, f"shelf.{n}") for n in (1, 2) for s in ("side.left", "side.right")]
    piece = joined(draft, *ends, HOUSED("shelf.1", "divider"), HOUSED("shelf.2", "divider"))
    path = walk(piece)
    assert [p.by for p in path.under["divider"]] == ["shelf.1"]
    assert [p.by for p in path.under["shelf.2"]] == ["side.left", "side.right", "divider"]
    assert path.order.index("divider") < path.order.index("shelf.2")


def test_what_hangs_from_a_part_does_not_carry_it() -> None:
    # a drawer-like box bottom held by screws under a shelf: the shelf holds it, it does not bear the shelf
    draft = uprights()
    draft.board("shelf", PLY, (12, 0, 300), (424, 300, 318))
    draft.cut("side.left", Box((12, 0, 300), (18, 300, 318)), "housing")
    draft.cut("side.right", Box((418, 0, 300), (424, 300, 318)), "housing")
    draft.board("hanger", PLY, (100, 0, 200), (118, 300, 300), grain="z")
    ends = [HOUSED(s, "shelf") for s in ("side.left", "side.right")]
    path = walk(joined(draft, *ends, Joint("butt", "shelf", "hanger", fasteners=(SCREW,))))
    assert [(p.by, p.kind) for p in path.under["hanger"]] == [("shelf", "holds")]
    assert "hanger" not in {p.by for p in path.under["shelf"]}
    unscrewed = walk(joined(draft, *ends))
    assert unscrewed.islands == (("hanger",),)


def test_a_wall_holds_what_is_fixed_to_it() -> None:
    draft = Draft("ledge")
    draft.wall("back wall", (0, 300, 0), (0, -1, 0))
    draft.board("cleat", PLY, (0, 282, 900), (600, 300, 980))
    draft.board("shelf", PLY, (0, 82, 980), (600, 300, 998))
    path = walk(joined(draft, Joint("butt", "cleat", "shelf", fasteners=(SCREW,))))
    assert ("back wall", "holds") in [(p.by, p.kind) for p in path.under["cleat"]]
    assert path.islands == ()
    # without its wall, the whole is one island
    adrift = walk(replace(draft.done(), walls=(), joints=(Joint("butt", "cleat", "shelf", glued=True),)))
    assert adrift.islands == (("cleat", "shelf"),)
    (found,) = check_load_path(adrift)
    assert found.value == 2


def test_an_anchor_joins_a_part_to_a_wall_it_does_not_touch() -> None:
    draft = Draft("ledge")
    draft.wall("back wall", (0, 300, 0), (0, -1, 0))
    draft.board("shelf", PLY, (0, 80, 980), (600, 290, 998))
    anchor = Fastener("wall anchor", 8.0, 50.0, (((100.0, 290.0, 989.0), (0.0, 1.0, 0.0)),))
    path = walk(joined(draft, Joint("anchor", "back wall", "shelf", fasteners=(anchor,))))
    (place,) = path.under["shelf"]
    assert (place.by, place.kind, place.centre) == ("back wall", "holds", (100.0, 290.0, 989.0))


def test_a_tilted_face_does_not_bear() -> None:
    # a board leaned at 10° on another so leaned: the face is too steep to stay there by itself
    for degrees, bears in ((4.0, True), (10.0, False)):
        draft = Draft("lean")
        for n, up in (("low", 0.0), ("high", 18.0)):
            pose = Pose.turned("y", degrees) @ Pose.at(0, 0, up)
            draft.place(n, rectangle(400, 300, 18), PLY, pose)
        path = walk(draft.done())
        assert [p.by for p in path.under["high"]] == (["low"] if bears else [])


@pytest.mark.parametrize(("x0", "tips"), [(-200, False), (-300, True)])
def test_a_board_that_rests_beside_its_centre_of_mass_tips_off(x0: float, tips: bool) -> None:
    # 500 long on a post 100 wide at x = 0..100: its middle at 50 is over the post, at -50 it is not
    draft = Draft("perch")
    draft.board("post", find_stock("birch-ply-18@18"), (0, 0, 0), (100, 18, 400), grain="z")
    draft.board("board", PLY, (x0, -100, 400), (x0 + 500, 118, 418))
    found = only(check_load_path(walk(draft.done())), "tips-off")
    assert [f.where for f in found] == (["board"] if tips else [])
    assert all(f.status == "fail" and "post" in f.remedy for f in found)


def test_a_part_on_two_posts_does_not_tip() -> None:
    draft = Draft("bench")
    for k, x in enumerate((0, 382), 1):
        draft.board(f"post.{k}", PLY, (x, 0, 0), (x + 18, 100, 400), grain="z")
    draft.board("board", PLY, (0, 0, 400), (400, 100, 418))
    assert walk(draft.done()).loose == ()


@settings(max_examples=25, deadline=None)
@given(st.data())
def test_every_reached_part_comes_after_what_carries_it(data: st.DataObject) -> None:
    # towers of boards with random joints: whatever the tangle, an order without cycles comes out
    count = data.draw(st.integers(2, 8))
    draft = Draft("tower")
    for k in range(count):
        x = data.draw(st.sampled_from((0, 100, 200, 300)))
        level = data.draw(st.integers(0, 4))
        draft.board(f"b.{k}", PLY, (x, 0, 18 * level), (x + 200, 300 + k, 18 * level + 18))
    labels = [f"b.{k}" for k in range(count)]
    pairs = data.draw(
        st.lists(st.tuples(st.sampled_from(labels), st.sampled_from(labels)).filter(lambda p: p[0] != p[1]))
    )
    joints = [Joint("butt", a, b, glued=True) for a, b in pairs]
    path = walk(joined(draft, *joints))
    place = {label: k for k, label in enumerate(path.order)}
    assert sorted(path.order) == sorted(labels)
    lost = {label for island in path.islands for label in island}
    for label, places in path.supports:
        assert all(p.by == "floor" or place[p.by] < place[label] for p in places)
        assert bool(places) or label in lost
    assert {label for label, r in path.rank if r == 0} == lost


# ---- meshes from the description


@pytest.mark.parametrize(
    "part",
    [
        Part("plain", rectangle(400, 300, 18), PLY),
        Part("mitred", mitred(400, 60, 18), PLY),
        Part("ring", ring(400, 300, 18, 60), PLY),
        Part("leaning", leaning(400, 60, 18, 12), PLY),
        Part("grooved", rectangle(400, 300, 18), PLY, (BoxCut(Pose.at(100, 0, 12), (18, 300, 6)),)),
        Part(
            "leaned groove",
            rectangle(400, 300, 18),
            PLY,
            (BoxCut(Pose.turned("z", 12, (100, -50, 12)), (18, 500, 6)),),
        ),
        Part("square leg", SquareLeg(400, 45, 30, 8, 5), find_stock("oak-square-45")),
    ],
    ids=lambda p: p.name,
)
def test_flat_parts_are_drawn_exactly(part: Part) -> None:
    mesh = light_mesh(part)
    assert not mesh.curved
    # tools a millionth of a millimetre larger take 1e-6 mm off some 15,000 mm² of a million mm³
    assert _volume(mesh) == pytest.approx(volume_mm3(part), rel=2e-8)


@pytest.mark.parametrize(
    "part",
    [
        Part("rod", Rod(300, 30), find_stock("dowel-beech-30")),
        Part("turned leg", TurnedLeg(400, 40, 25, 10), find_stock("beech-blank-50")),
        Part("bored", rectangle(400, 300, 18), PLY, (Bore((50, 37, 18), (0, 0, -1), 20, 12),)),
        Part(
            "tenoned rod",
            Rod(300, 30),
            find_stock("dowel-beech-30"),
            (Turned((280, 15, 15), (1, 0, 0), (1, 0, 0), 20),),
        ),
    ],
    ids=lambda p: p.name,
)
def test_round_parts_are_drawn_within_the_tolerance(part: Part) -> None:
    for tolerance in (0.1, 0.01):
        mesh = light_mesh(part, tolerance)
        assert mesh.curved
        # facets lie inside the wood by at most the tolerance, over the round surface
        assert abs(_volume(mesh) - volume_mm3(part)) <= tolerance * 400 * 3.2 * 40


def _volume(mesh: object) -> float:
    import numpy as np

    corner = mesh.vertices[mesh.faces]  # type: ignore[attr-defined]
    return float(np.einsum("ij,ij->i", corner[:, 0], np.cross(corner[:, 1], corner[:, 2])).sum() / 6)


@given(st.floats(-80, 80), st.sampled_from("xyz"), st.tuples(*[st.floats(-2000, 2000)] * 3))
@settings(max_examples=40, deadline=None)
def test_a_cut_flush_with_a_face_leaves_no_film(
    degrees: float, axis: str, where: tuple[float, float, float]
) -> None:
    # a housing declared in the room for a board that leans: its open side ends in the board's face but for
    # rounding, and the wood left is still blank less housing
    room = Pose.turned(axis, degrees, where)
    cut = BoxCut(room @ Pose.at(100, 0, 12), (18, 300, 6)).moved(room.inverse())
    mesh = light_mesh(Part("side", rectangle(400, 300, 18), PLY, (cut,)))
    assert _volume(mesh) == pytest.approx(400 * 300 * 18 - 18 * 300 * 6, rel=2e-8)
    faces = mesh.vertices[mesh.faces]
    over = (faces[:, :, 2] > 17.99).all(axis=1) & (abs(faces[:, :, 0].mean(axis=1) - 109) < 8.9)
    assert not over.any()


def test_a_part_cut_in_two_is_refused_by_name() -> None:
    part = Part("shelf", rectangle(400, 300, 18), PLY, (BoxCut(Pose.at(100, -1, -1), (18, 302, 20)),))
    with pytest.raises(GeometryError, match=r"part 'shelf': its cuts leave 2 pieces"):
        light_mesh(part)


def test_a_custom_form_needs_its_own_mesh() -> None:
    form = Custom("knob", dict, (), Box((0, 0, 0), (30, 30, 30)), 9e3, (15, 15, 15), False)
    draft = Draft("knob")
    draft.place("knob", form, PLY, Pose())
    piece = draft.done()
    with pytest.raises(GeometryError, match="part 'knob': a knob can not be drawn"):
        light_model(piece)
    block = replace(light_mesh(Part("knob", rectangle(30, 30, 30), PLY)))
    assert light_model(piece, {"knob": block}).parts == (block,)


def everything() -> Piece:
    """Housings, a lean, a ring, turned legs and a rung: every way parts touch."""
    draft = Draft("all")
    draft.board("base", PLY, (0, 0, 100), (600, 300, 118))
    for k, (x, y) in enumerate(((80, 80), (520, 80), (520, 220), (80, 220)), 1):
        draft.place(f"leg.{k}", TurnedLeg(100, 40, 25, 8), find_stock("beech-blank-50"), Pose.at(x, y, 0))
    draft.place(
        "ring", ring(400, 300, 18, 60), PLY, Pose.columns((0, 0, 1), (0, 1, 0), (-1, 0, 0), (18, 0, 118))
    )
    draft.board("right", PLY, (582, 0, 118), (600, 300, 518), grain="z")
    draft.board("shelf", PLY, (18, 0, 300), (588, 300, 318))
    draft.cut("right", Box((582, 0, 300), (588, 300, 318)), "housing")
    draft.place("rung", Rod(576, 25), find_stock("dowel-beech-25"), Pose.at(12, 17.5, 400))
    turn = Pose.turned("x", 15.0, (200.0, 150.0, 318.0))
    draft.place("leaned", rectangle(200, 100, 18), PLY, turn)
    draft.place("on leaned", rectangle(200, 100, 18), PLY, turn @ Pose.at(30, 10, 18))
    piece = draft.done()
    for label, start in (("ring", 12.0), ("right", 582.0)):
        piece = bored(piece, label, Bore((start, 30.0, 412.5), (1.0, 0.0, 0.0), 25.0, 6.0))
    return piece


def bored(piece: Piece, label: str, bore: Bore) -> Piece:
    """The piece with a hole of the room's in the only copy of a part."""
    placement = piece.placement(label)
    parts = list(piece.parts)
    part = parts[placement.part]
    parts[placement.part] = replace(part, cuts=(*part.cuts, bore.moved(placement.pose.inverse())))
    return replace(piece, parts=tuple(parts))


def test_the_description_and_the_kernel_agree_on_what_touches() -> None:
    from furnigen.mesh.contacts import find_contacts
    from furnigen.mesh.scene import scene_of
    from furnigen.pipeline.built import Built

    for piece in (everything(), housed(), butted()):
        by_kernel = find_contacts(scene_of(Built(piece).meshes))
        drawn = description_contacts(piece)
        assert [(c.a, c.b) for c in drawn] == [(c.a, c.b) for c in by_kernel]
        for one, two in zip(drawn, by_kernel, strict=True):
            # facets of round faces differ: 24 sides against more leave 1.1 % of a circle out
            assert one.area_mm2 == pytest.approx(two.area_mm2, rel=0.02)
            assert one.normal == pytest.approx(two.normal, abs=1e-9)
            assert one.centre == pytest.approx(two.centre, abs=0.2)
            assert (*one.lo, *one.hi) == pytest.approx((*two.lo, *two.hi), abs=0.2)


def test_the_load_path_is_the_same_from_kernel_meshes() -> None:
    from furnigen.checks.solids import check_solid
    from furnigen.pipeline.built import Built

    piece = housed()
    solid = check_solid(Built(piece).meshes)
    assert find_load_path(piece, solid.contacts, solid.support.grounded).order == walk(piece).order


def test_the_path_needs_no_cad_kernel() -> None:
    program = (
        "import sys, furnigen.checks.load_path, furnigen.mesh.light_mesh as d;"
        "from furnigen.drafting.draft import Draft; from furnigen.catalogue.stock import find_stock;"
        "t = Draft('t'); t.board('b', find_stock('birch-ply-18@18'), (0, 0, 0), (400, 300, 18));"
        "d.description_contacts(t.done());"
        "print([m for m in ('OCP', 'cadquery', 'trimesh', 'scipy') if m in sys.modules])"
    )
    out = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "[]"


def test_the_description_of_the_load_path_needs_no_arrays() -> None:
    program = "import sys, furnigen.checks.load_path; print('numpy' in sys.modules)"
    out = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert out.stdout.strip() == "False"
