"""Whole runs: serial and in worker processes, undisturbed and killed, give one table; nothing is lost."""

from __future__ import annotations

import csv
import io
import json
import shutil
import signal
import time

import pytest
from trial import (
    PLAIN,
    descendants,
    family_files,
    finished,
    gone,
    kill,
    read_variants,
    started,
    summary_of,
    trial_family,
    workers_of,
)

PACE = 0.15
"""Seconds a variant takes in runs that are to be caught in the middle."""


def table(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode())))


@pytest.fixture(scope="module")
def undisturbed(tmp_path_factory):
    """What a serial run that nothing disturbed leaves."""
    folder = tmp_path_factory.mktemp("undisturbed")
    trial_family(folder)
    status, out, err = finished(folder, "family.toml", "--workers", "0", "--json")
    assert (status, err) == (0, "")
    assert summary_of(out)["made"] == 21
    return family_files(folder / "out" / "family")


@pytest.fixture
def folder(tmp_path):
    trial_family(tmp_path)
    return tmp_path


def assert_same(folder, undisturbed) -> None:
    found = family_files(folder / "out" / "family")
    assert found.keys() == undisturbed.keys()
    assert [n for n in found if found[n] != undisturbed[n]] == []


def test_table_has_a_row_for_each_variant_in_order(undisturbed):
    rows = table(undisturbed["family.csv"])
    assert [r["variant"] for r in rows] == [
        f"width={w},shelves={n}" for w in range(600, 1300, 100) for n in (1, 2, 3)
    ]
    assert {r["status"] for r in rows} == {"pass"}
    for r in rows:
        report = json.loads(undisturbed[f"{r['variant']}/report.json"])
        assert float(r["mass_kg"]) == report["mass_kg"]
        # two blocks and a shelf at each level, of 17.6 mm board (18 mm birch as measured): by hand
        assert int(r["placements.count"]) == 3 * int(r["params.shelves"])
        assert float(r["size.width_mm"]) == float(r["parts.shelf.length"]) == float(r["params.width"])
        assert float(r["size.height_mm"]) == pytest.approx(int(r["params.shelves"]) * 117.6)


def test_workers_give_the_same_bytes_as_this_process_alone(folder, undisturbed):
    status, out, err = finished(folder, "family.toml", "--workers", "2", "--json")
    assert (status, err) == (0, "")
    assert_same(folder, undisturbed)
    lines = [json.loads(line) for line in out.splitlines()]
    assert [e["event"] for e in lines] == ["variant"] * 21 + ["summary"]
    assert lines[-2]["finished"] == lines[-2]["of"] == 21
    assert lines[-2]["rate"] > 0
    assert lines[-2]["seconds_left"] == 0


def test_a_second_run_makes_nothing_and_a_lost_folder_is_made_again(folder, undisturbed):
    assert finished(folder, "family.toml", "--workers", "0")[0] == 0
    status, out, _ = finished(folder, "family.toml", "--workers", "0", "--json")
    assert status == 0
    assert (summary_of(out)["before"], summary_of(out)["made"]) == (21, 0)
    shutil.rmtree(folder / "out" / "family" / "width=600,shelves=1")
    (folder / "out" / "family" / "width=700,shelves=2" / "cutlist.csv").unlink()
    _, out, _ = finished(folder, "family.toml", "--workers", "0", "--json")
    assert summary_of(out)["made"] == 2
    assert_same(folder, undisturbed)


def test_a_row_cut_short_by_a_kill_is_made_again(folder, undisturbed):
    assert finished(folder, "family.toml", "--workers", "0")[0] == 0
    rows = folder / "out" / "family" / ".family" / "rows.jsonl"
    rows.write_bytes(rows.read_bytes()[:-40])
    half = folder / "out" / "family" / ".family" / "work" / "width=600,shelves=1.new"
    half.mkdir(parents=True)
    (half / "cutlist.csv").write_text("half")
    _, out, _ = finished(folder, "family.toml", "--workers", "0", "--json")
    assert summary_of(out)["made"] == 1
    assert not (folder / "out" / "family" / ".family" / "work").exists()
    assert_same(folder, undisturbed)


@pytest.mark.parametrize("workers", ["0", "2"])
def test_kill_of_the_parent(folder, undisturbed, workers):
    run = started(folder, "family.toml", "--workers", workers, "--json", pace=PACE)
    read_variants(run, 4)
    below = list(descendants(run.pid))
    run.kill()
    run.communicate()
    assert gone(below), "a worker outlives its killed parent"
    assert not (folder / "out" / "family" / "family.csv").exists()
    status, out, _ = finished(folder, "family.toml", "--workers", workers, "--json")
    assert status == 0
    assert summary_of(out)["before"] >= 4
    assert summary_of(out)["made"] <= 17
    assert_same(folder, undisturbed)


