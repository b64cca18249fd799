"""The corner of a mitre: where its edges run, what lies beside it, and tools set out from it."""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from furnigen.core.errors import InputError
from furnigen.core.facts import FastenerKind
from furnigen.core.pose import Pose, Vector, axis_vector, cross, dot
from furnigen.joints.corner import turn_at_corner
from furnigen.joints.meeting import STRAIGHT, Meeting, Span
from furnigen.parts.cuts import SAME_MM, BoxCut
from furnigen.parts.forms.form import Board
from furnigen.parts.forms.outline import Outline


@dataclass(frozen=True)
class Corner:
    """A mitre in b's frame.

    Attributes:
        inner: middle of its inner edge (mm).
        along: unit vector from there to the outer edge.
        length: of the mitre between the two edges (mm).
        to_a: unit vector square to it, toward a.
        across: unit vector along the two edges, right-handed with the others.
        width: along the edges (mm).
        reach: how far the corners cut off stand from the mitre (mm).
        outer: along the outer face of each member, a's first, from the outer edge to its other end (mm).
        flat: whether it is a frame's corner: the edges run through the boards' thickness.
        thin: least size of the two members at the corner (mm).
    """

    inner: Vector
    along: Vector
    length: float
    to_a: Vector
    across: Vector
    width: float
    reach: float
    outer: tuple[Vector, Vector]
    flat: bool
    thin: float

    def _in_plane(self, v: Vector) -> Span:
        """A vector's parts against the mitre's way out and square to it."""
        return -dot(v, self.along), abs(dot(v, self.to_a))

    @property
    def slopes(self) -> tuple[float, float]:
        """How far the outer faces of a and b stand off the mitre for each mm from the outer edge."""
        (a, b) = (self._in_plane(v) for v in self.outer)
        return a[1] / a[0], b[1] / b[0]

    @property
    def deepest_key(self) -> float:
        """Where the key's slot would run out at the far end of a member (mm along the mitre)."""
        return min(self.length, *(self._in_plane(v)[0] for v in self.outer))

    def place(self, t: float, n: float, w: float) -> Vector:
        """A point from its places along the mitre, toward a, and along the edges from their middle."""
        x, y, z = (
            self.inner[i] + t * self.along[i] + n * self.to_a[i] + w * self.across[i] for i in range(3)
        )
        return x, y, z

    def tool(self, t: Span, n: Span, w: Span, name: str, takes: FastenerKind | None = None) -> BoxCut:
        """A box from its extents along the mitre, toward a, and along the edges from their middle."""
        # along, to_a, across in this order are right-handed
        pose = Pose.columns(self.along, self.to_a, self.across, self.place(t[0], n[0], w[0]))
        return BoxCut(pose, (t[1] - t[0], n[1] - n[0], w[1] - w[0]), name, takes=takes)


def _corner(
    inner: Vector,
    outer: Vector,
    toward_a: Vector,
    width: float,
    flat: bool,
    sizes: Span,
    faces: tuple[Vector, Vector],
) -> Corner:
    d = (outer[0] - inner[0], outer[1] - inner[1], outer[2] - inner[2])
    length = sqrt(dot(d, d))
    along = (d[0] / length, d[1] / length, d[2] / length)
    return Corner(
        inner,
        along,
        length,
        toward_a,
        cross(along, toward_a),
        width,
        sizes[0] * sizes[1] / length,
        faces,
        flat,
        min(sizes),
    )


def find_corner(m: Meeting) -> Corner:
    """The corner of two boards: sawn to a mitre already, or butting.

    Raises: InputError when they make none.
    """
    return _sawn_corner(m) if m.axis < 0 else _butting_corner(m)


def mitred_boards(m: Meeting) -> tuple[Board, Board]:
    """The two members as boards.

    Raises: InputError where one is none.
    """
    a, b = m.a.form.as_board, m.b.form.as_board
    if a is None or b is None or a.shaped_edge or b.shaped_edge:
        raise InputError("joint", f"{m.kind}, {m.where}", "only boards with square edges can be mitred")
    return a, b


