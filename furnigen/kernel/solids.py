"""From a part's description to its solid, exactly: planes, cylinders and cones, no splines.

A form says what its solid is: its flat faces, or one of the few shapes of `furnigen.parts.solid_recipe`.
Here they become solids of the kernel (an OCP TopoDS_Solid, which `furnigen.kernel.cadquery_out` hands out
as a CadQuery Solid); no form is named. The same form gives the same faces in the same order each time, so
files made of them repeat byte for byte.
"""

from __future__ import annotations

from typing import Any

from OCP.BRepAlgoAPI import BRepAlgoAPI_Common, BRepAlgoAPI_Cut
from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeWire
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepPrimAPI import (
    BRepPrimAPI_MakeBox,
    BRepPrimAPI_MakeCone,
    BRepPrimAPI_MakeCylinder,
    BRepPrimAPI_MakePrism,
    BRepPrimAPI_MakeRevol,
)
from OCP.GC import GC_MakeArcOfCircle
from OCP.gp import gp_Ax1, gp_Ax2, gp_Dir, gp_Pnt, gp_Vec
from OCP.TopTools import TopTools_ListOfShape

from furnigen.core.errors import GeometryError
from furnigen.core.pose import Vector
from furnigen.kernel.custom import run_custom_function
from furnigen.kernel.flat_solid import flat_solid
from furnigen.kernel.shapes import FAILURES, solids_in
from furnigen.parts.cuts import BoxCut, Cut, ProfileCut, Turned
from furnigen.parts.forms.form import Form
from furnigen.parts.forms.outline import Point2
from furnigen.parts.part import Part
from furnigen.parts.polyhedron import polyhedron_of
from furnigen.parts.solid_recipe import Extrusion, Frustum, Revolution, Side, SolidRecipe, Trimmed
from furnigen.piece.description import Piece

Solid = Any
"""An OCP TopoDS_Solid; the kernel's binding carries no types."""

_REFUSED: tuple[type[Exception], ...] = (GeometryError, *FAILURES)
_SPARE_MM = 1.0
"""How far a tool reaches beyond what it must cut: any length does."""


def _frustum(shape: Frustum) -> Solid:
    start, direction = gp_Pnt(*shape.start), gp_Dir(*shape.direction)
    axis = gp_Ax2(start, direction, gp_Dir(*shape.seam)) if shape.seam else gp_Ax2(start, direction)
    if shape.radius == shape.end_radius:
        return BRepPrimAPI_MakeCylinder(axis, shape.radius, shape.length).Solid()
    return BRepPrimAPI_MakeCone(axis, shape.radius, shape.end_radius, shape.length).Solid()


def _cylinder(start: Vector, direction: Vector, diameter: float, length: float) -> Solid:
    return _frustum(Frustum(start, direction, diameter / 2, diameter / 2, length))


def _extrusion(shape: Extrusion) -> Solid:
    def at(p: Point2) -> Any:
        return gp_Pnt(*shape.pose.apply((*p, 0.0)))

    wire = BRepBuilderAPI_MakeWire()
    start = at(shape.sides[-1].end)
    for side in shape.sides:
        end = at(side.end)
        curve = GC_MakeArcOfCircle(start, at(side.through), end).Value() if side.through else None
        wire.Add((BRepBuilderAPI_MakeEdge(curve) if curve else BRepBuilderAPI_MakeEdge(start, end)).Edge())
        start = end
    rise = shape.pose.turn((0.0, 0.0, shape.height))
    return solids_in(
        BRepPrimAPI_MakePrism(BRepBuilderAPI_MakeFace(wire.Wire()).Face(), gp_Vec(*rise)).Shape()
    )[0]


def _revolution(shape: Revolution) -> Solid:
    def at(x: float, r: float) -> Any:
        return gp_Pnt(*shape.pose.apply((x, r, 0.0)))

    (first, _), (last, _) = shape.profile[0], shape.profile[-1]
    corners = [at(first, 0.0), *(at(x, r) for x, r in shape.profile), at(last, 0.0)]
    wire = BRepBuilderAPI_MakeWire()
    for one, two in zip(corners, corners[1:] + corners[:1], strict=True):
        wire.Add(BRepBuilderAPI_MakeEdge(one, two).Edge())
    axis = gp_Ax1(at(first, 0.0), gp_Dir(*shape.pose.turn((1.0, 0.0, 0.0))))
    return solids_in(BRepPrimAPI_MakeRevol(BRepBuilderAPI_MakeFace(wire.Wire()).Face(), axis).Shape())[0]


