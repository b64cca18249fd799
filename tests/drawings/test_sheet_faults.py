"""Faults that automatic drawings are known for, looked for on every sheet (common practice, no source).

Line widths: line group 0.5 of ISO 128-2. Scales: ISO 5455; in feet and inches the trade's, from memory.
"""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from dataclasses import replace
from itertools import combinations, pairwise, product
from math import hypot

import numpy as np
import pytest
from test_drawn_sheets import (
    EACH,
    EVERY,
    RECIPES,
    _edge,
    _off,
    _span,
    box_of,
    built,
    crosses,
    drawn,
    flat,
    named,
    segments,
)

from furnigen.core.errors import InputError
from furnigen.drawings.arrangement import Arrangement, plain_solids
from furnigen.drawings.axes import middle_line
from furnigen.drawings.cut_tables import HEADS, table_columns
from furnigen.drawings.figures import figure_of
from furnigen.drawings.layout import PARTITIONS, Laid, _related, layout, note_rects, place_group
from furnigen.drawings.part_data import part_data
from furnigen.drawings.sheet import Setting, overlap, scale_text, scales
from furnigen.drawings.views import FRONT, Placed, View, ViewLine, piece_view
from furnigen.paper.frame import Row, Space, table
from furnigen.paper.page import Arc, Dimension, Polyline, Text
from furnigen.parts.cuts import Turned
from furnigen.parts.mass import mass_kg

FARTHEST_MM = 48.0
MOST_TIERS = 5


def linear(page) -> list[Dimension]:
    return [i for i in page.items if isinstance(i, Dimension) and i.kind == "linear"]


@pytest.mark.parametrize(("recipe", "setting"), EVERY, ids=named)
def test_one_size_is_written_in_one_way(recipe, setting):
    """Not 6 and 6.0 on one sheet, never a needless zero."""
    for sheet, page in drawn(recipe, setting):
        for item in page.items:
            if isinstance(item, Dimension) and setting.units == "mm":
                figure = item.figure.strip("⌀□°")
                assert figure == f"{float(figure):.10g}", (sheet.name, item.figure)


@pytest.mark.parametrize(("recipe", "setting"), EVERY, ids=named)
def test_dimension_lines_stand_near_their_view_in_few_tiers(recipe, setting):
    for sheet, page in drawn(recipe, setting):
        tiers = defaultdict(set)
        for d in linear(page):
            if d.turn in (0.0, 90.0):
                assert abs(_off(d)) <= FARTHEST_MM, (sheet.name, d.figure)
                tiers[d.turn, round(_edge(d), 1), _off(d) > 0].add(round(_off(d), 1))
        for found in tiers.values():
            assert len(found) <= MOST_TIERS, f"{sheet.name}: a tower of {len(found)} dimension lines"


@pytest.mark.parametrize(("recipe", "setting"), EVERY, ids=named)
def test_on_every_sheet_each_size_is_given_once_and_the_largest_outermost(recipe, setting):
    for sheet, page in drawn(recipe, setting):
        dims = linear(page)
        count = Counter((d.turn, *(round(v, 2) for v in (*_span(d), _edge(d)))) for d in dims)
        assert not [k for k, n in count.items() if n > 1], sheet.name
        for a, b in combinations(dims, 2):
            same = a.turn == b.turn and abs(_edge(a) - _edge(b)) < 0.01 and _off(a) * _off(b) > 0
            if same and _span(a)[0] <= _span(b)[0] and _span(a)[1] >= _span(b)[1] and _span(a) != _span(b):
                assert abs(_off(a)) > abs(_off(b)), f"{sheet.name}: {a.figure} nearer than {b.figure}"


@pytest.mark.parametrize("recipe", EACH)
def test_no_dimension_of_the_arrangement_goes_to_a_hidden_line(recipe):
    """Each end lies at a visible line or its end, or at a centre line."""
    for sheet, page in drawn(recipe, Setting()):
        if sheet.kind != "General arrangement" or not sheet.scale:
            continue
        seen = [
            p
            for i in page.items
            if getattr(i, "layer", "") == "visible"
            for line in segments(i)
            for p in line
        ]
        for d in linear(page):
            k = 1 if d.turn else 0
            for end in (d.first, d.second):
                assert any(abs(end[k] - p[k]) < 0.05 for p in seen), (sheet.name, d.figure)


