"""The fit-out of the studio: every parameter file is read and made, fits its brief and its stock."""

from dataclasses import replace
from pathlib import Path

import pytest

import furnigen
from furnigen import find_recipe, list_recipes
from furnigen.checks.fit import check_limits, check_stock, read_limits
from furnigen.core.finding import PASS
from furnigen.recipes.discovery import read_parameter_file

FILES = sorted((Path(furnigen.__file__).parent.parent / "recipes" / "studio").glob("*.toml"))
by_file = pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)


def fit_out(path):
    file = read_parameter_file(path)
    recipe = find_recipe(file.recipe)
    units = file.units or "mm"
    piece = recipe(**recipe.read(file.parameters, units))
    return file, replace(piece, limits=read_limits(file.limits, units))


def test_the_studio_uses_every_recipe():
    files = [read_parameter_file(path) for path in FILES]
    assert 8 <= len(files) <= 10
    assert {f.recipe for f in files} == {r.name for r in list_recipes()}
    assert len({f.title for f in files}) == len(files)
    assert [f.units for f in files].count("in") == 1


@by_file
def test_every_piece_is_made_within_its_brief_from_stock_that_is_sold(path):
    file, piece = fit_out(path)
    assert file.limits
    wrong = [f for f in (*check_limits(piece), *check_stock(piece)) if f.status != PASS]
    assert wrong == []


def test_the_clay_store_drawn_up_in_inches_by_hand():
    """5 ft is 1524 mm; frames of 28.8 mm stand (1524 - 28.8)/3 = 498.4 mm apart, their cleats as thick.

    Depth 18 in less two members of 60 mm; height from 4 in + 23.2 mm to 48 in - 10 in - 23.2 mm.
    """
    _, piece = fit_out(next(p for p in FILES if p.stem == "clay_store"))
    clear = {o.label: o.clear_mm for o in piece.openings}
    assert clear["bay.1.1"] == pytest.approx((498.4 - 2 * 28.8, 457.2 - 120, 942 - 124.8))
    assert clear["bay.3.1"][0] == pytest.approx(498.4 - 3 * 28.8)  # the last frame's cleat stands here too
    assert piece.bounds.size == pytest.approx((1524, 457.2, 1219.2))
