"""`furnigen make --stock FILE.toml`: cut list, layouts, costs and page from own stock and prices."""

from __future__ import annotations

import json
import re
from html import unescape
from pathlib import Path

import pytest

from furnigen.cli.main import main
from furnigen.live.command_line import command_line
from furnigen.pipeline.options import MAKE_FORMATS, USUAL_FORMATS

BOX = """
from furnigen import Draft, Stock, from_stock, recipe

@recipe("A box of one stock")
def box(board: Stock = from_stock("birch-ply-18", "its boards", ("sheet",))):
    draft = Draft("box")
    for k in range(2):
        z = 100 * k
        draft.board(f"shelf.{k}", board, (0, 0, z), (600, 300, z + board.thickness_mm), role="shelf")
    return draft.done()
"""
STOCK = """
currency = "EUR"
[allowances.panel]
length = 4
width = 2
[[sheet]]
name = "studio-ply"
material = "plywood-birch-12"
thickness = 12
length = 2500
width = 1250
price = %s
"""
LISTS = ("--formats", "page,cutlist,cutting", "--out", "made")


@pytest.fixture(autouse=True)
def here(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    Path("box.py").write_text(BOX)
    Path("stock.toml").write_text(STOCK % "50.00")


def test_the_page_and_the_lists_take_a_makers_stock_and_prices(capsys):
    main(["make", "box.py", "board=studio-ply", "--stock", "stock.toml", *LISTS])
    assert "Cost: 50.00 EUR" in capsys.readouterr().out
    page = unescape(Path("made/index.html").read_text())
    assert re.search(r"studio-ply.{0,400}50\.00 EUR", page, re.DOTALL)
    assert "no price" not in page
    report = json.loads(Path("made/report.json").read_text())
    plan = json.loads(Path("made/cutting.json").read_text())
    assert report["costs"] == plan["costs"]
    assert report["costs"]["total"] == 50.0
    rough = plan["cut_list"][0]["rough_mm"]
    assert (rough["length"], rough["width"]) == pytest.approx((604.0, 302.0))

    # and all of it as `furnigen cut` has it
    main(["cut", "box.py", "board=studio-ply", "--stock", "stock.toml", "--out", "cut"])
    for name in ("cutting.json", "cutlist.csv", "sheets.pdf", "sheets.dxf"):
        assert Path("made", name).read_bytes() == Path("cut", name).read_bytes(), name


@pytest.mark.slow
def test_layouts_are_among_the_usual_files_once_prices_are_given(capsys):
    main(["make", "box.py", "board=studio-ply", "--stock", "stock.toml", "--json"])
    told = json.loads(capsys.readouterr().out)
    assert {"cutting.json", "sheets.pdf", "index.html", "model.step"} <= set(told["files"])


def test_without_prices_nothing_is_said_of_cost_and_areas_are_in_the_units_asked_for(capsys):
    main(["make", "box.py", "--units", "in", *LISTS])
    assert "Cost" not in capsys.readouterr().out
    page = Path("made/index.html").read_text()
    assert "furnigen make --stock FILE.toml" in page
    # a sheet of 2440 x 1220 mm is 32.0 ft2 (8 ft x 4 ft, as it is called)
    assert re.search(r"32\.0 ft² \(now \d+\.\d ft²\)", page)


def test_two_folders_of_results_differ_in_cost(capsys):
    main(["make", "box.py", "board=studio-ply", "--stock", "stock.toml", *LISTS])
    Path("stock.toml").write_text(STOCK % "64.00")
    words = ["make", "box.py", "board=studio-ply", "--stock", "stock.toml", *LISTS[:2], "--out", "dearer"]
    main(words)
    capsys.readouterr()
    assert main(["compare", "made", "dearer", "--json"]) == 1
    costs = json.loads(capsys.readouterr().out)["differences"]["cost"]
    assert {(row["of"], row["a"], row["b"]) for row in costs} >= {("all", 50.0, 64.0)}


@pytest.mark.parametrize(
    ("text", "said"),
    [(None, "can not be read"), ("prize = 3\n", "prize"), ("[saw]\nkerf = -3\n", "kerf = -3")],
)
def test_a_stock_file_that_is_wrong_is_one_message_and_writes_nothing(capsys, text, said):
    Path("bad.toml").write_text(text) if text else None
    assert main(["make", "box.py", "--stock", "bad.toml"]) == 2
    error = capsys.readouterr().err
    assert said in error
    assert error.count("\n") == 1
    assert not Path("out").exists()


def test_the_line_that_a_page_shows_makes_the_same_files():
    line = command_line("box", None, {}, ("--stock", "stock.toml"), USUAL_FORMATS, "out/box")
    assert f"--formats {','.join(USUAL_FORMATS)}" in line
    assert "--stock stock.toml" in line


def test_what_to_open_next_names_the_layouts_and_folders_are_counted(capsys):
    main(["make", "box.py", *LISTS])
    out = capsys.readouterr().out
    assert "take sheets.pdf and labels.pdf to the saw" in out
    assert "parts/ (1 file), report.json" in out


def test_the_help_of_make_names_every_format(capsys):
    assert main(["help", "make"]) == 0
    told = set(re.findall(r"[\w-]+", capsys.readouterr().out))
    assert set(MAKE_FORMATS) <= told
