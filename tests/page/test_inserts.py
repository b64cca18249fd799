"""Layouts, drawings and pictures of steps within the page: what is packed, what is linked, what is shown."""

import gzip
import json
import random
import re
from base64 import b64decode
from html import unescape

import pytest
from hostile import HOSTILE

from furnigen import find_recipe
from furnigen.page.inserts import Inserts, Plate, StepInsert
from furnigen.page.job_page import MOST_BYTES, job_page
from furnigen.page.plates import packed_plates, screen_svg
from furnigen.paper.frame import Row
from furnigen.paper.page import Page, Polyline, Text
from furnigen.pipeline.built import Built


def plate(caption: str, lines: int = 3, seed: int = 0) -> Plate:
    """A drawing of so many lines that do not pack."""
    draw = random.Random(seed)
    points = tuple((draw.uniform(0, 200), draw.uniform(0, 200)) for _ in range(lines))
    items = (Polyline(points), Text((10.0, 10.0), caption))
    return Plate(caption, Page(210.0, 297.0, items, caption), "drawings.pdf")


def unpacked(text: str) -> list:
    return [json.loads(line) for line in gzip.decompress(b64decode(text)).decode().splitlines()]


def test_what_is_packed_comes_out_again_with_its_letters():
    plates = [plate("side"), plate("top", seed=1)]
    packed, places = packed_plates(plates, 1_000_000)
    fonts, *drawn = unpacked(packed)
    ((family, font),) = fonts
    assert family == "Routed Gothic"
    assert b64decode(font)[:4] == b"\0\1\0\0"  # TrueType
    assert drawn == [screen_svg(p.page) for p in plates]
    assert places == {0: 0, 1: 1}


def test_a_drawing_without_room_is_left_out_and_a_smaller_one_after_it_comes_in():
    plates = [plate("a"), plate("far too much", 30_000), plate("b", seed=2)]
    packed, places = packed_plates(plates, 60_000)
    assert places == {0: 0, 2: 1}
    assert len(packed) <= 60_000
    assert packed_plates(plates, 100) == ("", {})
    assert packed_plates([], 1000) == ("", {})


def test_a_drawing_on_a_screen_keeps_its_figures_and_loses_what_no_eye_sees():
    page = Page(100.0, 50.0, (Polyline(((1 / 3, 2 / 3), (10.0, 20.0))), Text((1.0, 1.0), "0.43751")), "t")
    text = screen_svg(page)
    assert ">0.43751<" in text
    assert 'points="0.33,49.33 10,30"' in text
    assert "data-" not in text
    assert "<style" not in text


def page_with(inserts: Inserts) -> str:
    made = Built(find_recipe("crate_wall")(), light=True)
    text = job_page(made.report_of(("fit",)), (), made.meshes, inserts=inserts)
    assert len(text) <= MOST_BYTES
    return text.decode()


def test_nothing_is_shown_of_what_was_not_made():
    text = page_with(Inserts())
    for name in ("layouts", "buying", "drawings"):
        assert f'id="{name}"' not in text
    assert 'id="assembly"' in text


def test_more_drawings_than_there_is_room_for_are_linked():
    plates = [plate(f"sheet {n}", 6000, n) for n in range(20)]
    text = page_with(Inserts(sheets=plates))
    inside, linked = text.count("data-plate="), text.count("Too large for this page")
    assert inside + linked == len(plates)
    assert inside > 2
    assert linked > 2
    assert 'see <a href="drawings.pdf" download>drawings.pdf</a>' in text


def test_captions_and_words_are_text():
    evil, quotes, *_ = HOSTILE
    step = StepInsert((0,), plate(evil), ((evil, quotes),), (evil,))
    inserts = Inserts(
        bought=[Row((evil, "2", "1 x 1", quotes, "3.00"))],
        notes=[evil],
        layouts=[plate(quotes)],
        steps=[step],
    )
    text = page_with(inserts)
    assert text.count("<script>") == 1
    assert "<img src=x" not in text
    packed = re.search(r'id="plates">([^<]*)<', text)[1]
    assert all("<script" not in drawn for drawn in unpacked(packed)[1:])


@pytest.mark.parametrize("priced", [True, False])
def test_what_to_buy_has_boxes_and_says_where_prices_come_from(priced):
    rows = [
        Row(("birch ply", "", "", "2 sheets, provably the fewest", ""), bold=True),
        Row(("  birch-ply-18", "2", "2440 x 1220", "", "178.00" if priced else "no price")),
        Row(("  shelf", "1", "", "does not fit: too long", "")),
        Row(("hardware: screw 4 x 40", "8", "", "", "no price")),
        Row(("total", "", "", "", "178.00" if priced else "no price"), bold=True),
    ]
    text = unescape(page_with(Inserts(bought=rows)))
    assert ("--stock FILE.toml" in text) is not priced
    buying = text[text.index('id="buying"') :]
    buying = buying[: buying.index("</section>")]
    assert re.findall(r'data-tick="([^"]*)"', buying) == ["bought birch-ply-18"]
