"""How all tests run: what Python compiles is kept, and slow tests get one process more than there are cores."""

import os
import sys

import pytest

# Tests start hundreds of processes of furnigen; where Python may not keep what it compiles, each of them
# compiles every module anew, and so does pytest with every file of tests.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False


@pytest.hookimpl(tryfirst=True)
def pytest_xdist_auto_num_workers(config: pytest.Config) -> int | None:
    """One process more than cores for the slow tests: a third of their time they wait for other processes."""
    if config.option.markexpr != "slow" or "PYTEST_XDIST_AUTO_NUM_WORKERS" in os.environ:
        return None
    return len(os.sched_getaffinity(0)) + 1
