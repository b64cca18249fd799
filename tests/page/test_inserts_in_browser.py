"""Drawings, layouts and the booklet's pictures as somebody looks at them, in Chromium."""

from __future__ import annotations

import pytest
from browsing import DESK, LOW_CONTRAST, NAMELESS, PHONE, opened
from hostile import HOSTILE

from furnigen import build, find_recipe
from furnigen.page.job_page import MOST_BYTES

pytestmark = pytest.mark.slow


@pytest.fixture
def whole(chromium, made):
    """The page of a divided case with all that can stand in it."""
    file = made("all")
    one = opened(chromium, file, **DESK)
    one.page.wait_for_selector("html[data-plates]", state="attached")
    yield one
    assert one.said == []
    assert one.asked == [file.as_uri()]


def test_a_page_of_fifty_parts_with_all_inside_is_still_one_small_file():
    piece = find_recipe("panel_bookcase")(bays=4, shelves=9)
    assert len(piece.placements) > 45
    page = build(piece).make(("page", "picture", "cutting", "drawings", "booklet")).files["index.html"]
    assert len(page) < MOST_BYTES
    text = page.decode()
    assert text.count("data-plate=") > 20
    for name in ("layouts", "buying", "drawings"):
        assert f'<section id="{name}"' in text


def test_a_drawing_comes_into_its_place_when_it_comes_into_sight(whole):
    figure = whole.page.locator("#layouts figure").first
    figure.scroll_into_view_if_needed()
    figure.locator("svg polyline").first.wait_for(state="attached")
    assert figure.locator("svg text").count() > 5
    assert whole.page.evaluate("() => [...new Set([...document.fonts].map(f => f.status))]") == ["loaded"]
    box = figure.locator("svg").bounding_box()
    _, _, width, height = map(float, figure.locator("svg").get_attribute("viewBox").split())
    assert box["width"] > 300
    assert box["width"] / box["height"] == pytest.approx(width / height, rel=0.02)


def test_a_drawing_is_looked_at_larger_with_the_keyboard_alone(whole):
    page = whole.page
    page.locator("#drawings .paper").first.focus()
    page.keyboard.press("Enter")
    assert page.locator("#larger").evaluate("e => e.open")
    assert "General arrangement" in page.locator("#larger-head").inner_text()
    wide = page.locator("#larger-page svg").bounding_box()["width"]
    page.keyboard.press("+")
    assert page.locator("#larger-page svg").bounding_box()["width"] == pytest.approx(1.5 * wide, rel=0.05)
    before = page.locator("#larger-head").inner_text()
    page.keyboard.press("PageDown")
    assert page.locator("#larger-head").inner_text() != before
    for _ in range(6):
        page.keyboard.press("-")
    page.keyboard.press("+")
    assert page.locator("#larger-page svg").bounding_box()["width"] > 400
    page.keyboard.press("Escape")
    assert not page.locator("#larger").evaluate("e => e.open")
    assert page.url.endswith("index.html")


def test_a_picked_part_lights_the_layout_it_is_cut_from(whole):
    whole.page.mouse.click(*whole.place_of("top", up=1))
    lit = whole.page.locator("#layouts figure.lit")
    assert lit.count() >= 1
    assert "top" in lit.first.get_attribute("data-labels")
    lit.first.locator("figcaption").click()
    solid = {label for label, opacity in whole.parts("p.mesh.material.opacity").items() if opacity == 1}
    assert "top" in solid
    assert solid < set(whole.parts("1"))


def test_steps_have_the_pictures_and_the_words_of_the_booklet(whole):
    steps = whole.page.evaluate("() => furnigenView.data.steps.length")
    rows = whole.page.locator("#assembly > ol > li")
    assert rows.count() == steps
    pictured = whole.page.locator("#assembly li .step")
    assert 3 < pictured.count() <= steps
    pictured.nth(2).scroll_into_view_if_needed()
    pictured.nth(2).locator("svg polyline").first.wait_for(state="attached")
    assert "Do" in pictured.nth(2).inner_text()


def test_what_to_buy_is_listed_with_boxes(whole):
    words = whole.page.locator("#buying").inner_text()
    assert "provably the fewest" in words
    assert "no price" in words
    box = whole.page.locator("#buying input").first
    box.check()
    whole.page.reload()
    whole.page.wait_for_selector("html[data-ready]", state="attached")
    assert whole.page.locator("#buying input").first.is_checked()
    whole.asked.pop()


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_text_stands_out_and_all_has_a_name(chromium, made, scheme):
    one = opened(chromium, made("all"), color_scheme=scheme, **DESK)
    for folded in one.page.locator("details > summary").all():
        folded.evaluate("e => { e.parentElement.open = true; }")
    # drawings stay black on white paper
    one.page.evaluate("() => { for (const e of document.querySelectorAll('.paper')) e.hidden = true; }")
    assert one.page.evaluate(LOW_CONTRAST) == []
    assert one.page.evaluate(NAMELESS) == []


def test_on_a_phone_nothing_runs_off_the_page(chromium, made):
    phone = opened(chromium, made("all"), **PHONE)
    assert phone.page.evaluate("() => document.documentElement.scrollWidth") == 390
    phone.page.wait_for_selector("html[data-plates]", state="attached")
    phone.page.locator("#layouts .paper").first.tap()
    assert phone.page.locator("#larger").evaluate("e => e.open")
    phone.page.locator("#close").tap()
    assert phone.said == []


def test_hostile_names_are_text_in_drawings_too(chromium, made):
    one = opened(chromium, made("hostile, all"), **DESK)
    for paper in one.page.locator(".paper").all():
        paper.evaluate("e => e.scrollIntoView()")
    one.page.wait_for_timeout(500)
    assert one.page.evaluate("() => globalThis.ran") is None
    assert HOSTILE[0] in one.page.locator("#assembly").inner_text()
    assert one.page.locator("#lists script, #lists img").count() == 0
    assert one.said == []


def test_layouts_and_steps_are_printed_and_what_is_for_a_screen_is_not(whole):
    whole.page.locator("#drawings summary").first.click()
    before = whole.page.locator("#layouts svg polyline").count()
    assert whole.page.pdf(format="A4").startswith(b"%PDF")
    assert whole.page.locator("#layouts svg polyline").count() > before or before > 20
    assert whole.page.locator("#assembly .paper svg polyline").count() > 20
    whole.page.emulate_media(media="print")
    for name in ("#layouts figure", "#buying", "#assembly .paper", "#safety"):
        assert whole.page.locator(name).first.is_visible(), name
    for name in ("#files", ".find", ".plates.small", "#larger", "#panel"):
        assert not whole.page.locator(name).first.is_visible(), name


def test_lists_are_sorted_and_searched(whole):
    page = whole.page
    lengths = "() => [...document.querySelectorAll('#parts tbody tr')].map(r => +r.cells[2].dataset.value)"
    came = page.evaluate(lengths)
    head = page.locator("#parts").get_by_role("button", name="Length")
    head.click()
    assert page.evaluate(lengths) == sorted(came)
    head.click()
    assert page.evaluate(lengths) == sorted(came, reverse=True)
    head.click()
    assert page.evaluate(lengths) == came
    page.locator("#parts input[type=search]").fill("LEG")
    seen = [r.inner_text() for r in page.locator("#parts tbody tr").all() if r.is_visible()]
    assert 0 < len(seen) < len(came)
    assert all("leg" in text for text in seen)
