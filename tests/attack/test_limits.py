"""Random parameter sets of every recipe stay within time and memory.

    LIMIT_SETS=200 pytest -m slow tests/attack/test_limits.py

tries more than usual; the same numbers are always the same sets.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from functools import cache
from statistics import median

import pytest
from forked import rows_of
from limit_run import drawn, text

from furnigen import list_recipes

SETS = int(os.environ.get("LIMIT_SETS", "20"))
MOST_TIME = 8.0
"""Processor time of a set, its process's start included, against that of `import cadquery`."""
MOST_MIB = 1024.0
RECIPES = [r.name for r in list_recipes()]


@cache
def import_seconds() -> float:
    """Processor time of `import cadquery`."""
    spent = []
    for _ in range(3):
        process = subprocess.Popen([sys.executable, "-c", "import cadquery"])
        _, _, usage = os.wait4(process.pid, 0)
        process.returncode = 0
        spent.append(usage.ru_utime + usage.ru_stime)
    return median(spent)


@pytest.mark.slow
@pytest.mark.parametrize("name", RECIPES)
def test_no_set_of_parameters_takes_long_or_much_memory(name: str) -> None:
    begun = time.monotonic()
    most = MOST_TIME * import_seconds()
    rows = list(rows_of("limit_run.py", name, count=SETS))
    assert sorted(r["number"] for r in rows) == list(range(SETS))
    assert not [r for r in rows if "cpu" not in r]
    slowest = max(rows, key=lambda r: r["cpu"])
    largest = max(rows, key=lambda r: r["mib"])
    times = (slowest["cpu"] + slowest["start"]) / most * MOST_TIME
    print(f"\n{name}: {SETS} sets in {time.monotonic() - begun:.0f} s")
    print(f"slowest {times:.2f} x import ({slowest['values']})")
    print(f"largest {largest['mib']:.0f} MiB ({largest['values']})")
    assert not [r for r in rows if r["cpu"] + r["start"] > most or r["mib"] > MOST_MIB]


def test_sets_are_the_same_each_time_and_differ() -> None:
    sets = [text(v) for v in drawn("ring_rack", 40)]
    assert sets == [text(v) for v in drawn("ring_rack", 40)]
    assert len(sets) == len(set(sets)) > 30
