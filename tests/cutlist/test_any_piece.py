"""Any piece a recipe accepts has a cut list that a maker can work from."""

from __future__ import annotations

import csv
import io
import re
import sys
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from furnigen import InputError, RecipeError, find_recipe
from furnigen.cutting.cut_rows import Order, cut_rows
from furnigen.cutting.cut_table import cutlist_csv
from furnigen.cutting.own_stock import Shop

sys.path.insert(0, str(Path(__file__).parents[1] / "recipes"))
from space import space

RECIPES = ("ring_rack", "divided_case", "ladder_rack", "panel_bookcase", "crate_wall", "leaning_shelf")


@pytest.mark.parametrize("name", RECIPES)
@settings(max_examples=25, deadline=None)
@given(data=st.data())
def test_every_part_is_listed_with_sizes_that_leave_wood(name, data):
    recipe = find_recipe(name)
    try:
        piece = recipe(**data.draw(space(recipe)))
    except (InputError, RecipeError):
        return
    for units in ("mm", "in"):
        rows = cut_rows([Order(piece)], Shop(), units)
        assert sum(r.quantity for r in rows) == len(piece.placements)
        for row in rows:
            f, r = row.finished, row.rough
            assert r.length >= f.length - 1e-9, "without bands nothing is cut smaller than it ends up"
            assert r.width >= f.width - 1e-9 or r.width == pytest.approx(row.stock.width_mm)
            for said in (*row.joints, *row.settings):
                assert said == said.strip()
                assert "nan" not in said
                assert not re.search(r"(?:^| )-\d", said), "a place before the board's end"
        read = list(csv.DictReader(io.StringIO(cutlist_csv(rows, units).decode())))
        assert [int(line["quantity"]) for line in read] == [r.quantity for r in rows]
