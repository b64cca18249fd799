"""Names of files that are no UTF-8 text: a disc may hold them, so they work as any other."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

ODD = os.fsdecode(b"r\xe4ck")
RECIPE = Path(__file__).parents[2] / "recipes" / "leaning_shelf.py"
FAMILY = 'recipe = "leaning_shelf"\noutputs = ["cutlist"]\nchecks = ["fit"]\n[vary]\nshelves = [4, 5]\n'


@pytest.fixture
def odd(tmp_path: Path) -> Path:
    folder = tmp_path / ODD
    try:
        folder.mkdir()
    except OSError:
        pytest.skip("this disc holds no such name")
    return folder


def finished(*words: str | Path) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-c", "from furnigen.cli.main import run; run()", *map(str, words)]
    done = subprocess.run(command, capture_output=True, text=True, check=False)
    assert "Traceback" not in done.stderr, done.stderr
    return done


def test_a_piece_is_made_and_its_step_file_checked(odd: Path) -> None:
    recipe = odd / f"{ODD}.py"
    recipe.write_bytes(RECIPE.read_bytes())
    made = finished("make", recipe, "--formats", "step,cutlist", "--out", odd / "made")
    assert made.returncode == 0, made.stderr
    file = (odd / "made" / "model.step").rename(odd / f"{ODD}.step")
    assert finished("check", file).returncode == 0
    told = finished("check", file, "--json")
    assert told.returncode == 0, told.stderr
    # valid JSON, and the name comes back as it was
    report = json.loads(told.stdout)
    assert report["file"] == file.name
    assert len(report["placements"]) == 8


def test_a_step_file_that_is_none_is_one_message(odd: Path) -> None:
    file = odd / f"{ODD}.step"
    file.write_bytes(b"ISO-10303-21;")
    refused = finished("check", file)
    assert refused.returncode == 2
    assert len(refused.stderr.strip().splitlines()) == 1


def test_a_family_is_made(odd: Path) -> None:
    file = odd / f"{ODD}.toml"
    file.write_text(FAMILY)
    made = finished("family", file, "--out", odd / "made", "--json")
    assert made.returncode == 0, made.stderr
    assert json.loads(made.stdout.splitlines()[-1])["statuses"] == {"pass": 2}
    assert (odd / "made" / "family.csv").is_file()
