"""The recipe of the README, as a reader would try it."""

from __future__ import annotations

import json
import re
from pathlib import Path

import pytest

from furnigen.cli.main import main

README = Path(__file__).parents[2] / "README.md"


@pytest.fixture
def stool(tmp_path, monkeypatch) -> Path:
    (code,) = [
        c
        for c in re.findall(r"```python\n(.*?)```", README.read_text(encoding="utf-8"), re.S)
        if "@recipe" in c
    ]
    monkeypatch.chdir(tmp_path)
    path = tmp_path / "stool.py"
    path.write_text(code, encoding="utf-8")
    return path


def test_every_check_of_it_passes(stool, capsys) -> None:
    assert main(["check", "stool.py", "seat=320 mm", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert {c["status"] for c in told["checks"]} == {"pass"}
    assert {"sag", "leg-joint", "standing", "load-path", "assembly-order"} <= {
        c["name"] for c in told["checks"]
    }
    loads = {row["board"]: row["load"] for row in told["strength"]["loads"]}
    assert loads["seat"] == "80 kg at middle"


@pytest.mark.parametrize("seat", ["250 mm", "360 mm", "600 mm"])
def test_it_stands_over_its_whole_range(stool, capsys, seat: str) -> None:
    assert main(["check", "stool.py", f"seat={seat}", "--only", "fit,strength,standing"]) == 0
