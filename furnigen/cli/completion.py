"""furnigen completion SHELL: the script by which a shell completes commands, options, recipes and files."""

from __future__ import annotations

import argparse
import json
from typing import Any

SHELLS = ("bash", "zsh", "tcsh")
RECIPES = "_furnigen_recipes"
"""The shell function that names the recipes there are."""
PIECES = "_furnigen_pieces"
"""The shell function that names recipes and files of parameters."""
PREAMBLE = {
    "bash": f"""
{RECIPES}() {{
  compgen -W "$(furnigen recipes 2>/dev/null | cut -d' ' -f1)" -- "$1"
  compgen -f -X '!*.py' -- "$1"
}}
{PIECES}() {{
  {RECIPES} "$1"
  compgen -f -X '!*.toml' -- "$1"
}}
""",
    "zsh": f"""
{RECIPES}() {{
  local -a names
  names=(${{(f)"$(furnigen recipes 2>/dev/null | cut -d' ' -f1)"}})
  _alternative "recipes:recipe:($names)" "files:recipe file:_files -g '*.py'"
}}
{PIECES}() {{
  {RECIPES}
  _files -g '*.toml'
}}
""",
}


def add_arguments(command: argparse.ArgumentParser) -> None:
    """SHELL."""
    command.add_argument(
        "shell",
        metavar="SHELL",
        choices=SHELLS,
        help=f"{', '.join(SHELLS)}; for bash: furnigen completion bash > ~/.local/share/bash-completion/"
        "completions/furnigen",
    )


def run(given: argparse.Namespace) -> int:
    """Print the script."""
    import shtab

    from furnigen.cli.grammar import commands_of, words_of
    from furnigen.cli.main import parser

    top = parser()
    for command in commands_of(top).values():
        for action in words_of(command):
            found = _completes(action)
            if found:
                action.complete = found  # type: ignore[attr-defined]
    script = shtab.complete(top, shell=given.shell, preamble=PREAMBLE.get(given.shell, ""))
    if given.json:
        print(json.dumps({"shell": given.shell, "script": script}, ensure_ascii=False))
    else:
        print(script)
    return 0


def _completes(action: argparse.Action) -> dict[str, Any] | None:
    """What a word is completed with, by what the help calls it."""
    import shtab

    name = action.metavar if isinstance(action.metavar, str) else ""
    if name == "RECIPE":
        return {"bash": RECIPES, "zsh": RECIPES}
    if name in ("RECIPE|FILE.toml", "RECIPE|FILE"):
        return {"bash": PIECES, "zsh": PIECES}
    if name.startswith("FILE"):
        return dict(shtab.FILE)
    if name == "DIR":
        return dict(shtab.DIRECTORY)
    return None
