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

from furnigen.core.array_types import Floats, Ints
from furnigen.core.pose import Pose, Vector, cross, dot
from furnigen.kernel.shapes import edges_in

Flat = tuple[float, float]
_KINDS = (HLRBRep_TypeOfResultingEdge.HLRBRep_Sharp, HLRBRep_TypeOfResultingEdge.HLRBRep_OutLine)
_SQUARE = 1e-9
_ON_MM = 0.01
"""A line this near an edge of a solid is part of it."""
_AT_ONCE = 2000
"""Curves looked at together, which bounds the memory."""
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
    for shape, pose in solids:
        m, move = pose.matrix(), gp_Trsf()
        move.SetValues(*m[0], *m[1], *m[2])
        builder.Add(whole, shape.Moved(TopLoc_Location(move)))
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
    owners = _owners([c for _, c in curves], solids, toward)
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


@dataclass(frozen=True)
class _Edges:
    """Edges of one solid, in its own frame (mm).

    Attributes:
        lines: (n, 2, 3) ends of straight ones.
        rings: (m, 4) centre and radius of round ones.
        points: (k, 3) ends of all, and points between of curved ones.
    """

    lines: Floats
    rings: Floats
    points: Floats


def _edges_of(shape: Any) -> _Edges:
    lines, rings, points = [], [], []
    for edge in edges_in(shape):
        curve = BRepAdaptor_Curve(edge)
        first, last = curve.FirstParameter(), curve.LastParameter()
        kind = curve.GetType()
        if kind == GeomAbs_Circle:
            rings.append(_circle(curve))
        steps = 1 if kind == GeomAbs_Line else 4
        at = [_xyz(curve.Value(first + (last - first) * n / steps)) for n in range(steps + 1)]
        points += at
        if steps == 1:
            lines.append(at)
    return _Edges(
        np.array(lines).reshape(-1, 2, 3), np.array(rings).reshape(-1, 4), np.array(points).reshape(-1, 3)
    )


def _owners(curves: Sequence[Any], solids: Sequence[tuple[Any, Pose]], toward: Vector) -> list[int]:
    """Which solid each curve belongs to: one with an edge there; of several the foremost.

    A silhouette lies on no edge: it belongs to the smallest solid whose box holds it.
    """
    if not curves:
        return []
    own: dict[int, _Edges] = {}
    lines, rings, boxes = [], [], []
    for shape, pose in solids:
        if id(shape) not in own:
            own[id(shape)] = _edges_of(shape)
        edges = own[id(shape)]
        turn, move = np.array(pose.rotation), np.array(pose.origin)
        lines.append(edges.lines @ turn.T + move)
        rings.append(np.hstack([edges.rings[:, :3] @ turn.T + move, edges.rings[:, 3:]]))
        points = edges.points @ turn.T + move
        boxes.append((points.min(axis=0), points.max(axis=0)))
    lo, hi = np.array([x for x, _ in boxes]), np.array([y for _, y in boxes])
    depth = (lo + hi) @ np.array(toward)
    volume = np.prod(hi - lo + 1e-3, axis=1)
    kinds = [c.GetType() for c in curves]
    middles = np.array([_xyz(c.Value((c.FirstParameter() + c.LastParameter()) / 2)) for c in curves])
    result = np.empty(len(curves), dtype=np.int64)
    for first in range(0, len(curves), _AT_ONCE):
        m = middles[first : first + _AT_ONCE]
        within: Any = (lo - 0.5 <= m[:, None]) & (m[:, None] <= hi + 0.5)
        held = within.all(axis=2)
        away = np.maximum(np.maximum(lo - m[:, None], m[:, None] - hi), 0.0).sum(axis=2)
        smallest = np.argmin(np.where(held, volume, np.inf), axis=1)
        result[first : first + len(m)] = np.where(held.any(axis=1), smallest, np.argmin(away, axis=1))
        straight = np.flatnonzero([k == GeomAbs_Line for k in kinds[first : first + _AT_ONCE]])
        which, solid = np.nonzero(held[straight])
        _foremost(result, first + straight, *_on_lines(m[straight], which, solid, lines), depth)
    which, solid = _on_rings(
        [c if k == GeomAbs_Circle else None for c, k in zip(curves, kinds, strict=True)], rings
    )
    _foremost(result, np.arange(len(curves)), which, solid, depth)
    return [int(k) for k in result]


def _foremost(result: Ints, curves: Ints, which: Ints, solid: Ints, depth: Floats) -> None:
    """Give curves to the foremost of the solids that have an edge there.

    Args:
        curves: their numbers in `result`.
        which, solid: pairs of a place in `curves` and a solid.
    """
    # the last one written stays: the foremost, of those at one depth the first
    order = np.lexsort((-solid, depth[solid], which))
    result[curves[which[order]]] = solid[order]


def _on_lines(middles: Floats, which: Ints, solid: Ints, lines: Sequence[Floats]) -> tuple[Ints, Ints]:
    """Of pairs of a straight curve and a solid near it, those where it lies on an edge."""
    if not len(which):
        return which, solid
    count = np.array([len(e) for e in lines])
    every, start = np.concatenate(lines), np.concatenate([[0], np.cumsum(count)[:-1]])
    often = count[solid]
    pair = np.repeat(np.arange(len(which)), often)
    within = np.arange(len(pair)) - np.repeat(np.cumsum(often) - often, often)
    edge = every[start[solid[pair]] + within]
    a, along, middle = edge[:, 0], edge[:, 1] - edge[:, 0], middles[which[pair]]
    long2 = np.maximum((along**2).sum(axis=1), 1e-12)
    t = np.clip(((middle - a) * along).sum(axis=1) / long2, 0.0, 1.0)
    off = ((a + along * t[:, None] - middle) ** 2).sum(axis=1)
    on = np.unique(pair[off < _ON_MM**2])
    return which[on], solid[on]


def _on_rings(curves: Sequence[Any], rings: Sequence[Floats]) -> tuple[Ints, Ints]:
    """Pairs of a round curve, None where it is not, and a solid that has that circle."""
    owner = np.repeat(np.arange(len(rings)), [len(r) for r in rings])
    every = np.concatenate(rings)
    which, solid = [], []
    for k, curve in enumerate(curves):
        if curve is not None:
            on = owner[(np.abs(every - _circle(curve)) < _ON_MM).all(axis=1)]
            which += [k] * len(on)
            solid += on.tolist()
    return np.array(which, dtype=np.int64), np.array(solid, dtype=np.int64)


def _circle(curve: Any) -> tuple[float, float, float, float]:
    circle = curve.Circle()
    return (*_xyz(circle.Location()), circle.Radius())
