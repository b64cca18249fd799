"""Hostile surroundings: one message each, the right exit status, no traceback, nothing lost."""

from __future__ import annotations

import os
import resource
import subprocess
import sys
from pathlib import Path

import pytest

from furnigen.core.errors import OutputError
from furnigen.pipeline.result_folder import check_writable, write_folder

FEW = "make leaning_shelf --formats cutlist"
FAMILY = """
recipe = "leaning_shelf"
checks = ["fit"]
outputs = ["cutlist"]
[vary]
width = [600, 700, 800, 900]
"""
CLOSED_OUT, CLOSED_ERR = ">&-", "2>&-"
REPORT = {"report.json": b'{"furnigen": "x", "files": []}'}


def shell(folder: Path, line: str) -> tuple[int, str, str]:
    """A line of the shell in a folder, in which `furnigen` is the command."""
    text = line.replace("furnigen ", f"{sys.executable} -m furnigen ")
    done = subprocess.run(
        ["bash", "-c", text], cwd=folder, capture_output=True, text=True, timeout=300, check=False
    )
    assert "Traceback" not in done.stderr
    return done.returncode, done.stdout, done.stderr


def one_message(err: str) -> str:
    assert len(err.strip().splitlines()) == 1, err
    assert err.startswith("furnigen: ")
    return err


@pytest.mark.parametrize("command", [f"{FEW} --out", "family few.toml --workers 0 --out"])
@pytest.mark.parametrize(
    ("out", "says"),
    [
        ("file", "is a file, not a folder"),
        ("file/below", "can not be written"),
        ("loop", "Too many levels of symbolic links"),
        ("n" * 300, "File name too long"),
        (f"new/{'n' * 300}/below", "File name too long"),
        ("/dev/full", "is a file, not a folder"),
        ("/proc/here", "can not be written"),
        (".", "urrent folder"),
    ],
)
def test_folders_that_can_not_be(tmp_path, command, out, says):
    (tmp_path / "few.toml").write_text(FAMILY)
    (tmp_path / "file").write_text("mine")
    (tmp_path / "loop").symlink_to("loop")
    if out == "." and "family" in command:
        says = "something else than a family"
    status, said, err = shell(tmp_path, f"furnigen {command} {out}")
    assert (status, said) == (2, "")
    assert says in one_message(err)
    assert sorted(p.name for p in tmp_path.iterdir()) == ["few.toml", "file", "loop"]


@pytest.mark.parametrize("command", [FEW, "family /{}/few.toml --workers 0"])
def test_a_current_folder_that_is_gone(tmp_path, command):
    (tmp_path / "few.toml").write_text(FAMILY)
    command = command.format(str(tmp_path).strip("/"))
    gone = "mkdir gone && cd gone && rmdir ../gone &&"
    status, said, err = shell(tmp_path, f"{gone} furnigen {command}")
    assert (status, said) == (2, "")
    assert "the current folder is gone" in one_message(err)
    assert shell(tmp_path, f"{gone} furnigen {command} --out {tmp_path}/there")[0] == 0
    assert (tmp_path / "there").is_dir()


@pytest.mark.parametrize(
    ("to", "status", "says"),
    [
        (">/dev/full", 2, "standard output can not be written: No space left on device"),
        (CLOSED_OUT, 2, "standard output can not be written: Bad file descriptor"),
        (f"{CLOSED_OUT} {CLOSED_ERR}", 2, ""),
        (CLOSED_ERR, 0, ""),
        ("2>/dev/full", 0, ""),
        ("<&-", 0, ""),
    ],
)
@pytest.mark.parametrize("command", ["recipes", "describe ring_rack", "make --help"])
def test_streams_that_take_nothing(tmp_path, command, to, status, says):
    found, _, err = shell(tmp_path, f"furnigen {command} {to}")
    assert found == status
    if says:
        assert says in one_message(err)
    else:
        assert err == ""


