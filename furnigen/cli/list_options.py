"""Options that list what other options know, and leave: the uses of shelves, the limits of sag."""

from __future__ import annotations

import argparse
import json
from collections.abc import Callable, Iterable
from typing import Any

from furnigen.cli.columns import in_columns

Rows = Iterable[tuple[str, str, str]]
"""Name, amount, source."""
HEADS = ("name", "amount", "source")


class ListOption(argparse.Action):
    """Print a table and leave with exit status 0, as --help does.

    Args:
        rows: what to print; asked only then.
    """

    def __init__(self, option_strings: list[str], dest: str, *, rows: Callable[[], Rows], help: str) -> None:  # noqa: A002
        super().__init__(option_strings, argparse.SUPPRESS, nargs=0, default=argparse.SUPPRESS, help=help)
        self.rows = rows

    def __call__(self, parser: argparse.ArgumentParser, *_: Any) -> None:
        """Print it, in columns or for a program."""
        rows = list(self.rows())
        if getattr(parser, "wants_json", False):
            named = [dict(zip(HEADS, row, strict=True)) for row in rows]
            print(json.dumps(named, ensure_ascii=False, indent=1))
        else:
            print("\n".join(in_columns(rows)))
        parser.exit()


def uses() -> Rows:
    """The uses that --load knows, each with its amount as the table gives it."""
    from furnigen.catalogue.loads import list_uses

    for load in list_uses():
        title, _, rest = load.source.text.partition(": ")
        amount, _, source = rest.partition("; ")
        yield load.text, amount, f"{title}; {source}"


def sag_limits() -> Rows:
    """The limits that --sag-limit knows, each with its share of the span."""
    from furnigen.catalogue.sag_limits import list_limits

    for limit in list_limits():
        source = limit.source.text
        yield limit.name, f"L/{1 / limit.share:g}", f"{source}; {limit.note}" if limit.note else source
