"""Holes that run into one another are drawn from their description: where they are, and in good time."""

from __future__ import annotations

from dataclasses import replace
from time import process_time

import pytest

from furnigen import build, find_recipe
from furnigen.cutting.joint_words import Sides
from furnigen.drawings.crossing_holes import crossing_bores, with_holes, without
from furnigen.drawings.part_data import part_data
from furnigen.drawings.part_views import BY_FACE, board_laid
from furnigen.drawings.views import view_of
from furnigen.kernel.solids import solid


@pytest.fixture(scope="module")
def shelf():
    piece = find_recipe("divided_case")(shelf_joint="knock-down", height=250.0)
    index = next(k for k, p in enumerate(piece.parts) if p.name == "top")
    return piece.parts[index], build(piece).solids[index]


def test_bolt_and_barrel_meet_and_are_found(shelf):
    part, _ = shelf
    found = crossing_bores(part)
    assert {b.name for b in found} == {"bolt hole", "barrel hole"}
    alone = replace(part, cuts=tuple(c for c in part.cuts if c.name != "bolt hole"))
    assert crossing_bores(alone) == []


def test_every_hole_is_seen_where_it_is_and_it_takes_no_minute(shelf):
    part, made = shelf
    data = part_data(part)
    start = process_time()
    laid = board_laid(part, made, data, Sides(None, part.form.blank_mm), "mm")
    assert process_time() - start < 10
    main = laid[0].view
    barrels = next(c for c in data.cuts if c.what == "barrel hole" and c.face == "z+")
    seen = {
        (round(one.arc[0][0], 1), round(one.arc[0][1], 1), round(2 * one.arc[1], 2))
        for one in main.lines
        if one.visible and one.arc is not None
    }
    assert {(round(x, 1), round(y, 1), round(barrels.diameter, 2)) for x, y, _ in barrels.places} <= seen
    end = next(one.view for one in laid if one.key == "x-")
    bolts = next(c for c in data.cuts if c.what == "bolt hole" and c.face == "x-")
    assert sum(one.visible and one.arc is not None for one in end.lines) == len(bolts.places)


def test_a_hole_alone_is_drawn_as_the_kernel_draws_it(shelf):
    """One barrel hole, from its description and by the kernel's hidden lines: the same lines."""
    part, _ = shelf
    barrel = next(c for c in part.cuts if c.name == "barrel hole")
    one = replace(part, cuts=(barrel,))
    data = part_data(one)
    for face in ("z+", "y-", "x-"):
        kernel = view_of([(one.name, solid(one), data.turn)], BY_FACE[face])
        plain = view_of([(one.name, without(one, None, [barrel]), data.turn)], BY_FACE[face])
        ours = with_holes(plain, data, one, [barrel])
        assert len(ours.lines) == len(kernel.lines), face

        def shape(view):
            found = []
            for line in view.lines:
                points = [line.arc[0]] if line.arc else sorted(line.points)
                found.append((line.visible, *(round(v, 2) + 0.0 for p in points for v in p)))
            return sorted(found)

        assert shape(ours) == shape(kernel), face
