"""Functions compiled by numba, and kept on disk for later runs where some folder can be written.

Numba keeps a function by the text of its own module only, so one that calls a function of a changed module
would go on with the old one. The folder they are kept in is therefore named by the text of all modules that
hold any.
"""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cache
from hashlib import sha256
from pathlib import Path
from typing import Any, TypeVar, cast

from numba import config as numba_config
from numba import njit
from numba.core import cgutils, event
from numba.extending import intrinsic
from numba.np.arrayobj import make_array

F = TypeVar("F", bound=Callable[..., object])

HERE = Path(__file__).parent
config: Any = numba_config
"""Its attributes are made while it is read, so that no checker knows them."""
ROOMS = ("bounds", "nesting", "search")
"""Folders of the modules that hold compiled functions."""
SPACE_NEEDED = 64 << 20
"""Free bytes without which nothing is kept; all functions together take less than a tenth of it."""


def compiled(function: F) -> F:
    """The function compiled when first called; division by zero is not looked for."""
    folder = kept_in()
    if folder is None:
        return cast("F", njit(error_model="numpy")(function))
    before = config.CACHE_DIR
    config.CACHE_DIR = str(folder)
    try:
        return cast("F", njit(cache=True, error_model="numpy")(function))
    except RuntimeError:
        # the folder can no longer be written
        return cast("F", njit(error_model="numpy")(function))
    finally:
        config.CACHE_DIR = before


@cache
def kept_in() -> Path | None:
    """The folder compiled functions are kept in: of the package, else of the user; None where neither can be
    written, so that each process compiles for itself."""
    name = f"compiled-{_text_of_all()}"
    places = [HERE / "__pycache__", _users_folder()]
    if config.CACHE_DIR:
        places.insert(0, Path(config.CACHE_DIR) / "furnigen")
    return next((p / name for p in places if p is not None and _can_keep(p / name)), None)


def _text_of_all() -> str:
    found = sha256()
    for room in ROOMS:
        for path in sorted((HERE / room).glob("*.py")):
            found.update(path.read_bytes())
    return found.hexdigest()[:16]


def _users_folder() -> Path | None:
    try:
        return Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache") / "furnigen"
    except RuntimeError:
        # nobody is logged in whose home it could be
        return None


def _can_keep(folder: Path) -> bool:
    """Whether files can be written to a folder, which is made."""
    try:
        folder.mkdir(parents=True, exist_ok=True)
        tempfile.TemporaryFile(dir=folder).close()
        return shutil.disk_usage(folder).free >= SPACE_NEEDED
    except OSError:
        return False


@intrinsic  # type: ignore[untyped-decorator]
def _borrowed(typing: Any, array: Any) -> Any:

    def body(context: Any, builder: Any, signature: Any, arguments: Any) -> Any:
        found = make_array(signature.args[0])(context, builder, arguments[0])
        found.meminfo = cgutils.get_null_value(found.meminfo.type)
        found.parent = cgutils.get_null_value(found.parent.type)
        return found._getvalue()

    return array(array), body


borrowed = cast("Callable[[Any], Any]", _borrowed)
"""Of an array, the same whose owner is not counted; only for arrays that the caller keeps meanwhile.

Each compiled function counts the owners of the arrays it is given up and down again, which takes longer
than a short function itself.
"""


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
