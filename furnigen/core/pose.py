"""Rigid poses: where one copy of a part stands.

A pose is a proper rotation followed by a shift, millimetres, row vectors of the rotation matrix
first. It can not mirror: a mirror image is another part (see `furnigen.piece.distinct_parts`). Kept in
plain tuples, so a description hashes, pickles and compares, and needs no array library.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, pi, sin, sqrt

Vector = tuple[float, float, float]
Matrix3 = tuple[Vector, Vector, Vector]

AXES = ("x", "y", "z")
IDENTITY3: Matrix3 = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))


def dot(a: Vector, b: Vector) -> float:
    """Scalar product of two vectors."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Vector, b: Vector) -> Vector:
    """Vector product, right-handed."""
    return (a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0])


def unit(a: Vector) -> Vector:
    """`a` scaled to length one."""
    n = sqrt(dot(a, a))
    return (a[0] / n, a[1] / n, a[2] / n)


def unsigned_zeros(a: Vector) -> Vector:
    """The vector with 0.0 for each -0.0, which equals it but is written otherwise."""
    return (a[0] + 0.0, a[1] + 0.0, a[2] + 0.0)


def axis_index(axis: str) -> int:
    """0, 1 or 2 for "x", "y" or "z"."""
    return AXES.index(axis)


def axis_vector(axis: int, sign: float = 1.0) -> Vector:
    """The vector of length one along axis 0, 1 or 2, or against it."""
    v = [0.0, 0.0, 0.0]
    v[axis] = sign
    return (v[0], v[1], v[2])


def _multiply(a: Matrix3, b: Matrix3) -> Matrix3:
    # spelled out: joints multiply poses many thousand times a piece
    (b00, b01, b02), (b10, b11, b12), (b20, b21, b22) = b
    (x0, y0, z0), (x1, y1, z1), (x2, y2, z2) = a
    return (
        (x0 * b00 + y0 * b10 + z0 * b20, x0 * b01 + y0 * b11 + z0 * b21, x0 * b02 + y0 * b12 + z0 * b22),
        (x1 * b00 + y1 * b10 + z1 * b20, x1 * b01 + y1 * b11 + z1 * b21, x1 * b02 + y1 * b12 + z1 * b22),
        (x2 * b00 + y2 * b10 + z2 * b20, x2 * b01 + y2 * b11 + z2 * b21, x2 * b02 + y2 * b12 + z2 * b22),
    )


@dataclass(frozen=True, slots=True)
class Pose:
    """A rotation (3 x 3, proper) and then a shift (mm).

    >>> (Pose.at(0, 0, 450) @ Pose.turned("z", 90)).apply((100.0, 0.0, 0.0))
    (0.0, 100.0, 450.0)
    """

    rotation: Matrix3 = IDENTITY3
    origin: Vector = (0.0, 0.0, 0.0)

    @staticmethod
    def at(x: float = 0.0, y: float = 0.0, z: float = 0.0) -> Pose:
        """A shift without rotation, mm."""
        return Pose(IDENTITY3, (float(x), float(y), float(z)))

    @staticmethod
    def columns(ex: Vector, ey: Vector, ez: Vector, origin: Vector = (0.0, 0.0, 0.0)) -> Pose:
        """The pose that sends the local axes to the unit vectors `ex`, `ey`, `ez`."""
        return Pose(tuple(zip(ex, ey, ez, strict=True)), origin)  # type: ignore[arg-type]

    @staticmethod
    def turned(axis: str, degrees: float, origin: Vector = (0.0, 0.0, 0.0)) -> Pose:
        """A right-handed turn about a world axis through the origin, then a shift to `origin`.

        Whole quarter turns are exact.
        """
        quarter, rest = divmod(degrees, 90.0)
        if rest == 0.0:
            c, s = ((1.0, 0.0), (0.0, 1.0), (-1.0, 0.0), (0.0, -1.0))[int(quarter) % 4]
        else:
            c, s = cos(degrees * pi / 180.0), sin(degrees * pi / 180.0)
        i = axis_index(axis)
        j, k = (i + 1) % 3, (i + 2) % 3
        m = [[0.0] * 3 for _ in range(3)]
        m[i][i] = 1.0
        m[j][j], m[j][k], m[k][j], m[k][k] = c, -s, s, c
        return Pose(tuple(tuple(r) for r in m), origin)  # type: ignore[arg-type]

    def apply(self, p: Vector) -> Vector:
        """The point `p` of the local frame, in the outer frame."""
        (a, b, c), (d, e, f), (g, h, i) = self.rotation
        x, y, z = p
        u, v, w = self.origin
        return (a * x + b * y + c * z + u, d * x + e * y + f * z + v, g * x + h * y + i * z + w)

    def turn(self, v: Vector) -> Vector:
        """The direction `v` of the local frame, in the outer frame."""
        r = self.rotation
        return (dot(r[0], v), dot(r[1], v), dot(r[2], v))

    def __matmul__(self, inner: Pose) -> Pose:
        """First `inner`, then this pose."""
        return Pose(_multiply(self.rotation, inner.rotation), self.apply(inner.origin))

    def inverse(self) -> Pose:
        """The pose that undoes this one."""
        rt: Matrix3 = tuple(zip(*self.rotation, strict=True))  # type: ignore[assignment]
        o = self.origin
        return Pose(rt, (-dot(rt[0], o), -dot(rt[1], o), -dot(rt[2], o)))

    def reflected(self) -> Pose:
        """M pose M, with M the reflection in x: a mirror before and after leaves a motion rigid."""
        (a, b, c), (d, e, f), (g, h, i) = self.rotation
        x, y, z = self.origin
        return Pose(((a, -b, -c), (-d, e, f), (-g, h, i)), (-x, y, z))

    def unsigned(self) -> Pose:
        """This pose without negative zeros."""
        x, y, z = (unsigned_zeros(row) for row in self.rotation)
        return Pose((x, y, z), unsigned_zeros(self.origin))

    def shifted(self, d: Vector) -> Pose:
        """This pose moved by `d` (mm, outer frame)."""
        o = self.origin
        return Pose(self.rotation, (o[0] + d[0], o[1] + d[1], o[2] + d[2]))

    def matrix(self) -> list[list[float]]:
        """The 4 x 4 matrix, row-major, column-vector convention."""
        return [[*row, o] for row, o in zip(self.rotation, self.origin, strict=True)] + [[0.0, 0.0, 0.0, 1.0]]


