"""Options that the kernel keeps for the whole process, set only while we read or write."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager

from OCP.Interface import Interface_Static
from OCP.STEPControl import STEPControl_Controller


def _apply(options: Mapping[str, str | int]) -> None:
    for name, value in options.items():
        if isinstance(value, str):
            Interface_Static.SetCVal_s(name, value)
        else:
            Interface_Static.SetIVal_s(name, value)


@contextmanager
def kernel_settings(options: Mapping[str, str | int]) -> Iterator[None]:
    """Hold the kernel's `options` within a with block, then put back what was there."""
    STEPControl_Controller.Init_s()  # without it the options do not exist yet
    before: dict[str, str | int] = {
        name: Interface_Static.CVal_s(name) if isinstance(value, str) else Interface_Static.IVal_s(name)
        for name, value in options.items()
    }
    try:
        _apply(options)
        yield
    finally:
        _apply(before)
