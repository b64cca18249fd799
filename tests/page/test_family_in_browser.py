"""The page of a family as somebody uses it, in Chromium: filtered, sorted, on a phone, in the dark."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path

import pytest
from browsing import DESK, LOW_CONTRAST, NAMELESS, PHONE, Opened, opened
from hostile import HOSTILE
from PIL import Image

from furnigen.family import contact_sheet as sheet_module
from furnigen.family.contact_sheet import Sheet, SheetColumn, SheetRow, contact_sheet

pytestmark = pytest.mark.slow

COLUMNS = (
    SheetColumn("width", "mm", given=True),
    SheetColumn("board", number=False, given=True),
    SheetColumn("mass", "kg"),
    SheetColumn("sag", "mm"),
)
BOARDS = ("ash", "birch", "pine")


def picture(shade: int) -> bytes:
    file = BytesIO()
    Image.new("RGB", (40, 30), (shade, 120, 90)).save(file, "PNG")
    return file.getvalue()


def variants(pictures: bool = True) -> list[SheetRow]:
    """Twelve, of which the heaviest fail and one could not be made."""
    rows = []
    for n in range(12):
        width, board = 600 + 100 * (n % 6), BOARDS[n % 3]
        status = "fail" if width > 900 else "warn" if n == 2 else "pass"
        reason = "sag: 9 mm, at most 3 mm" if status == "fail" else ""
        cells = (float(width), board, 10.0 + n, 12.0 - n)
        png = picture(n * 20) if pictures else b""
        rows.append(
            SheetRow(f"w{width},{board},{n}", status, reason, cells, ("preview.png",), png, "preview.png")
        )
    rows.append(SheetRow(HOSTILE[1], "refused", HOSTILE[0], (500.0, HOSTILE[2], None, None)))
    return rows


def written(folder: Path, rows: list[SheetRow]) -> Path:
    counts = {s: sum(r.status == s for r in rows) for s in {r.status for r in rows}}
    sheet = Sheet(
        f"Racks {HOSTILE[0]}", ("Thirteen variants.",), COLUMNS, "Take care.", ("family.csv",), counts
    )
    file = folder / "family.html"
    file.write_bytes(b"".join(contact_sheet(sheet, rows)))
    return file


@pytest.fixture
def family(chromium, tmp_path):
    """The page, which must have said nothing and asked for nothing but itself."""
    file = written(tmp_path, variants())
    one = opened(chromium, file, ready=False, **DESK)
    yield one
    assert one.said == []
    assert [a for a in one.asked if not a.startswith("data:")] == [file.as_uri()]
    assert one.page.evaluate("() => globalThis.ran") is None


def shown(one: Opened) -> list[int]:
    """Numbers of the variants that are shown, in their order."""
    return one.page.evaluate("() => [...document.querySelectorAll('#list [id^=v]')].map(e => +e.id.slice(1))")


def test_all_are_there_as_cards_with_their_pictures_and_signs(family):
    assert shown(family) == list(range(13))
    family.page.wait_for_function("() => [...document.images].every(i => i.naturalWidth === 40)")
    assert family.page.locator(".card svg.mark").count() == 13
    assert "9 mm" in family.page.locator("#v4").inner_text()
    assert HOSTILE[0] in family.page.locator("#v12").inner_text()


def test_filters_by_outcome_words_values_and_spans(family):
    page = family.page
    page.locator("#statuses label", has_text="fails a check").locator("input").uncheck()
    assert shown(family) == [0, 1, 2, 3, 6, 7, 8, 9, 12]
    assert page.locator("#count").inner_text() == "9 of 13 variants"
    page.locator("#filters label", has_text="ash").locator("input").uncheck()
    assert shown(family) == [1, 2, 7, 8, 12]
    page.fill("#find", "W700 BIRCH")
    assert shown(family) == [1, 7]
    page.click("#clear")
    assert shown(family) == list(range(13))
    page.select_option("#more", label="mass (kg)")
    page.get_by_label("mass (kg) at least").fill("20")
    assert shown(family) == [10, 11]
    page.get_by_label("Take away").click()
    assert shown(family) == list(range(13))


def test_sorts_by_any_column_both_ways_and_what_has_no_value_comes_last(family):
    page = family.page
    page.select_option("#sort", label="sag (mm)")
    assert shown(family) == [*range(11, -1, -1), 12]
    page.click("#turn")
    assert shown(family) == list(range(13))
    page.click("#rows")
    assert page.locator("#list tr").count() == 14
    page.get_by_role("button", name="width (mm)").click()
    assert shown(family) == [12, 0, 6, 1, 7, 2, 8, 3, 9, 4, 10, 5, 11]
    assert page.locator("th[aria-sort=ascending]").inner_text().startswith("width")
    page.get_by_role("button", name="width (mm)").click()
    assert shown(family)[:3] == [5, 11, 4]
    assert page.locator("th[aria-sort=descending]").count() == 1


def test_the_best_front_leads_to_its_variants(family):
    front = family.page.locator("#front button")
    assert front.count() > 0
    front.first.click()
    assert family.page.locator(".card.at").count() == 1


def test_the_keyboard_alone_filters_and_sorts(family):
    page = family.page
    for _ in range(30):
        page.keyboard.press("Tab")
        if page.evaluate("() => document.activeElement.id") == "find":
            break
    page.keyboard.type("pine")
    assert page.locator("#count").inner_text() == "4 of 13 variants"
    for _ in range(30):
        page.keyboard.press("Tab")
        if page.evaluate("() => document.activeElement.id") == "turn":
            break
    page.keyboard.press("Space")
    assert shown(family) == [11, 8, 5, 2]


def test_pictures_that_stay_in_their_folders_are_loaded_from_there(chromium, tmp_path, monkeypatch):
    monkeypatch.setattr(sheet_module, "MOST_EMBEDDED_BYTES", 1)
    rows = variants()
    for row in rows[:-1]:
        (tmp_path / row.name).mkdir()
        (tmp_path / row.name / "preview.png").write_bytes(row.picture)
    one = opened(chromium, written(tmp_path, rows), ready=False, **DESK)
    one.page.wait_for_function("() => [...document.images].filter(i => i.naturalWidth === 40).length > 3")
    assert one.said == []


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_text_stands_out_and_all_has_a_name(chromium, tmp_path, scheme):
    one = opened(chromium, written(tmp_path, variants()), ready=False, color_scheme=scheme, **DESK)
    assert one.page.evaluate(LOW_CONTRAST) == []
    one.page.click("#rows")
    assert one.page.evaluate(LOW_CONTRAST) == []
    assert one.page.evaluate(NAMELESS) == []


def test_on_a_phone_nothing_runs_off_the_page(chromium, tmp_path):
    one = opened(chromium, written(tmp_path, variants()), ready=False, **PHONE)
    assert one.page.evaluate("() => document.documentElement.scrollWidth") == 390
    one.page.tap("#rows")
    assert one.page.evaluate("() => document.documentElement.scrollWidth") == 390
    assert one.said == []
