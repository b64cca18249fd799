"""The studio's fit-out holds and stands under what its files say it carries."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

import furnigen
from furnigen.cli.main import main
from furnigen.recipes.discovery import read_parameter_file

FILES = sorted((Path(furnigen.__file__).parent.parent / "recipes" / "studio").glob("*.toml"))


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_every_piece_of_the_studio_holds(path: Path, capsys) -> None:
    file = read_parameter_file(path)
    words = ["check", file.recipe, "--params", str(path), "--only", "sag,strength,standing", "--json"]
    status = main(words)
    told = json.loads(capsys.readouterr().out)
    assert [c for c in told["checks"] if c["status"] == "fail"] == []
    assert status == 0
    assert all(not row["assumed"] for row in told["strength"]["loads"])
    assert not any(c["name"] == "sag-unknown" for c in told["checks"])
