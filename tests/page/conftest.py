"""Pages that the tests look at, made once for all of them."""

from pathlib import Path

import pytest
from hostile import hostile_piece

from furnigen import build, find_recipe


@pytest.fixture(scope="session")
def made(tmp_path_factory: pytest.TempPathFactory):
    """A folder of results by name, with its page."""
    folder = tmp_path_factory.mktemp("pages")
    pieces = {
        "case": find_recipe("divided_case"),
        "crates": find_recipe("crate_wall"),
        "hostile": hostile_piece,
    }

    def of(name: str) -> Path:
        if not (folder / name).exists():
            build(pieces[name]()).write(folder / name, formats=("glb", "picture", "cutlist", "page"))
        return folder / name / "index.html"

    return of
