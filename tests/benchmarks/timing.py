"""Whole-process measurements: wall time and peak memory of a command, and paired ratios of two.

Times on a shared machine drift, so two commands are always run in turn (A B A B ...) and compared
pair by pair; the median ratio is the figure.
"""

from __future__ import annotations

import json
import subprocess
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from statistics import median

PYTHON = sys.executable
MEASURED_RUN = str(Path(__file__).with_name("measured_run.py"))
IMPORT_KERNEL = (PYTHON, "-c", "import cadquery")
"""The yardstick of the speed targets: what any CadQuery script pays before its first line."""


@dataclass(frozen=True)
class Run:
    """One finished process: wall time and processor time (s), most memory (KiB)."""

    seconds: float
    cpu_seconds: float
    peak_kib: int


def run(command: Sequence[str], expect: int = 0) -> Run:
    """Run a command to its end; it must exit with `expect`."""
    told = subprocess.run((PYTHON, MEASURED_RUN, *command), capture_output=True, check=True, text=True).stdout
    found = json.loads(told)
    assert found["exit"] == expect, f"{command}: exit {found['exit']}: {found['complaint']}"
    return Run(found["seconds"], found["cpu_seconds"], found["peak_kib"])


def furnigen(*words: str) -> tuple[str, ...]:
    """A furnigen command of this environment, run as its installed script runs it."""
    return (PYTHON, "-c", "from furnigen.cli.main import run; run()", *words)


def paired(a: Sequence[str], b: Sequence[str], pairs: int = 5, expect: int = 0) -> tuple[float, float]:
    """Median over pairs of A / B: wall time, and peak memory. One pair of each warms up first.

    Args:
        expect: exit status of A.
    """
    run(a, expect), run(b)
    times, peaks = [], []
    for _ in range(pairs):
        x, y = run(a, expect), run(b)
        times.append(x.seconds / y.seconds)
        peaks.append(x.peak_kib / y.peak_kib)
    return median(times), median(peaks)