@pytest.mark.parametrize(("recipe", "setting"), EVERY, ids=named)
def test_figures_stand_by_what_they_measure(recipe, setting):
    """A figure is over its dimension line or at an end of it, not somewhere on the sheet."""
    for sheet, page in drawn(recipe, setting):
        for d in page.items:
            if not isinstance(d, Dimension):
                continue
            texts = [t for t in d.drawn if isinstance(t, Text)]
            lines = [p for i in d.drawn for line in segments(i) for p in line] or [d.at]
            assert texts
            for text in texts:
                a, b, c, e = box_of(text)
                near = min(
                    hypot(max(a - x, 0, x - c), max(b - y, 0, y - e)) for x, y in (*lines, d.at, d.first)
                )
                inside = min(
                    hypot(max(a - x, 0, x - c), max(b - y, 0, y - e))
                    for p, q in pairwise(lines)
                    for x, y in [
                        (p[0] + (q[0] - p[0]) * k / 40, p[1] + (q[1] - p[1]) * k / 40) for k in range(41)
                    ]
                )
                assert min(near, inside) < 18.0, (sheet.name, d.figure, near)


@pytest.mark.parametrize(("recipe", "setting"), EVERY, ids=named)
def test_labels_of_cuts_stand_in_or_beside_their_view(recipe, setting):
    for sheet, page in drawn(recipe, setting):
        lines = [line for i in page.items if getattr(i, "layer", "") == "visible" for line in segments(i)]
        for text in page.texts:
            if text.layer != "mark":
                continue
            xs, ys = zip(*(p for line in lines for p in line), strict=True)
            x, y = text.at
            assert min(xs) - 12 < x < max(xs) + 12, sheet.name
            assert min(ys) - 12 < y < max(ys) + 12, sheet.name


@pytest.mark.parametrize(("recipe", "setting"), EVERY, ids=named)
def test_each_number_of_the_table_stands_on_a_view_of_its_part(recipe, setting):
    pages = {s.name: p for s, p in drawn(recipe, setting) if s.kind.startswith("Part")}
    for part in built(recipe).piece.parts:
        wanted = {str(c.number) for c in part_data(part).cuts if c.places}
        on = [t.text for t in pages[part.name].texts if t.layer == "mark"]
        assert {n for text in on for n in text.split(", ")} == wanted, part.name


@pytest.mark.slow
@pytest.mark.parametrize(("recipe", "name"), [("ring_rack", "bearer"), ("leaning_shelf", "rail")])
def test_holes_seen_one_behind_the_other_bear_both_numbers_in_one_circle(recipe, name):
    """Both ends of a board with two dowels in each: two holes are seen, and four are in the table."""
    page = next(p for s, p in drawn(recipe, Setting()) if s.name == name)
    assert {t.text for t in page.texts if t.layer == "mark"} == {"1, 2"}


@pytest.mark.parametrize(("recipe", "setting"), EVERY, ids=named)
def test_lines_have_the_widths_of_line_group_05(recipe, setting):
    widths = {"visible": {0.5, 0.25}, "hidden": {0.25}, "centre": {0.25, 0.13}, "dimension": {0.25},
              "hatch": {0.18}}  # fmt: skip
    for sheet, page in drawn(recipe, setting):
        for item in flat(page):
            if isinstance(item, Polyline | Arc) and item.layer in widths:
                assert item.pen.width in widths[item.layer], (sheet.name, item.layer)
                dashed = {"hidden": "dashed", "centre": "chain"}.get(item.layer, "continuous")
                assert item.pen.line == dashed


@pytest.mark.slow
@pytest.mark.parametrize("recipe", RECIPES)
def test_no_larger_standard_scale_would_do(recipe):
    """Every place on a grid of 2 mm is tried for all views at the next larger scale."""
    one = built(recipe)
    found = drawn(recipe, Setting())[0][0].scale
    arrangement = Arrangement(one.piece, plain_solids(one.piece, one.solids), Setting())
    laid, notes = {o.key: o for o in arrangement._laid()}, arrangement._notes()
    larger = [s for s in scales("mm") if s < found][-1:]
    for scale, partition in product(larger, PARTITIONS):
        groups = [g for g in ([laid[k] for k in keys if k in laid] for keys in partition) if g]
        assert not all(_fits(g, scale, notes if k == 0 else ()) for k, g in enumerate(groups)), partition


