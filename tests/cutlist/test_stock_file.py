"""A maker's stock file: what it may hold, and what is refused with its place."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from furnigen import InputError
from furnigen.cutting.own_stock import Shop
from furnigen.cutting.stock_file import read_shop, read_stock_file, sample_stock


def shop(text: str) -> Shop:
    return read_shop(tomllib.loads(text), "stock.toml")


def test_the_sample_is_read_and_says_that_it_is_invented():
    sample = shop(sample_stock())
    assert sample.invented
    assert "INVENTED" in sample_stock().splitlines()[0]
    offers = {o.name: o for o in sample.offers}
    assert sample.offers[0].offcut, "offcuts come first"
    assert offers["R1"].price == 0
    assert offers["birch 18, 1525 x 1525"].price == round(3150 * 1.525**2)
    # 10 ft of 1 x 12 at 3.20 a board foot: 1 x 12 x 120 / 144 = 10 board feet
    assert offers["pine-1x12 3048"].price == 3200
    assert offers["the knotty one"].defects == ((900, 1010), (2400, 2460))
    assert [s.name for s in sample.own] == ["maple-ply-19"]


def test_an_empty_file_is_a_shop_of_the_table():
    assert shop("") == Shop(name="stock.toml")


SHEET = '[[sheet]]\nstock = "birch-ply-18"\n'

WRONG = {
    "[saw]\nkerf = -3": r"stock.toml: \[saw\]: kerf = -3 mm: must be zero or more",
    "[saw]\nkerff = 3": r"key = kerff: is not known; did you mean kerf\?",
    "[saw]\nfirst_cut = 'across'": "must be one of either, rip, crosscut",
    SHEET + "trim = 800": r"\[\[sheet\]\] 1: trim = 1600 mm: must be less than the length of 1525 mm",
    SHEET + "trim = {bottom = 800, top = 800}": "must be less than the width of 1525 mm",
    SHEET + SHEET: "name = birch-ply-18: is there twice",
    '[[sheet]]\nstock = "birk"': r"\[\[sheet\]\] 1: stock = birk: must be the name of a known stock",
    '[[board]]\nstock = "birch-ply-18"': r"is a sheet; put it under \[\[sheet\]\]",
    SHEET + "price = -2": "price = -2: must be from 0",
    SHEET + "price = 1\nprice_per_m2 = 2": "price and price_per_m2: are both given",
    SHEET + "prise = 2": r"key = prise: is not known; did you mean price\?",
    SHEET
    + "price = 3\n[[sheet]]\nname = 'b'\nstock = 'birch-ply-18'": "price of b = not given: must be given",
    SHEET + "defects = [[1, 2]]": "are of boards and bars",
    '[[board]]\nstock = "pine-1x12"\ndefects = [[2400, 2500]]': "must lie within the length",
    '[[board]]\nstock = "pine-1x12"\ndefects = [[25, 20]]': "must go from less to more",
    "[[offcut]]\nstock = 'birch-ply-18'": "number = not given: must be given",
    "[[sheet]]\nmaterial = 'mdf-12-19'": "name = not given",
    "[[sheet]]\nname = 'a'\nmaterial = 'cheese'\nthickness = 18": "must be the name of a known material",
    "[[banding]]\nparts = 'a'\nedges = 'frnt'\nband = 'x'": r"edges = frnt: .*did you mean front\?",
    "[[banding]]\nparts = 'a'\nedges = 'front'\nband = 'x'": "is not a band of this file",
    "[[matched]]\nlabels = ['a']": "must be two or more",
    "sheet = 3": r"must be tables written as \[\[sheet\]\]",
    "units = 'cm'": "must be mm or in",
    "[saw]\nstages = 0": "must be a whole number from 1",
    "[labour]\nminutes_per_part = 2": "per_hour = not given",
    "[hardware]\nscrew = 'cheap'": "screw = cheap: must be a number",
    "invented = 'yes'": "must be true or false",
    "[[sheet]]\nname = 'birch-ply-18'\nmaterial = 'mdf-12-19'\nthickness = 18\nlength = 2440\nwidth = 1220\n"
    "[[offcut]]\nnumber = 'x'\nstock = 'birch-ply-18'": "is that of a stock in the table",
}


@pytest.mark.parametrize("text", list(WRONG))
def test_what_is_wrong_is_named_with_its_place(text):
    with pytest.raises(InputError, match=WRONG[text]):
        shop(text)


def test_a_file_that_is_none(tmp_path):
    with pytest.raises(InputError, match="can not be read"):
        read_stock_file(tmp_path / "none.toml")
    (tmp_path / "bad.toml").write_text("[[sheet")
    with pytest.raises(InputError, match="is not TOML"):
        read_stock_file(tmp_path / "bad.toml")


KEYS = st.sampled_from(
    ["saw", "sheet", "board", "bar", "offcut", "band", "banding", "finish", "labour", "hardware", "router",
     "currency", "stock", "name", "length", "width", "price", "kerf", "trim", "copies",
     "defects", "matched", "units"]
)  # fmt: skip
LEAVES = st.one_of(
    st.booleans(),
    st.integers(-5, 5000),
    st.floats(allow_nan=True),
    st.sampled_from(["birch-ply-18", "2.4 m", "front"]),
)
VALUES = st.recursive(
    LEAVES,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(KEYS, inner, max_size=4),
    max_leaves=12,
)


@given(st.dictionaries(KEYS, VALUES, max_size=5))
def test_whatever_a_file_holds_it_is_read_or_refused(data):
    try:
        assert isinstance(read_shop(data, "stock.toml"), Shop)
    except InputError as error:
        assert str(error).startswith("stock.toml")
