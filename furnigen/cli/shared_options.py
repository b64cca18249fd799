"""Words that several commands share: NAME=VALUE pairs, units, limits, tolerance."""

from __future__ import annotations

import argparse
import shlex
from pathlib import Path
from typing import TYPE_CHECKING

from furnigen.checks.fit import LIMITS
from furnigen.cli.list_options import ListOption, sag_limits, uses
from furnigen.core.errors import InputError
from furnigen.core.quantities import as_typed, parse_length
from furnigen.formats.cells import ListStyle, read_list_style
from furnigen.piece.description import Piece
from furnigen.pipeline.request import Asked, Request, requested
from furnigen.recipes.discovery import read_parameter_file

if TYPE_CHECKING:
    from furnigen.cutting.own_stock import Shop


def add_recipe(
    command: argparse.ArgumentParser,
    what: str = "a recipe's name, the path of its .py file, or a file of parameters that names its recipe",
    called: str = "RECIPE|FILE.toml",
) -> None:
    """The positional RECIPE and its NAME=VALUE pairs, with the options that set parameters."""
    command.add_argument("recipe", metavar=called, help=what)
    command.add_argument(
        "values", metavar="NAME=VALUE", nargs="*", default=[], help="parameters, such as width='1.2 m'"
    )
    command.add_argument(
        "--params", metavar="FILE.toml", help="a file of parameters; NAME=VALUE goes over it"
    )
    command.set_defaults(limit=[])
    add_units(command)


def add_limits(command: argparse.ArgumentParser) -> None:
    """The option --limit, where the piece is held to the brief."""
    command.add_argument(
        "--limit",
        metavar="NAME=LENGTH",
        action="append",
        default=[],
        help=f"what the brief demands: {', '.join(LIMITS)}",
    )


def add_strength(command: argparse.ArgumentParser) -> None:
    """The options of strength: what boards carry, and what they are held to."""
    command.add_argument(
        "--load",
        metavar="[BOARD=]LOAD",
        action="append",
        default=[],
        help="what boards carry: a use (books; --uses lists them), 40 kg/m, 150 kg/m2, 20 kg at 300 mm,"
        " empty; BOARD is a label or a role, such as shelf.2=empty",
    )
    command.add_argument(
        "--sag-limit",
        metavar="LIMIT",
        help="how much boards may sag in the long run: visible (L/240), L/300 ...; --sag-limits lists them",
    )
    command.add_argument(
        "--uses", action=ListOption, rows=uses, help="list the uses that --load knows, and leave"
    )
    command.add_argument(
        "--sag-limits",
        action=ListOption,
        rows=sag_limits,
        help="list the limits that --sag-limit knows, and leave",
    )
    command.add_argument(
        "--climate", metavar="CLASS", type=int, help="1 heated rooms (usual), 2 unheated, 3 in the weather"
    )
    command.add_argument(
        "--wall-material",
        metavar="NAME",
        help="what a piece on a wall is fixed to: stud (usual), timber, plasterboard, masonry",
    )
    command.add_argument(
        "--floor-friction",
        metavar="NUMBER",
        type=float,
        help="friction that the joints of leaning legs may count on (none)",
    )
    command.add_argument(
        "--tip-test",
        metavar="NAME",
        action="append",
        default=[],
        help="a published test load to tip it with: child, pull-top, carpet, early or all",
    )
    command.add_argument(
        "--load-case",
        metavar="NAME",
        action="append",
        default=[],
        help="what happens to it besides: shove-empty, shove-loaded, child-stands, child-climbs, all or none;"
        " all are on where nothing is said",
    )


def add_findings(command: argparse.ArgumentParser) -> None:
    """The options of the table of checks: --all and --why."""
    command.add_argument("--all", action="store_true", help="every check by itself, those that pass too")
    command.add_argument(
        "--why",
        action="store_true",
        help="the reason behind each check: how it is worked out, and its source",
    )


def add_steps(command: argparse.ArgumentParser) -> None:
    """The option --steps."""
    command.add_argument("--steps", action="store_true", help="print the order of assembly, step by step")


def add_units(command: argparse.ArgumentParser) -> None:
    """The option --units."""
    command.add_argument(
        "--units", choices=("mm", "in"), help="unit of bare numbers and of lists; mm where not said"
    )


