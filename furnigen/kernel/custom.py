"""Forms of an author's own: a CadQuery function is run, a shape taken as it is; each must be one solid."""

from __future__ import annotations

from collections.abc import Callable
from hashlib import sha256
from io import BytesIO
from typing import Any

from OCP.BRep import BRep_Builder, BRep_Tool
from OCP.BRepAdaptor import BRepAdaptor_Curve, BRepAdaptor_Surface
from OCP.BRepBuilderAPI import BRepBuilderAPI_Transform
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.BRepLib import BRepLib
from OCP.BRepTools import BRepTools
from OCP.GProp import GProp_GProps
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Shape

from furnigen.core.author_code import run_authored
from furnigen.core.errors import InputError, RecipeError, kind_of
from furnigen.kernel.measure import measure
from furnigen.kernel.shapes import edges_in, faces_in, solids_in
from furnigen.parts.forms.custom import Custom, GivenShape

_FORMS = "a CadQuery Workplane, Solid or other Shape that holds one solid"
_AREA_DIGITS, _LENGTH_DIGITS, _PLACE_DIGITS = 3, 4, 4
"""Decimals (mm2, mm, mm) to which the geometry of two shapes must agree for them to be one part."""
_LEAST_MM3 = 1e-3
"""A solid of less is none: no saw, sheet or printer makes it."""


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


class _NoSolidError(Exception):
    """What is wrong with a shape: a clause."""


def _one_solid(value: Any) -> Any:
    """The one valid solid within a CadQuery object, standing alone.

    Raises: _NoSolidError saying what came instead.
    """
    shapes = _shapes(value)
    found = [solid for shape in shapes for solid in solids_in(shape)]
    if len(found) > 1:
        raise _NoSolidError(f"{len(found)} solids; a part is one: fuse or split them")
    if not found:
        kinds = ", ".join(_kinds(value))
        what = f"{type(value).__name__} holding {kinds}" if kinds else type(value).__name__
        raise _NoSolidError(f"no solid ({what})")
    solid = _standing_alone(found[0])
    if not BRepCheck_Analyzer(solid).IsValid():
        raise _NoSolidError("a solid that the kernel calls invalid")
    return solid


def run_custom_function(function: Callable[..., Any], arguments: tuple[tuple[str, Any], ...]) -> Any:
    """The one solid (an OCP TopoDS_Solid) that `function(**arguments)` makes, where it left it.

    Raises: RecipeError when the function fails or does not give one valid solid.
    """
    name = getattr(function, "__name__", repr(function))
    result = run_authored(f"form function {name}", "", function, **dict(arguments))
    if result is None:
        raise RecipeError(f"form function {name} returned nothing; return {_FORMS}")
    try:
        return _one_solid(result)
    except _NoSolidError as error:
        fits = f"; return {_FORMS}" if str(error).startswith("no solid") else ""
        raise RecipeError(f"form function {name} returned {error}{fits}") from None


def form_of_shape(label: str, value: Any) -> Custom:
    """The form of a CadQuery object that holds one solid, where it stands: that is the part's own frame.

    Args:
        label: of the placement, for messages.
        value: a Workplane, a Shape (a Solid, or a Compound of one), or a shape of the kernel's binding OCP;
            mm.

    Raises: InputError naming what came, when it does not hold exactly one valid solid.
    """
    try:
        solid = _one_solid(value)
    except _NoSolidError as error:
        raise InputError(label, _came(value, str(error)), f"must be {_FORMS}", _way_out(value)) from None
    found = measure(solid)
    if found.volume_mm3 < _LEAST_MM3:
        raise InputError(label, f"a solid of {found.volume_mm3:g} mm3", "must have a volume")
    BRepTools.Clean_s(solid)  # a mesh that was made of it is no part of it
    text = BytesIO()
    BRepTools.Write_s(solid, text)
    given = GivenShape(_geometry_key(solid), text.getvalue().decode("ascii"))
    pairs = (("shape", given),)
    return Custom(
        "own form", solid_of_text, pairs, found.box, found.volume_mm3, found.centroid_mm, found.flat
    )


