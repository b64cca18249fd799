"""The worst part of a load, against trying every part; bodies that hang apart, and feet that lift."""

from __future__ import annotations

from itertools import product
from math import atan2, degrees, dist, inf

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strength_facts import G

from furnigen import find_recipe
from furnigen.catalogue.stock import find_stock
from furnigen.checks.strength import check_strength
from furnigen.core.errors import InputError
from furnigen.core.finding import WARN
from furnigen.drafting.draft import Draft
from furnigen.joints.fastened import dowelled
from furnigen.mesh.light_mesh import light_contacts
from furnigen.parts.forms.prism import Prism
from furnigen.piece.description import Piece
from furnigen.strength.assess import Strength, assess
from furnigen.strength.formulas.partial_loads import Goods, find_worst_tip, with_worst_goods
from furnigen.strength.formulas.tipping import Mass, find_tipping_stability
from furnigen.strength.members.contents import CONTENTS_MM, ROW_DEEP_MM
from furnigen.strength.model.goods_room import row_mm, surface_mm2

PLY = find_stock("birch-ply-18@18")
RHO = 680e-9


def assessed(piece: Piece) -> Strength:
    piece = piece.without_loose
    touching = light_contacts(piece)
    return assess(piece, touching.contacts, touching.support.grounded)


def found(piece: Piece) -> dict[str, list]:
    piece = piece.without_loose
    touching = light_contacts(piece)
    every, _ = check_strength(piece, touching.contacts, touching.support.grounded)
    by_name: dict[str, list] = {}
    for f in every:
        by_name.setdefault(f.name, []).append(f)
    return by_name


# -- the worst part, by brute force -------------------------------------------------------------------

places = st.tuples(st.floats(-300, 300), st.floats(-300, 300), st.floats(10, 2000))
goods = st.lists(
    st.tuples(st.floats(0.5, 80), st.lists(places, min_size=1, max_size=2)), min_size=0, max_size=6
)
FEET = [(-200.0, -150.0), (220.0, -150.0), (200.0, 160.0), (-200.0, 150.0)]


@given(goods, st.floats(5, 60), st.floats(-100, 100), st.floats(100, 1200))
@settings(max_examples=80, deadline=None)
def test_no_part_of_the_load_tips_it_sooner(some: list, kg: float, y: float, z: float) -> None:
    """Every subset, at every choice of places: tilt = atan(D / Z) over each line of the feet."""
    empty = find_tipping_stability([Mass(kg, (0.0, y, z))], FEET)
    made = [Goods(str(n), one, tuple(at)) for n, (one, at) in enumerate(some)]
    for edge in empty.edges:
        least = inf
        (ax, ay), (bx, by) = edge.a, edge.b
        for choice in product(*(range(len(at) + 1) for _, at in some)):
            masses = [(kg, 0.0, y, z)]
            masses += [(one, *at[n - 1]) for (one, at), n in zip(some, choice, strict=True) if n]
            whole = sum(m[0] for m in masses)
            x0, y0, z0 = (sum(m[0] * m[i] for m in masses) / whole for i in (1, 2, 3))
            inside = ((bx - ax) * (y0 - ay) - (by - ay) * (x0 - ax)) / dist(edge.a, edge.b)
            least = min(least, degrees(atan2(inside, z0)))
        assert find_worst_tip(empty, edge, made).edge.tilt_degrees == pytest.approx(least, abs=1e-9)


@given(goods, st.floats(0.0, 0.3))
@settings(max_examples=60, deadline=None)
def test_no_part_of_the_load_holds_it_less(some: list, slope: float) -> None:
    """W (d - z t) of every subset at every choice of places, for a pull or a weight on a slope t."""
    empty = find_tipping_stability([Mass(20.0, (0.0, 0.0, 500.0))], FEET)
    made = [Goods(str(n), one, tuple(at)) for n, (one, at) in enumerate(some)]
    edge = empty.edges[0]
    loaded, line = with_worst_goods(empty, edge, made, slope)
    ours = loaded.kg * (line.inside - loaded.centre[2] * slope)
    least = min(
        20.0 * (-edge.beyond((0.0, 0.0, 500.0)) - 500.0 * slope)
        + sum(
            kg * (-edge.beyond(at[n - 1]) - at[n - 1][2] * slope)
            for (kg, at), n in zip(some, choice, strict=True)
            if n
        )
        for choice in product(*(range(len(at) + 1) for _, at in some))
    )
    assert ours == pytest.approx(least, rel=1e-9, abs=1e-6)


