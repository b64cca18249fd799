"""One thread for small matrices.

Our matrices have some hundred rows. OpenBLAS shares out even those among all cores, and threads that wait
for each other on a busy machine cost far more than they save: 200 equations took 26 times as long with two
threads (measured). The command line and family workers own their process and set the environment variable
before numpy is loaded. Called from somebody's program, furnigen sets the limit for the time it works and
puts back what was there.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache, wraps
from threading import Lock
from typing import Any, ParamSpec, TypeVar

VARIABLE = "OPENBLAS_NUM_THREADS"

P = ParamSpec("P")
T = TypeVar("T")

_lock = Lock()
_depth = 0
_limit: Any = None


@cache
def _controller() -> Any:
    """Looks the loaded libraries through once: 18 ms."""
    import numpy  # noqa: F401 - what is to be limited must be loaded
    from threadpoolctl import ThreadpoolController

    return ThreadpoolController()


@contextmanager
def one_blas_thread() -> Iterator[None]:
    """Linear algebra runs in one thread within the block; the setting of the process comes back after it.

    Blocks may overlap in several threads of the program: the last to end puts the setting back.
    """
    global _depth, _limit  # noqa: PLW0603 - the setting belongs to the process
    if os.environ.get(VARIABLE) == "1":
        yield
        return
    with _lock:
        if _depth == 0:
            _limit = _controller().limit(limits=1, user_api="blas")
        _depth += 1
    try:
        yield
    finally:
        with _lock:
            _depth -= 1
            if _depth == 0:
                _limit.restore_original_limits()


def in_one_thread(work: Callable[P, T]) -> Callable[P, T]:
    """A decorator: the function runs within `one_blas_thread`."""

    @wraps(work)
    def limited(*args: P.args, **named: P.kwargs) -> T:
        with one_blas_thread():
            return work(*args, **named)

    return limited
