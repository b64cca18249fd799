"""Compiled functions: the user is told when something is compiled, and only then."""

from __future__ import annotations

import numba

from furnigen.cutting.compiled import on_compiling


def test_compiling_is_told_once_and_not_when_it_is_done():
    told: list[str] = []

    def twice(x):
        return 2 * x

    fresh = numba.njit(twice)
    with on_compiling(lambda: told.append("compiling")):
        assert fresh(2) == 4
        assert fresh(2.5) == 5.0
    assert told == ["compiling"]
    with on_compiling(lambda: told.append("again")):
        assert fresh(3) == 6
    assert told == ["compiling"]