PIECES = [
    ("panel_bookcase", {"width": 1800.0}, 5.46),
    ("ring_rack", {"boards": "flat", "frames": 3}, 8.29),
]


@pytest.mark.parametrize(("name", "given_values", "whole_shelves"), PIECES, ids=[p[0] for p in PIECES])
def test_whole_pieces_by_trying_all_shelves(name: str, given_values: dict, whole_shelves: float) -> None:
    """Every subset of shelves, goods at the middle, the front or the back of the depth, by statics."""
    piece = find_recipe(name)(**given_values)
    strength = assessed(piece)
    piece = piece.without_loose
    touching = light_contacts(piece)
    ys = [y for g in touching.support.grounded for _, y, _ in g.outline]
    parts = [(b.kg, b.centre[1], b.centre[2]) for b in strength.bodies.values()]
    rows = []  # alike shelves of one height as one: kg, depth, y, z
    for label, on in strength.carried.items():
        box = piece.bounds_of(piece.placement(label))
        kg = (
            on.load.line_kg_m * max(box.size[:2]) / 1000
            + on.load.area_kg_m2 * box.size[0] * box.size[1] / 1e6
        )
        rows.append((kg, box.size[1], box.centre[1], box.hi[2] + CONTENTS_MM, on.load.area_kg_m2 > 0))

    def tilt(shares: list[tuple[float, float, float]]) -> float:
        masses = [*parts, *shares]
        whole = sum(m[0] for m in masses)
        y, z = (sum(m[0] * m[i] for m in masses) / whole for i in (1, 2))
        return degrees(min(atan2(y - min(ys), z), atan2(max(ys) - y, z)))

    middle, moved = inf, inf
    for subset in product((0, 1), repeat=len(rows)):
        full = [row for row, on in zip(rows, subset, strict=True) if on]
        middle = min(middle, tilt([(kg, y, z) for kg, _, y, z, _ in full]))
        for side in (-1, 1):
            shares = []
            for kg, deep, y, z, surface in full:
                off = side * max(deep - ROW_DEEP_MM, 0) / 2
                shares.append((kg / 2, y + side * deep / 4, z) if surface else (kg, y + off, z))
            moved = min(moved, tilt(shares))
    assert middle == pytest.approx(whole_shelves, abs=0.01)
    assert strength.stability is not None
    ours = strength.stability.worst[0].edge.tilt_degrees
    # goods by the surface may lie on any quarters of the depth, of which the front or back half is one choice
    assert ours <= moved + 1e-9
    assert ours == pytest.approx(moved, abs=0.3)
    (told,) = found(piece)["standing"]
    assert told.value == ours
    assert "loaded only on" in told.where


# -- how much lies on a board ------------------------------------------------------------------------


def test_goods_by_the_metre_follow_the_long_side() -> None:
    """A shelf 861 mm long on rails before and behind: books 37.2 kg/m x 0.861 m, not x its depth."""
    draft = Draft("on rails", fit_mm=0.0)
    for name, x in (("left", 0), ("right", 879)):
        draft.board(name, PLY, (x, 0, 0), (x + 18, 300, 600), grain="z")
    for name, y in (("front", 0), ("rear", 282)):
        draft.board(name, PLY, (18, y, 400), (879, y + 18, 430), grain="x")
        for side in ("left", "right"):
            draft.join(side, name, dowelled())
    draft.board("shelf", PLY, (18, 0, 430), (879, 300, 448), grain="x")
    draft.load("shelf", "37.2 kg/m")
    strength = assessed(draft.done())
    own = 861 * 300 * 18 * RHO
    on_shelf = sum(p.dead + p.live for p in strength.stack.pushes if p.label == "shelf")
    assert on_shelf == pytest.approx((37.2 * 0.861 + own) * G, rel=1e-6)
    (shelf,) = [b for b in strength.boards if b.label == "shelf"]
    assert abs(shelf.span.along[1]) == 1.0  # it bends front to back, and is as heavy all the same


def test_the_row_on_a_shelf_that_turns_a_corner_or_is_bowed() -> None:
    ell = Prism(900, 900, 18, ((0, 0), (900, 0), (900, 300), (300, 300), (300, 900), (0, 900)))
    assert row_mm(ell) == pytest.approx(900 + 600)
    assert surface_mm2(ell) == pytest.approx(900 * 300 + 600 * 300)
    bowed = Prism(
        1000, 300, 18, ((0, 0), (1000, 0), (1000, 250), (750, 290), (500, 300), (250, 290), (0, 250))
    )
    assert row_mm(bowed) == pytest.approx(1000, rel=0.02)
    assert row_mm(Prism(861, 300, 18)) == 861
    assert row_mm(Prism(300, 861, 18)) == 861