@pytest.mark.parametrize(("more", "to"), [("", ">/dev/full"), ("--json", CLOSED_OUT)])
def test_a_result_that_can_not_be_told_is_there(tmp_path, more, to):
    status, _, err = shell(tmp_path, f"furnigen {FEW} {more} {to}")
    assert status == 2
    assert "out/leaning_shelf holds the new result" in one_message(err)
    assert (tmp_path / "out" / "leaning_shelf" / "report.json").exists()


def test_a_message_for_a_full_error_stream_has_its_status(tmp_path):
    assert shell(tmp_path, "furnigen make nothing 2>/dev/full") == (2, "", "")


@pytest.mark.skipif(os.name != "posix" or os.geteuid() != 0, reason="only root can become someone else")
@pytest.mark.parametrize("mode", [0o000, 0o644, 0o555])
def test_a_parent_that_can_not_be_searched_or_written(tmp_path, mode):
    for parent in (tmp_path, *tmp_path.parents[:3]):
        parent.chmod(parent.stat().st_mode | 0o055)
    inside = tmp_path / "inside"
    (inside / "result").mkdir(parents=True)
    inside.chmod(mode)
    child = os.fork()
    if child == 0:
        told = 0
        try:
            os.setgid(65534)
            os.setuid(65534)
            for work in (check_writable, lambda p: write_folder(p, REPORT)):
                for name in ("result", "new"):
                    try:
                        work(inside / name)
                    except OutputError as error:
                        told += "let you" in str(error) or "ermission denied" in str(error)
        finally:
            os._exit(told)
    _, status = os.waitpid(child, 0)
    inside.chmod(0o755)
    assert os.waitstatus_to_exitcode(status) == 4


def limited(folder: Path, most: int, *words: str) -> tuple[int, str, str]:
    """The command where no file may grow beyond some bytes, as on a disk that is full."""
    done = subprocess.run(
        [sys.executable, "-m", "furnigen", *words],
        cwd=folder,
        capture_output=True, text=True, timeout=300, check=False,
        preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (most, most)),
    )  # fmt: skip
    assert "Traceback" not in done.stderr
    return done.returncode, done.stdout, done.stderr


def everything(folder: Path) -> dict[str, bytes]:
    """All files but what a run keeps for itself: who holds the lock, the order of rows."""
    return {
        str(p.relative_to(folder)): p.read_bytes()
        for p in sorted(folder.rglob("*"))
        if p.is_file() and p.parent.name != ".family"
    }


@pytest.mark.parametrize("most", [pytest.param(100, marks=pytest.mark.slow), 2000])
def test_a_full_disk_keeps_the_earlier_result(tmp_path, most):
    words = FEW.split()
    status, said, err = limited(tmp_path, most, *words)
    assert (status, said) == (2, "")
    assert "File too large" in one_message(err)
    assert list(tmp_path.iterdir()) == []
    assert shell(tmp_path, f"furnigen {FEW}")[0] == 0
    before = everything(tmp_path)
    assert limited(tmp_path, most, *words, "width=900")[0] == 2
    assert everything(tmp_path) == before


@pytest.mark.parametrize("most", [100, 1500, 12_000])
@pytest.mark.slow
def test_a_full_disk_in_a_family(tmp_path, most):
    (tmp_path / "few.toml").write_text(FAMILY)
    words = ["family", "few.toml", "--workers", "0"]
    status, said, err = limited(tmp_path, most, *words)
    assert (status, said) == (2, "")
    assert "File too large" in one_message(err)
    assert shell(tmp_path, f"furnigen {' '.join(words)}")[0] == 0
    whole = everything(tmp_path / "out" / "few")
    # and one that is full when only the tables are to be written anew keeps those that are there
    assert limited(tmp_path, most, *words)[0] == 2
    assert everything(tmp_path / "out" / "few") == whole
    untouched = tmp_path / "untouched"
    untouched.mkdir()
    (untouched / "few.toml").write_text(FAMILY)
    assert shell(untouched, f"furnigen {' '.join(words)}")[0] == 0
    assert everything(untouched / "out" / "few") == whole
