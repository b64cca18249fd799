"""Families: sweeps without solids, solid cases, two workers against one; as ratios to `import cadquery`.

python tests/benchmarks/family_runs.py prints them all, with the scale curve to 10,000 variants.
"""

import os

import family_runs
import pytest

pytestmark = pytest.mark.benchmark

CORES = len(os.sched_getaffinity(0))
SWEEP_AT_MOST = 0.0042
"""Two workers, one variant. The goal is 0.0033, 150 a second where `import cadquery` takes 2 s; measured
0.0033 to 0.0038, since the shelf has a rail, dowels and wall screws."""
CASE_AT_MOST = 0.11
"""One more case with solids. The goal is 0.08, which was met before every joint and load case was checked;
now it takes 0.085 to 0.095."""

OF_WHAT_THE_MACHINE_GIVES = 0.85
"""Two workers do 1.7 times the work of one where two processes that share nothing do twice as much. On a busy
machine, or on two threads of one core, those do less than that, and so may the workers."""


def test_a_sweep_of_ten_thousand_is_quick_with_flat_memory() -> None:
    # what workers keep of variants before is full after some 2,000
    small, large = family_runs.sweep(3000), family_runs.sweep(10000)
    ratio = large.seconds / 10000 / family_runs.kernel_seconds()
    print(f"10,000 variants: {10000 / large.seconds:.0f} a second, {ratio:.4f} of import cadquery each")
    print(f"peak {large.peak_mib:.0f} MiB, {small.peak_mib:.0f} for 3,000")
    assert ratio <= SWEEP_AT_MOST
    assert large.peak_mib <= 1.15 * small.peak_mib


def test_one_more_case_of_fifty_parts_costs_little() -> None:
    ratio = family_runs.case_against_import()
    print(f"one more 50-part case against import cadquery: {ratio:.3f}")
    assert ratio <= CASE_AT_MOST


@pytest.mark.skipif(CORES < 2, reason="needs two cores")
def test_two_workers_do_the_work_of_two() -> None:
    shared = family_runs.two_against_one()
    print(f"two workers against one: {shared.workers:.2f}; two families at a time: {shared.apart:.2f}")
    assert shared.workers >= min(1.7, OF_WHAT_THE_MACHINE_GIVES * shared.apart)
