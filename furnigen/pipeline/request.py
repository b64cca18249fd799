"""What a person asks for, from a command line or a page: a recipe, its values, what it is held to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from furnigen.checks.fit import read_limits
from furnigen.core.errors import InputError
from furnigen.piece.description import Piece
from furnigen.recipes.discovery import ParameterFile, find_recipe, read_parameter_file
from furnigen.recipes.recipe import Recipe
from furnigen.strength.model.demands import Demands, read_demands, read_loads


@dataclass(frozen=True)
class Asked:
    """What is asked for, as it was typed.

    Attributes:
        recipe: a recipe's name, or the path of its file.
        params: path of a file of parameters; None for none.
        values: parameters by name; they go over the file.
        units: "mm" or "in"; None for those of the file, else mm.
        limits: what the brief demands, by name; they go over the file.
        loads: (board, load); an empty board means all of them.
        strength: what its strength is held to, as the file's table [strength]; it goes over the file.
    """

    recipe: str
    params: str | None = None
    values: Mapping[str, str] = field(default_factory=dict)
    units: str | None = None
    limits: Mapping[str, str] = field(default_factory=dict)
    loads: tuple[tuple[str, str], ...] = ()
    strength: Mapping[str, Any] = field(default_factory=dict)

    def file(self) -> ParameterFile:
        """Its file of parameters, read; an empty one where none is named.

        Raises: InputError, as `read_parameter_file`.
        """
        return read_parameter_file(Path(self.params)) if self.params else ParameterFile()


@dataclass(frozen=True)
class Request:
    """What was asked for, read.

    Attributes:
        piece: the piece, with title, limits and loads of the file and what was typed.
        units: the units lists are shown in.
        demands: what its strength is held to.
    """

    piece: Piece
    units: str
    demands: Demands


def base_values(recipe: Recipe, asked: Asked, file: ParameterFile) -> tuple[dict[str, Any], str]:
    """Values of all parameters before any is typed: those of the file and the defaults; and the units shown.

    Raises: InputError for a file that is for another recipe, an unknown name or a value out of range.
    """
    if file.recipe and file.recipe != recipe.name:
        raise InputError("parameter file", asked.params, f"is for {file.recipe}, not for {recipe.name}")
    shown = asked.units or file.units or "mm"
    # a file's bare numbers are in the file's own unit, whatever was typed
    return recipe.read(file.parameters, file.units or shown), shown


def requested(asked: Asked, recipe: Recipe | None = None) -> Request:
    """The piece that is asked for.

    Args:
        recipe: the recipe, where it is at hand already.

    Raises: InputError and RecipeError, as `furnigen.recipes.recipe.Recipe` raises them.
    """
    recipe = find_recipe(asked.recipe) if recipe is None else recipe
    file = asked.file()
    values, shown = base_values(recipe, asked, file)
    for name, text in asked.values.items():
        values[name] = recipe.parameter(name).read(text, shown)
    return request_of(recipe, values, asked, file, shown)


def request_of(
    recipe: Recipe, values: Mapping[str, Any], asked: Asked, file: ParameterFile, units: str
) -> Request:
    """The piece of values that are read already, with all else that is asked for.

    Raises: as `requested`.
    """
    demands = read_demands({**file.strength, **asked.strength})
    loads = (*read_loads(file.loads.items()), *read_loads(asked.loads))
    piece = recipe(**values)
    limits = {
        limit.name: limit
        for limit in (
            *read_limits(file.limits, file.units or units),
            *read_limits(asked.limits, units),
        )
    }
    piece = replace(
        piece,
        title=file.title or piece.title,
        limits=tuple(limits.values()),
        loads=piece.loads + loads,
    )
    return Request(piece, units, demands)
