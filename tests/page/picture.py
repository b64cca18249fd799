"""Draws the README's picture of the page: python tests/page/picture.py."""

from __future__ import annotations

from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory

from browsing import browser, opened
from PIL import Image
from playwright.sync_api import sync_playwright

from furnigen import build, find_recipe

PICTURE = Path(__file__).parents[2] / "recipes" / "gallery" / "job_page.png"
SIZE = {"width": 1280, "height": 800}
COLOURS = 128
APART = 30


def main() -> None:
    """A divided case, drawn apart a little, as its page shows it."""
    with TemporaryDirectory() as folder, sync_playwright() as play:
        written = build(find_recipe("divided_case")()).write(
            Path(folder) / "case", formats=("page", "glb", "cutlist")
        )
        one = opened(browser(play), written.folder / "index.html", viewport=SIZE)
        one.slide("explode", APART)
        one.page.locator("#checks details summary").click()
        one.page.wait_for_timeout(500)
        shown = Image.open(BytesIO(one.page.screenshot())).convert("RGB")
    shown.quantize(COLOURS, dither=Image.Dither.NONE).save(PICTURE, optimize=True)
    print(PICTURE)


if __name__ == "__main__":
    main()
