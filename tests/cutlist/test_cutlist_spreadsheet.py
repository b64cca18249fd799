"""The cut list opened by a spreadsheet library, which guesses what each cell is: numbers, text, no dates."""

from __future__ import annotations

from datetime import date, time

import pyexcel
import pytest

from furnigen import find_recipe
from furnigen.cutting.cut_rows import Order, cut_rows
from furnigen.cutting.cut_table import COLUMNS, SIZES, cutlist_csv
from furnigen.cutting.own_stock import Shop
from furnigen.formats.cells import FORMULA


@pytest.mark.parametrize("recipe", ["crate_wall", "ring_rack"])
def test_sizes_are_numbers_and_words_are_text(recipe, tmp_path):
    rows = cut_rows([Order(find_recipe(recipe)())], Shop(), "mm")
    (tmp_path / "cutlist.csv").write_bytes(cutlist_csv(rows))
    head, *read = pyexcel.get_array(file_name=str(tmp_path / "cutlist.csv"))
    assert head == [f"{c} mm" if c in SIZES else c for c in COLUMNS]
    assert len(read) == len(rows)
    for row, cells in zip(rows, read, strict=True):
        found = dict(zip(COLUMNS, cells, strict=True))
        assert not any(isinstance(cell, date | time) for cell in cells), "no label is taken for a date"
        for name, measure in SIZES.items():
            assert found[name] == pytest.approx(measure(row), abs=0.05001)
        assert found["quantity"] == row.quantity
        assert found["mass each kg"] == pytest.approx(row.mass_kg, abs=0.00051)
        assert found["part"] == row.part
        assert found["labels"] == " ".join(row.labels)
        for cell in cells:
            assert not (isinstance(cell, str) and cell.startswith(FORMULA))


def test_inches_come_as_a_number_beside_the_words(tmp_path):
    rows = cut_rows([Order(find_recipe("ring_rack")())], Shop(), "in")
    (tmp_path / "cutlist.csv").write_bytes(cutlist_csv(rows, "in"))
    for row, read in zip(rows, pyexcel.iget_records(file_name=str(tmp_path / "cutlist.csv")), strict=True):
        assert read["length in"] == pytest.approx(row.finished.length / 25.4, abs=0.000051)
        assert isinstance(read["length"], str)