def test_kill_of_a_worker(folder, undisturbed):
    run = started(folder, "family.toml", "--workers", "2", "--json", pace=PACE)
    read_variants(run, 3)
    first = workers_of(run.pid)
    assert len(first) == 2
    kill(first[0])
    read_variants(run, 3)
    for worker in workers_of(run.pid):
        kill(worker)
    out, err = run.communicate(timeout=60)
    assert run.returncode == 0, err
    assert summary_of(out)["statuses"] == {"pass": 21}
    assert_same(folder, undisturbed)


@pytest.mark.parametrize("workers", ["0", "2"])
def test_interrupt(folder, undisturbed, workers):
    run = started(folder, "family.toml", "--workers", workers, "--json", pace=PACE)
    read_variants(run, 4)
    below = list(descendants(run.pid))
    run.send_signal(signal.SIGINT)
    _, err = run.communicate(timeout=30)
    assert run.returncode == 130
    assert "run again to go on" in err
    assert "Traceback" not in err
    assert gone(below)
    _, out, _ = finished(folder, "family.toml", "--workers", workers, "--json")
    assert summary_of(out)["before"] >= 4
    assert_same(folder, undisturbed)


@pytest.mark.slow
def test_a_folder_in_use_is_refused(folder, undisturbed):
    run = started(folder, "family.toml", "--workers", "1", "--json", pace=4 * PACE)
    read_variants(run, 1)
    status, out, err = finished(folder, "family.toml", "--workers", "1")
    assert (status, out) == (2, "")
    assert err.strip() == (
        f"furnigen: out/family is in use by another run (process {run.pid});"
        " wait until it is done, or choose another folder with --out"
    )
    assert len(err.strip().splitlines()) == 1
    run.communicate(timeout=60)
    assert run.returncode == 0
    assert_same(folder, undisturbed)


def test_a_folder_of_another_family_is_refused(folder, undisturbed):
    assert finished(folder, "family.toml", "--workers", "0")[0] == 0
    trial_family(folder, PLAIN.replace("[1, 2, 3]", "[1, 2]"), "fewer.toml")
    status, out, err = finished(folder, "fewer.toml", "--workers", "0", "--out", "out/family")
    assert (status, out) == (2, "")
    assert "holds another family: vary shelves differs" in err
    recipe = folder / "trial.py"
    recipe.write_text(recipe.read_text() + "\n# changed\n")
    status, _, err = finished(folder, "family.toml", "--workers", "0")
    assert status == 2
    assert "the recipe's file differs" in err
    assert_same(folder, undisturbed)


def test_a_folder_of_another_version_is_refused(folder):
    assert finished(folder, "family.toml", "--workers", "0")[0] == 0
    manifest = folder / "out" / "family" / "family.json"
    manifest.write_text(manifest.read_text().replace('"furnigen": "\\"', '"furnigen": "\\"0.0.9-'))
    status, _, err = finished(folder, "family.toml", "--workers", "0")
    assert status == 2
    assert "holds another family: furnigen differs" in err


@pytest.mark.parametrize("stranger", ["notes.txt", "report.json"])
def test_a_folder_of_something_else_is_refused(folder, stranger):
    place = folder / "out" / "family"
    place.mkdir(parents=True)
    (place / stranger).write_text("{}")
    status, out, err = finished(folder, "family.toml", "--workers", "0")
    assert (status, out) == (2, "")
    assert "something else than a family" in err
    assert [p.name for p in place.iterdir()] == [stranger]


def test_an_unwritable_folder_is_refused(folder):
    (folder / "out").write_text("a file")
    status, _, err = finished(folder, "family.toml", "--workers", "0")
    assert status == 2
    assert "Traceback" not in err
    assert len(err.strip().splitlines()) == 1


TRICKS = """
recipe = "trial.py"
outputs = ["cutlist"]
[vary]
trick = ["none", "refuse", "raise", "die", "die once", "nap", "eat", "look"]
"""


def statuses(folder) -> dict[str, tuple[str, str]]:
    rows = table((folder / "out" / "family" / "family.csv").read_bytes())
    return {r["params.trick"]: (r["status"], r["reason"]) for r in rows}