def _fits(group, scale, notes) -> bool:
    setting = Setting()
    left, low, right, top = setting.inner
    for way in _related(group, setting, scale, 5.0):
        rects = [o.outer(Placed(o.view, 1 / scale, c)) for o, c in zip(group, way, strict=True)]
        x0, y0 = min(r[0] for r in rects), min(r[1] for r in rects)
        x1, y1 = max(r[2] for r in rects), max(r[3] for r in rects)
        for spot in note_rects(setting, notes) if notes else [setting.block]:
            for x in np.arange(left - x0, right - x1 + 0.01, 2.0):
                for y in np.arange(low - y0, top - y1 + 0.01, 2.0):
                    moved = [(a + x, b + y, c + x, d + y) for a, b, c, d in rects]
                    if not any(overlap(r, k) for r in moved for k in (setting.block, spot)):
                        return True
    return False


def test_a_case_of_fifty_parts_has_the_largest_iso_scale_its_height_allows():
    """1800 high at 1:5 is 360: taller than A3 has room for."""
    assert drawn("ring_rack", Setting())[0][0].scale == 10
    assert drawn("crate_wall", Setting())[0][0].scale == 5


def test_scales_in_inches_are_those_of_the_trade():
    assert scale_text(8.0, "in") == '1 1/2" = 1\'-0"'
    assert set(scales("in")) == {1, 2, 4, 8, 12, 16, 24, 48, 96, 192}
    assert set(scales("mm")) == {1, 2, 5, 10, 20, 50, 100, 200}


@pytest.mark.slow
def test_a_further_sheet_is_used_only_where_it_wins_a_larger_scale():
    for recipe in RECIPES:
        one = built(recipe)
        arrangement = Arrangement(one.piece, plain_solids(one.piece, one.solids), Setting())
        laid, notes = arrangement._laid(), arrangement._notes()
        found = layout(laid, Setting(), notes)
        if len(found.sheets) > 1:
            whole = place_group(laid, Setting(), found.scale, notes)
            assert whole is None, f"{recipe}: all views fit on one sheet at 1:{found.scale:g}"


def test_the_section_is_marked_where_it_is_cut_with_arrows_and_letters():
    """ISO 128-3: the plane's ends are wide, its arrows show the direction of sight, letters name it."""
    sheets = [(s, p) for s, p in drawn("divided_case", Setting()) if "plan" in s.name]
    (_, page) = sheets[0]
    letters = [t for t in page.texts if t.text == "A"]
    assert len(letters) == 2
    assert abs(letters[0].at[0] - letters[1].at[0]) < 0.01
    ends = [i for i in page.items if getattr(i, "layer", "") == "section" and isinstance(i, Polyline)]
    assert ends
    assert {i.pen.width for i in ends} == {0.5}
    assert any(t.text == "Section A-A" for _, p in drawn("divided_case", Setting()) for t in p.texts)


def test_legs_show_their_angles_where_they_lean_and_their_axes():
    one = built("divided_case")
    note = one.piece.legs[0]
    pages = [p for s, p in drawn("divided_case", Setting()) if s.kind == "General arrangement"]
    angles = [i for p in pages for i in p.items if isinstance(i, Dimension) and i.kind == "angular"]
    assert sorted(round(a.measured, 1) for a in angles) == sorted((round(note.rake, 1), round(note.splay, 1)))
    sheet, page = next((s, p) for s, p in drawn("divided_case", Setting()) if s.name == "leg")
    said = {i.figure for i in page.items if isinstance(i, Dimension)}
    for angle in (note.resultant, note.sightline, note.drill_guide):
        assert f"{round(angle, 1):.10g}°" in said, sheet.name
    leg = one.piece.parts[note.part].form.as_leg
    tenon = next(c for c in one.piece.parts[note.part].cuts if isinstance(c, Turned))
    along = leg.axis_length - (leg.height - tenon.origin[2]) / tenon.axis[2]
    shoulder = leg.foot + (leg.top - leg.foot) * along / leg.axis_length
    for size in (shoulder, leg.foot, tenon.diameter):
        assert f"⌀{figure_of(size, 'mm')}" in said
    blank = leg.blank_mm
    assert {
        f"□{figure_of(blank[1], 'mm')}",
        figure_of(blank[0], "mm"),
        figure_of(leg.axis_length, "mm"),
    } <= said
    centres = [i for p in pages for i in p.items if getattr(i, "layer", "") == "centre"]
    assert len(centres) >= 6


