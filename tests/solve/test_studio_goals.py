"""The studio's goals: each is solved, proven, and what it finds passes every check by itself."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from furnigen.cli.main import main
from furnigen.solve.goal_file import read_goal_file

GOALS = Path(__file__).parents[2] / "recipes" / "studio" / "goals"
FILES = sorted(GOALS.glob("*.toml"))


@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_every_goal_is_read(path):
    asked = read_goal_file(path)
    assert asked.goals
    assert 1 < asked.family.count < 1000


@pytest.mark.slow
@pytest.mark.parametrize("path", FILES, ids=lambda p: p.stem)
def test_every_goal_is_solved(path, tmp_path, monkeypatch, capsys):
    monkeypatch.chdir(tmp_path)
    assert main(["solve", str(path), "--workers", "2", "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["proven"] is True
    folder = tmp_path / "out" / f"{path.stem}-solved"
    files = sorted(folder.glob("points/*.toml")) or [folder / "params.toml"]
    for file in (files[0], files[-1]):
        recipe = read_goal_file(path).family.recipe.name
        assert main(["check", recipe, "--params", str(file), "--json"]) == 0, "a check fails"
        capsys.readouterr()
    if path.stem == "drying_rack":
        assert answer["relaxing"]
        assert main(["cut", str(files[0]), "--stock", str(GOALS / "stock" / "studio.toml"), "--json"]) == 0
        told = json.loads(capsys.readouterr().out)
        sheets = {n: k for n, k in told["used"].items() if n.startswith("birch")}
        assert sum(sheets.values()) <= 2
        assert told["costs"]["total"] <= answer["value"]
    if path.stem == "reference_library":
        costs, sags = zip(*answer["value"], strict=True)
        assert list(costs) == sorted(costs)
        assert list(sags) == sorted(sags, reverse=True)
        assert len(costs) >= 4
