"""Functions compiled by numba, kept beside their module, or in the user's cache where that cannot be written.

What is kept is made anew when its own module changes, not when one it calls does: after a change to one
compiled module touch those that import it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Any, TypeVar, cast

from numba import njit
from numba.core import event

F = TypeVar("F", bound=Callable[..., object])


def compiled(function: F) -> F:
    """The function compiled when first called; kept for later runs where there is a place to keep it."""
    try:
        return cast("F", njit(cache=True)(function))
    except RuntimeError:
        # no folder can be written: compiled anew in each process
        return cast("F", njit(function))


class _OnCompile(event.Listener):
    """Calls a function when numba begins to compile, the first time."""

    def __init__(self, call: Callable[[], None]) -> None:
        self._call, self._called = call, False

    def on_start(self, event: Any) -> None:
        if not self._called:
            self._called = True
            self._call()

    def on_end(self, event: Any) -> None:
        pass


@contextmanager
def on_compiling(call: Callable[[], None]) -> Iterator[None]:
    """Calls once if something has to be compiled meanwhile: that takes some seconds the user should know of.

    What is read from the kept files does not count.
    """
    with event.install_listener("numba:compile", _OnCompile(call)):
        yield