def test_views_without_a_symmetry_have_no_line_of_one():
    one = built("divided_case")
    view = piece_view(one.piece, one.solids, FRONT)
    on = Placed(view, 0.2, (0.0, 0.0))
    assert middle_line(one.piece, on)
    shorter = replace(one.piece, placements=one.piece.placements[1:])
    assert not middle_line(shorter, on)


def test_views_that_fit_nowhere_are_refused_with_a_sheet_that_would_do():
    long = ViewLine("a", True, ((0.0, 0.0), (38_000.0, 30_000.0)))
    laid = [Laid("front", "Front", View(FRONT, (long,), (0.0, 0.0), (38_000.0, 30_000.0)))]
    with pytest.raises(InputError, match=r"sheet.*too small.*A3 or tabloid"):
        layout(laid, Setting("A4"), ())


@pytest.mark.parametrize("recipe", EACH)
def test_lines_of_the_title_of_a_view_are_not_crossed(recipe):
    for sheet, page in drawn(recipe, Setting("A4", "mm", "third")):
        titles = [t for t in page.texts if t.text in ("Front", "Plan", "Left side", "Section A-A")]
        lines = [line for item in flat(page) for line in segments(item)]
        for title in titles:
            assert not [line for line in lines if crosses(line, box_of(title))], (sheet.name, title.text)


@pytest.mark.slow
@pytest.mark.parametrize("case", ["drying_rack", "bat_shelf"])
def test_notes_of_small_parts_give_their_mass_and_stock_as_a_maker_reads_them(case):
    """No part weighs nothing, and no stock has more decimals than a caliper reads."""
    parts = {p.name: p for p in built(case).piece.parts}
    small = 0
    for sheet, page in drawn(case, Setting()):
        if not sheet.kind.startswith("Part"):
            continue
        said = [t.text for t in page.texts]
        mass = next(m for t in said if (m := re.fullmatch(r"mass ([\d.]+) (kg|g) each", t)))
        grams = float(mass[1]) * (1000 if mass[2] == "kg" else 1)
        assert grams == pytest.approx(1000 * mass_kg(parts[sheet.parts[0]]), rel=0.1)
        small += mass[2] == "g"
        stock = next(t for t in said if t.startswith("stock: "))
        assert not re.search(r"\.\d{3}", stock), stock
    assert small


@pytest.mark.parametrize("wide", [176.0, 180.0])
def test_no_figure_of_a_table_is_broken_where_its_column_is_narrow(wide):
    """In feet and inches the columns of a letter sheet grow with what stands in them."""
    cells = ("12", "housing, 10° off square", "underside", "~7'-10 21/32\"", "~2'-11 17/32\"",
             "~1'-1 17/32\"", "~2'-10 21/32\" x ~1'-1 17/32\" x ~1/4\"", "through")  # fmt: skip
    rows = [Row(cells), Row(("from corner 0", *[""] * 7), spans=True)]
    columns = table_columns(wide, rows)
    assert sum(c.width for c in columns) == pytest.approx(wide)
    said = [t.text for t in table(columns, rows, lambda n: Space(0.0, 0.0, 200.0))[0] if isinstance(t, Text)]
    for figure in ("~7'-10 21/32\"", "~2'-11 17/32\"", "~1'-1 17/32\"", "~2'-10 21/32\"", "through"):
        assert any(figure in text for text in said), figure
    heads = [t for t in said if t in HEADS]
    assert heads == list(HEADS)


@pytest.mark.slow
@pytest.mark.parametrize("case", ["divided_case", "leaning_shelf", "bat_shelf"])
def test_every_figure_of_a_table_is_whole_on_a_letter_sheet_in_inches(case):
    for sheet, page in drawn(case, Setting("letter", "in", "third")):
        for text in page.texts:
            assert text.height != 2.0 or not re.search(r"/\d*$", text.text), (sheet.name, text.text)