def _butting_corner(m: Meeting) -> Corner:
    """The corner where b's end butts against a flush with a's end.

    Raises: InputError when it is no corner, or the boards differ in width.
    """
    c, out = turn_at_corner(m, "mitre")
    b = m.end_box
    w = 3 - c - m.axis
    deep, high = m.room_in_a, b.size[c]
    inner, outer, toward = [0.0] * 3, [0.0] * 3, [0.0] * 3
    inner[w] = outer[w] = b.centre[w]
    inner[m.axis], outer[m.axis] = m.plane, m.plane + m.sign * deep
    inner[c], outer[c] = (b.lo[c], b.hi[c]) if out > 0 else (b.hi[c], b.lo[c])
    long = sqrt(deep * deep + high * high)
    toward[m.axis], toward[c] = m.sign * high / long, -out * deep / long
    along_a = axis_vector(c, -out * m.a_box.size[c])
    along_b = axis_vector(m.axis, -m.sign * (b.size[m.axis] + deep))
    return _corner(
        (inner[0], inner[1], inner[2]),
        (outer[0], outer[1], outer[2]),
        (toward[0], toward[1], toward[2]),
        b.size[w],
        w == 2,
        (deep, high),
        (along_a, along_b),
    )


def _edges(outline: Outline, place: Pose) -> list[tuple[Vector, Vector]]:
    points = [place.apply((x, y, 0.0)) for x, y in outline]
    return list(zip(points, points[1:] + points[:1], strict=True))


def _sawn_corner(m: Meeting) -> Corner:
    """The common edge of two boards sawn to a mitre, flat in one plane.

    Raises: InputError when they have none.
    """
    a, b = mitred_boards(m)
    flat = abs(m.to_b.rotation[2][2]) > STRAIGHT
    level = abs(m.a_box.lo[2] - m.b_box.lo[2]) < SAME_MM and abs(m.a_box.hi[2] - m.b_box.hi[2]) < SAME_MM
    for p, q in _edges(b.corners, Pose()) if flat and level else []:
        for r, s in _edges(a.corners, m.to_b):
            if (_same(p, r) and _same(q, s)) or (_same(p, s) and _same(q, r)):
                return _from_edge(m, p, q)
    raise InputError(
        "joint",
        f"mitre, {m.where}",
        "they share no sawn edge",
        "butt them at a corner, or saw both to one plane",
    )


def _same(p: Vector, q: Vector) -> bool:
    return abs(p[0] - q[0]) < SAME_MM and abs(p[1] - q[1]) < SAME_MM


def _from_edge(m: Meeting, p: Vector, q: Vector) -> Corner:
    ca, cb = m.to_b.apply(m.a.form.centroid_mm), m.b.form.centroid_mm
    middle = ((ca[0] + cb[0]) / 2, (ca[1] + cb[1]) / 2)

    def away(v: Vector) -> float:
        return (v[0] - middle[0]) ** 2 + (v[1] - middle[1]) ** 2

    inner, outer = (p, q) if away(p) < away(q) else (q, p)
    z = m.b_box.centre[2]
    length = sqrt((outer[0] - inner[0]) ** 2 + (outer[1] - inner[1]) ** 2)
    n = ((outer[1] - inner[1]) / length, (inner[0] - outer[0]) / length)
    side = 1.0 if n[0] * (ca[0] - p[0]) + n[1] * (ca[1] - p[1]) > 0 else -1.0
    sizes = (abs(outer[0] - inner[0]), abs(outer[1] - inner[1]))
    a, b = mitred_boards(m)
    outlines = [_edges(a.corners, m.to_b), _edges(b.corners, Pose())]
    faces = [_beside(edges, outer, inner) for edges in outlines]
    return _corner(
        (inner[0], inner[1], z),
        (outer[0], outer[1], z),
        (side * n[0], side * n[1], 0.0),
        m.b_box.size[2],
        True,
        sizes,
        (faces[0], faces[1]),
    )


def _beside(edges: list[tuple[Vector, Vector]], corner: Vector, other: Vector) -> Vector:
    """The side of an outline that meets another at `corner`, from there on; not the one to `other`."""
    for p, q in edges:
        for here, there in ((p, q), (q, p)):
            if _same(here, corner) and not _same(there, other):
                return (there[0] - here[0], there[1] - here[1], 0.0)
    raise AssertionError("every corner of an outline has two sides")
