"""furnigen recipes: the list."""

from __future__ import annotations

import argparse
import json


def add_arguments(command: argparse.ArgumentParser) -> None:
    """Nothing besides --json."""


def run(given: argparse.Namespace) -> int:
    """List the recipes by name with one line each."""
    from furnigen.cookbook import list_recipes

    found = list_recipes()
    if given.json:
        print(
            json.dumps([{"name": r.name, "summary": r.summary} for r in found], ensure_ascii=False, indent=1)
        )
        return 0
    width = max((len(r.name) for r in found), default=0)
    for r in found:
        print(f"{r.name:<{width}}  {r.summary}")
    if not found:
        print("no recipes here; furnigen looks in the folder recipes")
    return 0
