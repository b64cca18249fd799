"""Start the CAD kernel once, and say in plain words what the machine lacks when it does not start."""

from __future__ import annotations

import re
from importlib import import_module
from typing import Any

from furnigen.core.errors import GeometryError

_DEBIAN = {"libGL.so.1": "libgl1", "libX11.so.6": "libx11-6"}
"""Libraries the wheels of CadQuery's kernel load from the system, and the Debian packages that hold
them (the wheels' own needs, read with ldd; package names as on Debian 12)."""
_LIBRARY = re.compile(r"(\S+\.so[.\d]*): cannot open shared object file")


def _missing(error: ImportError) -> GeometryError:
    """The message for a machine that can not import the kernel."""
    library = _LIBRARY.search(str(error))
    if library:
        names = " ".join(_DEBIAN.values())
        return GeometryError(
            f"the CAD kernel cannot start: the system library {library[1]} is missing; on Debian and Ubuntu"
            f" install the packages {names} (apt install {names})"
        )
    if isinstance(error, ModuleNotFoundError) and error.name in ("cadquery", "OCP"):
        return GeometryError(
            f"the CAD kernel cannot start: the Python module {error.name} is missing; install the package"
            f" cadquery (pip install cadquery)"
        )
    return GeometryError(f"the CAD kernel cannot start: {error}")


def _import(name: str) -> Any:
    try:
        return import_module(name)
    except ImportError as error:
        raise _missing(error) from error


def load_kernel() -> None:
    """Import the kernel's binding and stop it from printing on stdout.

    Raises: GeometryError when it, or a library of the system it needs, is missing.
    """
    _import("OCP")
    message = _import("OCP.Message")
    # its STEP writer prints statistics, which would spoil machine-readable output
    message.Message.DefaultMessenger_s().ChangePrinters().Clear()


def load() -> Any:
    """The module cadquery, imported on first use.

    Raises: GeometryError when it, or a library of the system it needs, is missing.
    """
    return _import("cadquery")


def one_thread() -> None:
    """Keep the kernel to one thread in this process: for workers, of which there is one a core.

    Booleans in parallel threads within several processes at a time have crashed and hung.
    """
    _import("OCP.OSD").OSD_ThreadPool.DefaultPool_s().Init(1)