@dataclass(frozen=True, slots=True)
class Box:
    """An axis-aligned box, mm.

    >>> Box((0, 0, 0), (600, 300, 18)).size
    (600, 300, 18)
    """

    lo: Vector
    hi: Vector

    @property
    def size(self) -> Vector:
        """Extent along x, y, z (mm)."""
        return (self.hi[0] - self.lo[0], self.hi[1] - self.lo[1], self.hi[2] - self.lo[2])

    @property
    def centre(self) -> Vector:
        """Middle point (mm)."""
        lo, hi = self.lo, self.hi
        return ((lo[0] + hi[0]) / 2, (lo[1] + hi[1]) / 2, (lo[2] + hi[2]) / 2)

    @property
    def volume(self) -> float:
        """Volume (mm³)."""
        a, b, c = self.size
        return a * b * c

    def corners(self) -> list[Vector]:
        """The eight corners."""
        xs, ys, zs = zip(self.lo, self.hi, strict=True)
        return [(x, y, z) for x in xs for y in ys for z in zs]

    def moved(self, pose: Pose) -> Box:
        """Bounds of this box after `pose`."""
        return Box.around([pose.apply(c) for c in self.corners()])

    def joined(self, other: Box) -> Box:
        """The smallest box round both."""
        return Box.around([self.lo, self.hi, other.lo, other.hi])

    @staticmethod
    def around(points: list[Vector]) -> Box:
        """The smallest box round some points."""
        axes = list(zip(*points, strict=True))
        return Box(tuple(min(a) for a in axes), tuple(max(a) for a in axes))  # type: ignore[arg-type]


def board_pose(box: Box, grain: str, face: str) -> Pose:
    """The pose of a rectangular board that fills `box`: length along `grain`, faces square to `face`."""
    g, f = axis_index(grain), axis_index(face)
    w = 3 - g - f
    even = (w - g) % 3 == 1  # g, w, f in cyclic order: right-handed as it is
    origin = list(box.lo)
    if not even:
        origin[f] = box.hi[f]
    return Pose.columns(
        axis_vector(g),
        axis_vector(w),
        axis_vector(f, 1.0 if even else -1.0),
        (origin[0], origin[1], origin[2]),
    )


LEVEL_DEGREES = 5.0
"""A face that leans no more than this carries without needing friction: its sideways push is under 9 % of the
load, less than dry wood slides at (0.12 and more along the grain, published tests of Scots pine)."""