# -- bodies that nothing joins -----------------------------------------------------------------------


def tiers(count: int) -> Piece:
    """Boards 800 x 300 x 18 with a rail 60 high below each, fixed to the wall one above the other."""
    draft = Draft("tiers", fit_mm=0.0)
    draft.wall("wall", (0.0, 300.0, 0.0), (0.0, -1.0, 0.0))
    for n in range(1, count + 1):
        z = 400.0 * n
        draft.board(f"shelf.{n}", PLY, (0, 0, z), (800, 300, z + 18))
        draft.board(f"rail.{n}", PLY, (0, 282, z - 60), (800, 300, z), grain="x", role="rail")
        draft.join(f"shelf.{n}", f"rail.{n}", dowelled())
    draft.load("all", "empty")
    return draft.done()


@pytest.mark.parametrize("count", [1, 2, 4])
def test_tiers_that_touch_no_other_pull_each_by_itself(count: int) -> None:
    """W e / h of one tier, however many hang above each other: 13.0 kN once fell to 2.3 by adding tiers."""
    piece = tiers(count)
    strength = assessed(piece)
    board, rail = 800 * 300 * 18 * RHO, 800 * 18 * 60 * RHO
    moment = (board * 150 + rail * 9) * G
    piece = piece.without_loose
    touching = light_contacts(piece)
    for wall in strength.walls:
        fixed = [f.at[2] for f in strength.feet if f.label in wall.labels]
        lowest = min(z for g in touching.support.grounded if g.label in wall.labels for _, _, z in g.outline)
        lever = sum(fixed) / len(fixed) - lowest
        assert wall.out_n == pytest.approx(moment / lever, rel=0.02)  # dowel holes weigh nothing here
        assert wall.weight_n == pytest.approx((board + rail) * G, rel=0.02)
    assert len(strength.walls) == count
    (told,) = found(piece)["wall"]  # tiers alike are one finding
    assert ("each by itself" in told.where) == (count > 1)


# -- feet that would be pulled -----------------------------------------------------------------------


def bench(load: str) -> Piece:
    """A top 18 x 300 x 1500 on three uprights at x 0, 300 and 600, standing out to the right by 900."""
    draft = Draft("bench", fit_mm=0.0)
    for n, x in enumerate((0, 300, 600), 1):
        draft.board(f"upright.{n}", PLY, (x, 0, 0), (x + 18, 300, 400), grain="z")
    draft.board("top", PLY, (0, 0, 400), (1500, 300, 418), grain="x")
    for n in (1, 2, 3):
        draft.join("top", f"upright.{n}", dowelled())
    draft.load("top", load)
    return draft.done()


def test_a_foot_that_would_be_pulled_is_a_finding() -> None:
    """A beam over three supports that stands out on the right hangs on the middle one (three moments): that
    upright lifts with it, and the outer two share W by the lever."""
    piece = bench("empty")
    strength = assessed(piece)
    top, side = 1500 * 300 * 18 * RHO * G, 400 * 300 * 18 * RHO * G
    weight = sum(b.kg for b in strength.bodies.values()) * G
    assert weight == pytest.approx(top + 3 * side, rel=0.01)
    middle = sum(b.kg * b.centre[0] for b in strength.bodies.values()) * G / weight
    by = {
        f"upright.{n}": sum(f.newton for f in strength.feet if f.label == f"upright.{n}") for n in (1, 2, 3)
    }
    assert {f.label for f in strength.feet if f.two_way < -1.0} == {"upright.2"}
    assert by["upright.2"] == 0.0
    assert by["upright.3"] == pytest.approx(weight * (middle - 9) / 600, rel=1e-6)
    (told,) = found(piece)["foot-lifts"]
    assert told.status == WARN
    assert "upright.2" in told.where
    assert all(f.newton >= -1.0 for f in strength.feet)
    assert "foot-lifts" not in found(find_recipe("panel_bookcase")())


# -- bad input -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("friction", [-0.1, 1.5, "wet", True])
def test_a_friction_that_is_none_is_refused(friction: object) -> None:
    from furnigen.strength.model.demands import read_demands

    with pytest.raises(InputError, match=r"floor friction = .*: must be .*from 0 to 1") as refused:
        read_demands({"floor_friction": friction})
    assert str(refused.value).count("\n") == 0
