"""What furnigen runs of what lies about: nothing of the current folder that nobody asked for."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from furnigen.cli.main import main
from furnigen.family.bench import READY, answer, start_apart
from furnigen.family.familyfile import read_family
from furnigen.family.task import setup_of

TRAPPED = (
    "pickle", "struct", "signal", "selectors", "socket", "random", "numpy", "trimesh", "OCP", "vtk",
    "furnigen", "vtkmodules", "multiprocessing", "subprocess", "hashlib", "tempfile", "csv",
)  # fmt: skip
FAMILY = """
recipe = "leaning_shelf"
checks = ["fit"]
[vary]
shelves = [3, 4]
"""


@pytest.fixture
def trapped(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The current folder, full of modules that leave a mark when they are run."""
    for name in TRAPPED:
        text = f"open({str(tmp_path / 'sprung')!r}, 'a').write({name!r} + ' ')\nraise SystemExit(9)\n"
        (tmp_path / f"{name}.py").write_text(text, encoding="utf-8")
    (tmp_path / "racks.toml").write_text(FAMILY, encoding="utf-8")
    monkeypatch.chdir(tmp_path)
    monkeypatch.delenv("PYTHONSAFEPATH", raising=False)
    return tmp_path


def sprung(folder: Path) -> str:
    mark = folder / "sprung"
    return mark.read_text(encoding="utf-8") if mark.exists() else ""


@pytest.mark.parametrize("path", [None, "", os.pathsep], ids=["no path", "empty path", "path of nothing"])
def test_the_drawing_process_runs_nothing_of_the_current_folder(
    trapped: Path, path: str | None, monkeypatch: pytest.MonkeyPatch
) -> None:
    if path is None:
        monkeypatch.delenv("PYTHONPATH", raising=False)
    else:
        monkeypatch.setenv("PYTHONPATH", path)
    assert main(["make", "leaning_shelf", "--formats", "picture"]) in (0, 1)
    assert sprung(trapped) == ""
    assert (trapped / "out" / "leaning_shelf" / "preview.png").is_file()


@pytest.mark.parametrize(
    "start", [["furnigen"], ["python", "-P", "-m", "furnigen"]], ids=["command", "module"]
)
def test_workers_of_a_family_run_nothing_of_the_current_folder(trapped: Path, start: list[str]) -> None:
    """In a process of its own: a fork server lives on, and this one may have one already."""
    program = Path(sys.executable).with_name(start[0])
    command = [program, *start[1:], "family", "racks.toml", "--workers", "2"]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=300)
    assert sprung(trapped) == ""
    assert (done.returncode, done.stderr) == (0, "")


def test_workers_of_a_cluster_run_nothing_of_the_current_folder(trapped: Path) -> None:
    hand = start_apart(setup_of(read_family(trapped / "racks.toml")))
    try:
        assert answer(hand) == READY
    finally:
        hand.end()
    assert sprung(trapped) == ""


def test_furnigen_as_a_module_stops_importing_from_the_current_folder(trapped: Path) -> None:
    (
        trapped / "furnigen.py"
    ).unlink()  # Python takes what it is asked for, and what it needs itself, from here
    for name in ("signal", "struct", "random", "selectors", "subprocess"):
        (trapped / f"{name}.py").unlink()
    command = [sys.executable, "-m", "furnigen", "make", "leaning_shelf", "--formats", "cutlist"]
    done = subprocess.run(command, capture_output=True, text=True, check=False, timeout=300)
    assert sprung(trapped) == ""
    assert done.returncode == 0, done.stderr
