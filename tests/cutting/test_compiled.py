"""Compiled functions: kept where it can be, made anew when any of their modules changed; the user is told."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

import numba
import pytest

import furnigen
from furnigen.cutting import compiled
from furnigen.cutting.compiled import HERE, ROOMS, kept_in, on_compiling


def test_compiling_is_told_once_and_not_when_it_is_done():
    told: list[str] = []

    def twice(x):
        return 2 * x

    fresh = numba.njit(twice)
    with on_compiling(lambda: told.append("compiling")):
        assert fresh(2) == 4
        assert fresh(2.5) == 5.0
    assert told == ["compiling"]
    with on_compiling(lambda: told.append("again")):
        assert fresh(3) == 6
    assert told == ["compiling"]


def test_all_that_is_compiled_lies_in_the_rooms_whose_text_names_the_folder():
    holding = {p.parent for p in HERE.rglob("*.py") if "@compiled" in p.read_text()}
    assert holding <= {HERE / room for room in ROOMS}


@pytest.fixture
def elsewhere(tmp_path, monkeypatch):
    """The compiled modules in a folder of their own, nothing known yet."""
    for room in ROOMS:
        shutil.copytree(
            HERE / room, tmp_path / "cutting" / room, ignore=shutil.ignore_patterns("__pycache__")
        )
    monkeypatch.setattr(compiled, "HERE", tmp_path / "cutting")
    monkeypatch.setenv("XDG_CACHE_HOME", str(tmp_path / "user"))
    kept_in.cache_clear()
    yield tmp_path
    kept_in.cache_clear()


def test_a_change_of_any_module_is_another_folder(elsewhere):
    first = kept_in()
    assert first.parent == elsewhere / "cutting" / "__pycache__"
    tree = elsewhere / "cutting" / "search" / "tree.py"
    tree.write_text(tree.read_text() + "\n")
    kept_in.cache_clear()
    assert kept_in() != first


def test_the_users_folder_where_the_package_can_not_be_written(elsewhere, monkeypatch):
    # a file where the folder would be: that no one can write, the superuser included
    (elsewhere / "cutting" / "__pycache__").write_text("")
    assert kept_in().parent == elsewhere / "user" / "furnigen"
    (elsewhere / "none").write_text("")
    monkeypatch.setenv("XDG_CACHE_HOME", str(elsewhere / "none"))
    kept_in.cache_clear()
    assert kept_in() is None


def test_a_full_disk_keeps_nothing(elsewhere, monkeypatch):
    usage = shutil.disk_usage(elsewhere)
    monkeypatch.setattr(shutil, "disk_usage", lambda _: usage._replace(free=1 << 20))
    assert kept_in() is None


SHELVES = """
from furnigen import Draft, find_stock, recipe

@recipe("Shelves of one stock")
def shelves():
    draft = Draft("shelves")
    for k in range(9):
        z = 100 * k
        draft.board(f"shelf.{k}", find_stock("mdf-18"), (0, 0, z), (800, 300 + 7 * k, z + 18), role="shelf")
    return draft.done()
"""


@pytest.mark.slow
def test_it_works_where_nothing_can_be_kept(tmp_path):
    package = Path(furnigen.__file__).parent
    shutil.copytree(package, tmp_path / "furnigen", ignore=shutil.ignore_patterns("__pycache__"))
    (tmp_path / "furnigen" / "cutting" / "__pycache__").write_text("")
    (tmp_path / "file").write_text("")
    away = {"PYTHONPATH": str(tmp_path), "XDG_CACHE_HOME": str(tmp_path / "file"), "NUMBA_CACHE_DIR": ""}
    (tmp_path / "shelves.py").write_text(SHELVES)
    words = [sys.executable, "-m", "furnigen", "cut", "shelves.py", "--json"]
    ran = subprocess.run(
        words, check=False, cwd=tmp_path, env=os.environ | away, capture_output=True, text=True, timeout=300
    )
    assert ran.returncode == 0, ran.stderr
    assert "Traceback" not in ran.stderr
    assert all(json.loads(ran.stdout)["proven"].values())
    assert not list((tmp_path / "furnigen").rglob("*.nbi"))
