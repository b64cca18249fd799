"""Starting Python processes of our own, so that they import nothing from the current folder.

Python looks in the current folder first for what it imports when it is started with `-m` or `-c`. A
`pickle.py` that lies there would be run, though nobody asked for it: results are made wherever a person
stands, in folders that came from others too.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

HOME = str(Path(__file__).resolve().parents[2])
"""The folder that holds this package."""


def module_command(module: str, *words: str) -> list[str]:
    """The command that runs a module of this package in a process of its own; it wants `environment()`."""
    return [sys.executable, "-P", "-m", module, *words]


def environment(**more: str) -> dict[str, str]:
    """This process's environment for a process of our own, with `more` set in it."""
    return {**os.environ, **_places(), **more}


@contextmanager
def safe_starts() -> Iterator[None]:
    """For processes that the standard library starts with `-c`, out of our hands: what they start with."""
    places = _places()
    before = {name: os.environ.get(name) for name in places}
    os.environ.update(places)
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value


def leave_current_folder() -> None:
    """Import nothing more from the current folder, which `python -m` put first; this package stays found."""
    with suppress(OSError):  # it may be gone
        here = str(Path.cwd())
        if not sys.flags.safe_path and sys.path[:1] in ([""], [here]) and here != HOME:
            del sys.path[0]


def _places() -> dict[str, str]:
    # an empty place means the current folder
    given = [place for place in os.environ.get("PYTHONPATH", "").split(os.pathsep) if place]
    return {"PYTHONPATH": os.pathsep.join([HOME, *given]), "PYTHONSAFEPATH": "1"}
