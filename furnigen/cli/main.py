"""The furnigen command: reads words, calls one command, turns errors into one message.

Exit status: 0 done and every check passes, 1 done but a check fails, 2 bad input.
"""

from __future__ import annotations

import argparse
import os
import re
import sys
from collections.abc import Sequence
from importlib import import_module
from typing import Any

from furnigen import __version__
from furnigen.cli.streams import UnsaidError, prepare
from furnigen.core.errors import FurnigenError, InputError

COMMANDS = {
    "recipes": "list the recipes",
    "describe": "what a recipe asks for, its parts and joints",
    "stock": "search the catalogue of sheets, boards, bars and blanks",
    "joints": "list the joints: what each is, when to use it, its sizes",
    "make": "make a piece: model, parts list, picture, report",
    "serve": "work on a piece on a page of this machine's browser, made anew at every change",
    "check": "check a recipe's piece or a STEP file",
    "family": "make many variants of one recipe, and compare them",
    "solve": "find the parameters that serve a goal best among all that hold",
    "mockup": "make the scaled, printable version of a piece",
    "draw": "drawings a workshop builds from: general arrangement and a sheet for each part",
    "cut": "what to cut from which sheets and bars, with layouts, labels and costs",
    "compare": "what differs between two pieces, files of parameters or folders of results",
    "completion": "print what makes a shell complete furnigen's words",
    "manual": "write the manual page",
    "help": "show the help of a command",
}
"""Commands and their one line; each lives in furnigen.cli.NAME with add_arguments and run."""

EXIT_BAD_INPUT = 2
EXIT_UNREAD = 141
"""What a shell says of a program whose reader left: 128 + SIGPIPE (common practice)."""
SMALL_MATRICES = "OPENBLAS_NUM_THREADS"
"""Set to 1 unless someone set it: our matrices have some hundred rows, and threads that wait for each other
on a busy machine cost a hundred times what they save."""


class _Parser(argparse.ArgumentParser):
    """Says what is wrong in one line, without the whole usage."""

    def error(self, message: str) -> None:  # type: ignore[override]
        # a word with a line break in it would make two lines
        line = "".join(c if c.isprintable() else repr(c)[1:-1] for c in message)
        self.exit(EXIT_BAD_INPUT, f"furnigen: {line}; see {self.prog} --help\n")


class _Command(_Parser):
    """One command's words: parameters may stand before, between and after its options."""

    _mixing = False
    wants_json = False
    """Whether --json is among the words, for options that print and leave while the words are still read."""

    def __init__(self, *args: Any, **options: Any) -> None:
        super().__init__(*args, **options)
        # a word such as -1:12 or -0.4mm is a value to be refused as such, not an option
        self._negative_number_matcher = re.compile(r"-\.?[0-9]")

    def parse_known_args(self, args=None, namespace=None):  # type: ignore[no-untyped-def]
        """Options first, then what is left as positionals; words that are neither are refused here."""
        if args is not None:
            self.wants_json = "--json" in args
        if self._mixing:
            return super().parse_known_args(args, namespace)
        self._mixing = True
        try:
            found, extra = self.parse_known_intermixed_args(args, namespace)
        finally:
            self._mixing = False
        if extra:
            self.error(f"unrecognized arguments: {' '.join(extra)}")
        return found, extra


def parser() -> argparse.ArgumentParser:
    """The command line's grammar; loads only the light modules of the commands."""
    top = _Parser(
        prog="furnigen",
        description="From one recipe to a proven 3D model of a piece of furniture, and what its maker needs.",
        epilog="Exit status: 0 done, 1 done but a check fails (compare: they differ), 2 bad input."
        " Results are estimates, not certification.",
    )
    top.add_argument("--version", action="version", version=f"furnigen {__version__}")
    commands = top.add_subparsers(dest="command", metavar="COMMAND", required=True, parser_class=_Command)
    for name, line in COMMANDS.items():
        command = commands.add_parser(name, help=line, description=line[0].upper() + line[1:] + ".")
        command.add_argument("--json", action="store_true", help="machine-readable result on standard output")
        import_module(f"furnigen.cli.{name}").add_arguments(command)
    return top


def main(words: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit status."""
    os.environ.setdefault(SMALL_MATRICES, "1")
    given = argparse.Namespace()
    try:
        try:
            given = parser().parse_args(words)
        except SystemExit as stop:
            return int(stop.code or 0)
        return int(import_module(f"furnigen.cli.{given.command}").run(given))
    except FurnigenError as error:
        places = "".join(f" ({note})" for note in getattr(error, "__notes__", ()))
        units = getattr(given, "units", None) or "mm"
        told = error.shown(units) if isinstance(error, InputError) else error
        print(f"furnigen: {told}{places}", file=sys.stderr)
        return EXIT_BAD_INPUT
    except KeyboardInterrupt as stop:
        told = "; ".join(getattr(stop, "__notes__", ())) or "nothing was written"
        print(f"furnigen: interrupted; {told}", file=sys.stderr)
        return 130
    except UnsaidError as error:
        return _unsaid(error)
    except BrokenPipeError:
        # the reader of our output left, as `head` does: no fault of ours, but nobody can say that all is well
        sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: PTH123, SIM115
        return EXIT_UNREAD
    except OSError as error:
        # of the surroundings, not of the input, and not foreseen where it happened
        where = f"{error.filename}: " if error.filename else ""
        print(f"furnigen: {where}{error.strerror or error}", file=sys.stderr)
        return EXIT_BAD_INPUT


def _unsaid(error: UnsaidError) -> int:
    """Say that standard output does not take the result; what is still to be said there is not."""
    print(f"furnigen: {'; '.join([str(error), *getattr(error, '__notes__', ())])}", file=sys.stderr)
    sys.stdout = open(os.devnull, "w", encoding="utf-8")  # noqa: PTH123, SIM115
    return EXIT_BAD_INPUT


def run() -> None:
    """Entry point: leaves at once when done, since tearing the kernel down takes longer than a make."""
    prepare()
    status = main()
    try:
        sys.stdout.flush()
    except BrokenPipeError:
        status = EXIT_UNREAD
    except UnsaidError as error:
        status = _unsaid(error)
    sys.stderr.flush()
    os._exit(status)
