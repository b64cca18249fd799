"""Nests for a router: sound by an independent check, better than rectangles, windows used, bounded."""

from __future__ import annotations

from dataclasses import replace
from math import cos, pi, sin

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from shapely.geometry import Polygon, box

from furnigen import InputError
from furnigen.cutting.effort import Effort
from furnigen.cutting.layout import SheetSolution
from furnigen.cutting.nesting.convex import convex_pieces, covered, ring_area2, rings_of
from furnigen.cutting.nesting.proof import check_nest, lying, polygon_of
from furnigen.cutting.nesting.rectangles import as_rectangles
from furnigen.cutting.nesting.solve import nest_sheets
from furnigen.cutting.problem import Item, NestProblem, NestRules, Sheet, Trims, um
from furnigen.cutting.solve import cut_sheets

SHORT = Effort(level=0.02)
ROUTER = NestRules(um(6), um(4))


def nested(problem: NestProblem, effort: Effort = SHORT) -> SheetSolution:
    solution = nest_sheets(problem, effort)
    assert check_nest(problem, solution) == []
    return solution


def ring(*points: tuple[float, float]) -> tuple[tuple[int, int], ...]:
    return tuple((um(x), um(y)) for x, y in points)


def frame(name: str, long: float, wide: float, band: float, quantity: int) -> Item:
    outline = ring((0, 0), (long, 0), (long, wide), (0, wide))
    far, high = long - band, wide - band
    window = ring((band, band), (far, band), (far, high), (band, high))
    return Item(name, um(long), um(wide), quantity, False, outline, (window,))


def star(a: int, b: int, radii: list[float]) -> tuple[tuple[int, int], ...]:
    """Corners round the middle of a rectangle, at shares of the way to its sides."""
    n = len(radii)
    return ring(
        *(
            (a / 2 * (1 + r * cos(2 * pi * k / n)), b / 2 * (1 + r * sin(2 * pi * k / n)))
            for k, r in enumerate(radii)
        )
    )


stars = st.tuples(
    st.integers(40, 900), st.integers(40, 500), st.lists(st.floats(0.2, 1.0), min_size=3, max_size=14)
).map(lambda d: Item("", um(d[0]), um(d[1]), 1, False, star(*d)))
frames = st.tuples(st.integers(200, 900), st.integers(200, 500), st.integers(15, 90)).map(
    lambda d: frame("", *d, 1)
)
plain = st.tuples(st.integers(20, 900), st.integers(20, 500)).map(lambda d: Item("", um(d[0]), um(d[1])))


@settings(max_examples=60, deadline=None)
@given(
    drawn=st.lists(
        st.tuples(st.one_of(stars, frames, plain), st.integers(1, 3), st.booleans()), min_size=1, max_size=6
    ),
    cutter=st.sampled_from([0, 1, 6000, 9525]),
    spacing=st.sampled_from([0, 1, 4000]),
    grain=st.booleans(),
    trim=st.sampled_from([0, um(10)]),
)
def test_every_nest_is_sound_and_no_better_than_its_bound(drawn, cutter, spacing, grain, trim):
    items = tuple(replace(i, name=f"part {k}", quantity=q, turnable=t) for k, (i, q, t) in enumerate(drawn))
    sheets = (
        Sheet("large", um(1220), um(1000), 5000, trims=Trims(trim, trim, 0, trim), grain=grain),
        Sheet("offcut", um(700), um(500), 0, copies=2, grain=grain, offcut=True),
    )
    problem = NestProblem(sheets, items, NestRules(cutter, spacing))
    solution = nested(problem)
    assert solution.cost_bound <= solution.cost
    assert solution.sheets_bound <= solution.sheets or solution.unfitted
    assert not solution.unfitted or not solution.proven
    for layout in solution.layouts:
        sheet = next(s for s in sheets if s.name == layout.sheet)
        by_name = {i.name: i for i in items}
        for r in layout.offcuts:
            whole = box(r.x_um, r.y_um, r.x_um + r.along_x_um, r.y_um + r.along_y_um)
            assert box(0, 0, sheet.length_um, sheet.width_um).covers(whole)
            for p in layout.placed:
                assert lying(by_name[p.item], p).distance(whole) >= cutter - 0.01


@settings(max_examples=200, deadline=None)
@given(item=st.one_of(stars, frames))
def test_convex_pieces_are_the_outline_exactly(item):
    # areas are compared in whole numbers; that no piece reaches outside is seen by the other library
    if not polygon_of(item).is_valid:
        return
    rings = rings_of(item)
    pieces = convex_pieces(rings)
    areas = [ring_area2([tuple(p) for p in piece.tolist()]) for piece in pieces]
    assert min(areas) > 0
    assert sum(areas) == sum(ring_area2(r) for r in rings)
    whole = polygon_of(item).buffer(1.0)
    assert all(whole.covers(Polygon(piece)) for piece in pieces)
    cover = covered(rings)
    assert Polygon(cover[0], cover[1:]).buffer(1.0).covers(polygon_of(item))


