"""The form of a recipe: a field for each typed parameter, and what is typed there, read."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from furnigen.catalogue.stock import Stock, list_stock
from furnigen.core.errors import FurnigenError, InputError
from furnigen.core.length_text import MM_PER_INCH, length_text
from furnigen.core.quantities import format_length
from furnigen.core.wording import shown
from furnigen.recipes.parameters import Parameter
from furnigen.recipes.recipe import Recipe

Json = dict[str, Any]

RANGED = ("length", "angle", "count")
FINE_BELOW = 60.0
"""In a range of lengths (mm) shorter than this a slider goes by tenths of a millimetre, else by one."""


def form_of(recipe: Recipe, base: Mapping[str, Any], units: str, own: Iterable[Stock] = ()) -> Json:
    """The form of a recipe.

    Args:
        base: values of all parameters where nothing is typed.
        units: "mm" or "in".
        own: stock that the maker has besides that of the catalogue.
    """
    fields = [_field(p, base[p.name], units) for p in recipe.parameters]
    asks_stock = any(p.kind == "stock" for p in recipe.parameters)
    return {
        "recipe": recipe.name,
        "summary": recipe.summary,
        "units": units,
        "fields": fields,
        "stock": [_stock(s, units) for s in (*own, *list_stock())] if asks_stock else [],
    }


def _field(p: Parameter, base: Any, units: str) -> Json:
    ranged = p.kind in RANGED
    return {
        "name": p.name,
        "label": p.name.replace("_", " "),
        "kind": p.kind,
        "meaning": p.meaning,
        "allowed": p.allowed(units),
        "base": typed(p, base, units),
        "options": list(p.options),
        "low": p.low if ranged else None,
        "high": p.high if ranged else None,
        "at": base if ranged else None,
        "step": _step(p, units),
        "ends": [p.show(p.low, units), p.show(p.high, units)] if ranged else [],
    }


def _step(p: Parameter, units: str) -> float:
    """How far a slider goes at once, in the unit of the parameter."""
    if p.kind == "length":
        if units == "in":
            return MM_PER_INCH / 16
        return 0.1 if p.high - p.low < FINE_BELOW else 1.0
    return 0.5 if p.kind == "angle" and p.high - p.low < FINE_BELOW else 1.0


def typed(p: Parameter, value: Any, units: str) -> str:
    """A value as a person would type it, exact enough to be read again."""
    if p.kind == "length":
        if units == "in":
            text = length_text(value, "in", mark_inexact=True)
            return f"{value / MM_PER_INCH:.6g} in" if text.startswith("~") else text
        return f"{round(value, 4):.10g} mm"
    if p.kind in RANGED:
        return f"{value:.10g}{'°' if p.kind == 'angle' else ''}"
    return p.show(value, units)


def _stock(s: Stock, units: str) -> Json:
    size = format_length(s.thickness_mm, units, mark_inexact=units == "in")
    return {"name": s.name, "title": s.title, "kind": s.kind, "more": f"{s.kind}, {size}"}


def read_typed(
    recipe: Recipe, base: Mapping[str, Any], texts: Mapping[str, str], units: str
) -> tuple[dict[str, Any], dict[str, str]]:
    """All values, and what is wrong with a text by the name of its parameter."""
    values, wrong = dict(base), {}
    for name, text in texts.items():
        try:
            values[name] = recipe.parameter(name).read(text, units)
        except InputError as error:
            wrong[name] = at_field(error, units)
    return values, wrong


def at_field(error: InputError, units: str) -> str:
    """A refusal where the field shows its name and value already: what is allowed, what would fit."""
    allowed, fits = shown(error.allowed, units), shown(error.fits, units)
    return f"{allowed}; {fits}" if fits else allowed


def _names(recipe: Recipe | None) -> set[str]:
    """Names of parameters; none of a recipe that does not declare them as it must."""
    try:
        return {p.name for p in recipe.parameters} if recipe else set()
    except FurnigenError:
        return set()


def refused(error: FurnigenError, recipe: Recipe | None, units: str) -> Json:
    """A refusal for the page: at the field of the parameter it names, else for all of the piece."""
    places = "".join(f" ({note})" for note in getattr(error, "__notes__", ()))
    if isinstance(error, InputError) and error.what in _names(recipe):
        return {"fields": {error.what: at_field(error, units) + places}, "message": ""}
    told = error.shown(units) if isinstance(error, InputError) else str(error)
    return {"fields": {}, "message": told + places}
