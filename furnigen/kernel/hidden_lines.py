"""Lines of solids that are seen, and that are hidden, from one direction: the kernel's exact algorithm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, ceil, degrees, hypot
from typing import Any

import numpy as np
from OCP.BRep import BRep_Builder
from OCP.BRepAdaptor import BRepAdaptor_Curve
from OCP.GeomAbs import GeomAbs_Circle, GeomAbs_Line
from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt, gp_Trsf
from OCP.HLRAlgo import HLRAlgo_Projector
from OCP.HLRBRep import HLRBRep_Algo, HLRBRep_HLRToShape, HLRBRep_TypeOfResultingEdge
from OCP.TopLoc import TopLoc_Location
from OCP.TopoDS import TopoDS_Compound

from furnigen.core.pose import Pose, Vector, cross, dot
from furnigen.kernel.shapes import edges_in

Flat = tuple[float, float]
_KINDS = (HLRBRep_TypeOfResultingEdge.HLRBRep_Sharp, HLRBRep_TypeOfResultingEdge.HLRBRep_OutLine)
_SQUARE = 1e-9
_ON_MM = 0.01
"""A line this near an edge of a solid is part of it."""
_CHORD_MM = 0.05
"""How far the chords of an ellipse may leave it."""


@dataclass(frozen=True)
class RawLine:
    """One line of a view, in the plane of the view (mm).

    Attributes:
        owner: which of the solids it belongs to.
        visible: whether it is seen.
        points: of a straight line its two ends, of other curves chords; for an arc its two ends.
        arc: centre, radius, start and end (degrees, counter-clockwise) of a circle seen square.
    """

    owner: int
    visible: bool
    points: tuple[Flat, ...]
    arc: tuple[Flat, float, float, float] | None = None


def hidden_lines(solids: Sequence[tuple[Any, Pose]], right: Vector, up: Vector) -> list[RawLine]:
    """The lines of some solids, each standing at its pose, seen against `right` x `up`.

    Args:
        solids: OCP solids and where they stand.
        right, up: unit vectors of the plane of the view, square to each other.
    """
    if not solids:
        return []
    builder, whole = BRep_Builder(), TopoDS_Compound()
    builder.MakeCompound(whole)
    placed = []
    for shape, pose in solids:
        m, move = pose.matrix(), gp_Trsf()
        move.SetValues(*m[0], *m[1], *m[2])
        moved = shape.Moved(TopLoc_Location(move))
        builder.Add(whole, moved)
        placed.append(moved)
    toward = cross(right, up)
    algorithm = HLRBRep_Algo()
    algorithm.Add(whole)
    algorithm.Projector(HLRAlgo_Projector(gp_Ax2(gp_Pnt(0, 0, 0), gp_Dir(*toward), gp_Dir(*right))))
    algorithm.Update()
    algorithm.Hide()
    out = HLRBRep_HLRToShape(algorithm)
    curves: list[tuple[bool, Any]] = []
    for kind in _KINDS:
        for visible in (True, False):
            found = out.CompoundOfEdges(kind, visible, True)
            if found is not None and not found.IsNull():
                curves += [(visible, BRepAdaptor_Curve(edge)) for edge in edges_in(found)]
    owners = _owners([c for _, c in curves], placed, toward)
    lines = []
    for (visible, curve), owner in zip(curves, owners, strict=True):
        drawn = _flattened(curve, right, up, toward)
        if drawn is not None:
            lines.append(RawLine(owner, visible, *drawn))
    return lines


def _xyz(p: Any) -> Vector:
    return (p.X(), p.Y(), p.Z())


def _flattened(
    curve: Any, right: Vector, up: Vector, toward: Vector
) -> tuple[tuple[Flat, ...], tuple[Flat, float, float, float] | None] | None:
    """A curve as seen: points, and the arc it is; None for one that is seen as a point."""

    def seen(t: float) -> Flat:
        p = _xyz(curve.Value(t))
        return dot(p, right), dot(p, up)

    first, last = curve.FirstParameter(), curve.LastParameter()
    a, b = seen(first), seen(last)
    kind = curve.GetType()
    if kind == GeomAbs_Line:
        return None if hypot(b[0] - a[0], b[1] - a[1]) < _ON_MM / 10 else ((a, b), None)
    if kind == GeomAbs_Circle:
        circle = curve.Circle()
        axis, centre = _xyz(circle.Axis().Direction()), _xyz(circle.Location())
        across = dot(axis, toward)
        c = (dot(centre, right), dot(centre, up))
        if abs(abs(across) - 1.0) < _SQUARE:
            if across < 0:
                a, b = b, a
            start = degrees(atan2(a[1] - c[1], a[0] - c[0]))
            swept = degrees(last - first)
            return (a, b), (c, circle.Radius(), start, start + swept)
        if abs(across) < _SQUARE:
            many = [seen(first + (last - first) * k / 24) for k in range(25)]
            ends = (min(many), max(many))
            return (ends, None) if ends[0] != ends[1] else None
    steps = max(12, ceil(24 * abs(last - first) / 6.283)) if kind == GeomAbs_Circle else 24
    return tuple(seen(first + (last - first) * k / steps) for k in range(steps + 1)), None


def _owners(curves: Sequence[Any], placed: Sequence[Any], toward: Vector) -> list[int]:
    """Which solid each curve belongs to: one with an edge there; of several the foremost.

    A silhouette lies on no edge: it belongs to the smallest solid whose box holds it.
    """
    if not curves:
        return []
    starts, ends, straight, centres, round_ones = [], [], [], [], []
    boxes = []
    for k, shape in enumerate(placed):
        points = []
        for edge in edges_in(shape):
            curve = BRepAdaptor_Curve(edge)
            first, last = curve.FirstParameter(), curve.LastParameter()
            if curve.GetType() == GeomAbs_Circle:
                centres.append(_circle(curve))
                round_ones.append(k)
            steps = 1 if curve.GetType() == GeomAbs_Line else 4
            at = [_xyz(curve.Value(first + (last - first) * n / steps)) for n in range(steps + 1)]
            points += at
            if steps == 1:
                starts.append(at[0])
                ends.append(at[1])
                straight.append(k)
        boxes.append((np.min(points, axis=0), np.max(points, axis=0)))
    lo, hi = np.array([x for x, _ in boxes]), np.array([y for _, y in boxes])
    depth = (lo + hi) @ np.array(toward)
    volume = np.prod(hi - lo + 1e-3, axis=1)
    a, b = np.array(starts).reshape(-1, 3), np.array(ends).reshape(-1, 3)
    along = b - a
    long2 = np.maximum((along**2).sum(axis=1), 1e-12)
    lines, circles = np.array(straight, dtype=int), np.array(round_ones, dtype=int)
    rings = np.array(centres).reshape(-1, 4)
    result = []
    for curve in curves:
        middle = np.array(_xyz(curve.Value((curve.FirstParameter() + curve.LastParameter()) / 2)))
        on = lines[:0]
        if curve.GetType() == GeomAbs_Line:
            t = ((middle - a) * along).sum(axis=1) / long2
            off = ((a + along * np.clip(t, 0.0, 1.0)[:, None] - middle) ** 2).sum(axis=1)
            on = lines[off < _ON_MM**2]
        elif curve.GetType() == GeomAbs_Circle:
            on = circles[(np.abs(rings - _circle(curve)) < _ON_MM).all(axis=1)]
        if not len(on):
            inside = np.flatnonzero(((lo - 0.5 <= middle) & (middle <= hi + 0.5)).all(axis=1))
            if len(inside):
                result.append(int(inside[np.argmin(volume[inside])]))
                continue
            away = np.maximum(np.maximum(lo - middle, middle - hi), 0.0).sum(axis=1)
            result.append(int(np.argmin(away)))
            continue
        result.append(int(on[np.argmax(depth[on])]))
    return result


def _circle(curve: Any) -> tuple[float, float, float, float]:
    circle = curve.Circle()
    return (*_xyz(circle.Location()), circle.Radius())
