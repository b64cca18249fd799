"""Refusals in terms of what the maker typed: the parameters of the recipe that runs.

While a recipe runs, the value of each of its parameters is known here by name, as people read it. So a
refusal needs the name only.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from contextvars import ContextVar
from difflib import get_close_matches

from furnigen.core.errors import InputError, RecipeError
from furnigen.core.wording import marked

NOT_KNOWN = "as given"
"""Shown for the value of a parameter when no recipe runs."""

_VALUES: ContextVar[Mapping[str, Callable[[], str]] | None] = ContextVar("values", default=None)


@contextmanager
def running(values: Mapping[str, Callable[[], str]]) -> Iterator[None]:
    """While a recipe runs: its parameters by name, each with what shows its value."""
    token = _VALUES.set(values)
    try:
        yield
    finally:
        _VALUES.reset(token)


def value_of(parameter: str) -> str:
    """The value of a parameter of the recipe that runs, as people read it.

    Raises: RecipeError when the recipe has no such parameter.
    """
    values = _VALUES.get()
    if values is None:
        return NOT_KNOWN
    if parameter not in values:
        near = get_close_matches(parameter, values, 1)
        offer = f"did you mean {near[0]}?" if near else f"it has {', '.join(values)}"
        raise RecipeError(f"the recipe speaks of its parameter {parameter}, which it does not have; {offer}")
    return values[parameter]()


def _is_parameter(name: str) -> bool:
    return name in (_VALUES.get() or {})


def require(condition: bool, parameter: str, must: str, fits: str = "") -> None:
    """Refuse a value of one of the recipe's parameters unless a condition is true.

    Args:
        condition: what has to be true.
        parameter: name of the parameter at fault; its value is filled in, lengths with their unit.
        must: what is allowed, a clause such as "must be more than 54 mm".
        fits: what would fit, a clause; empty when `must` says it already.

    Raises:
        InputError: the condition is false.
        RecipeError: the recipe that runs has no such parameter.

    >>> require(700 > 3 * 18, "width", "must be more than 54 mm")
    >>> require(50 > 3 * 18, "width", "must be more than 54 mm")
    Traceback (most recent call last):
    furnigen.core.errors.InputError: width = as given: must be more than 54 mm
    """
    if not condition:
        raise InputError(parameter, value_of(parameter), must, fits)


@contextmanager
def asked_as(name: str, value: object = None, *about: str) -> Iterator[None]:
    """Put refusals from within in terms of the parameter the maker typed.

    A refusal that speaks of a parameter of the running recipe already stays as it is.

    Args:
        name: the parameter.
        value: its value, printable; None for the running recipe's.
        about: names the only fields, as they are called within, whose refusals are put so; all when none is
            given.

    Raises: InputError naming the parameter.

    >>> with asked_as("shelves", 80):
    ...     raise InputError("number of boards", 80, "can not fit", "at most 49 would fit")
    Traceback (most recent call last):
    furnigen.core.errors.InputError: shelves = 80: can not fit; at most 49 would fit
    """
    try:
        yield
    except InputError as error:
        if (about and error.what not in about) or (error.what != name and _is_parameter(error.what)):
            raise
        raise _in_terms_of(error, name, value_of(name) if value is None else value) from None


@contextmanager
def asked_by(names: Mapping[str, str], other: str) -> Iterator[None]:
    """Put refusals from within in terms of several parameters, each of its own fields.

    Args:
        names: the parameter behind each field, as the field is called within. A field called as a parameter
            but for its blanks, such as "leg top" and leg_top, needs no entry.
        other: the parameter named for every other field.

    Raises: InputError naming the parameter.

    >>> with asked_by({"leg stock": "leg_blank"}, other="block"):
    ...     raise InputError("leg stock", "oak-30", "is too thin")
    Traceback (most recent call last):
    furnigen.core.errors.InputError: leg_blank = as given: leg stock oak-30 is too thin
    """
    try:
        yield
    except InputError as error:
        if _is_parameter(error.what):
            raise
        same = error.what.replace(" ", "_")
        name = names.get(error.what, same if _is_parameter(same) else other)
        raise _in_terms_of(error, name, value_of(name)) from None


def _in_terms_of(error: InputError, name: str, value: object) -> InputError:
    """A refusal that names a parameter; the field's own name and value are said too where they say more."""
    own = marked(error.value) if isinstance(error.value, str) else error.value
    known = error.what in (name, "number of boards") or str(own) == str(value)
    inside = "" if known else f"{error.what} {own} "
    places = "".join(f"{note}: " for note in getattr(error, "__notes__", ()))
    return InputError(name, value, f"{places}{inside}{marked(error.allowed)}", error.fits)
