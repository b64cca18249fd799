"""furnigen describe: what a recipe asks for."""

from __future__ import annotations

import argparse
import json
import textwrap

from furnigen.cli.shared_options import add_units


def add_arguments(command: argparse.ArgumentParser) -> None:
    """RECIPE and --units."""
    command.add_argument("recipe", metavar="RECIPE", help="a recipe's name, or the path of its .py file")
    add_units(command)


def run(given: argparse.Namespace) -> int:
    """Show name, unit, default, allowed range and meaning of every parameter."""
    from furnigen.recipes.discovery import find_recipe

    recipe = find_recipe(given.recipe)
    units = given.units or "mm"
    if given.json:
        rows = [
            {
                "name": p.name,
                "kind": p.kind,
                "unit": p.unit,
                "default": p.plain(p.default),
                "low": p.low if p.kind in ("length", "angle", "count", "counts") else None,
                "high": p.high if p.kind in ("length", "angle", "count", "counts") else None,
                "options": list(p.options),
                "allowed": p.allowed(units),
                "meaning": p.meaning,
            }
            for p in recipe.parameters
        ]
        whole = {"name": recipe.name, "summary": recipe.summary, "parameters": rows}
        whole["drawing"] = recipe.drawing
        print(json.dumps(whole, ensure_ascii=False, indent=1))
        return 0
    print(f"{recipe.name}: {recipe.summary}\n")
    name_width = max((len(p.name) for p in recipe.parameters), default=0)
    for p in recipe.parameters:
        print(f"{p.name:<{name_width}}  {p.show(p.default, units)}")
        text = f"{p.meaning}; {p.allowed(units)}"
        print(
            textwrap.fill(
                text, 92, initial_indent=" " * (name_width + 4), subsequent_indent=" " * (name_width + 4)
            )
        )
    if recipe.drawing:
        print(f"\n{recipe.drawing}", end="")
    return 0
