"""Families on a real Dask scheduler and two workers of it, on loopback: same table, deaths and all."""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest
from trial import family_files, finished, gone, kill, read_variants, started, summary_of, trial_family

pytestmark = pytest.mark.slow

DASK = [sys.executable, "-m"]
OTHER_VERSION = "import furnigen\nfurnigen.__version__ = '0.0.9'\n"


class Cluster:
    """A scheduler and its workers, as processes of their own."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self._file = folder / "scheduler.json"
        self._all: list[subprocess.Popen[bytes]] = []
        self._start("dask_scheduler", "--host", "127.0.0.1", "--port", "0", "--no-dashboard")
        self.address = self._wait_for_address()

    def _start(self, what: str, *words: str) -> subprocess.Popen[bytes]:
        with (self.folder / f"{what}.{len(self._all)}.log").open("wb") as log:
            # the workers stand in a folder without recipes: these must travel to them
            process = subprocess.Popen(
                [*DASK, f"distributed.cli.{what}", "--scheduler-file", str(self._file), *words],
                cwd=self.folder, stdout=log, stderr=log, env={**os.environ, "TRIAL_PACE": "0.1"},
            )  # fmt: skip
        self._all.append(process)
        return process

    def _wait_for_address(self) -> str:
        deadline = time.monotonic() + 60
        while time.monotonic() < deadline:
            if self._file.exists() and self._file.stat().st_size:
                return str(json.loads(self._file.read_text())["address"])
            time.sleep(0.1)
        raise AssertionError("the scheduler does not start")

    def worker(self, *words: str) -> subprocess.Popen[bytes]:
        """One worker of one thread; no nanny, so kill -9 of it is the end of it."""
        place = ("--local-directory", str(self.folder), "--no-dashboard", "--nthreads", "1", "--no-nanny")
        return self._start("dask_worker", *place, *words)

    def close(self) -> None:
        """End them all."""
        for process in reversed(self._all):
            process.kill()
            process.wait()


@pytest.fixture
def cluster(tmp_path):
    place = tmp_path / "cluster"
    place.mkdir()
    it = Cluster(place)
    yield it
    it.close()


@pytest.fixture
def home(tmp_path):
    place = tmp_path / "home"
    place.mkdir()
    trial_family(place)
    return place


@pytest.fixture(scope="module")
def undisturbed(tmp_path_factory):
    folder = tmp_path_factory.mktemp("undisturbed")
    trial_family(folder)
    assert finished(folder, "family.toml", "--workers", "0")[0] == 0
    return family_files(folder / "out" / "family")


SMALL_BATCHES = """
recipe = "trial.py"
outputs = ["step"]
[vary]
width = { from = 600, to = 1200, step = 100 }
shelves = [1, 2, 3]
"""
"""Solid, so it travels one by one, and a worker can be caught in the middle."""


def test_two_workers_give_the_same_table(cluster, home, undisturbed):
    cluster.worker()
    cluster.worker()
    status, out, err = finished(home, "family.toml", "--cluster", cluster.address, "--json")
    assert (status, err) == (0, "")
    assert summary_of(out)["made"] == 21
    assert family_files(home / "out" / "family") == undisturbed


def test_kill_of_a_worker_and_of_the_parent(cluster, home):
    trial_family(home, SMALL_BATCHES)
    # whether a shelf sags too far is not the question here: both runs must say the same
    alone, _, _ = finished(home, "family.toml", "--workers", "1", "--out", "alone")
    workers = [cluster.worker(), cluster.worker()]
    run = started(home, "family.toml", "--cluster", cluster.address, "--json")
    read_variants(run, 3)
    children = [int(p) for w in workers for p in _children(w.pid)]
    assert len(children) == 2
    kill(workers[0].pid)
    read_variants(run, 3)
    run.kill()
    run.communicate()
    cluster.worker()
    status, out, err = finished(home, "family.toml", "--cluster", cluster.address, "--json")
    assert (status, err) == (alone, "")
    assert summary_of(out)["before"] >= 6
    assert family_files(home / "out" / "family") == family_files(home / "alone")
    cluster.close()
    assert gone(children), "a worker's own process outlives it"


def _children(pid: int) -> list[str]:
    return Path(f"/proc/{pid}/task/{pid}/children").read_text().split() + [
        p
        for task in Path(f"/proc/{pid}/task").iterdir()
        if task.name != str(pid)
        for p in (task / "children").read_text().split()
    ]


def test_limits_hold_on_a_cluster(cluster, home):
    trial_family(home, 'recipe = "trial.py"\n[vary]\ntrick = ["none", "nap", "die", "refuse"]')
    cluster.worker()
    status, out, _ = finished(
        home, "family.toml", "--cluster", cluster.address, "--time-limit", "2", "--json"
    )
    assert status == 1
    assert summary_of(out)["statuses"] == {"crashed": 1, "pass": 1, "refused": 1, "stopped": 1}


def test_a_worker_with_another_furnigen_is_refused(cluster, home):
    preload = cluster.folder / "older.py"
    preload.write_text(OTHER_VERSION)
    cluster.worker()
    cluster.worker("--preload", str(preload))
    _wait_for_workers(cluster, 2)
    status, out, err = finished(home, "family.toml", "--cluster", cluster.address)
    assert (status, out) == (2, "")
    assert "has furnigen 0.0.9, here is furnigen" in err
    assert "Traceback" not in err
    assert not (home / "out").exists() or not list((home / "out").iterdir())


def _wait_for_workers(cluster: Cluster, count: int) -> None:
    script = (
        "import sys; from distributed import Client; c = Client(sys.argv[1]);"
        "c.wait_for_workers(int(sys.argv[2]), timeout=60)"
    )
    subprocess.run(
        [sys.executable, "-c", script, cluster.address, str(count)], check=True, capture_output=True
    )


def test_a_cluster_without_workers_is_refused(cluster, home):
    status, out, err = finished(home, "family.toml", "--cluster", cluster.address)
    assert (status, out) == (2, "")
    assert "has no workers" in err
    assert f"dask worker {cluster.address}" in err


@pytest.mark.parametrize(
    ("address", "says"),
    [
        ("tcp://127.0.0.1:9", "no scheduler answers"),
        ("carrier://pigeon", "unknown address scheme"),
        ("x", "port"),
    ],
)
def test_an_address_nobody_answers_is_refused(home, address, says):
    status, out, err = finished(home, "family.toml", "--cluster", address)
    assert (status, out) == (2, "")
    assert "can not be reached" in err
    assert says in err
    assert len(err.strip().splitlines()) == 1
    assert not (home / "out" / "family").exists()


def test_a_scheduler_that_goes_away_loses_nothing(cluster, home, undisturbed):
    trial_family(home, SMALL_BATCHES)
    cluster.worker()
    run = started(home, "family.toml", "--cluster", cluster.address, "--json")
    read_variants(run, 3)
    cluster.close()
    _, err = run.communicate(timeout=90)
    assert run.returncode == 2
    assert "what is finished is kept" in err
    assert "Traceback" not in err
    _, out, _ = finished(home, "family.toml", "--workers", "1", "--json")
    assert summary_of(out)["before"] >= 3
    statuses = summary_of(out)["statuses"]
    assert sum(statuses.values()) == 21
    assert set(statuses) <= {"pass", "warn", "fail"}
