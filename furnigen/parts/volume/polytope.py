"""Convex polyhedra cut by planes, exactly: the closed form of every flat-sided cut.

A polyhedron is its faces, each a loop of corners counter-clockwise seen from outside; clipping it by a
half-space clips every face and closes the hole with one new face. Volume and first moments are sums
over tetrahedra from one corner. Rounding is that of doubles: no grid, no tolerance but `ON_MM`.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import atan2

from furnigen.core.pose import Box, Pose, Vector, cross, dot, unit
from furnigen.parts.forms.outline import Outline

ON_MM = 1e-7
"""A corner this close to a plane lies on it: a thousandth of `SAME_MM`, far above rounding."""

Moments = tuple[float, float, float, float]
"""Volume and its first moments about the three coordinate planes (mm³, mm⁴)."""
NOTHING: Moments = (0.0, 0.0, 0.0, 0.0)


@dataclass(frozen=True)
class HalfSpace:
    """All points p with normal · p at most `reach`; `normal` is a unit vector (mm)."""

    normal: Vector
    reach: float


PolytopeFaces = tuple[tuple[Vector, ...], ...]


def added(a: Moments, b: Moments, sign: float = 1.0) -> Moments:
    """a + sign b."""
    return (a[0] + sign * b[0], a[1] + sign * b[1], a[2] + sign * b[2], a[3] + sign * b[3])


def overlap(a: Box, b: Box) -> bool:
    """Whether two boxes share more than touching."""
    return all(a.lo[i] < b.hi[i] - ON_MM and b.lo[i] < a.hi[i] - ON_MM for i in range(3))


def prism_faces(outline: Outline, z0: float, z1: float) -> PolytopeFaces:
    """The faces of a convex counter-clockwise outline from height `z0` to `z1` (mm)."""
    low = tuple((x, y, z0) for x, y in outline)
    high = tuple((x, y, z1) for x, y in outline)
    n = len(outline)
    sides = tuple((low[i], low[(i + 1) % n], high[(i + 1) % n], high[i]) for i in range(n))
    return (low[::-1], high, *sides)


def box_half_spaces(pose: Pose, size: Vector) -> tuple[HalfSpace, ...]:
    """The six half-spaces of a box of `size` along the axes of `pose`, from its origin (mm)."""
    found = []
    for axis, extent in enumerate(size):
        n: Vector = (pose.rotation[0][axis], pose.rotation[1][axis], pose.rotation[2][axis])
        at = dot(n, pose.origin)
        found.append(HalfSpace(n, at + extent))
        found.append(HalfSpace((-n[0], -n[1], -n[2]), -at))
    return tuple(found)


def prism_half_spaces(pose: Pose, outline: Outline, length: float) -> tuple[HalfSpace, ...]:
    """Those of a convex counter-clockwise outline drawn along z of `pose` from its origin (mm)."""
    up = pose.turn((0.0, 0.0, 1.0))
    at = dot(up, pose.origin)
    found = [HalfSpace(up, at + length), HalfSpace((-up[0], -up[1], -up[2]), -at)]
    for (x0, y0), (x1, y1) in zip(outline, outline[1:] + outline[:1], strict=True):
        n = pose.turn(unit((y1 - y0, x0 - x1, 0.0)))
        found.append(HalfSpace(n, dot(n, pose.apply((x0, y0, 0.0)))))
    return tuple(found)


def clipped(faces: PolytopeFaces, by: HalfSpace) -> PolytopeFaces:
    """What of a polyhedron lies in a half-space; no faces when nothing does."""
    off = {p: dot(by.normal, p) - by.reach for face in faces for p in face}
    if all(d <= ON_MM for d in off.values()):
        return faces
    if all(d >= -ON_MM for d in off.values()):
        return ()
    kept: list[tuple[Vector, ...]] = []
    rim: list[Vector] = []
    crossings: dict[tuple[Vector, Vector], Vector] = {}
    for face in faces:
        loop: list[Vector] = []
        for p, q in zip(face, (*face[1:], face[0]), strict=True):
            dp, dq = off[p], off[q]
            if dp <= ON_MM:
                loop.append(p)
                if dp >= -ON_MM:
                    rim.append(p)
            if (dp > ON_MM and dq < -ON_MM) or (dp < -ON_MM and dq > ON_MM):
                # the two faces of an edge run along it opposite ways and must share one point
                edge = (p, q) if p < q else (q, p)
                if edge not in crossings:
                    u, v = edge
                    s = off[u] / (off[u] - off[v])
                    crossings[edge] = (
                        u[0] + s * (v[0] - u[0]),
                        u[1] + s * (v[1] - u[1]),
                        u[2] + s * (v[2] - u[2]),
                    )
                loop.append(crossings[edge])
                rim.append(crossings[edge])
        if len(loop) >= 3 and any(off.get(p, 0.0) < -ON_MM for p in loop):
            kept.append(tuple(loop))
    lid = _lid(rim, by.normal)
    return (*kept, lid) if len(lid) >= 3 else tuple(kept)


def _lid(rim: list[Vector], normal: Vector) -> tuple[Vector, ...]:
    """The new face: the corners on the plane, in order round their middle."""
    points = list(dict.fromkeys(rim))
    n = len(points)
    middle: Vector = (
        sum(p[0] for p in points) / n,
        sum(p[1] for p in points) / n,
        sum(p[2] for p in points) / n,
    )
    helper: Vector = (1.0, 0.0, 0.0) if abs(normal[0]) < 0.9 else (0.0, 1.0, 0.0)
    u = unit(cross(helper, normal))
    v = cross(normal, u)

    def angle(p: Vector) -> float:
        d = (p[0] - middle[0], p[1] - middle[1], p[2] - middle[2])
        return atan2(dot(d, v), dot(d, u))

    return tuple(sorted(points, key=angle))


def within(faces: PolytopeFaces, half_spaces: tuple[HalfSpace, ...]) -> PolytopeFaces:
    """What of a polyhedron lies in all of some half-spaces."""
    for h in half_spaces:
        if not faces:
            return ()
        faces = clipped(faces, h)
    return faces


def moments_of(faces: PolytopeFaces) -> Moments:
    """Volume (mm³) and first moments (mm⁴)."""
    if not faces:
        return NOTHING
    o = faces[0][0]
    v = mx = my = mz = 0.0
    for face in faces:
        a = (face[0][0] - o[0], face[0][1] - o[1], face[0][2] - o[2])
        for p, q in pairwise(face[1:]):
            b = (p[0] - o[0], p[1] - o[1], p[2] - o[2])
            c = (q[0] - o[0], q[1] - o[1], q[2] - o[2])
            t = dot(a, cross(b, c)) / 6
            v += t
            mx += t * (a[0] + b[0] + c[0]) / 4
            my += t * (a[1] + b[1] + c[1]) / 4
            mz += t * (a[2] + b[2] + c[2]) / 4
    return (v, mx + v * o[0], my + v * o[1], mz + v * o[2])
