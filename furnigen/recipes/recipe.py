"""Recipes: Python functions from typed parameters to a piece."""

from __future__ import annotations

import inspect
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, replace
from difflib import get_close_matches
from functools import cached_property, partial
from typing import Any

from furnigen.core.asked import running
from furnigen.core.author_code import run_authored
from furnigen.core.errors import InputError, RecipeError
from furnigen.piece.description import Piece
from furnigen.recipes.parameters import Parameter


@dataclass(frozen=True)
class Recipe:
    """A furniture recipe, callable with its parameters as keywords.

    Attributes:
        name: the function's name.
        summary: one line for the list.
        function: takes the parameters as keywords, returns a `Piece`.
        drawing: in text, of what its sizes are measured from; "" for none.

    >>> from furnigen import find_recipe
    >>> case = find_recipe("divided_case")
    >>> case.name, case.parameter("width").show(case.parameter("width").default)
    ('divided_case', '1200.0 mm')
    >>> case(width="1.4 m", dividers=(2, 3, 4)).bounds.size[0]
    1400.0
    """

    name: str
    summary: str
    function: Callable[..., Piece]
    drawing: str = ""

    @cached_property
    def parameters(self) -> tuple[Parameter, ...]:
        """What it asks for, in order, defaults checked.

        Raises: RecipeError when a parameter is not declared with a kind and a range.
        """
        found = []
        for p in inspect.signature(self.function).parameters.values():
            if not isinstance(p.default, Parameter):
                raise RecipeError(
                    f"recipe {self.name}: parameter {p.name} must declare what it takes,"
                    f" as in {p.name}=length('600 mm', '300 mm', '2 m', 'overall width')"
                )
            named = replace(p.default, name=p.name)
            try:
                found.append(replace(named, default=named.read(named.default)))
            except InputError as error:
                raise RecipeError(f"recipe {self.name}: the default of {error}") from None
        return tuple(found)

    def parameter(self, name: str) -> Parameter:
        """The parameter called `name`.

        Raises: InputError offering the nearest name.
        """
        known = {p.name: p for p in self.parameters}
        if name not in known:
            raise not_asked_for(self.name, name, known)
        return known[name]

    def read(self, given: Mapping[str, Any], units: str = "mm") -> dict[str, Any]:
        """All parameters, in order: those given (texts or values) and the defaults.

        Raises: InputError for an unknown name or a value out of range.
        """
        values = {p.name: p.default for p in self.parameters}
        for name, value in given.items():
            values[name] = self.parameter(name).read(value, units)
        return values

    def __call__(self, **given: Any) -> Piece:
        """Make the piece.

        Raises:
            InputError: a parameter is unknown, out of range, or the piece is impossible with it.
            RecipeError: the recipe itself fails or returns no piece.
        """
        values = self.read(given)
        file = self.function.__code__.co_filename
        handed = {p.name: p.handed(values[p.name]) for p in self.parameters}
        # what a refusal shows is put into words only when there is one
        with running({p.name: partial(p.told, values[p.name]) for p in self.parameters}):
            piece = run_authored(f"recipe {self.name}", file, self.function, **handed)
        if not isinstance(piece, Piece):
            got = "nothing" if piece is None else f"a {type(piece).__name__}"
            raise RecipeError(
                f"recipe {self.name} must return a piece (end with `return draft.done()`), not {got}"
            )
        shown = tuple((p.name, p.plain(values[p.name])) for p in self.parameters)
        made = replace(piece, name=self.name, parameters=shown)
        return replace(made, origin=Origin(self, values, made))


def not_asked_for(recipe: str, name: str, known: Collection[str]) -> InputError:
    """The refusal of a parameter that a recipe does not have.

    Args:
        known: names of those it has.
    """
    near = get_close_matches(name, known, 1)
    fits = f"did you mean {near[0]}?" if near else f"it asks for {', '.join(known)}"
    return InputError("parameter", name, f"{recipe} does not ask for it", fits)


@dataclass(frozen=True, eq=False)
class Origin:
    """What a piece was made from, so that variants of it can be tried.

    Attributes:
        recipe: the recipe.
        values: all its parameters, read and checked.
        made: the piece as the recipe made it.
    """

    recipe: Recipe
    values: Mapping[str, Any]
    made: Piece


def recipe(summary: str, drawing: str = "") -> Callable[[Callable[..., Piece]], Recipe]:
    """Declare a function as a recipe.

    Args:
        summary: one line for the list of recipes.
        drawing: lines of text that draw what its sizes are measured from, for `furnigen describe`.

    Raises: what is wrong with the function is said when it is listed, described or called (`Recipe`).

    >>> from furnigen import Draft, Stock, from_stock, length
    >>> @recipe("One shelf")
    ... def shelf(
    ...     width: float = length("600 mm", "300 mm", "900 mm", "its length"),
    ...     board: Stock = from_stock("birch-ply-18", "the shelf"),
    ... ):
    ...     draft = Draft("shelf")
    ...     draft.board("shelf", board, (0, 0, 0), (width, 200, board.thickness_mm))
    ...     return draft.done()
    >>> shelf(width="70 cm").bounds.size
    (700.0, 200.0, 17.6)
    """

    def declare(function: Callable[..., Piece]) -> Recipe:
        return Recipe(function.__name__, summary, function, drawing)

    return declare
