"""Words that several commands share: NAME=VALUE pairs, units, limits, tolerance."""

from __future__ import annotations

import argparse
from dataclasses import replace
from pathlib import Path

from furnigen.check.fit import LIMITS, read_limits
from furnigen.cookbook import ParameterFile, find_recipe, read_parameter_file
from furnigen.errors import InputError
from furnigen.piece import Piece
from furnigen.quantities import parse_length


def add_recipe(
    command: argparse.ArgumentParser, what: str = "a recipe's name, or the path of its .py file"
) -> None:
    """The positional RECIPE and its NAME=VALUE pairs, with the options that set parameters."""
    command.add_argument("recipe", metavar="RECIPE", help=what)
    command.add_argument("values", metavar="NAME=VALUE", nargs="*", help="parameters, such as width='1.2 m'")
    command.add_argument(
        "--params", metavar="FILE.toml", help="a file of parameters; NAME=VALUE goes over it"
    )
    command.add_argument(
        "--limit",
        metavar="NAME=LENGTH",
        action="append",
        default=[],
        help=f"what the brief demands: {', '.join(LIMITS)}",
    )
    add_units(command)


def add_units(command: argparse.ArgumentParser) -> None:
    """The option --units."""
    command.add_argument(
        "--units", choices=("mm", "in"), help="unit of bare numbers and of lists; mm where not said"
    )


def add_tolerance(command: argparse.ArgumentParser) -> None:
    """The option --tolerance."""
    command.add_argument(
        "--tolerance",
        metavar="LENGTH",
        default="0.1 mm",
        help="how far mesh facets may lie from a curved face (0.1 mm)",
    )


def tolerance(given: argparse.Namespace) -> float:
    """The tessellation tolerance (mm)."""
    return parse_length(given.tolerance, what="tolerance")


def pairs(words: list[str], what: str) -> dict[str, str]:
    """NAME=VALUE words as a dictionary.

    Errors: InputError for a word without "=" or a name given twice.
    """
    found: dict[str, str] = {}
    for word in words:
        name, equals, value = word.partition("=")
        name = name.strip()
        if not equals or not name:
            raise InputError(what, word, "must be NAME=VALUE", "quote a value with spaces: width='1.2 m'")
        if name in found:
            raise InputError(what, name, "is given twice", "give it once")
        found[name] = value
    return found


def read_file(given: argparse.Namespace) -> ParameterFile:
    """The parameter file of the command line; an empty one when none is named."""
    return read_parameter_file(Path(given.params)) if given.params else ParameterFile()


def described(given: argparse.Namespace) -> tuple[Piece, str]:
    """The piece a command line asks for, and the units lists are shown in.

    Errors: InputError and RecipeError, as `furnigen.declare.Recipe` raises them.
    """
    recipe = find_recipe(given.recipe)
    file = read_file(given)
    if file.recipe and file.recipe != recipe.name:
        raise InputError("parameter file", given.params, f"is for {file.recipe}, not for {recipe.name}")
    shown = given.units or file.units or "mm"
    # a file's bare numbers are in the file's own unit, whatever the command line says
    values = recipe.read(file.parameters, file.units or shown)
    for name, text in pairs(given.values, "parameter").items():
        values[name] = recipe.parameter(name).read(text, shown)
    piece = recipe(**values)
    limits = {
        limit.name: limit
        for limit in (
            *read_limits(file.limits, file.units or shown),
            *read_limits(pairs(given.limit, "limit"), shown),
        )
    }
    return replace(piece, title=file.title or piece.title, limits=tuple(limits.values())), shown
