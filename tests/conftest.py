"""How all tests run: compiled modules are kept, and slow tests get one process more than there are cores."""

import gc
import os
import sys
from collections.abc import Generator

import pytest
from hypothesis import HealthCheck, settings

# How long an example takes on the clock says more of what else the machine does than of us; in CI
# Hypothesis's own profile leaves both out too.
settings.register_profile(
    "any machine", parent=settings(), deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
settings.load_profile("any machine")

# Tests start hundreds of processes of furnigen; where Python may not keep what it compiles, each of them
# compiles every module anew, and so does pytest with every file of tests.
os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
sys.dont_write_bytecode = False


@pytest.hookimpl(wrapper=True, tryfirst=True)
def pytest_collection() -> Generator[None, object, object]:
    """What is loaded and collected stays to the end: the garbage collector need not look at it again."""
    gc.disable()
    try:
        return (yield)
    finally:
        gc.freeze()
        gc.enable()


@pytest.hookimpl(tryfirst=True)
def pytest_xdist_auto_num_workers(config: pytest.Config) -> int | None:
    """One process more than cores for the slow tests: a third of their time they wait for other processes."""
    if config.option.markexpr != "slow" or "PYTEST_XDIST_AUTO_NUM_WORKERS" in os.environ:
        return None
    from furnigen.family.pool import all_cores

    return all_cores() + 1
