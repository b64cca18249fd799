"""Runs of families as a user starts them, measured: rate, memory of every process, cost of one more variant.

python tests/benchmarks/family_runs.py          prints the ratios and the scale curve to 10,000
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import time
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path
from statistics import median

from timing import IMPORT_KERNEL, PYTHON, run

SWEEP = """
recipe = "leaning_shelf"
outputs = []
checks = {checks}
cap = 20000
[vary]
width = {{ from = 600, to = 1000, count = {widths} }}
shelves = [2, 3, 4, 5]
height = {{ from = 1700, to = 2180, count = 25 }}
"""
"""Sizes, mass, parts and, if asked for, sag: {widths} x 100 variants of a leaning shelf of 4 to 7 parts.
The cost of a variant grows with its parts: some 1.7 ms for each on one core."""

CASE = """
recipe = "panel_bookcase"
outputs = ["step", "stl"]
[fixed]
bays = 4
[vary]
width = {{ from = 1500, to = 2100, count = {widths} }}
shelves = [8, 9, 10]
"""
"""Cases of 45 to 53 parts with STEP, STL and all checks: {widths} x 3 variants. As in any family of several
axes, a part that one axis leaves alone is met again."""


@dataclass(frozen=True)
class Ran:
    """One finished run of a family.

    Attributes:
        seconds: wall time from start to end.
        peak_mib: most memory any one of its processes held at a time (resident). The parent is looked at when
            it ends, its workers twice a second.
    """

    seconds: float
    peak_mib: float


def _below(pid: int) -> list[int]:
    try:
        own = [
            int(p) for t in Path(f"/proc/{pid}/task").iterdir() for p in (t / "children").read_text().split()
        ]
    except FileNotFoundError:
        return []
    return [pid, *(p for child in own for p in _below(child))]


def _peak_mib(status: Path) -> float:
    try:
        for line in status.read_text().splitlines():
            if line.startswith("VmHWM:"):
                return int(line.split()[1]) / 1024
    except (FileNotFoundError, ProcessLookupError):
        pass
    return 0.0


TELLS_ITS_PEAK = """
import os, shutil, sys
from furnigen.cli.main import main
status = main()
shutil.copyfile("/proc/self/status", sys.argv[-1] + ".status")
sys.stdout.flush()
os._exit(status)
"""
"""A furnigen command whose last word is a path: beside it, it leaves what the system knew of it."""


def family(text: str, workers: int, expect: tuple[int, ...] = (0, 1)) -> Ran:
    """Run a family afresh in a folder of its own."""
    with tempfile.TemporaryDirectory() as place:
        file = Path(place) / "family.toml"
        file.write_text(text)
        words = ("family", str(file), "--workers", str(workers), "--json", "--out", str(Path(place) / "out"))
        start = time.perf_counter()
        process = subprocess.Popen([PYTHON, "-c", TELLS_ITS_PEAK, *words], stdout=subprocess.PIPE, text=True)
        assert process.stdout is not None
        peak, seen = 0.0, 0.0
        for line in process.stdout:
            if time.perf_counter() - seen > 0.5:
                seen = time.perf_counter()
                peak = max([peak, *(_peak_mib(Path(f"/proc/{p}/status")) for p in _below(process.pid))])
            last = line
        process.stdout.close()
        assert process.wait() in expect
        seconds = time.perf_counter() - start
        assert json.loads(last)["event"] == "summary"
        return Ran(seconds, max(peak, _peak_mib(Path(place) / "out.status")))


def sweep(variants: int, workers: int = 2, *, sag: bool = True) -> Ran:
    """A sweep without solids of a multiple of 100 variants, 200 or more."""
    checks = '["fit", "sag"]' if sag else '["fit"]'
    return family(SWEEP.format(widths=variants // 100, checks=checks), workers)


def more_case_seconds(workers: int, few: int = 2, many: int = 14) -> float:
    """What one more variant of a 50-part case takes, the start not counted (s)."""
    low, high = (family(CASE.format(widths=n), workers).seconds for n in (few, many))
    return (high - low) / (3 * (many - few))


def kernel_seconds() -> float:
    """What `import cadquery` takes (s)."""
    return median(run(IMPORT_KERNEL).seconds for _ in range(3))


def case_against_import(rounds: int = 3) -> float:
    """One more variant of a 50-part case on one core, against `import cadquery`: median, warmed up."""
    more_case_seconds(1)
    return median(more_case_seconds(1) for _ in range(rounds)) / kernel_seconds()


@dataclass(frozen=True)
class Shared:
    """How much more is done on two cores than on one.

    Attributes:
        workers: by two workers of one family.
        apart: by two families of one worker each, which share nothing: what the machine has to give.
    """

    workers: float
    apart: float


def two_against_one(rounds: int = 3, few: int = 2, many: int = 12) -> Shared:
    """One more variant of a 50-part case: one worker against two, and against two families at a time."""
    workers, apart = [], []
    for _ in range(rounds):
        one = more_case_seconds(1, few, many)
        workers.append(one / more_case_seconds(2, few, many))
        with ThreadPoolExecutor(2) as both:
            two = list(both.map(lambda _: more_case_seconds(1, few, many), range(2)))
        apart.append(2 * one / max(two))
    return Shared(median(workers), median(apart))


def main() -> None:
    """Print all of it."""
    print(f"one more 50-part case, one worker / import cadquery   {case_against_import():8.3f}   <= 0.08")
    shared = two_against_one()
    print(f"two workers / one                                     {shared.workers:8.2f}   >= 1.7")
    print(f"two families of one worker at a time / one            {shared.apart:8.2f}")
    plain = sweep(1000, sag=False)
    print(f"1,000 variants without sag                            {1000 / plain.seconds:8.0f} a second")
    print("\nwith sag: variants, seconds, a second, peak MiB of one process")
    for variants in (200, 500, 1000, 3000, 10000):
        ran = sweep(variants)
        print(f"{variants:8}  {ran.seconds:8.1f}  {variants / ran.seconds:9.0f}  {ran.peak_mib:10.0f}")


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parent))
    main()