def _made(recipe: SolidRecipe) -> Solid:
    """The solid of a form that is not all flat faces, from how the form says it is made."""
    if isinstance(recipe, Frustum):
        return _frustum(recipe)
    if isinstance(recipe, Trimmed):
        slab = BRepPrimAPI_MakeBox(gp_Pnt(*recipe.box.lo), gp_Pnt(*recipe.box.hi)).Solid()
        return _boolean(BRepAlgoAPI_Common(), _frustum(recipe.shape), [slab])
    if isinstance(recipe, Extrusion):
        return _extrusion(recipe)
    if isinstance(recipe, Revolution):
        return _revolution(recipe)
    return run_custom_function(recipe.function, recipe.arguments)


def _turning_tool(cut: Turned, form: Form) -> Solid:
    """A block beyond the shoulder, wide enough for the whole form, with the tenon bored out of it."""
    box = form.bounds()
    reach = sum(box.size) + cut.diameter + _SPARE_MM
    o, n, a = cut.origin, cut.normal, cut.axis
    helper = gp_Ax2(gp_Pnt(*o), gp_Dir(*n))
    x, y = helper.XDirection(), helper.YDirection()
    corner = gp_Pnt(*(o[i] - reach * (x.Coord(i + 1) + y.Coord(i + 1)) for i in range(3)))
    block = BRepPrimAPI_MakeBox(gp_Ax2(corner, gp_Dir(*n), x), 2 * reach, 2 * reach, reach).Solid()
    start: Vector = (o[0] - reach * a[0], o[1] - reach * a[1], o[2] - reach * a[2])
    return _boolean(BRepAlgoAPI_Cut(), block, [_cylinder(start, a, cut.diameter, 4 * reach)])


def _tool(cut: Cut, form: Form) -> Solid:
    if isinstance(cut, Turned):
        return _turning_tool(cut, form)
    if isinstance(cut, BoxCut):
        turn = cut.pose.turn
        axes = gp_Ax2(
            gp_Pnt(*cut.pose.origin), gp_Dir(*turn((0.0, 0.0, 1.0))), gp_Dir(*turn((1.0, 0.0, 0.0)))
        )
        return BRepPrimAPI_MakeBox(axes, *cut.size).Solid()
    if isinstance(cut, ProfileCut):
        return _extrusion(Extrusion(tuple(Side(p) for p in cut.outline), cut.length, cut.pose))
    return _cylinder(cut.start, cut.direction, cut.diameter, cut.depth)


def _boolean(operation: Any, target: Solid, tools: list[Solid]) -> Solid:
    """`target` after one operation with all `tools`; GeometryError unless one solid comes out."""
    ones, others = TopTools_ListOfShape(), TopTools_ListOfShape()
    ones.Append(target)
    for tool in tools:
        others.Append(tool)
    operation.SetArguments(ones)
    operation.SetTools(others)
    operation.SetRunParallel(False)
    operation.SetNonDestructive(True)
    operation.Build()
    if not operation.IsDone():
        raise GeometryError("the kernel could not cut it")
    found = solids_in(operation.Shape())
    if len(found) != 1:
        raise GeometryError(
            f"its cuts leave {len(found)} pieces, where a part is one" if found else "its cuts leave nothing"
        )
    return found[0]


def solid(part: Part) -> Solid:
    """The solid of one part, joints cut, in the part's own frame.

    What has flat faces only is put together from them; the cuts that are no such thing are taken out by one
    operation, which costs less than one for each. The kernel's own check is asked of all but plain boards and
    square legs that needed no operation: it takes ten times as long as they do.

    Raises:
        RecipeError: a user's own function fails.
        GeometryError: naming the part, when the kernel makes no valid single solid of it.
    """
    flat = polyhedron_of(part.form, part.cuts)
    try:
        if flat is None:
            shape, cuts = _made(part.form.solid_recipe()), part.cuts
        else:
            shape, cuts = flat_solid(flat[0]), flat[1]
        if cuts:
            shape = _boolean(BRepAlgoAPI_Cut(), shape, [_tool(c, part.form) for c in cuts])
    except _REFUSED as error:
        raise GeometryError(f"part {part.name!r}: {error}") from error
    sure = flat is not None and not cuts and part.form.always_sound
    if not sure and not BRepCheck_Analyzer(shape).IsValid():
        raise GeometryError(f"part {part.name!r}: the kernel calls its solid invalid")
    return shape


def solids(piece: Piece) -> tuple[Solid, ...]:
    """The solid of every part of `piece`, each built once, in the order of `piece.parts`.

    Raises: as `solid`.
    """
    return tuple(solid(part) for part in piece.parts)
