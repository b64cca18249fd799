"""Families with solids: the bytes of one make each, parts kept between variants, a server fit to fork."""

from __future__ import annotations

import csv
import io
import json
import subprocess
import sys

import pytest
from trial import family_files, finished, trial_family

from furnigen.family.family_file import read_family
from furnigen.family.task import setup_of
from furnigen.pipeline.built import Built
from furnigen.pipeline.part_cache import PartCache
from furnigen.recipes.discovery import load_file

SOLID = """
recipe = "trial.py"
outputs = ["step", "stl", "glb"]
[vary]
shelves = [1, 2]
trick = ["none", "overlap"]
"""


def test_a_variant_has_the_bytes_that_making_it_alone_has(tmp_path):
    """Whatever its worker made before: parts kept from other variants leave no trace in the files."""
    trial_family(tmp_path, SOLID)
    status, _, err = finished(tmp_path, "family.toml", "--workers", "1")
    assert (status, err) == (1, "")  # two of them overlap
    recipe = load_file(tmp_path / "trial.py")
    for shelves in (1, 2):
        for trick in ("none", "overlap"):
            piece = recipe(shelves=shelves, trick=trick)
            alone = Built(piece).make(("step", "stl", "glb")).files
            folder = tmp_path / "out" / "family" / f"shelves={shelves},trick={trick}"
            assert family_files(folder) == alone
    rows = csv.DictReader(io.StringIO((tmp_path / "out" / "family" / "family.csv").read_text()))
    by_name = {r["variant"]: r for r in rows}
    bad = by_name["shelves=2,trick=overlap"]
    assert bad["status"] == "fail"
    assert "interference" in bad["reason"]
    # the second layer stands 1 mm in the shelf below: two blocks of 17.6 x 300 x 1 mm each, by hand
    assert float(bad["checks.interference.value"]) == pytest.approx(17.6 * 300, rel=1e-6)
    assert by_name["shelves=2,trick=none"]["checks.interference.status"] == "pass"


def test_parts_met_before_are_not_made_again(tmp_path):
    trial_family(tmp_path, SOLID)
    recipe = load_file(tmp_path / "trial.py")
    parts_cache = PartCache(most=3)
    first = parts_cache.mesh_of(recipe(shelves=1), 0.1).parts
    again = parts_cache.mesh_of(recipe(shelves=2), 0.1).parts
    assert [p.name for p in first] == ["block", "shelf"]
    assert all(a is b for a, b in zip(first, again, strict=True))
    for width in (700.0, 800.0, 900.0, 1000.0):
        parts_cache.mesh_of(recipe(width=width), 0.1)
    assert len(parts_cache) == 3
    other = parts_cache.mesh_of(recipe(shelves=1), 0.5).parts
    assert not any(a is b for a in other for b in first)


def test_a_workshop_that_is_handed_in_is_used_from_the_first_piece_on(tmp_path):
    trial_family(tmp_path, SOLID)
    parts_cache = PartCache()
    Built(load_file(tmp_path / "trial.py")(shelves=1), parts_cache=parts_cache).make(("step",))
    assert len(parts_cache) == 2


def test_a_step_file_is_the_same_whatever_was_made_before(tmp_path):
    trial_family(tmp_path, SOLID)
    recipe = load_file(tmp_path / "trial.py")
    parts_cache = PartCache(most=3)
    for shelves, width in ((1, 700.0), (2, 700.0), (2, 800.0), (3, 700.0), (1, 700.0)):
        piece = recipe(shelves=shelves, width=width)
        assert parts_cache.step_bytes(piece) == PartCache().step_bytes(piece)


FORK_SERVER = """
import sys
from pathlib import Path
from multiprocessing import forkserver
sys.path.insert(0, sys.argv[1])
from furnigen.family.worker import READY, answer, start_here
from furnigen.family.family_file import read_family
from furnigen.family.task import setup_of
if __name__ == "__main__":
    hand = start_here(setup_of(read_family(Path("family.toml"))))
    assert answer(hand) == READY
    server = forkserver._forkserver._forkserver_pid
    status = dict(l.split(":", 1) for l in Path(f"/proc/{server}/status").read_text().splitlines())
    maps = Path(f"/proc/{server}/maps").read_text()
    print(int(status["Threads"]), "OCP" in maps, "libstdc++" in maps)
    print(Path(f"/proc/{hand.pid}/status").read_text().split("Threads:")[1].split()[0])
    hand.end()
"""


def test_the_fork_server_holds_the_kernel_and_has_one_thread(tmp_path):
    """A process with several threads is not fit to be forked; see the C library's own manual of fork."""
    trial_family(tmp_path, SOLID)
    (tmp_path / "start.py").write_text(FORK_SERVER)
    words = [sys.executable, "start.py", str(tmp_path)]
    done = subprocess.run(words, cwd=tmp_path, capture_output=True, text=True, check=False, timeout=60)
    assert done.stderr == ""
    assert done.stdout.split()[:2] == ["1", "True"]


def test_setup_is_data(tmp_path):
    """What a worker is told can be written down as plain values: nothing of it is code or a handle."""
    setup = setup_of(read_family(trial_family(tmp_path, SOLID)))
    for value in vars(setup).values():
        assert isinstance(value, str | bytes | float | bool | tuple)
    assert json.dumps(setup.limits) == "[]"
