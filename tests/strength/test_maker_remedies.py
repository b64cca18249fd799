"""What a maker tries first: a larger overhang, a few more uprights, stock that is large enough."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any

import pytest

from furnigen import Draft, Piece, check, find_recipe, find_stock
from furnigen.catalogue.stock import stock_that_holds
from furnigen.core.errors import InputError
from furnigen.piece.description import LoadOn
from furnigen.pipeline.remedy import Remedy, Search
from furnigen.pipeline.remedy_trial import try_piece
from furnigen.strength.model.demands import Demands

LADDERS = {"width": "2.2 m", "ladders": 3, "overhang": 0, "shelf_board": "birch-ply-18-2440"}
RINGS = {"width": "2.6 m", "frames": 3}


def searched(name: str, given: dict[str, Any], load: str) -> tuple[dict[str, Remedy], Any]:
    """The remedies of a recipe by kind, and what makes and tries the piece of other values."""
    recipe = find_recipe(name)
    values = recipe.read(given)

    def made(values: dict[str, Any]) -> Piece:
        piece = recipe(**values)
        return replace(piece, loads=(*piece.loads, LoadOn("all", load)))

    search = Search(recipe, values, made, made(values), Demands())
    return {r.kind: r for r in search.find()}, lambda **new: try_piece(made(values | new), Demands())


def test_a_larger_overhang_is_tried_and_passes_when_made_again() -> None:
    found, again = searched("ladder_rack", LADDERS, "books")
    assert "overhang" in found
    name, _, value = found["overhang"].change.partition("=")
    assert name == "overhang"
    assert again().used > 1
    assert again(overhang=float(value)).used == pytest.approx(found["overhang"].used)
    assert found["overhang"].used <= 1
    # the shelves are as long as before
    before, after = again().piece, found["overhang"].trial.piece
    assert after.bounds.size[0] == pytest.approx(before.bounds.size[0])


@pytest.mark.slow
def test_as_many_more_uprights_as_it_takes() -> None:
    found, again = searched("ring_rack", RINGS, "books")
    name, _, number = found["supports"].change.partition("=")
    assert name == "frames"
    assert int(number) > 4
    assert again(frames=4).used > 1  # one more is not enough
    assert again(frames=int(number)).used <= 1


def long_shelf(stock: str, length: float) -> Piece:
    """A board alone."""
    board = find_stock(stock)
    draft = Draft("shelf")
    draft.board("shelf", board, (0, 0, 0), (length, 300, board.thickness_mm), grain="x")
    return draft.done()


@pytest.mark.parametrize(
    ("stock", "length"), [("birch-ply-18", 2000.0), ("birch-ply-12", 2400.0), ("oak-panel-27", 2600.0)]
)
def test_stock_too_short_names_one_that_is_not(stock: str, length: float) -> None:
    (short,) = [f for f in check(long_shelf(stock, length), only=["fit"]) if f.name == "part-fits-stock"]
    assert short.status == "fail"
    offered = stock_that_holds(find_stock(stock), length, 300.0)
    if offered is None:
        assert "no stock in the table" in short.remedy
        return
    assert offered.name in short.remedy
    checked = check(long_shelf(offered.name, length), only=["fit"])
    assert [f.status for f in checked if f.name == "part-fits-stock"] == ["pass"]


def test_the_offer_is_of_the_same_make_where_there_is_one() -> None:
    # by the table: birch plywood is sold as 1525 x 1525 and as 1220 x 2440 mm
    offered = stock_that_holds(find_stock("birch-ply-18"), 2000.0, 300.0)
    assert offered is not None
    assert offered.name == "birch-ply-18-2440"
    assert stock_that_holds(find_stock("birch-ply-18"), 9000.0, 300.0) is None


def test_a_leg_too_thick_for_its_stock_names_one_that_is_thick_enough() -> None:
    case = find_recipe("divided_case")
    with pytest.raises(InputError, match=r"beech-blank-\d+ is (\d+) mm thick") as refused:
        case(leg_blank="beech-blank-50")
    offered = re.search(r"(beech-blank-\d+) is", str(refused.value).rpartition(";")[2])
    assert offered
    assert case(leg_blank=offered[1]).placements
