"""Touching faces and what holds parts up, against closed forms and polygon booleans."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from manifold3d import CrossSection, Manifold
from mesh_shapes import at, block, drawn_up, model, part, prism, star, turned
from numpy.typing import NDArray

from furnigen.core.caches import forget_all
from furnigen.core.errors import InputError
from furnigen.mesh.contacts import Contact, find_contacts
from furnigen.mesh.interference import find_interference
from furnigen.mesh.model import MeshModel
from furnigen.mesh.scene import scene_of
from furnigen.mesh.support import HeldModel, find_support
from furnigen.piece.description import Wall

steps = st.integers(-3, 3)
sizes = st.integers(1, 4)
boxes = st.tuples(st.tuples(steps, steps, steps), st.tuples(sizes, sizes, sizes))
stars = st.lists(st.integers(5, 40), min_size=3, max_size=9).map(star)
turns = st.builds(
    turned, st.tuples(*[st.floats(-1, 1)] * 3).filter(lambda a: np.linalg.norm(a) > 0.1), st.floats(-180, 180)
)
LEAN = turned((1, 2, 3), 37.0)


def contacts(m: MeshModel) -> tuple[Contact, ...]:
    return find_contacts(scene_of(m))


def only(m: MeshModel) -> Contact:
    found = contacts(m)
    assert len(found) == 1
    return found[0]


@given(a=boxes, b=boxes, turn=turns)
@settings(max_examples=150, deadline=None)
def test_two_boxes_touch_over_the_product_of_two_shared_lengths(
    a: tuple, b: tuple, turn: NDArray[np.float64]
) -> None:
    # on a grid of 50 mm: along each axis apart, flush, or deep in each other
    (lo_a, size_a), (lo_b, size_b) = ((np.array(lo) * 50.0, np.array(size) * 50.0) for lo, size in (a, b))
    world = at(500, -700, 300, turn)
    one, two = part("one", block((0, 0, 0), size_a)), part("two", block((0, 0, 0), size_b))
    found = contacts(model(("one.1", one, world @ at(*lo_a)), ("two.1", two, world @ at(*lo_b))))
    lo, hi = np.maximum(lo_a, lo_b), np.minimum(lo_a + size_a, lo_b + size_b)
    shared = hi - lo
    if np.count_nonzero(shared == 0) != 1 or np.any(shared < 0):
        assert found == ()
        return
    axis = int(np.flatnonzero(shared == 0)[0])
    contact = found[0]
    assert len(found) == len(contact.patches) == 1
    assert contact.area_mm2 == pytest.approx(np.prod(np.delete(shared, axis)), rel=1e-9)
    assert contact.centre == pytest.approx(turn @ ((lo + hi) / 2) + world[:3, 3], abs=1e-6)
    towards = np.zeros(3)
    towards[axis] = 1.0 if lo_b[axis] == hi[axis] else -1.0
    assert contact.normal == pytest.approx(turn @ towards, abs=1e-9)


@given(
    a=stars,
    b=stars,
    shift=st.tuples(st.integers(-30, 30), st.integers(-30, 30)),
    turn=turns,
    holes=st.booleans(),
)
@settings(max_examples=100, deadline=None)
def test_any_two_outlines_touch_over_what_a_polygon_boolean_says(
    a: list, b: list, shift: tuple[int, int], turn: NDArray[np.float64], holes: bool
) -> None:
    # outside: the polygon clipper of the boolean engine, another algorithm on the undivided outlines
    hole = [CrossSection.square((4, 4)).translate((-2, -2))] if holes else []
    flat = [CrossSection([o]) for o in (a, b)]
    for h in hole:
        flat[0] -= h
    lower, upper = (part(n, Manifold.extrude(s, 10)) for n, s in zip(("lower", "upper"), flat, strict=True))
    world = at(900, 0, 100, turn)
    found = contacts(model(("lower.1", lower, world), ("upper.1", upper, world @ at(*shift, 10))))
    shared = (flat[0] ^ flat[1].translate(shift)).area()
    if shared < 1.0:
        assert sum(c.area_mm2 for c in found) == pytest.approx(shared, abs=1.0)
    else:
        assert [c.area_mm2 for c in found] == [pytest.approx(shared, rel=1e-6)]


def test_a_square_on_a_square_turned_45_degrees_shares_an_octagon() -> None:
    # the regular octagon in a square of side s has the area 2 (sqrt 2 - 1) s² (plane geometry)
    s = 100.0
    tile = part("tile", block((-s / 2, -s / 2, 0), (s / 2, s / 2, 10)))
    contact = only(model(("a", tile, at()), ("b", tile, at(0, 0, 10, turned((0, 0, 1), 45)))))
    assert contact.area_mm2 == pytest.approx(2 * (np.sqrt(2) - 1) * s * s, rel=1e-9)
    assert contact.centre == pytest.approx((0, 0, 10), abs=1e-9)


@pytest.mark.parametrize("turn", [np.eye(3), LEAN], ids=["straight", "leaning"])
def test_a_mitre_touches_over_thickness_times_width_times_root_two(turn: NDArray[np.float64]) -> None:
    wide, thick = 60.0, 18.0
    stile = part("stile", prism([(0, 0), (wide, wide), (wide, 840), (0, 900)], thick, "x"))
    rail = part("rail", prism([(0, 0), (400, 0), (340, wide), (wide, wide)], thick, "x"))
    world = at(10, 20, 30, turn)
    contact = only(model(("stile.1", stile, world), ("rail.1", rail, world)))
    assert contact.area_mm2 == pytest.approx(thick * wide * np.sqrt(2), rel=1e-9)
    assert contact.normal == pytest.approx(turn @ np.array([0, 1, -1]) / np.sqrt(2), abs=1e-9)
    assert contact.centre == pytest.approx(turn @ np.array([9, 30, 30]) + (10, 20, 30), abs=1e-6)


def test_a_post_in_a_notch_touches_on_two_faces() -> None:
    shelf = part("shelf", prism([(0, 0), (300, 0), (300, 120), (200, 120), (200, 200), (0, 200)], 18))
    post = part("post", block((0, 0, 0), (100, 80, 500)))
    contact = only(model(("shelf.1", shelf, at()), ("post.1", post, at(200, 120, -200))))
    assert sorted(p.area_mm2 for p in contact.patches) == pytest.approx([80 * 18, 100 * 18])
    assert contact.area_mm2 == pytest.approx(180 * 18)
    # the larger face looks along y
    assert contact.normal == pytest.approx((0, 1, 0))
    assert contact.lo == pytest.approx((200, 120, 0))
    assert contact.hi == pytest.approx((300, 200, 18))


def test_a_shelf_in_a_housing_touches_its_floor_and_both_cheeks() -> None:
    side = part("side", block((0, 0, 0), (18, 400, 900)) - block((12, -1, 300), (19, 401, 318)))
    shelf = part("shelf", block((0, 0, 0), (600, 400, 18)))
    contact = only(model(("side.1", side, at()), ("shelf.1", shelf, at(12, 0, 300))))
    assert sorted(p.area_mm2 for p in contact.patches) == pytest.approx([6 * 400, 6 * 400, 18 * 400])
    assert sum(p.normal[2] for p in contact.patches) == pytest.approx(0)
    assert contact.normal == pytest.approx((1, 0, 0))


def test_a_turned_leg_s_leaned_end_touches_over_an_ellipse() -> None:
    # a cylinder of radius r leaned by t and trimmed level ends in an ellipse of half axes r / cos t and r;
    # its n facets are inscribed, so the end is n/2 sin(2 pi / n) / pi of the ellipse (plane geometry)
    r, lean, n = 20.0, 15.0, 48
    leg = Manifold.cylinder(900, r, r, n).translate((0, 0, -300)).rotate((lean, 0, 0))
    leg = leg.trim_by_plane((0, 0, 1), 0).trim_by_plane((0, 0, -1), -400)
    board = part("board", block((-300, -300, 0), (300, 300, 18)))
    m = model(("leg.1", part("leg", leg, curved=True), at()), ("board.1", board, at(0, 0, 400)))
    ellipse = np.pi * r * r / np.cos(np.radians(lean))
    inscribed = n / 2 * np.sin(2 * np.pi / n) / np.pi
    contact = only(m)
    assert contact.area_mm2 == pytest.approx(inscribed * ellipse, rel=1e-7)
    assert contact.area_mm2 == pytest.approx(ellipse, rel=2 / 3 * (np.pi / n) ** 2 * 1.01)
    assert contact.centre == pytest.approx((0, -400 * np.tan(np.radians(lean)), 400), abs=1e-4)
    foot = find_support(scene_of(m), contacts(m)).grounded[0]
    assert (foot.label, foot.ground) == ("leg.1", "floor")
    assert foot.area_mm2 == pytest.approx(inscribed * ellipse, rel=1e-7)
    outline = np.array(foot.outline)
    assert len(outline) == n
    assert outline[:, 2] == pytest.approx(np.zeros(n), abs=1e-9)
    assert np.ptp(outline[:, 1]) == pytest.approx(2 * r / np.cos(np.radians(lean)), rel=1e-3)


def test_faces_touch_up_to_a_hundredth_of_a_millimetre() -> None:
    board = part("board", block((0, 0, 0), (800, 300, 18)))
    for gap in (-0.008, 0.0, 0.008):
        assert only(model(("a", board, at()), ("b", board, at(0, 0, 18 + gap)))).area_mm2 == pytest.approx(
            240000
        )
    assert contacts(model(("a", board, at()), ("b", board, at(0, 0, 18.02)))) == ()


def test_edges_corners_and_flush_faces_are_no_contact() -> None:
    board = part("board", block((0, 0, 0), (100, 100, 100)))
    for shift in ((100, 0, 100), (100, 100, 100), (100, 0, 99.995), (0, 0, 0), (50, 0, 0)):
        assert contacts(model(("a", board, at()), ("b", board, at(*shift)))) == ()


def test_contacts_come_in_model_order_whatever_the_order_of_parts() -> None:
    board, post = (
        part("board", block((0, 0, 0), (100, 100, 18))),
        part("post", block((0, 0, 0), (100, 100, 50))),
    )
    placed = [("c", post, at()), ("b", board, at(0, 0, 50)), ("a", post, at(0, 0, 68))]
    assert [(c.a, c.b) for c in contacts(model(*placed))] == [("c", "b"), ("b", "a")]
    assert [(c.a, c.b) for c in contacts(model(*placed[::-1]))] == [("a", "b"), ("b", "c")]


# ---- support ----


def support(m: MeshModel, *walls: Wall) -> HeldModel:
    scene = scene_of(m)
    return find_support(scene, find_contacts(scene), walls, find_interference(scene, 0.2).curved_fits)


def test_islands_without_a_chain_to_the_floor_float() -> None:
    cube = part("cube", block((0, 0, 0), (50, 50, 50)))
    m = model(
        ("loft.2", cube, at(0, 0, 250)),
        ("base", cube, at()),
        ("on base", cube, at(0, 0, 50)),
        ("beside", cube, at(50, 0, 60)),
        ("loft.1", cube, at(0, 0, 200)),
        ("lone", cube, at(500, 0, 10)),
        ("by an edge", cube, at(50, 50, 150)),
    )
    found = support(m)
    assert found.floating == (("loft.2", "loft.1"), ("lone",), ("by an edge",))
    assert found.sunk == ()
    assert len(found.grounded) == 1
    foot = found.grounded[0]
    assert (foot.label, foot.ground, foot.area_mm2) == ("base", "floor", pytest.approx(2500))
    assert foot.centre == pytest.approx((25, 25, 0))
    x, y, _ = np.array(foot.outline).T
    assert sorted(map(tuple, np.round(foot.outline, 9))) == [(0, 0, 0), (0, 50, 0), (50, 0, 0), (50, 50, 0)]
    # counter-clockwise from above: the shoelace sum is positive
    assert np.sum(x * np.roll(y, -1) - y * np.roll(x, -1)) / 2 == pytest.approx(2500)


def test_a_part_on_its_edge_does_not_stand() -> None:
    cube = part("cube", block((0, 0, 0), (50, 50, 50)))
    assert support(model(("tilted", cube, at(0, 0, 0, turned((0, 1, 0), -10))))).floating == (("tilted",),)


def test_a_wall_carries_what_touches_it() -> None:
    grid = part(
        "crate",
        drawn_up(
            [[(0, 0), (300, 0), (300, 300), (0, 300)], [(18, 18), (18, 282), (282, 282), (282, 18)]], 200
        ),
    )
    upright = np.array([[1.0, 0, 0], [0, 0, -1], [0, 1, 0]])
    shelf = part("shelf", block((0, 0, 0), (264, 200, 12)))
    m = model(("crate.1", grid, at(0, 500, 1200, upright)), ("shelf.1", shelf, at(18, 300, 1218)))
    assert support(m).floating == (("crate.1", "shelf.1"),)
    wall = Wall("back wall", (0.0, 500.0, 0.0), (0.0, -1.0, 0.0))
    found = support(m, wall)
    assert found.floating == ()
    assert [(g.label, g.ground) for g in found.grounded] == [
        ("crate.1", "back wall"),
        ("shelf.1", "back wall"),
    ]
    # a frame of 300 with a window of 264, and a shelf's back edge
    assert found.grounded[0].area_mm2 == pytest.approx(300**2 - 264**2)
    assert found.grounded[1].area_mm2 == pytest.approx(264 * 12)
    assert np.array(found.grounded[0].outline)[:, 1] == pytest.approx([500] * 4)
    # seen from the room (looking along +y) x runs right and z up: counter-clockwise is x then z
    x, _, z = np.array(found.grounded[0].outline).T
    assert np.sum(x * np.roll(z, -1) - z * np.roll(x, -1)) / 2 == pytest.approx(300**2)


def test_a_wall_behind_the_wrong_side_carries_nothing() -> None:
    cube = part("cube", block((0, 0, 0), (50, 50, 50)))
    m = model(("hung", cube, at(0, 0, 900)))
    found = support(m, Wall("wall", (0.0, 50.0, 0.0), (0.0, 1.0, 0.0)))
    assert found.floating == (("hung",),)
    assert found.sunk == ("hung",)


def test_parts_below_the_floor_are_named() -> None:
    cube = part("cube", block((0, 0, 0), (50, 50, 50)))
    found = support(
        model(("stands", cube, at()), ("sinks", cube, at(100, 0, -1)), ("rounding", cube, at(200, 0, -1e-6)))
    )
    assert found.sunk == ("sinks",)
    assert found.floating == (("sinks",),)


def test_a_round_rung_through_its_bore_is_held_by_the_curve() -> None:
    r, n = 12.0, 24
    bore = Manifold.cylinder(60, r, r, n).rotate((0, 90, 0)).translate((-10, 25, 300))
    post = part("post", block((0, 0, 0), (40, 50, 900)) - bore, curved=True)
    rung = part("rung", Manifold.cylinder(60, r, r, n).rotate((0, 90, 0)), curved=True)
    for phase in (0.0, 4.0, 180 / n):
        m = model(("post.1", post, at()), ("rung.1", rung, at(-10, 25, 300, turned((1, 0, 0), phase))))
        assert support(m).floating == ()
        assert find_interference(scene_of(m), 0.2).overlaps == ()


def test_a_wall_without_direction_is_refused() -> None:
    cube = part("cube", block((0, 0, 0), (50, 50, 50)))
    with pytest.raises(InputError, match="normal of tool wall"):
        support(model(("a", cube, at())), Wall("tool wall", (0.0, 0.0, 0.0), (0.0, 0.0, 0.0)))


def test_nothing_placed_touches_nothing() -> None:
    assert support(MeshModel("empty", (), ())) == HeldModel((), (), ())


def test_pairs_that_stand_alike_share_alike_wherever_they_stand() -> None:
    """Posts on a board, the last over its edge: what is kept of one is true of the next."""
    forget_all()
    post, floor = (
        part("post", block((0, 0, 0), (40, 30, 500))),
        part("floor", block((0, 0, -20), (900, 300, 0))),
    )
    places = [(100.0, 40.0), (300.0, 40.0), (300.0, 200.0), (870.0, 100.0)]
    found = contacts(model(("floor", floor, at()), *((f"post.{x}.{y}", post, at(x, y)) for x, y in places)))
    assert [c.a for c in found] == ["floor"] * 4
    assert [c.area_mm2 for c in found] == pytest.approx([1200.0, 1200.0, 1200.0, 900.0])
    for one, (x, y) in zip(found, places, strict=True):
        assert one.lo == pytest.approx((x, y, 0.0))
        assert one.centre == pytest.approx((min(x + 20.0, (x + 900.0) / 2), y + 15.0, 0.0))
        assert one.normal == (0.0, 0.0, 1.0)
    # the other way round, moved and turned: another pair, of the same area
    turn = turned((0, 0, 1), 30.0)
    moved = only(
        model(("post", post, at(*(turn @ (870.0, 100.0, 0.0)), turn)), ("floor", floor, at(turn=turn)))
    )
    assert moved.area_mm2 == pytest.approx(900.0)
    assert moved.normal == pytest.approx((0.0, 0.0, -1.0))
