"""A form made by a user's own CadQuery function: run it, demand one solid, measure it."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepLib import BRepLib
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Shape

from furnigen.core.author_code import run_authored
from furnigen.core.errors import RecipeError
from furnigen.kernel.measure import measure
from furnigen.kernel.shapes import solids_in
from furnigen.parts.forms.custom import Custom

_FORMS = "a CadQuery Workplane, Solid or other Shape that holds one solid"


def _shapes(result: Any) -> list[Any]:
    """The kernel shapes within what a function returned."""
    values = result.vals() if callable(getattr(result, "vals", None)) else [result]
    shapes = [getattr(value, "wrapped", value) for value in values]
    return [s for s in shapes if isinstance(s, TopoDS_Shape) and not s.IsNull()]


def _standing_alone(solid: Any) -> Any:
    """A copy of `solid` in place: its location worked into its surfaces, nothing shared."""
    transform = solid.Location().Transformation()
    own = BRepBuilderAPI_Transform(solid.Located(TopLoc_Location()), transform, True).Shape()
    (copy,) = solids_in(own)
    BRepLib.OrientClosedSolid_s(copy)
    return copy


def run_custom_function(function: Callable[..., Any], arguments: tuple[tuple[str, Any], ...]) -> Any:
    """The one solid (an OCP TopoDS_Solid) that `function(**arguments)` makes, where it left it.

    Raises: RecipeError when the function fails or does not give one valid solid.
    """
    name = getattr(function, "__name__", repr(function))
    result = run_authored(f"form function {name}", "", function, **dict(arguments))
    if result is None:
        raise RecipeError(f"form function {name} returned nothing; return {_FORMS}")
    shapes = _shapes(result)
    found = [solid for shape in shapes for solid in solids_in(shape)]
    if len(found) > 1:
        raise RecipeError(
            f"form function {name} returned {len(found)} solids; a part is one: fuse or split them"
        )
    if not found:
        held = ", ".join(s.ShapeType().name.removeprefix("TopAbs_").lower() for s in shapes)
        what = f"{type(result).__name__} holding {held}" if held else type(result).__name__
        raise RecipeError(f"form function {name} returned no solid ({what}); return {_FORMS}")
    solid = _standing_alone(found[0])
    if not BRepCheck_Analyzer(solid).IsValid():
        raise RecipeError(f"form function {name} returned a solid that the kernel calls invalid")
    return solid


def custom_form(function: Callable[..., Any], **arguments: Any) -> Custom:
    """The form that a CadQuery function makes, for a part the other forms do not cover.

    `function` is run once here, to measure it, and once for each build of the part's solid; the same
    arguments must give the same solid. The solid stays where the function left it: that is the
    part's own frame, length along x, width along y, thickness along z.

    Args:
        function: called with `arguments`; returns a Workplane, Solid or other Shape with one solid (mm).
        arguments: its keyword arguments.

    Raises: RecipeError when the function fails or does not give one valid solid.
    """
    pairs = tuple(sorted(arguments.items()))
    try:
        hash(pairs)
    except TypeError:
        given = ", ".join(f"{word}={value!r}" for word, value in pairs)
        raise RecipeError(
            f"form function {getattr(function, '__name__', function)}: its arguments ({given}) tell parts"
            " apart, so they must be numbers, words or tuples of them; write a list as a tuple"
        ) from None
    found = measure(run_custom_function(function, pairs))
    name = getattr(function, "__name__", "custom form").replace("_", " ")
    return Custom(name, function, pairs, found.box, found.volume_mm3, found.centroid_mm, found.flat)
