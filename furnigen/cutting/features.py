"""What is cut into a board, as one marks it out: from which face, how deep, where; from the cuts of its part.

A feature lies in the part's own frame: length along x, width along y, thickness along z. Words
(`furnigen.cutting.joint_words`), the files for a router and the hole schedule all read these.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import asin, atan2, degrees

from furnigen.core.pose import Vector, dot
from furnigen.parts.cuts import SAME_MM, SQUARE_SINE, Bore, BoxCut, FlatCut, ProfileCut, Turned
from furnigen.parts.forms.form import Board
from furnigen.parts.forms.outline import Outline, Point2
from furnigen.parts.part import Part
from furnigen.parts.volume.polytope import HalfSpace, PolytopeFaces, prism_faces, within

TOUCH_MM = 0.05
"""A cut that comes this near a face opens it: tools reach over faces by a little, never less."""

FACES = ("x-", "x+", "y-", "y+", "z-", "z+")
"""Low and high end of the length, edges of the width, the two broad faces."""


@dataclass(frozen=True)
class Pocket:
    """A cut with sides square to the board.

    Attributes:
        name: the cut's own.
        lo, hi: its bounds within the board (mm).
        opens: the faces it breaks through, of FACES.
    """

    name: str
    lo: Vector
    hi: Vector
    opens: tuple[str, ...]

    @property
    def size(self) -> Vector:
        """Along length, width, thickness (mm)."""
        return (self.hi[0] - self.lo[0], self.hi[1] - self.lo[1], self.hi[2] - self.lo[2])

    @property
    def through(self) -> bool:
        """Whether it goes through the thickness."""
        return "z-" in self.opens and "z+" in self.opens

    @property
    def face(self) -> str:
        """The face it is cut from: a broad one if it opens one, else the edge or end it opens."""
        return next((f for f in ("z+", "z-") if f in self.opens), (*self.opens, "z+")[0])

    @property
    def depth(self) -> float:
        """From that face (mm)."""
        return self.size["xyz".index(self.face[0])]


@dataclass(frozen=True)
class Slanted:
    """A cut along sides that are not square to the board's length, sawn or routed from a broad face.

    Attributes:
        outline: its corners on that face (mm).
        depth: from that face; the whole thickness where it goes through.
        angle: of its long side, off square to the length (degrees).
        wide: across its long side (mm).
    """

    name: str
    face: str
    outline: Outline
    depth: float
    through: bool
    angle: float
    wide: float


@dataclass(frozen=True)
class Hole:
    """A round hole.

    Attributes:
        at: where its middle enters the wood (mm).
        face: the face it enters, of FACES.
        diameter, depth: mm; `depth` along the hole, within the wood.
        through: whether it comes out on the other side.
        tilt: off square to its face (degrees).
        toward: unit vector it goes along.
    """

    name: str
    at: Vector
    face: str
    diameter: float
    depth: float
    through: bool
    tilt: float
    toward: Vector


@dataclass(frozen=True)
class SawnEnd:
    """A saw cut right across an end or edge: how gauge and blade are set with the board lying flat.

    Attributes:
        name: the cut's own.
        face: the end or edge it takes off, of FACES.
        mitre: of the mitre gauge, off square (degrees).
        bevel: tilt of the blade, off upright (degrees).
        taken: faces of what it takes off the blank (mm); none where the outline gives the cut.
    """

    name: str
    face: str
    mitre: float
    bevel: float
    taken: PolytopeFaces = ()


@dataclass(frozen=True)
class Other:
    """A cut that is none of these: it is marked out from the model.

    Attributes:
        lo, hi: bounds within the board (mm).
        taken: faces of the body it takes out of the blank (mm).
    """

    name: str
    lo: Vector
    hi: Vector
    taken: PolytopeFaces = ()


Feature = Pocket | Slanted | Hole | SawnEnd | Other


def saw_setting(normal: Vector) -> tuple[float, float]:
    """Gauge and blade for a plane cut across a board that lies flat (degrees).

    Args:
        normal: unit vector square to the cut, in the board's frame: length x, width y, thickness z.

    Returns: the angle of the mitre gauge off square, and the tilt of the blade off upright. For sides that
        lean out by `a` from level and meet at a corner, whose plane halves it, this gives the settings of the
        usual tables for compound mitres: tan mitre = cos a, sin bevel = sin a / sqrt 2 for four sides.
    """
    x, y, z = normal
    bevel = degrees(asin(min(1.0, abs(z))))
    mitre = degrees(atan2(abs(y), abs(x)))
    return mitre, bevel


def features_of(part: Part) -> tuple[Feature, ...]:
    """What is cut into a board, in the order of its cuts; empty for what is no board."""
    board = part.form.as_board
    if board is None:
        return ()
    return tuple(f for f in (*_outline_ends(board), *(_feature(board, c) for c in part.cuts)) if f)


def worked_faces(features: Sequence[Feature]) -> tuple[str, str]:
    """The face that lies up, z+ or z-, and the other where something is to be done there too, else ""."""
    count = {"z+": 0, "z-": 0}
    for f in features:
        face = getattr(f, "face", "")
        through = getattr(f, "through", False)
        if face in count and not through and not isinstance(f, SawnEnd):
            count[face] += 1
    up = "z-" if count["z-"] > count["z+"] else "z+"
    under = "z+" if up == "z-" else "z-"
    return up, under if count[under] else ""


def _feature(board: Board, cut: FlatCut | Bore | Turned) -> Feature | None:
    size = board.blank_mm
    if isinstance(cut, Bore):
        return _hole(size, cut)
    if isinstance(cut, Turned):
        return None
    if isinstance(cut, BoxCut) and cut.square:
        box = cut.spans()
        return _pocket(cut.name, size, box.lo, box.hi)
    return _askew(size, cut)


def _clip(size: Vector, lo: Vector, hi: Vector) -> tuple[Vector, Vector]:
    low = [min(max(a, 0.0), s) for a, s in zip(lo, size, strict=True)]
    high = [min(max(b, 0.0), s) for b, s in zip(hi, size, strict=True)]
    return (low[0], low[1], low[2]), (high[0], high[1], high[2])


def _pocket(name: str, size: Vector, lo: Vector, hi: Vector) -> Pocket | None:
    lo, hi = _clip(size, lo, hi)
    if any(b - a <= SAME_MM for a, b in zip(lo, hi, strict=True)):
        return None
    opens = []
    for axis, letter in enumerate("xyz"):
        if lo[axis] <= TOUCH_MM:
            opens.append(f"{letter}-")
        if hi[axis] >= size[axis] - TOUCH_MM:
            opens.append(f"{letter}+")
    return Pocket(name, lo, hi, tuple(opens))


def _hole(size: Vector, bore: Bore) -> Hole | None:
    """The hole within the wood: where its axis enters and leaves the blank."""
    span = axis_span(size, bore.start, bore.direction, bore.depth)
    if span is None:
        return None
    enter, leave, face = span
    at = _along(bore.start, bore.direction, enter)
    axis = "xyz".index(face[0])
    tilt = degrees(asin(min(1.0, max(0.0, 1 - bore.direction[axis] ** 2) ** 0.5)))
    through = bore.depth > leave + TOUCH_MM or abs(bore.depth - leave) <= SAME_MM
    depth = min(bore.depth, leave) - enter
    return Hole(
        bore.name, at, face, bore.diameter, depth, through, tilt if tilt > 0.01 else 0.0, bore.direction
    )


def axis_span(
    size: Vector, start: Vector, direction: Vector, depth: float
) -> tuple[float, float, str] | None:
    """Where a line enters and leaves a block from the origin to `size`, and the face it enters.

    Returns: distances from `start` along `direction`, and the face; None where it misses the block.
    """
    enter, leave = 0.0, float("inf")
    nearest, face = float("inf"), ""
    for axis, letter in enumerate("xyz"):
        d, s = direction[axis], start[axis]
        if abs(d) < SQUARE_SINE:
            if not -SAME_MM < s < size[axis] + SAME_MM:
                return None
            continue
        first, last = sorted(((0.0 - s) / d, (size[axis] - s) / d))
        if first > enter:
            enter = first
        leave = min(leave, last)
        # the face it enters is the one whose plane lies nearest to where the hole begins
        if abs(first) < nearest and first >= enter - TOUCH_MM:
            nearest, face = abs(first), f"{letter}{'-' if d > 0 else '+'}"
    return (enter, leave, face) if face and leave > enter else None


def _along(start: Vector, direction: Vector, by: float) -> Vector:
    return (start[0] + direction[0] * by, start[1] + direction[1] * by, start[2] + direction[2] * by)


def _askew(size: Vector, cut: BoxCut | ProfileCut) -> Feature | None:
    """A flat cut that is not square to the board: an end sawn off, a slanted groove, or something else."""
    sections = sawn_planes(size, cut)
    if len(sections) == 1:
        normal = sections[0]
        mitre, bevel = saw_setting(normal)
        sideways = abs(normal[1]) > abs(normal[0])
        if sideways:
            mitre = 90.0 - mitre
        axis = 1 if sideways else 0
        face = f"{'xy'[axis]}{'+' if normal[axis] > 0 else '-'}"
        return SawnEnd(cut.name, face, mitre, bevel, taken_out(size, cut))
    if isinstance(cut, BoxCut) and (slanted := _slanted(size, cut)) is not None:
        return slanted
    lo, hi = _clip(size, cut.spans().lo, cut.spans().hi)
    if any(b - a <= SAME_MM for a, b in zip(lo, hi, strict=True)):
        return None
    name = f"groove for a {cut.takes}" if cut.takes else cut.name
    return Other(name, lo, hi, taken_out(size, cut))


def taken_out(size: Vector, cut: FlatCut) -> PolytopeFaces:
    """The faces of what a cut takes out of a block from the origin to `size` (mm)."""
    a, b, c = size
    block = prism_faces(((0.0, 0.0), (a, 0.0), (a, b), (0.0, b)), 0.0, c)
    return within(block, cut.half_spaces())


def sawn_planes(size: Vector, cut: FlatCut) -> list[Vector]:
    """Outward normals, as the wood that stays has them, of the sides a cut leaves within a block.

    A cut that saws an end off leaves one.
    """
    a, b, c = size
    taken = taken_out(size, cut)
    sides = (
        HalfSpace((-1.0, 0.0, 0.0), 0.0),
        HalfSpace((1.0, 0.0, 0.0), a),
        HalfSpace((0.0, -1.0, 0.0), 0.0),
        HalfSpace((0.0, 1.0, 0.0), b),
        HalfSpace((0.0, 0.0, -1.0), 0.0),
        HalfSpace((0.0, 0.0, 1.0), c),
    )
    found = []
    for side in cut.half_spaces():
        x, y, z = side.normal
        on = [
            face for face in taken if all(abs(dot(side.normal, p) - side.reach) < TOUCH_MM / 10 for p in face)
        ]
        outer = any(
            dot(side.normal, s.normal) > 1 - SQUARE_SINE and abs(side.reach - s.reach) < TOUCH_MM
            for s in sides
        )
        if on and not outer:
            found.append((-x, -y, -z))
    return found


def _slanted(size: Vector, cut: BoxCut) -> Slanted | None:
    """A box turned about the thickness only."""
    rotation = cut.pose.rotation
    upright = next((k for k in range(3) if abs(abs(rotation[2][k]) - 1.0) < SQUARE_SINE), None)
    if upright is None:
        return None
    box = cut.spans()
    lo, hi = max(box.lo[2], 0.0), min(box.hi[2], size[2])
    if hi - lo <= SAME_MM:
        return None
    flat = [k for k in range(3) if k != upright]
    corners = {(round(x, 9), round(y, 9)): (x, y) for x, y, _ in cut.corners()}
    outline = _clipped(_around(list(corners.values())), size)
    if len(outline) < 3:
        return None
    long = max(flat, key=lambda k: cut.size[k])
    dx, dy = rotation[0][long], rotation[1][long]
    angle = degrees(atan2(abs(dx), abs(dy)))
    opens_top, opens_under = hi >= size[2] - TOUCH_MM, lo <= TOUCH_MM
    if not (opens_top or opens_under):  # such as the slot of a spline within the thickness of a mitre
        return None
    wide = min(cut.size[k] for k in flat)
    face = "z+" if opens_top else "z-"
    return Slanted(cut.name, face, outline, hi - lo, opens_top and opens_under, angle, wide)


def _around(points: Iterable[Point2]) -> list[Point2]:
    """Corners of a convex outline in counter-clockwise order."""
    points = list(points)
    cx, cy = (sum(p[i] for p in points) / len(points) for i in (0, 1))
    return sorted(points, key=lambda p: atan2(p[1] - cy, p[0] - cx))


def _clipped(outline: list[Point2], size: Vector) -> Outline:
    """A convex outline within the board's rectangle."""
    for axis, limit, sign in ((0, 0.0, 1), (0, size[0], -1), (1, 0.0, 1), (1, size[1], -1)):
        kept: list[Point2] = []
        for p, q in zip(outline, outline[1:] + outline[:1], strict=True):
            a, b = sign * (p[axis] - limit), sign * (q[axis] - limit)
            if a >= 0:
                kept.append(p)
            if (a < 0) != (b < 0) and a != b:
                t = a / (a - b)
                kept.append((p[0] + t * (q[0] - p[0]), p[1] + t * (q[1] - p[1])))
        outline = kept
        if not outline:
            return ()
    return tuple(outline)


def _outline_ends(board: Board) -> list[SawnEnd]:
    """Ends and edges of a shaped board that are straight but not square."""
    found = []
    corners = board.corners
    if board.rectangular or len(corners) > 8:
        return []
    for p, q in zip(corners, corners[1:] + corners[:1], strict=True):
        dx, dy = q[0] - p[0], q[1] - p[1]
        if abs(dx) < SAME_MM or abs(dy) < SAME_MM:
            continue
        normal = (dy, -dx, 0.0)
        if abs(dy) < board.width - SAME_MM and abs(dx) < board.length - SAME_MM:
            continue  # a corner taken off: the outline says where
        end = abs(dy) >= board.width - SAME_MM
        mitre = degrees(atan2(abs(dx), abs(dy)) if end else atan2(abs(dy), abs(dx)))
        axis = 0 if end else 1
        found.append(SawnEnd("end cut", f"{'xy'[axis]}{'+' if normal[axis] > 0 else '-'}", mitre, 0.0))
    return found