def test_two_triangles_lie_in_one_rectangle():
    half = Item("half", um(600), um(400), 2, False, ring((0, 0), (600, 0), (0, 400)))
    solution = nested(NestProblem((Sheet("board", um(600), um(400)),), (half,), NestRules(0)))
    assert solution.sheets == solution.sheets_bound == 1
    assert solution.proven
    assert sorted(p.angle for p in solution.layouts[0].placed) == [0, 180]


def test_two_triangles_keep_the_cutter_between_them():
    # along x the slanted sides are 6 mm * hypot(600, 400) / 400 = 10.8 mm apart
    half = Item("half", um(600), um(400), 2, False, ring((0, 0), (600, 0), (0, 400)))
    tight = NestProblem((Sheet("board", um(600 + 2 * 6), um(400 + 2 * 6)),), (half,), NestRules(um(6)))
    assert nested(tight).sheets == 2
    roomy = replace(tight, sheets=(Sheet("board", um(600 + 2 * 6 + 20), um(400 + 2 * 6)),))
    assert nested(roomy).sheets == 1


def test_small_parts_go_into_the_window_of_a_large_one():
    small = Item("small", um(300), um(180), 8)
    sheets = (Sheet("board", um(920), um(620), 1000),)
    problem = NestProblem(sheets, (frame("frame", 900, 600, 100, 2), small), ROUTER)
    solution = nested(problem)
    assert cut_sheets(as_rectangles(problem), SHORT).sheets == 4
    assert solution.sheets == 2
    assert solution.proven
    for layout in solution.layouts:
        assert layout.placed[0].item == "frame"
        assert len(layout.placed) == 5


def test_leaning_posts_lie_closer_than_their_rectangles():
    post = Item("post", um(900), um(300), 6, False, ring((0, 0), (80, 0), (900, 300), (820, 300)))
    problem = NestProblem((Sheet("board", um(1500), um(320), 1000),), (post,), ROUTER)
    assert cut_sheets(as_rectangles(problem), SHORT).sheets == 6
    assert nested(problem).sheets == 1


def test_the_grain_is_kept():
    items = (Item("a", um(900), um(200), 3), Item("b", um(900), um(200), 3, True))
    narrow = (Sheet("board", um(300), um(1000), 1000),)
    solution = nested(NestProblem(narrow, items, ROUTER))
    assert solution.unfitted == {"a": 3}
    assert "across the grain" in solution.reasons["a"]
    assert nested(NestProblem((replace(narrow[0], grain=False),), items, ROUTER)).unfitted == {}


def test_a_part_too_near_another_is_found():
    problem = NestProblem((Sheet("board", um(1000), um(600), 1000),), (frame("f", 400, 300, 40, 2),), ROUTER)
    solution = nested(problem)
    layout = solution.layouts[0]
    first, *others = layout.placed
    (second,) = others
    for moved, word in (
        (replace(second, x_um=second.x_um - 100, y_um=second.y_um - 100), "nearer"),
        (replace(second, x_um=-um(1)), "beyond"),
        (replace(second, turned=True, angle=90), "grain"),
    ):
        wrong = replace(solution, layouts=(replace(layout, placed=(first, moved)),))
        assert any(word in fault for fault in check_nest(problem, wrong)), word
    lost = replace(solution, layouts=(replace(layout, placed=(first,)),))
    assert any("1 of f" in fault for fault in check_nest(problem, lost))


def test_the_same_input_gives_the_same_nest():
    items = tuple(
        Item(
            f"p{k}",
            um(200 + 37 * k),
            um(90 + 11 * k),
            2,
            k % 2 == 0,
            star(200 + 37 * k, 90 + 11 * k, [1, 0.5, 1, 0.7]),
        )
        for k in range(8)
    )
    problem = NestProblem((Sheet("board", um(1220), um(800), 1000),), items, ROUTER)
    assert nested(problem) == nested(problem)


def test_a_stop_leaves_the_best_so_far_marked():
    three = ring((0, 0), (400, 0), (0, 300))
    items = (Item("three", um(400), um(300), 9, False, three), Item("four", um(500), um(310), 7))
    problem = NestProblem((Sheet("board", um(1220), um(800), 1000),), items, ROUTER)
    solution = nested(problem, Effort(stop=lambda: True))
    assert solution.cut_short
    assert not solution.unfitted


def test_a_part_larger_than_every_sheet_is_left_out_with_the_reason():
    problem = NestProblem((Sheet("board", um(500), um(400), 1000),), (Item("long", um(700), um(90)),), ROUTER)
    solution = nested(problem)
    assert solution.unfitted == {"long": 1}
    assert "would do" in solution.reasons["long"]


@pytest.mark.parametrize(
    "outline",
    [ring((0, 0), (300, 200), (300, 0), (0, 200)), ring((0, 0), (310, 0), (310, 200), (0, 200))],
)
def test_an_outline_that_is_none_is_refused(outline):
    problem = NestProblem(
        (Sheet("board", um(500), um(400)),), (Item("odd", um(300), um(200), 1, False, outline),), ROUTER
    )
    with pytest.raises(InputError, match="outline of odd"):
        nest_sheets(problem, SHORT)