def _came(value: Any, fault: str) -> str:
    """What came, in words: its type, and what is in it."""
    kind = kind_of(value)
    if not fault.startswith("no solid"):
        return f"{kind} holding {fault}"
    inside = _kinds(value)
    if inside == ["shell"]:
        closed = BRep_Tool.IsClosed_s(_shapes(value)[0])
        return f"{kind}, {'a closed' if closed else 'an open'} shell and no solid"
    if inside and type(value).__name__.lower() not in inside:
        return f"{kind} holding {', '.join(inside)} and no solid"
    return f"{kind} holding nothing" if callable(getattr(value, "vals", None)) else kind


def _way_out(value: Any) -> str:
    """What would do instead, where that is known."""
    kinds = _kinds(value)
    if kinds == ["shell"]:
        return "a closed shell becomes one by cadquery.Solid.makeSolid; an open one encloses nothing"
    if callable(getattr(value, "end", None)) and kinds and not any(solids_in(s) for s in _shapes(value)):
        return "a Workplane gives what was selected last: select the solid, as by .solids() or .end()"
    if hasattr(value, "vertices") and not callable(value.vertices):
        return "a mesh has no exact faces to cut joints in"
    return ""


def _kinds(value: Any) -> list[str]:
    """What the kernel calls the shapes that came: "solid", "shell", "face" ..."""
    return [s.ShapeType().name.removeprefix("TopAbs_").lower() for s in _shapes(value)]


def solid_of_text(shape: GivenShape) -> Any:
    """The kernel's solid of a given shape, made anew."""
    read = TopoDS_Shape()
    BRepTools.Read_s(read, BytesIO(shape.brep.encode("ascii")), BRep_Builder())
    return read


def _geometry_key(solid: Any) -> str:
    """SHA-256 of where faces, edges and corners lie, whatever order they were made in."""
    rows: list[tuple[Any, ...]] = []
    for face in faces_in(solid):
        properties = GProp_GProps()
        BRepGProp.SurfaceProperties_s(face, properties)
        kind = BRepAdaptor_Surface(face).GetType().name
        rows.append((kind, _rounded(properties.Mass(), _AREA_DIGITS), *_place(properties.CentreOfMass())))
    for edge in edges_in(solid):
        curve = BRepAdaptor_Curve(edge)
        properties = GProp_GProps()
        BRepGProp.LinearProperties_s(edge, properties)
        ends = sorted(_place(curve.Value(at)) for at in (curve.FirstParameter(), curve.LastParameter()))
        length = _rounded(properties.Mass(), _LENGTH_DIGITS)
        rows.append((curve.GetType().name, length, *_place(properties.CentreOfMass()), *ends[0], *ends[1]))
    return sha256(repr(sorted(rows)).encode()).hexdigest()


def _rounded(value: float, digits: int) -> float:
    # rounding from a place that no round size lies at: equal sizes do not fall on two sides of it
    return round(value + 0.2718 * 10.0**-digits, digits) + 0.0


def _place(point: Any) -> tuple[float, float, float]:
    x, y, z = (_rounded(v, _PLACE_DIGITS) for v in point.Coord())
    return (x, y, z)


def custom_form(function: Callable[..., Any], **arguments: Any) -> Custom:
    """The form that a CadQuery function makes, for a part the other forms do not cover.

    `function` is run once here, to measure it, and once for each build of the part's solid; the same
    arguments must give the same solid. The solid stays where the function left it: that is the
    part's own frame, length along x, width along y, thickness along z.

    Args:
        function: called with `arguments`; returns a Workplane, Solid or other Shape with one solid (mm).
        arguments: its keyword arguments.

    Raises: RecipeError when the function fails or does not give one valid solid.

    >>> def knob(diameter, height):
    ...     import cadquery
    ...     return cadquery.Workplane().circle(diameter / 2).extrude(height)
    >>> round(custom_form(knob, diameter=30, height=20).volume_mm3)
    14137
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
