"""What the grammar of the command line holds, read from its parser: commands, options, words."""

from __future__ import annotations

import argparse


def commands_of(top: argparse.ArgumentParser) -> dict[str, argparse.ArgumentParser]:
    """Each command's own parser, in the order of the help."""
    for action in top._actions:
        if isinstance(action, argparse._SubParsersAction):
            return dict(action.choices)
    return {}


def lines_of(top: argparse.ArgumentParser) -> dict[str, str]:
    """Each command's one line."""
    for action in top._actions:
        if isinstance(action, argparse._SubParsersAction):
            return {one.dest: one.help or "" for one in action._choices_actions}
    return {}


def words_of(parser: argparse.ArgumentParser) -> list[argparse.Action]:
    """A parser's positional words and options, in the order they were added, without commands."""
    return [a for a in parser._actions if not isinstance(a, argparse._SubParsersAction)]
