"""Templates at full size: nothing is lost between tiles, marks meet, the bar is 100 mm."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise
from math import hypot, pi

import pytest
from test_drawn_sheets import box_of, crosses, segments

from furnigen import find_recipe
from furnigen.cutting.contours import with_arcs
from furnigen.drawings.sheet import Setting
from furnigen.drawings.templates import BAR_MM, chords, template_pages, templated, tile_size
from furnigen.paper.page import Polyline, Text


def long_of(items) -> float:
    return sum(hypot(b[0] - a[0], b[1] - a[1]) for i in items for a, b in pairwise(i.points))


def lines_on(page, layer):
    return [i for i in page.items if isinstance(i, Polyline) and i.layer == layer]


@pytest.mark.parametrize("setting", [Setting(), Setting("letter", "in", "third")], ids=["A4", "letter"])
def test_the_tiles_of_a_part_hold_its_whole_outline_at_full_size(setting):
    piece = find_recipe("leaning_shelf")()
    shaped = [p for p in piece.parts if templated(p)]
    assert [p.name for p in shaped] == ["post left", "post right"]
    pages = template_pages(piece, setting)
    for part in shaped:
        mine = [p for p in pages if f"template of {part.name}:" in p.title]
        corners = part.form.as_board.corners
        around = sum(hypot(b[0] - a[0], b[1] - a[1]) for a, b in pairwise((*corners, corners[0])))
        assert sum(long_of(lines_on(p, "cut")) for p in mine) == pytest.approx(around, abs=1e-6)
        wide, high = (210.0, 297.0) if setting.sheet == "A3" else (215.9, 279.4)
        assert {(p.width, p.height) for p in mine} == {(wide, high)}


def test_every_page_has_a_bar_of_100_mm_registration_marks_and_its_place():
    for page in template_pages(find_recipe("leaning_shelf")(), Setting()):
        bar = max(lines_on(page, "test bar"), key=lambda i: long_of([i]))
        assert long_of([bar]) == pytest.approx(BAR_MM) == 100.0
        (frame,) = [i for i in lines_on(page, "registration") if i.closed]
        (left, low), _, (right, top), _ = frame.points
        assert (right - left, top - low) == pytest.approx(tile_size((page.width, page.height)))
        marks = [i for i in lines_on(page, "registration") if not i.closed]
        for corner in frame.points:
            at = [i for i in marks if abs(sum(p[0] for p in i.points) / 2 - corner[0]) < 1e-9
                  and abs(sum(p[1] for p in i.points) / 2 - corner[1]) < 1e-9]  # fmt: skip
            assert len(at) == 2
        boxes = [box_of(t) for t in page.texts]
        for line in (segment for i in page.items for segment in segments(i)):
            assert not any(crosses(line, b) for b in boxes)
        said = " ".join(t.text for t in page.texts)
        assert "page" in said
        assert "100 mm" in said
        for text in (i for i in page.items if isinstance(i, Text)):
            for x, y in text.corners:
                assert 5 < x < page.width - 5
                assert 5 < y < page.height - 5
        for line in lines_on(page, "cut"):
            for x, y in line.points:
                assert left - 1e-6 <= x <= right + 1e-6
                assert low - 1e-6 <= y <= top + 1e-6


def test_lines_run_on_from_tile_to_tile():
    """Where an outline leaves a tile it enters the next at the same place of the edge they share."""
    pages = [p for p in template_pages(find_recipe("leaning_shelf")(), Setting()) if "post left" in p.title]
    for below, above in pairwise(pages):
        (frame,) = [i for i in lines_on(below, "registration") if i.closed]
        low, top = frame.points[0][1], frame.points[2][1]
        leaving = sorted(
            round(x, 6) for i in lines_on(below, "cut") for x, y in i.points if abs(y - top) < 1e-6
        )
        entering = sorted(
            round(x, 6) for i in lines_on(above, "cut") for x, y in i.points if abs(y - low) < 1e-6
        )
        assert leaving
        assert leaving == entering


def test_arcs_are_kept_to_a_fiftieth_of_a_millimetre():
    many = 64
    from math import cos, sin

    ring = tuple((50 * cos(2 * pi * k / many), 50 * sin(2 * pi * k / many)) for k in range(many))
    points = chords(with_arcs(ring))
    for x, y in points:
        assert hypot(x, y) == pytest.approx(50.0, abs=1e-3)
    for (x0, y0), (x1, y1) in pairwise((*points, points[0])):
        assert 50.0 - hypot((x0 + x1) / 2, (y0 + y1) / 2) < 0.07


def test_a_piece_of_plain_boards_has_no_templates():
    assert template_pages(find_recipe("crate_wall")(), Setting()) == []


def test_parts_with_windows_have_templates():
    from furnigen.parts.forms.prism import ring

    part = find_recipe("crate_wall")().parts[0]
    framed = replace(part, form=ring(400.0, 300.0, 18.0, 60.0), cuts=())
    assert templated(framed)
