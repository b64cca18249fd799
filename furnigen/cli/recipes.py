"""furnigen recipes: the list."""

from __future__ import annotations

import argparse
import json
import sys

from furnigen.core.errors import RecipeError


def add_arguments(command: argparse.ArgumentParser) -> None:
    """Nothing besides --json."""


def run(given: argparse.Namespace) -> int:
    """List the recipes by name with one line each."""
    from furnigen.recipes.discovery import list_recipes

    broken: dict[str, RecipeError] = {}
    found = list_recipes(broken.__setitem__)
    for error in broken.values():
        print(f"furnigen: {error}", file=sys.stderr)
    if given.json:
        rows = [{"name": r.name, "summary": r.summary} for r in found]
        rows += [{"name": name, "summary": "", "error": str(error)} for name, error in broken.items()]
        print(json.dumps(rows, ensure_ascii=False, indent=1))
        return 0
    width = max((len(r.name) for r in found), default=0)
    for r in found:
        print(f"{r.name:<{width}}  {r.summary}")
    if not found and not broken:
        print("no recipes here; furnigen looks in the folder recipes")
    return 0
