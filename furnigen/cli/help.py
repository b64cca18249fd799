"""furnigen help COMMAND: the same as furnigen COMMAND --help."""

from __future__ import annotations

import argparse
import json

from furnigen.core.errors import InputError
from furnigen.core.quantities import as_typed


def add_arguments(command: argparse.ArgumentParser) -> None:
    """COMMAND."""
    command.add_argument("about", metavar="COMMAND", nargs="?", help="a command; all of them where left out")


def run(given: argparse.Namespace) -> int:
    """Show a command's help, or what commands there are."""
    from difflib import get_close_matches

    from furnigen.cli.grammar import commands_of
    from furnigen.cli.main import parser

    top = parser()
    known = commands_of(top)
    if given.about is not None and given.about not in known:
        near = get_close_matches(given.about, known, 1)
        offer = f"did you mean {near[0]}?" if near else f"commands are {', '.join(known)}"
        raise InputError("command", as_typed(given.about), "is not known", offer)
    about = known[given.about] if given.about else top
    if given.json:
        print(json.dumps({"command": given.about, "help": about.format_help()}, ensure_ascii=False, indent=1))
    else:
        print(about.format_help(), end="")
    return 0
