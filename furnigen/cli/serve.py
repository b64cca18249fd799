"""furnigen serve: a recipe on a page of this machine's browser, made anew at every change."""

from __future__ import annotations

import argparse
import json
import signal
import sys
import threading
import time
from pathlib import Path
from types import FrameType
from typing import TYPE_CHECKING, Any

from furnigen.cli.make import USUAL_OUT
from furnigen.cli.shared_options import (
    add_hardware,
    add_limits,
    add_list_style,
    add_recipe,
    add_shop,
    add_strength,
    add_tolerance,
    asked_of,
    list_style,
    name_recipe,
    shop_of,
    tolerance,
)
from furnigen.core.errors import InputError
from furnigen.core.quantities import as_typed

if TYPE_CHECKING:
    from furnigen.live.setting import Setting

WORDS = {
    "units": "--units", "limit": "--limit", "load": "--load", "sag_limit": "--sag-limit",
    "climate": "--climate", "wall_material": "--wall-material", "floor_friction": "--floor-friction",
    "tip_test": "--tip-test", "load_case": "--load-case", "decimal": "--decimal", "separator": "--separator",
    "stock": "--stock",
}  # fmt: skip
"""Options that go into the command line that is shown."""
LOOK_S = 0.1
"""How often it is seen to whether a signal came: a handler may take no lock, so it wakes nobody."""


def add_arguments(command: argparse.ArgumentParser) -> None:
    """RECIPE or FILE.toml, NAME=VALUE, --port and the options of make."""
    add_recipe(command)
    command.add_argument(
        "--port", metavar="NUMBER", help="port of 127.0.0.1 (8730); where it is taken, the next that is free"
    )
    command.add_argument("--open", action="store_true", help="open the page in the browser")
    command.add_argument("--out", metavar="DIR", help="folder for the files that are made (out/RECIPE)")
    command.add_argument("--versions", metavar="DIR", help="folder for named versions (out/RECIPE-versions)")
    add_shop(command, ": for layouts and costs")
    add_limits(command)
    add_list_style(command)
    add_strength(command)
    add_hardware(command)
    add_tolerance(command)


def run(given: argparse.Namespace) -> int:
    """Serve until Ctrl-C, or the terminal is closed."""
    from furnigen.live.server import PORT, listening
    from furnigen.live.session import Session

    asked_port = PORT if given.port is None else _port(given.port)
    setting = _setting(given)
    server = listening(asked_port)
    session = None
    try:
        with _Signals() as signals:
            server.session = session = Session(setting)
            threading.Thread(target=server.serve_forever, args=(0.1,), daemon=True).start()
            if asked_port and server.port != asked_port:
                print(f"furnigen: port {asked_port} is taken; this is port {server.port}", file=sys.stderr)
            if given.json:
                print(json.dumps({"address": server.address, "port": server.port}), flush=True)
            else:
                where = f"{server.address} for this machine alone"
                print(f"{setting.recipe_name} is at {where}; Ctrl-C ends it", flush=True)
            wrong = None
            while wrong is None and not signals.number:
                time.sleep(LOOK_S)
                wrong = session.begun()
            if wrong:
                print(f"furnigen: {wrong}; the page says so, and follows each save", file=sys.stderr)
            if given.open:
                import webbrowser

                webbrowser.open(server.address)
            while not signals.number:
                time.sleep(LOOK_S)
        if signals.number == signal.SIGINT:
            print("furnigen: ended", file=sys.stderr)
        return 128 + signals.number
    finally:
        if session is not None:
            session.close()
            server.shutdown()
        server.server_close()


class _Signals:
    """Takes note of what ends the server, and puts back what was before.

    Attributes:
        number: of the signal that came; 0 for none yet.
    """

    def __init__(self) -> None:
        self._before: dict[int, Any] = {}
        self.number = 0

    def __enter__(self) -> _Signals:
        for name in ("SIGINT", "SIGTERM", "SIGHUP"):
            number = getattr(signal, name, None)
            # what somebody wants ignored, as nohup does, stays so
            if number is not None and signal.getsignal(number) is not signal.SIG_IGN:
                self._before[number] = signal.signal(number, self._hear)
        return self

    def __exit__(self, *_: object) -> None:
        for number, before in self._before.items():
            signal.signal(number, before)

    def _hear(self, number: int, frame: FrameType | None) -> None:
        self.number = number


def _port(text: str) -> int:
    number = int(text) if text.isascii() and text.isdigit() and len(text) <= 5 else -1
    if number != 0 and not 1024 <= number <= 65535:
        raise InputError("--port", as_typed(text), "must be a whole number from 1024 to 65535, or 0 for any")
    return number


def _setting(given: argparse.Namespace) -> Setting:
    """What the command line says, with all that can be wrong with it found out before anything starts."""
    from furnigen.live.setting import FULL_SET, Setting
    from furnigen.pipeline.options import MakeOptions, planned_files
    from furnigen.pipeline.result_folder import check_writable, place_of
    from furnigen.recipes.discovery import recipe_file
    from furnigen.strength.model.demands import read_demands, read_loads

    name_recipe(given)
    path = recipe_file(given.recipe).resolve()
    asked = asked_of(given)
    asked.file()
    read_demands(asked.strength)
    read_loads(asked.loads)
    options = MakeOptions(
        (), tolerance(given), list_style=list_style(given), with_hardware=given.with_hardware
    )
    shop_of(given)
    folder = given.out or str(Path(USUAL_OUT) / path.stem)
    check_writable(Path(folder), planned_files(FULL_SET))
    versions = Path(given.versions or f"{folder}-versions")
    place_of(versions)
    return Setting(asked, path, path.stem, folder, versions, options, option_words(given), given.stock)


def option_words(given: argparse.Namespace) -> tuple[str, ...]:
    """The options of make that were typed, as words."""
    words: list[str] = []
    for name, flag in WORDS.items():
        value = getattr(given, name)
        for one in value if isinstance(value, list) else [] if value is None else [value]:
            words += [flag, str(one)]
    if given.tolerance != "0.1 mm":
        words += ["--tolerance", given.tolerance]
    return (*words, *(["--with-hardware"] if given.with_hardware else []))
