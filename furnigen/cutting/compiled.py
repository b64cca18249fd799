"""Functions compiled by numba, kept beside their module, or in the user's cache where that cannot be written.

What is kept is made anew when its own module changes, not when one it calls does: after a change to one
compiled module touch those that import it.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import TypeVar, cast

from numba import njit

F = TypeVar("F", bound=Callable[..., object])


def compiled(function: F) -> F:
    """The function compiled when first called; kept for later runs where there is a place to keep it."""
    try:
        return cast("F", njit(cache=True)(function))
    except RuntimeError:
        # no folder can be written: compiled anew in each process
        return cast("F", njit(function))
