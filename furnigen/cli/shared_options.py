"""Words that several commands share: NAME=VALUE pairs, units, limits, tolerance."""

from __future__ import annotations

import argparse
from dataclasses import dataclass, replace
from pathlib import Path

from furnigen.checks.fit import LIMITS, read_limits
from furnigen.cli.list_options import ListOption, sag_limits, uses
from furnigen.core.errors import InputError
from furnigen.core.quantities import as_typed, parse_length
from furnigen.formats.cells import ListStyle, read_list_style
from furnigen.piece.description import Piece
from furnigen.recipes.discovery import ParameterFile, find_recipe, read_parameter_file
from furnigen.strength.model.demands import Demands, read_demands, read_loads


def add_recipe(
    command: argparse.ArgumentParser, what: str = "a recipe's name, or the path of its .py file"
) -> None:
    """The positional RECIPE and its NAME=VALUE pairs, with the options that set parameters."""
    command.add_argument("recipe", metavar="RECIPE", help=what)
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


def read_file(given: argparse.Namespace) -> ParameterFile:
    """The parameter file of the command line; an empty one when none is named."""
    return read_parameter_file(Path(given.params)) if given.params else ParameterFile()


@dataclass(frozen=True)
class Request:
    """What a command line asks for.

    Attributes:
        piece: the piece, with title, limits and loads of the file and the command line.
        units: the units lists are shown in.
        demands: what its strength is held to.
    """

    piece: Piece
    units: str
    demands: Demands


def read_request(given: argparse.Namespace) -> Request:
    """What a command line asks for.

    Raises: InputError and RecipeError, as `furnigen.recipes.recipe.Recipe` raises them.
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
    strength = dict(file.strength)
    if getattr(given, "sag_limit", None) is not None:
        strength["sag_limit"] = given.sag_limit
    if getattr(given, "climate", None) is not None:
        strength["climate"] = given.climate
    if getattr(given, "floor_friction", None) is not None:
        strength["floor_friction"] = given.floor_friction
    if getattr(given, "wall_material", None) is not None:
        strength["wall_material"] = given.wall_material
    if getattr(given, "tip_test", None):
        strength["tip_test"] = given.tip_test
    if getattr(given, "load_case", None):
        strength["load_case"] = given.load_case
    demands = read_demands(strength)
    words = [word.rpartition("=")[::2] for word in getattr(given, "load", [])]
    loads = (*read_loads(file.loads.items()), *read_loads(words))
    piece = recipe(**values)
    limits = {
        limit.name: limit
        for limit in (
            *read_limits(file.limits, file.units or shown),
            *read_limits(pairs(given.limit, "limit"), shown),
        )
    }
    piece = replace(
        piece,
        title=file.title or piece.title,
        limits=tuple(limits.values()),
        loads=piece.loads + loads,
    )
    return Request(piece, shown, demands)


def named_request(what: str, values: list[str], units: str | None) -> Request:
    """The piece that one word names, a recipe or a parameter file, with the values of the command line.

    Raises: as `read_request`, and InputError for a parameter file that names no recipe.
    """
    recipe, params = what, None
    if what.lower().endswith(".toml"):
        params = what
        recipe = read_parameter_file(Path(what)).recipe
        if not recipe:
            raise InputError(
                "parameter file",
                as_typed(what),
                "names no recipe",
                'add a line such as recipe = "divided_case"',
            )
    return read_request(
        argparse.Namespace(recipe=recipe, params=params, values=values, units=units, limit=[])
    )


def describe_request(given: argparse.Namespace) -> tuple[Piece, str]:
    """The piece a command line asks for, and the units lists are shown in.

    Raises: as `read_request`.
    """
    found = read_request(given)
    return found.piece, found.units
