"""From a part's description to its solid, exactly: planes, cylinders and cones, no splines.

Each form has one small pure function from dimensions to a solid of the kernel (an OCP TopoDS_Solid,
which `furnigen.kernel.cadquery_out` hands out as a CadQuery Solid). The same form gives the same faces in
the same order each time, so files made of them repeat byte for byte.
"""

from __future__ import annotations

from math import cos, radians, sin
from typing import Any

from OCP.BRepAlgoAPI import BRepAlgoAPI_Common, BRepAlgoAPI_Cut
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox, BRepPrimAPI_MakeCone, BRepPrimAPI_MakeCylinder
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt
from OCP.TopTools import TopTools_ListOfShape

from furnigen.core.errors import GeometryError
from furnigen.core.pose import Vector
from furnigen.kernel.custom import run_custom_function
from furnigen.kernel.flat_solid import flat_solid
from furnigen.kernel.shapes import FAILURES, solids_in
from furnigen.parts.cuts import BoxCut, Cut, Turned
from furnigen.parts.forms.bounds import bounds
from furnigen.parts.forms.custom import Custom
from furnigen.parts.forms.form import Form
from furnigen.parts.forms.prism import Prism
from furnigen.parts.forms.rod import Rod
from furnigen.parts.forms.square_leg import SquareLeg
from furnigen.parts.forms.turned_leg import TurnedLeg
from furnigen.parts.part import Part
from furnigen.parts.polyhedron import polyhedron_of
from furnigen.piece.description import Piece

Solid = Any
"""An OCP TopoDS_Solid; the kernel's binding carries no types."""

_REFUSED: tuple[type[Exception], ...] = (GeometryError, *FAILURES)
_SPARE_MM = 1.0
"""How far a leg's blank reaches beyond its level cuts: any length does, the cuts take it off."""
_POINT_MM = 1e-6
"""An end of a cone that is thinner comes to a point: the kernel takes none but a true one."""
_CYLINDER_MM = 1e-6
"""Diameters closer than this make a cylinder: the kernel refuses a cone that steep."""


def _cylinder(start: Vector, direction: Vector, diameter: float, length: float) -> Solid:
    axis = gp_Ax2(gp_Pnt(*start), gp_Dir(*direction))
    return BRepPrimAPI_MakeCylinder(axis, diameter / 2, length).Solid()


def _rod(form: Rod) -> Solid:
    r = form.diameter / 2
    return _cylinder((0.0, r, r), (1.0, 0.0, 0.0), form.diameter, form.length)


def _round_taper(form: TurnedLeg, below: float, above: float) -> Solid:
    """The round blank about the leg's axis, `below` and `above` longer than the leg's axis (mm)."""
    lean = radians(form.lean)
    up: Vector = (-sin(lean), 0.0, cos(lean))
    s = form.axis_length + below
    axis = gp_Ax2(gp_Pnt(-s * up[0], 0.0, form.height - s * up[2]), gp_Dir(*up), gp_Dir(0.0, 1.0, 0.0))
    slope = (form.top - form.foot) / 2 / form.axis_length
    if abs(form.top - form.foot) < _CYLINDER_MM:
        return BRepPrimAPI_MakeCylinder(axis, form.top / 2, s + above).Solid()
    low, high = form.foot / 2 - slope * below, form.top / 2 + slope * above
    low, high = (r if r > _POINT_MM else 0.0 for r in (low, high))
    return BRepPrimAPI_MakeCone(axis, low, high, s + above).Solid()


def _turned_leg(form: TurnedLeg) -> Solid:
    """A longer round taper about the leg's axis, cut off by a slab between the two level planes."""
    if form.lean == 0.0:
        return _round_taper(form, 0.0, 0.0)
    h, lean = form.height, radians(form.lean)
    up: Vector = (-sin(lean), 0.0, cos(lean))
    above = form.support(up) - h * up[2] + _SPARE_MM
    below = form.support((-up[0], 0.0, -up[2])) + h * up[2] - form.axis_length + _SPARE_MM
    slope = (form.top - form.foot) / 2 / form.axis_length
    if slope > 0:  # no further than the apex, which lies beyond the level planes
        below = min(below, form.foot / 2 / slope)
    elif slope < 0:
        above = min(above, form.top / 2 / -slope)
    box = bounds(form)
    (x0, y0, _), (x1, y1, _) = box.lo, box.hi
    low, high = gp_Pnt(x0 - _SPARE_MM, y0 - _SPARE_MM, 0.0), gp_Pnt(x1 + _SPARE_MM, y1 + _SPARE_MM, h)
    slab = BRepPrimAPI_MakeBox(low, high).Solid()
    return _boolean(BRepAlgoAPI_Common(), _round_taper(form, below, above), [slab])


def _form_solid(form: Form) -> Solid:
    if isinstance(form, Rod):
        return _rod(form)
    if isinstance(form, TurnedLeg):
        return _turned_leg(form)
    if isinstance(form, Custom):
        return run_custom_function(form.function, form.arguments)
    raise GeometryError(f"no solid is known for a form of type {type(form).__name__}")


def _turning_tool(cut: Turned, form: Form) -> Solid:
    """A block beyond the shoulder, wide enough for the whole form, with the tenon bored out of it."""
    box = bounds(form)
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


def _always_sound(form: Form) -> bool:
    """Whether its polyhedron is sound at any sizes; an outline of an author's own may cross itself."""
    return isinstance(form, SquareLeg) or (isinstance(form, Prism) and form.rectangular)


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
        shape, cuts = (_form_solid(part.form), part.cuts) if flat is None else (flat_solid(flat[0]), flat[1])
        if cuts:
            shape = _boolean(BRepAlgoAPI_Cut(), shape, [_tool(c, part.form) for c in cuts])
    except _REFUSED as error:
        raise GeometryError(f"part {part.name!r}: {error}") from error
    sure = flat is not None and not cuts and _always_sound(part.form)
    if not sure and not BRepCheck_Analyzer(shape).IsValid():
        raise GeometryError(f"part {part.name!r}: the kernel calls its solid invalid")
    return shape


def solids(piece: Piece) -> tuple[Solid, ...]:
    """The solid of every part of `piece`, each built once, in the order of `piece.parts`.

    Raises: as `solid`.
    """
    return tuple(solid(part) for part in piece.parts)
