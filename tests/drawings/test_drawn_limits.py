"""Drawings and booklet at their limits: any parameters, 300 parts, forms of an author's own, small paper."""

from __future__ import annotations

import sys
from itertools import combinations
from pathlib import Path

import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from pypdf import PdfReader

from furnigen import Draft, InputError, build, find_recipe, find_stock, list_recipes
from furnigen.cli.main import main
from furnigen.drawings.booklet import booklet_pages
from furnigen.drawings.files import drawing_sheets
from furnigen.drawings.sheet import Setting
from furnigen.paper.page import Dimension, Page

sys.path.append(str(Path(__file__).parents[1] / "recipes"))
from space import space

SETTINGS = (Setting(), Setting.usual("in"))
RUN = Path(__file__).parents[1] / "benchmarks" / "long_run.py"
OWN_FORM = '''
import cadquery
from furnigen import Draft, Pose, Stock, count, from_stock, length, recipe

@recipe("A shelf with a turned knob of one's own making")
def knob_shelf(board: Stock = from_stock("birch-ply-18", "its board", ("sheet",))):
    """Build it."""
    from furnigen import find_stock
    draft = Draft("knob_shelf", "Shelf with a knob")
    t = board.thickness_mm
    draft.board("shelf", board, (0, 0, 0), (600, 250, t))
    knob = cadquery.Workplane().circle(20).extrude(30).faces(">Z").circle(12).extrude(15)
    draft.place("knob", knob, find_stock("beech-blank-50"), Pose.at(300, 125, t))
    return draft.done()
'''


def texts_apart(page: Page) -> None:
    boxes = []
    for text in page.texts:
        xs, ys = zip(*text.corners, strict=True)
        boxes.append((text.text, min(xs), min(ys), max(xs), max(ys)))
    for (s, a, b, c, d), (t, e, f, g, h) in combinations(boxes, 2):
        assert a >= g or e >= c or b >= h or f >= d, (page.title, s, t)


def within_the_paper(page: Page) -> None:
    for text in page.texts:
        for x, y in text.corners:
            assert 0 <= x <= page.width, (page.title, text.text)
            assert 0 <= y <= page.height, (page.title, text.text)


@pytest.mark.slow
@pytest.mark.parametrize("recipe", [r.name for r in list_recipes()])
@settings(
    max_examples=3,
    deadline=None,
    derandomize=True,
    suppress_health_check=list(HealthCheck),
    phases=[Phase.generate],
)
@given(data=st.data())
def test_any_parameters_give_sheets_that_can_be_read_or_one_message(recipe, data):
    made = find_recipe(recipe)
    try:
        piece = made(**data.draw(space(made)))
    except InputError:
        return
    one = build(piece)
    setting = data.draw(st.sampled_from(SETTINGS))
    try:
        drawn = drawing_sheets(piece, one.solids, setting)
    except InputError as refused:
        assert "sheet" in str(refused)
        return
    on = {name for sheet, _ in drawn if sheet.kind.startswith("Part") for name in sheet.parts}
    assert on == {p.name for p in piece.parts}
    for _, page in drawn:
        texts_apart(page)
        within_the_paper(page)
        for item in page.items:
            if isinstance(item, Dimension) and item.kind != "angular" and setting.units == "mm":
                assert float(item.figure.lstrip("⌀R□")) == pytest.approx(item.measured, abs=0.0501)
    if not one.construction.assembly.locked:
        for page in booklet_pages(piece, one.construction.assembly, one.custom_meshes, setting.units):
            texts_apart(page)
            within_the_paper(page)


def field(count: int):
    """Boards in rows, each a little longer than the one before: as many distinct parts."""
    draft = Draft("field", "Field of boards")
    stock = find_stock("birch-ply-18")
    for n in range(count):
        x, y = n % 20 * 300.0, n // 20 * 150.0
        draft.board(f"b{n}", stock, (x, y, 0.0), (x + 120.0 + n / 2, y + 100.0, stock.thickness_mm))
    return draft.done()


@pytest.mark.slow
def test_three_hundred_parts_are_drawn():
    piece = field(300)
    drawn = drawing_sheets(piece, build(piece).solids, Setting())
    assert len([s for s, _ in drawn if s.kind.startswith("Part")]) >= 300
    for _, page in drawn:
        texts_apart(page)
        within_the_paper(page)


def test_a_recipe_with_a_form_of_its_own_is_drawn_and_has_a_booklet(tmp_path, capsys):
    recipe = tmp_path / "knob_shelf.py"
    recipe.write_text(OWN_FORM, encoding="utf-8")
    assert main(["draw", str(recipe), "--out", str(tmp_path / "d")]) == 0
    said = capsys.readouterr().out
    assert "knob" in said
    pages = PdfReader(tmp_path / "d" / "drawings.pdf").pages
    assert any("knob" in p.extract_text() for p in pages)
    status = main(["make", str(recipe), "--formats", "booklet", "--out", str(tmp_path / "b")])
    assert status in (0, 1)
    text = " ".join(p.extract_text() for p in PdfReader(tmp_path / "b" / "booklet.pdf").pages)
    assert "1 x knob" in " ".join(text.split())
    rows = (tmp_path / "d" / "cutlist.csv").read_text(encoding="utf-8").splitlines()
    assert rows[0].startswith("part,quantity,sheet")
    assert len(rows) == 3


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (["--sheet", "A5"], "sheet of paper = A5: must be one of A4, A3, letter, tabloid"),
        (["--sheet", ""], "must be one of A4"),
        (["--units", "cm"], "invalid choice"),
        (["--projection", "second"], "invalid choice"),
        (["--out", "/proc/none"], "/proc"),
    ],
)
def test_bad_words_get_one_message_and_nothing_is_written(words, told, tmp_path, capsys):
    given = ["draw", "crate_wall", *words]
    if "--out" not in words:
        given += ["--out", str(tmp_path / "none")]
    assert main(given) == 2
    said = capsys.readouterr().err
    assert told in said
    assert said.count("\n") == 1
    assert not list(tmp_path.iterdir())


@pytest.mark.slow
def test_a_sheet_too_small_at_any_scale_names_those_that_would_do(tmp_path, capsys):
    words = ["draw", str(RUN), "levels=1", "--out", str(tmp_path / "none")]
    assert main([*words, "bays=58", "--sheet", "A4"]) == 2
    said = capsys.readouterr().err
    assert "sheet = A4: is too small" in said
    assert "choose A3 or tabloid" in said
    assert not list(tmp_path.iterdir())


@pytest.mark.slow
def test_a_piece_too_large_for_any_sheet_says_so(tmp_path, capsys):
    assert main(["draw", str(RUN), "levels=1", "bays=200", "--out", str(tmp_path / "none")]) == 2
    said = capsys.readouterr().err
    assert "too small" in said
    assert said.count("\n") == 1
    assert not list(tmp_path.iterdir())