@pytest.mark.slow
def test_what_goes_wrong_with_one_does_not_stop_the_others(tmp_path):
    trial_family(tmp_path, TRICKS)
    # on a busy machine it takes seconds to eat so much
    limits = ("--time-limit", "12", "--memory-limit", "500")
    status, out, err = finished(tmp_path, "family.toml", "--workers", "2", *limits, "--json")
    assert (status, err) == (1, "")
    found = statuses(tmp_path)
    assert found["none"] == ("pass", "")
    # light work loads neither the kernel, nor the mesh library, nor any array library
    assert found["look"] == ("pass", "")
    assert found["die once"] == ("pass", "")
    assert found["refuse"][0] == "refused"
    assert "shelves = 2: are refused" in found["refuse"][1]
    assert found["raise"][0] == "refused"
    assert "KeyError" in found["raise"][1]
    assert found["die"] == ("crashed", "its worker process was ended by SIGKILL, 3 times over")
    assert found["nap"] == ("stopped", "took longer than 12 s, the limit")
    assert found["eat"] == ("stopped", "took more memory than 500 MB, the limit")
    assert summary_of(out)["statuses"] == {"crashed": 1, "pass": 3, "refused": 2, "stopped": 2}
    # what was stopped is finished, at these limits; what crashed is tried again
    status, out, _ = finished(tmp_path, "family.toml", "--workers", "1", *limits, "--json")
    assert (status, summary_of(out)["made"]) == (1, 1)
    # at other limits it is tried again: now it has the memory
    wider = ("--time-limit", "15", "--memory-limit", "3000")
    _, out, _ = finished(tmp_path, "family.toml", "--workers", "2", *wider, "--json")
    assert summary_of(out)["made"] == 3
    assert statuses(tmp_path)["eat"] == ("pass", "")
    assert statuses(tmp_path)["nap"] == ("stopped", "took longer than 15 s, the limit")


TOGETHER = """
recipe = "trial.py"
outputs = []
checks = ["fit", "sag"]
[vary]
width = [500, 600, 700]
trick = ["none", "refuse", "die", "overlap", "raise"]
"""


def test_the_one_that_ends_its_worker_is_found_among_those_made_together(tmp_path):
    trial_family(tmp_path, TOGETHER)
    status, _, err = finished(tmp_path, "family.toml", "--workers", "1", "--json")
    assert (status, err) == (1, "")
    rows = table((tmp_path / "out" / "family" / "family.csv").read_bytes())
    assert len(rows) == 15
    for r in rows:
        if r["params.trick"] == "die":
            assert r["status"] == "crashed"
            assert r["reason"] == "its worker process was ended by SIGKILL, 3 times over"
        else:
            assert r["status"] == {"none": "pass", "overlap": "fail"}.get(r["params.trick"], "refused"), r


def test_a_failed_check_is_a_row_with_its_reason(tmp_path):
    text = PLAIN + '\n[brief]\nmax_width = "1 m"\n'
    trial_family(tmp_path, text)
    status, _, _ = finished(tmp_path, "family.toml", "--workers", "0")
    assert status == 1
    rows = table((tmp_path / "out" / "family" / "family.csv").read_bytes())
    for r in rows:
        over = float(r["params.width"]) - 1000
        assert r["status"] == ("fail" if over > 0 else "pass")
        assert float(r["checks.max-width.value"]) == float(r["params.width"])
        assert float(r["checks.max-width.limit"]) == 1000
        if over > 0:
            assert f"lower the overall width by {over:.1f} mm" in r["reason"]


def test_what_can_be_refused_without_trying_is_a_row_too(tmp_path):
    trial_family(tmp_path, 'recipe = "trial.py"\n[vary]\nwidth = [600, 1200]\n[let]\ndepth = "width - 200"')
    status, _, _ = finished(tmp_path, "family.toml", "--workers", "1")
    assert status == 1
    rows = table((tmp_path / "out" / "family" / "family.csv").read_bytes())
    assert [r["status"] for r in rows] == ["pass", "refused"]
    assert "depth" in rows[1]["reason"]
    assert rows[1]["params.width"] == "1200"


def test_a_time_limit_does_not_count_the_start_of_workers(folder, undisturbed):
    # a variant takes some 0.02 s; the limit leaves room for a busy machine, and a start lasts longer still
    start = time.monotonic()
    status, _, _ = finished(folder, "family.toml", "--workers", "2", "--time-limit", "2", TRIAL_START="2.5")
    assert status == 0
    assert time.monotonic() - start > 2.5
    assert_same(folder, undisturbed)


def test_a_thread_of_a_cluster_keeps_its_worker(monkeypatch):
    """One pool a thread for one family: it is not started anew, and left running, for each batch."""
    from threading import local

    from furnigen.family import cluster

    started, closed = [], []

    class Pool:
        def __init__(self, *of: object) -> None:
            started.append(of[0])

        def run(self, tasks: object) -> list[object]:
            return []

        def close(self) -> None:
            closed.append(self)

    monkeypatch.setattr(cluster, "WorkerPool", Pool)
    monkeypatch.setattr(cluster, "_own", local())
    for setup in ("one", "one", "another"):
        cluster.make_there(setup, "limits", [])
    assert started == ["one", "another"]
    assert len(closed) == 1