def add_list_style(command: argparse.ArgumentParser) -> None:
    """The options --decimal and --separator."""
    command.add_argument(
        "--decimal", metavar="MARK", help="decimal mark of numbers in lists (CSV): point or comma (point)"
    )
    command.add_argument(
        "--separator",
        metavar="MARK",
        help="what stands between the cells of lists: comma, semicolon or tab (comma; semicolon with a"
        " decimal comma)",
    )


def list_style(given: argparse.Namespace) -> ListStyle:
    """How lists are written."""
    return read_list_style(given.separator, given.decimal)


def add_shop(command: argparse.ArgumentParser, what_for: str = "") -> None:
    """The option --stock.

    Args:
        what_for: what the prices are for, where that is not plain.
    """
    command.add_argument(
        "--stock", metavar="FILE.toml", help=f"what you have and can buy, with prices{what_for}"
    )


def shop_of(given: argparse.Namespace) -> Shop:
    """What can be had, at what price: of the file that --stock names, else of the catalogue.

    Raises: InputError for a file that can not be read, or says what it may not.
    """
    from furnigen.cutting.stock_file import shop_in

    return shop_in(given.stock)


def add_hardware(command: argparse.ArgumentParser) -> None:
    """The option --with-hardware."""
    command.add_argument(
        "--with-hardware",
        action="store_true",
        help="screws, dowels, pins and bolts as solids, in a branch of their own, and checked as such",
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

    Raises: InputError for a word without "=" or a name given twice.
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


def asked_of(given: argparse.Namespace) -> Asked:
    """What a command line asks for, as it was typed.

    Raises: InputError for a word without "=" or a name given twice.
    """
    strength = {
        name: value
        for name in ("sag_limit", "climate", "floor_friction", "wall_material", "tip_test", "load_case")
        if (value := getattr(given, name, None)) not in (None, [])
    }
    words = [word.rpartition("=")[::2] for word in getattr(given, "load", [])]
    return Asked(
        given.recipe,
        given.params,
        pairs(given.values, "parameter"),
        given.units,
        pairs(given.limit, "limit"),
        tuple(words),
        strength,
    )


def read_request(given: argparse.Namespace) -> Request:
    """What a command line asks for.

    Raises: InputError and RecipeError, as `furnigen.recipes.recipe.Recipe` raises them.
    """
    return requested(asked_of(given))


def named(what: str) -> tuple[str, str | None]:
    """The recipe and the file of parameters that one word names: a recipe, or a file that says its recipe.

    Raises: InputError for a parameter file that can not be read, or names no recipe.
    """
    if not what.lower().endswith(".toml"):
        return what, None
    recipe = read_parameter_file(Path(what)).recipe
    if not recipe:
        raise InputError(
            "parameter file",
            as_typed(what),
            "names no recipe",
            'add a line such as recipe = "divided_case"',
        )
    return recipe, what


def name_recipe(given: argparse.Namespace) -> str:
    """Put the recipe and the file of parameters of a command line in their places, where one word named both.

    Returns: what a folder of results is called after; "" for the recipe's own name.

    Raises: as `named`, and InputError for a second file of parameters.
    """
    recipe, params = named(given.recipe)
    if not params:
        return ""
    if given.params:
        raise InputError("--params", as_typed(given.params), "is one file of parameters too many")
    given.recipe, given.params = recipe, params
    return Path(params).stem


def piece_words(given: argparse.Namespace) -> str:
    """The piece of a command line for another: recipe, file of parameters, values, as a shell reads them."""
    return shlex.join([given.recipe, *(["--params", given.params] if given.params else []), *given.values])


def named_request(what: str, values: list[str], units: str | None) -> Request:
    """The piece that one word names, a recipe or a parameter file, with the values of the command line.

    Raises: as `read_request`, and InputError for a parameter file that names no recipe.
    """
    recipe, params = named(what)
    return read_request(
        argparse.Namespace(recipe=recipe, params=params, values=values, units=units, limit=[])
    )


def describe_request(given: argparse.Namespace) -> tuple[Piece, str]:
    """The piece a command line asks for, and the units lists are shown in.

    Raises: as `read_request`.
    """
    found = read_request(given)
    return found.piece, found.units
