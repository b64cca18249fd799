"""Pages that the tests look at, made once for all of them."""

from pathlib import Path

import pytest
from hostile import hostile_piece

from furnigen import build, find_recipe

USUAL = ("glb", "picture", "cutlist", "page")
ALL = (*USUAL, "cutting", "drawings", "booklet")


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory):
    """A folder of results by name, with its page."""
    folder = tmp_path_factory.mktemp("pages")
    pieces = {
        "case": (find_recipe("divided_case"), USUAL),
        "crates": (find_recipe("crate_wall"), USUAL),
        "hostile": (hostile_piece, USUAL),
        "hostile, all": (hostile_piece, ALL),
        "all": (find_recipe("divided_case"), ALL),
    }

    def of(name: str) -> Path:
        if not (folder / name).exists():
            recipe, formats = pieces[name]
            build(recipe()).write(folder / name, formats=formats)
        return folder / name / "index.html"

    return of


@pytest.fixture(scope="session")
def play():
    """Playwright, once for all tests in a browser."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as one:
        yield one


@pytest.fixture(scope="session")
def chromium(play):
    """A browser without a screen."""
    from browsing import browser

    return browser(play)
