"""Running dimensions from one datum (ISO 129-1): on parts, and for rows of holes in a section."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from furnigen import build, find_recipe
from furnigen.drawings.angles import aligned, angular
from furnigen.drawings.files import drawing_sheets
from furnigen.drawings.hole_rows import HoleRow, hole_rows
from furnigen.drawings.running import FARTHEST_MM, draw_running, running_fits, running_pitch, spread
from furnigen.drawings.sheet import Setting
from furnigen.drawings.views import FRONT, Placed, View, ViewLine
from furnigen.paper.page import Arc, Dimension, Text


@given(st.lists(st.floats(0, 400), min_size=1, max_size=30), st.floats(1, 6))
def test_spread_keeps_order_and_distance_and_moves_no_more_than_it_must(wanted, pitch):
    wanted = sorted(wanted)
    found = spread(wanted, pitch)
    assert len(found) == len(wanted)
    for a, b in itertools.pairwise(found):
        assert b - a >= pitch - 1e-6
    if all(b - a >= pitch for a, b in itertools.pairwise(wanted)):
        assert found == pytest.approx(wanted)
    # nothing is pushed one way only: the mean of all shifts is none
    assert sum(found) == pytest.approx(sum(wanted), abs=1e-6 * max(1, len(wanted)) * 400)


def view(width: float, height: float) -> View:
    line = ViewLine("board", True, ((0.0, 0.0), (width, height)))
    return View(FRONT, (line,), (0.0, 0.0), (width, height))


@given(
    st.lists(st.integers(1, 1799), min_size=1, max_size=12, unique=True),
    st.sampled_from(("left", "right", "below", "above")),
    st.sampled_from(("mm", "in")),
)
def test_each_stop_has_its_distance_from_the_datum_and_no_figure_touches_another(stops, side, units):
    on = Placed(view(1800.0, 1800.0), 0.1, (50.0, 60.0))
    items = draw_running(on, side, 0.0, stops, units)
    dims = [i for i in items if isinstance(i, Dimension)]
    assert sorted(round(d.measured, 3) for d in dims) == sorted(map(float, stops))
    assert {d.kind for d in dims} == {"running"}
    assert len({d.first for d in dims}) == 1, "one datum"
    assert sum(isinstance(i, Arc) for i in items) == 1, "with a circle"
    boxes = []
    for d in dims:
        corners = [c for t in d.drawn if isinstance(t, Text) for c in t.corners]
        xs, ys = zip(*corners, strict=True)
        boxes.append((min(xs), min(ys), max(xs), max(ys)))
    for k, a in enumerate(boxes):
        for b in boxes[:k]:
            assert a[0] >= b[2] or b[0] >= a[2] or a[1] >= b[3] or b[1] >= a[3]


def test_stops_too_close_for_figures_are_left_to_the_table():
    assert running_fits([0.0, 100.0, 200.0], 0.1, "mm")
    many = [k * 5.0 for k in range(60)]
    assert not running_fits(many, 0.1, "mm")
    far = running_pitch("mm") * 60 / 2 - 15.0
    assert far > FARTHEST_MM


@given(st.floats(0, 359), st.floats(1, 170), st.sampled_from((12.0, 25.0, 40.0)))
def test_an_angle_measures_what_it_says(start, swept, radius):
    drawn = angular((100.0, 100.0), start, start + swept, radius)
    assert drawn.measured == pytest.approx(swept, abs=1e-6)
    assert float(drawn.figure.rstrip("°")) == pytest.approx(swept, abs=0.0501)


@given(st.floats(-80, 80), st.floats(3, 200), st.floats(-20, 20))
def test_a_slanted_size_measures_along_its_line(x, y, away):
    items = aligned((0.0, 0.0), (x, y), away, 5.0, "mm")
    dim = items[-1]
    assert isinstance(dim, Dimension)
    assert dim.measured == pytest.approx(5.0 * (x * x + y * y) ** 0.5, rel=1e-6)


def test_a_row_of_holes_knows_its_step():
    row = HoleRow(40.0, (96.0, 128.0, 160.0), 5.0, 0.0, 0.0, 18.0)
    assert row.step == pytest.approx(32.0)
    assert replace(row, heights=(96.0, 128.0, 161.0)).step == 0.0


@pytest.mark.slow
@pytest.mark.parametrize("units", ["mm", "in"])
def test_rows_of_pin_holes_are_measured_from_the_foot_and_the_front_of_their_side(units):
    piece = find_recipe("panel_bookcase")(shelf_joint="pins")
    (_section, page) = next(
        (s, p)
        for s, p in drawing_sheets(piece, build(piece).solids, Setting.usual(units))
        if "section" in s.name
    )
    rows = hole_rows(piece, section_x(piece))
    assert len(rows) == 2
    dims = [i for i in page.items if isinstance(i, Dimension)]
    upright = sorted({round(d.measured, 1) for d in dims if d.kind == "running" and d.turn})
    level = sorted({round(d.measured, 1) for d in dims if d.kind == "running" and not d.turn})
    wanted = sorted(round(h - rows[0].foot, 1) for h in rows[0].heights)
    if upright:
        assert upright == pytest.approx(wanted, abs=0.11)
    else:
        said = {round(d.measured, 1) for d in dims if d.turn}
        assert round(rows[0].heights[0] - rows[0].foot, 1) in said
    assert level == pytest.approx(sorted(r.y - r.front for r in rows), abs=0.11)


def section_x(piece) -> float:
    widest = max(piece.openings, key=lambda o: (round(o.clear_mm[0]), -o.box.lo[0]))
    return widest.box.lo[0] + 0.4 * widest.clear_mm[0]
