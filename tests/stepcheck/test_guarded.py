"""`furnigen check FILE.step` in its guarded process: whatever the file is, one answer or one message."""

from __future__ import annotations

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from exchange_files import assembly, cube, product, step_file, usage

from furnigen.core.errors import InputError
from furnigen.pipeline.guarded_process import EndedError, Limits, guarded

USUAL = Limits(60.0, 1.0)


def check(*words: str, folder: Path | None = None, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-P", "-c", "from furnigen.cli.main import run; run()", "check", *words],
        capture_output=True,
        check=False,
        text=True,
        cwd=folder,
        env={**os.environ, **environment},
    )


def levels(deep: int) -> str:
    """A cube in nested assemblies, each twice in the next, side by side on the floor."""
    rows = [product(0, "cube", cube(0))]
    for level in range(1, deep + 1):
        rows.append(assembly(level, f"level {level}"))
        x, y = (10.0 * 2 ** ((level - 1) // 2), 0.0)
        x, y = (x, y) if level % 2 else (y, x)
        place = (f"({x},{y},0.)", "(0.,0.,1.)", "(1.,0.,0.)")
        rows += [usage(level, level - 1, 1), usage(level, level - 1, 2, place)]
    return step_file("\n".join(rows))


def saved(folder: Path, text: str, name: str = "model.step") -> Path:
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


def test_what_the_file_is_stands_above_the_findings(tmp_path: Path) -> None:
    path = saved(tmp_path, levels(3))
    done = check(str(path))
    assert done.returncode == 0, done
    told = " ".join(done.stdout.split())
    assert "level 3: 40.0 mm x 20.0 mm x 10.0 mm (x, y, z), 8 solids of 1 shape;" in told
    assert "the file's unit of length: millimetre, written 2026-01-01T00:00:00; read and checked in" in told
    report = json.loads(check(str(path), "--json").stdout)
    assert (report["name"], report["solids"], report["shapes"]) == ("level 3", 8, 1)
    assert report["stated"]["unit"] == ["millimetre"]
    assert report["size_mm"] == [40.0, 20.0, 10.0]
    assert report["seconds"] > 0


def test_a_million_copies_are_refused_before_they_are_made(tmp_path: Path) -> None:
    text = levels(20)
    assert len(text) < 60_000
    done = check(str(saved(tmp_path, text)))
    assert done.returncode == 2
    assert "places 1,048,576 solids, and at most 10,000 are taken" in done.stderr
    assert done.stderr.count("\n") == 1
    done = check(str(saved(tmp_path, levels(3))), "--copy-limit", "7")
    assert (done.returncode, done.stdout) == (2, "")
    assert "places 8 solids, and at most 7 are taken" in done.stderr


def test_a_file_that_brings_the_kernel_down_is_one_message(tmp_path: Path) -> None:
    """A line without its direction ends the kernel by a segmentation fault."""
    text = re.sub(r"#\d+=VECTOR\([^;]*;\n", "", levels(1))
    assert text != levels(1)
    done = check(str(saved(tmp_path, text)))
    assert (done.returncode, done.stdout) == (2, "")
    assert "is damaged: it brings the CAD kernel down" in done.stderr
    assert done.stderr.count("\n") == 1


@pytest.mark.parametrize(
    ("option", "value", "message"),
    [
        ("--time-limit", "0.2", "takes longer than 0.2 s"),
        ("--memory-limit", "0.0001", "needs more than 0.0001 GiB"),
        ("--time-limit", "soon", "--time-limit = soon: must be a number of seconds above 0"),
        ("--copy-limit", "-4", "--copy-limit = -4: must be a whole number of solids above 0"),
        ("--copy-limit", "0.5", "--copy-limit = 0.5: must be a whole number of solids above 0"),
        ("--climate", "2", "takes no parameters, limits, loads or steps"),
        ("--sag-limit", "L/300", "takes no parameters, limits, loads or steps"),
    ],
)
def test_limits_are_kept_and_told(tmp_path: Path, option: str, value: str, message: str) -> None:
    done = check(str(saved(tmp_path, levels(9))), f"{option}={value}")
    assert (done.returncode, done.stdout) == (2, "")
    assert message in done.stderr
    assert done.stderr.count("\n") == 1


def test_nothing_is_imported_from_the_current_folder(tmp_path: Path) -> None:
    for name in ("json", "pickle", "numpy", "OCP", "furnigen"):
        saved(tmp_path, f"open({str(tmp_path / 'ran')!r}, 'w')\n", f"{name}.py")
    saved(tmp_path, levels(1))
    assert check("model.step", folder=tmp_path, PYTHONPATH="").returncode == 0
    assert not (tmp_path / "ran").exists()


def test_a_message_names_the_file_as_it_was_typed(tmp_path: Path) -> None:
    saved(tmp_path, "a shopping list")
    done = check("model.step", folder=tmp_path)
    assert done.stderr.startswith("furnigen: STEP file = model.step: is not a STEP file")
    assert check("nowhere.step", folder=tmp_path).stderr.count("nowhere.step: does not exist") == 1


@pytest.fixture
def _tasks(monkeypatch: pytest.MonkeyPatch) -> None:
    """The guard takes nothing from the current folder: its process finds the tasks where it is told to."""
    monkeypatch.setenv("PYTHONPATH", str(Path(__file__).parent))


@pytest.mark.usefixtures("_tasks")
def test_answers_steps_and_errors_come_back() -> None:
    steps: list[str] = []
    assert guarded("guard_tasks:double", {"number": 21}, USUAL, steps.append) == 42
    assert steps == ["doubling 21"]
    with pytest.raises(InputError, match="number = 0: must not be nothing; one would do"):
        guarded("guard_tasks:double", {"number": 0}, USUAL)


@pytest.mark.usefixtures("_tasks")
@pytest.mark.parametrize(
    ("how", "why"),
    [
        ("sleep", "time"),
        ("memory", "memory"),
        ("abort", "SIGABRT"),
        ("raise", "ValueError: no"),
        ("exit", "exit status 7"),
    ],
)
def test_whatever_ends_the_process_is_one_error(how: str, why: str) -> None:
    with pytest.raises(EndedError) as caught:
        guarded("guard_tasks:end", {"how": how}, Limits(3.0, 0.25))
    assert caught.value.why == why
