"""Processes ended at each rename of the writer, and anywhere: the old result whole or the new one whole."""

from __future__ import annotations

import random
import signal
import time

import pytest
from writing import (
    FIRST_STEPS,
    STEPS_AT_ONCE,
    STEPS_OF_TWO,
    assert_own,
    finished,
    left_behind,
    own_things,
    started,
    whole,
)

from furnigen.core.errors import OutputError
from furnigen.pipeline.result_folder import settle, write_folder
from furnigen.pipeline.results.swap import exchange


def one_step_here(folder) -> bool:
    a, b = folder / "a", folder / "b"
    a.mkdir()
    b.mkdir()
    able = exchange(a, b)
    a.rmdir()
    b.rmdir()
    return able


def test_the_steps_are_those_that_are_tried(tmp_path):
    folder = tmp_path / "result"
    assert finished(folder, "A")[1].strip() == "|".join(FIRST_STEPS)
    if one_step_here(tmp_path):
        assert finished(folder, "B")[1].strip() == "|".join(STEPS_AT_ONCE)
    assert finished(folder, "C", one_step=False)[1].strip() == "|".join(STEPS_OF_TWO)


@pytest.mark.parametrize("next_one", ["a write", "another command"])
@pytest.mark.parametrize(
    ("one_step", "at"),
    [(True, s) for s in STEPS_AT_ONCE] + [(False, s) for s in STEPS_OF_TWO],
)
def test_a_kill_at_each_step(tmp_path, one_step, at, next_one):
    folder = tmp_path / "result"
    assert finished(folder, "A")[0] == 0
    own = own_things(folder)
    (folder / "cutlist.csv").write_text("A cutlist.csv, changed")
    assert finished(folder, "B", at, one_step=one_step)[0] == -signal.SIGKILL
    if one_step:  # nobody needs to mend anything
        if at != "the clearing away":
            (folder / "cutlist.csv").write_text("A cutlist.csv")
            assert whole(folder) == "A"
            (folder / "cutlist.csv").write_text("A cutlist.csv, changed")
        assert_own(folder, own)
    if next_one == "a write":
        assert finished(folder, "C")[0] == 0
        assert whole(folder) == "C"
    else:
        settle(folder)
        assert (folder / "version").read_text() in "AB"
        if (folder / "version").read_text() == "B":
            assert whole(folder) == "B"
    assert left_behind(folder) == []
    assert_own(folder, own)
    changed = [p for p in folder.iterdir() if p.is_file() and p.read_text() == "A cutlist.csv, changed"]
    assert len(changed) == 1, "what a person changed is there, once"


@pytest.mark.parametrize("at", FIRST_STEPS)
def test_a_kill_of_a_first_write(tmp_path, at):
    folder = tmp_path / "result"
    assert finished(folder, "A", at)[0] == -signal.SIGKILL
    assert finished(folder, "B")[0] == 0
    assert whole(folder) == "B"
    assert left_behind(folder) == []


@pytest.mark.parametrize("how", ["SIGINT", "SIGTERM", "SIGHUP"])
@pytest.mark.parametrize(
    ("one_step", "at"), [(True, s) for s in STEPS_AT_ONCE] + [(False, s) for s in STEPS_OF_TWO]
)
def test_signals_wait_for_the_exchange(tmp_path, how, one_step, at):
    folder = tmp_path / "result"
    assert finished(folder, "A")[0] == 0
    own = own_things(folder)
    status, _, err = finished(folder, "B", at, how, one_step=one_step)
    assert status == -getattr(signal, how)
    if how == "SIGINT":
        assert "holds the new result" in err
    assert whole(folder) == "B"
    assert_own(folder, own)
    if how == "SIGINT":
        assert left_behind(folder) == []
    assert finished(folder, "C")[0] == 0
    assert left_behind(folder) == []


@pytest.mark.parametrize("one_step", [True, False])
def test_kills_at_random_moments(tmp_path, one_step):
    """Long files, so that moments fall in the writing too."""
    chance = random.Random(one_step)
    folder = tmp_path / "result"
    begun = time.monotonic()
    assert finished(folder, "A", size=100_000)[0] == 0
    lasts = time.monotonic() - begun
    own = own_things(folder)
    before = "A"
    for letter in "BCDEFGHIJK":
        run = started(folder, letter, one_step=one_step, size=100_000)
        time.sleep(chance.uniform(0.3, 1.1) * lasts)
        run.kill()
        run.communicate()
        settle(folder)
        found = whole(folder)
        assert found in (before, letter)
        assert_own(folder, own)
        before = found
    assert finished(folder, "Z")[0] == 0
    assert whole(folder) == "Z"
    assert left_behind(folder) == []


def test_two_writers_take_turns(tmp_path):
    folder = tmp_path / "result"
    assert finished(folder, "A")[0] == 0
    own = own_things(folder)
    for _ in range(3):
        runs = [started(folder, letter, size=20_000) for letter in "BCDE"]
        for run in runs:
            _, err = run.communicate(timeout=120)
            assert run.returncode == 0, err
        assert whole(folder) in "BCDE"
        assert_own(folder, own)
        assert left_behind(folder) == []


def test_a_writer_that_stands_still_is_named(tmp_path):
    folder = tmp_path / "result"
    run = started(folder, "A", "the first rename", "SIGSTOP")
    deadline = time.monotonic() + 60
    while not (tmp_path / ".result.furnigen" / "ready").exists():
        assert time.monotonic() < deadline
        time.sleep(0.02)
    with pytest.raises(OutputError, match=rf"in use by another run \(process {run.pid}\)"):
        write_folder(folder, {"report.json": b"{}"}, wait_s=0.1)
    run.send_signal(signal.SIGCONT)
    run.communicate(timeout=60)
    assert run.returncode == 0
    assert whole(folder) == "A"
