"""Boards and other prisms: a flat outline as thick as its board.

Each form is a frozen value that knows its volume, centre of mass and extents in closed form; the
kernel turns it into a solid (`furnigen.kernel.solids`) and the tests compare the two.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from functools import cached_property

from furnigen.core.errors import InputError
from furnigen.core.pose import Box, Pose, Vector, axis_vector
from furnigen.core.wording import as_given
from furnigen.parts.cuts import SAME_MM, CutKey, on_size_grid
from furnigen.parts.flat_faces import Polyhedron, drawn_up
from furnigen.parts.forms.column_section import ColumnSection, rectangular_section
from furnigen.parts.forms.form import Board, Form
from furnigen.parts.forms.outline import Outline, Point2, convex, polygon_area, polygon_centroid, wood_on_line
from furnigen.parts.forms.sizes import check_form_size, end_shift
from furnigen.parts.volume.clipping import clipped_moments
from furnigen.parts.volume.polytope import NOTHING, Moments


@dataclass(frozen=True)
class Prism(Board):
    """A flat outline in the length-width plane, as thick as its board.

    Attributes:
        length, width, thickness: the blank (mm).
        outline: counter-clockwise corners within the blank (mm); empty for the plain rectangle.
        windows: openings cut clean through, each a counter-clockwise polygon inside the outline.

    >>> Prism(100, 60, 18, ((0, 0), (100, 0), (0, 60))).volume_mm3
    54000.0
    """

    length: float
    width: float
    thickness: float
    outline: Outline = ()
    windows: tuple[Outline, ...] = ()

    def __post_init__(self) -> None:
        for what in ("length", "width", "thickness"):
            check_form_size(what, getattr(self, what))
        if self.outline and polygon_area(self.outline) <= 0:
            raise InputError("outline", self.outline, "must run counter-clockwise round some area")

    @property
    def kind(self) -> str:
        """Word for the parts list."""
        if self.windows:
            return "sawn ring"
        return "shaped board" if self.outline else "board"

    @property
    def flat(self) -> bool:
        """Always: a prism has only planes."""
        return True

    @property
    def rectangular(self) -> bool:
        """Whether it is a plain rectangular board."""
        return not self.outline and not self.windows

    @cached_property
    def corners(self) -> Outline:
        """The outline, spelled out for a rectangle too."""
        a, b = float(self.length), float(self.width)
        return self.outline or ((0.0, 0.0), (a, 0.0), (a, b), (0.0, b))

    @property
    def volume_mm3(self) -> float:
        """(outline - windows) x thickness (mm³)."""
        return (polygon_area(self.corners) - sum(polygon_area(w) for w in self.windows)) * self.thickness

    @property
    def centroid_mm(self) -> Vector:
        """Area-weighted centroid of outline and windows, at half the thickness (mm)."""
        total = polygon_area(self.corners)
        cx, cy = polygon_centroid(self.corners)
        mx, my = cx * total, cy * total
        for w in self.windows:
            a = polygon_area(w)
            wx, wy = polygon_centroid(w)
            total, mx, my = total - a, mx - a * wx, my - a * wy
        return (mx / total, my / total, self.thickness / 2)

    def support(self, direction: Vector) -> float:
        """Largest extent along `direction` (mm)."""
        dx, dy, dz = direction
        if not self.outline:
            # a window never reaches the edge
            return max(0.0, dx * self.length) + max(0.0, dy * self.width) + max(0.0, dz * self.thickness)
        return max([dx * x + dy * y for x, y in self.outline]) + max(0.0, dz * self.thickness)

    def turned_about(self, axis: str) -> Prism:
        """The outline after a half turn of the blank about its own middle axis x, y or z."""
        if self.rectangular:
            return self
        a, b = self.length, self.width
        flips: dict[str, Callable[[Point2], Point2]] = {
            "x": lambda p: (p[0], b - p[1]),
            "y": lambda p: (a - p[0], p[1]),
            "z": lambda p: (a - p[0], b - p[1]),
        }
        flip = flips[axis]

        def turn(poly: Outline) -> Outline:
            new = tuple(flip(p) for p in poly)
            return new if axis == "z" else new[::-1]

        return Prism(a, b, self.thickness, turn(self.corners), tuple(turn(w) for w in self.windows))

    def bounds(self, pose: Pose | None = None) -> Box:
        """Exact bounds (mm), spelled out: joints ask for them many thousand times a piece."""
        if not self.outline:
            size = (self.length, self.width, self.thickness)
            return _block_bounds(size, pose) if pose else Box((0.0, 0.0, 0.0), size)
        lo, hi = [], []
        for (rx, ry, rz), o in zip((pose or Pose()).rotation, (pose or Pose()).origin, strict=True):
            # half of each extent comes from its outline, half from its thickness
            across = [rx * x + ry * y for x, y in self.outline]
            thick = rz * self.thickness
            lo.append(o + min(across) + min(0.0, thick))
            hi.append(o + max(across) + max(0.0, thick))
        return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))

    def key(self) -> CutKey:
        """Blank, outline and windows, each outline from its least corner on."""
        return (
            "prism",
            *on_size_grid(self.blank_mm),
            _outline_key(self.corners),
            *sorted(_outline_key(w) for w in self.windows),
        )

    @property
    def same_when_turned(self) -> bool:
        """A plain rectangle is; an outline may be another seen from behind."""
        return self.rectangular

    def turns(self) -> Iterator[tuple[Form, Pose]]:
        """Half turns about its three middle axes; for a square bar quarter turns too."""
        a, b, c = self.blank_mm
        about = {"x": (0.0, b, c), "y": (a, 0.0, c), "z": (a, b, 0.0)}
        halves = {axis: Pose.turned(axis, 180.0, origin) for axis, origin in about.items()}
        for axis, pose in halves.items():
            yield self.turned_about(axis), pose
        if self.rectangular and abs(b - c) < SAME_MM:
            quarter = Pose.turned("x", 90.0, (0.0, b, 0.0))
            for pose in (Pose(), *halves.values()):
                yield self, quarter @ pose

    def unsigned(self) -> Prism:
        """Outline and windows without negative zeros."""
        if self.rectangular:
            return self
        outline, *windows = (tuple((x + 0.0, y + 0.0) for x, y in o) for o in (self.outline, *self.windows))
        return replace(self, outline=outline, windows=tuple(windows))

    def polyhedron(self) -> Polyhedron:
        """Its outline drawn up."""
        return drawn_up(self.corners, self.windows, self.thickness)

    @property
    def block_openings(self) -> tuple[Box, ...] | None:
        """Its windows, where it and all of them are rectangles."""
        windows = [self._window_box(w) for w in self.windows]
        found = tuple(w for w in windows if w is not None)
        return None if self.outline or len(found) < len(windows) else found

    def _window_box(self, window: Outline) -> Box | None:
        """A window as a box right through the board; None unless it is a rectangle square to it."""
        xs, ys = {p[0] for p in window}, {p[1] for p in window}
        if not (len(window) == 4 and len(xs) == len(ys) == 2):
            return None
        return Box((min(xs), min(ys), 0.0), (max(xs), max(ys), self.thickness))

    @property
    def always_sound(self) -> bool:
        """A rectangle is; an outline of an author's own may cross itself."""
        return self.rectangular

    @property
    def convex(self) -> bool:
        """Without windows, where its outline is."""
        return not self.windows and convex(self.corners)

    def square_end(self, axis: int, sign: int) -> bool:
        """Any end of a plain rectangle; of another outline one that is straight, in one piece."""
        return self.rectangular or (axis in (0, 1) and len(self._sides_at(axis, sign > 0)) == 1)

    def _sides_at(self, axis: int, at_high_end: bool) -> list[int]:
        """Which sides of its outline lie in an end of its blank, by the number of their first corner."""
        at = self.blank_mm[axis] if at_high_end else 0.0
        ends = zip(self.corners, self.corners[1:] + self.corners[:1], strict=True)
        return [
            k for k, (p, q) in enumerate(ends) if abs(p[axis] - at) < SAME_MM and abs(q[axis] - at) < SAME_MM
        ]

    def _outline_lengthened(self, axis: int, sign: int, by: float) -> tuple[Form, Vector]:
        """An outline whose straight end is drawn out, as wide as it is."""
        (side,) = self._sides_at(axis, sign > 0)

        def out(p: Point2) -> Point2:
            return (p[0] + sign * by, p[1]) if axis == 0 else (p[0], p[1] + sign * by)

        first, second = self.corners[side], self.corners[(side + 1) % len(self.corners)]
        # the corners of the end before it grew stay, where the outline turns there
        start = [] if self._runs_on(side - 1, axis) else [first]
        end = [] if self._runs_on(side + 1, axis) else [second]
        # the other corners, from the end on round to it
        others = [self.corners[(side + 2 + k) % len(self.corners)] for k in range(len(self.corners) - 2)]
        drawn = (*start, out(first), out(second), *end, *others)
        shift = by if sign < 0 else 0.0
        move = (shift, 0.0) if axis == 0 else (0.0, shift)

        def moved(outline: Outline) -> Outline:
            return tuple((x + move[0], y + move[1]) for x, y in outline)

        length, width = self.length + (by if axis == 0 else 0.0), self.width + (by if axis == 1 else 0.0)
        grown = Prism(length, width, self.thickness, moved(drawn), tuple(moved(w) for w in self.windows))
        return grown, end_shift(axis, sign, by)

    def _runs_on(self, side: int, axis: int) -> bool:
        """Whether a side of the outline runs along an axis, so that drawing out its end only lengthens it."""
        p, q = self.corners[side % len(self.corners)], self.corners[(side + 1) % len(self.corners)]
        return abs(p[1 - axis] - q[1 - axis]) < SAME_MM

    def lengthened(self, axis: int, sign: int, by: float) -> tuple[Form, Vector]:
        """A plain rectangle grows any way, another outline at a straight end."""
        if not self.square_end(axis, sign):
            return super().lengthened(axis, sign, by)
        if not self.rectangular:
            return self._outline_lengthened(axis, sign, by)
        length, width, thickness = (size + (by if i == axis else 0.0) for i, size in enumerate(self.blank_mm))
        return Prism(length, width, thickness), end_shift(axis, sign, by)

    def section_mm2(self, axis: int) -> float | None:
        """A plain rectangle has one any way."""
        one, two = (self.blank_mm[i] for i in range(3) if i != axis)
        return one * two if self.rectangular else None

    def flat_side(self, axis: int, at_high_end: bool) -> tuple[tuple[Vector, ...], ...] | None:
        """A face is the outline; an edge of a shaped board its straight side there.

        A mitred board has one along its inner edge, shorter than its blank.
        """
        if axis == 2:
            return tuple(tuple((x, y, 0.0) for x, y in o) for o in (self.corners, *self.windows))
        if self.rectangular:
            return None
        at = self.blank_mm[axis] if at_high_end else 0.0
        for p, q in zip(self.corners, self.corners[1:] + self.corners[:1], strict=True):
            if abs(p[axis] - at) < SAME_MM and abs(q[axis] - at) < SAME_MM:
                t = self.thickness
                return (((*p, 0.0), (*q, 0.0), (*q, t), (*p, t)),)
        return ()

    def wood_in_box(self, lo: Vector, hi: Vector) -> Moments:
        """The outline clipped, times the height."""
        z0, z1 = max(lo[2], 0.0), min(hi[2], self.thickness)
        if z1 <= z0:
            return NOTHING
        sides = ((-1.0, 0.0, -lo[0]), (1.0, 0.0, hi[0]), (0.0, -1.0, -lo[1]), (0.0, 1.0, hi[1]))
        area, mx, my = clipped_moments((self.corners, *self.windows), sides)
        h = z1 - z0
        return area * h, mx * h, my * h, area * h * (z0 + z1) / 2

    def bending_share(self, along: int) -> float:
        """A shaped board counts with its mean width."""
        return 1.0 if self.rectangular else self.volume_mm3 / (self.length * self.width * self.thickness)

    def column_section(self, z: float, up: Vector) -> ColumnSection | None:
        """A rectangle: its wood at that height between its windows, bending across its thickness."""
        side = max((0, 1), key=lambda i: abs(up[i]))
        # where the middle of its width passes that height: only near the ends of a leaning post is that not
        # the true middle
        middle = self.blank_mm[1 - side] / 2
        at = (z - up[1 - side] * middle - up[2] * self.thickness / 2) / up[side]
        spans = wood_on_line(self.corners, self.windows, side, min(max(at, 1e-6), self.blank_mm[side] - 1e-6))
        wide = sum(b - a for a, b in spans)
        if wide <= 0:
            return None
        return rectangular_section(self.thickness, wide, (0.0, 0.0, 1.0), axis_vector(1 - side))


def _block_bounds(size: Vector, pose: Pose) -> Box:
    lo, hi = [], []
    for (rx, ry, rz), o in zip(pose.rotation, pose.origin, strict=True):
        x, y, z = rx * size[0], ry * size[1], rz * size[2]
        hi.append((x if x > 0.0 else 0.0) + (y if y > 0.0 else 0.0) + (z if z > 0.0 else 0.0) + o)
        lo.append(o + ((x if x < 0.0 else 0.0) + (y if y < 0.0 else 0.0) + (z if z < 0.0 else 0.0)))
    return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))


def _outline_key(outline: Outline) -> CutKey:
    points = [on_size_grid((x, y, 0.0))[:2] for x, y in outline]
    first = points.index(min(points))
    return tuple(points[first:] + points[:first])


def rectangle(length: float, width: float, thickness: float) -> Prism:
    """A plain board (mm).

    Raises: InputError for a side below 0.1 mm.

    >>> rectangle(600, 200, 17.6).volume_mm3
    2112000.0
    """
    return Prism(float(length), float(width), float(thickness))


def mitred(length: float, width: float, thickness: float) -> Prism:
    """A board with 45° mitres at both ends; `length` along the outer edge y = 0 (mm).

    Raises: InputError when the inner edge would vanish.

    >>> mitred(600, 60, 18).kind
    'shaped board'
    """
    if length <= 2 * width:
        raise InputError(
            "mitred length",
            as_given(length),
            f"must be more than twice the width {as_given(width)}",
        )
    return Prism(
        length, width, thickness, ((0.0, 0.0), (length, 0.0), (length - width, width), (width, width))
    )


def ring(length: float, width: float, thickness: float, member: float) -> Prism:
    """A closed rectangular ring sawn from one sheet: outer `length` x `width`, members `member` wide (mm).

    Raises: InputError when the members leave no window.

    >>> len(ring(900, 300, 18, 60).windows)
    1
    """
    if min(length, width) <= 2 * member:
        raise InputError(
            "member width",
            as_given(member),
            f"must be less than {as_given(min(length, width) / 2)}, half the ring",
        )
    m, a, b = member, length - member, width - member
    return Prism(length, width, thickness, windows=(((m, m), (a, m), (a, b), (m, b)),))


def leaning(length: float, width: float, thickness: float, lean_degrees: float) -> Prism:
    """A board whose two ends are cut level for a lean (degrees), measured from upright; mm.

    `length` is the blank, point to point; ends are parallel, the long edge y = 0 starts at x = 0.

    Raises: InputError when the cuts would meet.

    >>> leaning(900, 60, 18, 10).blank_mm
    (900, 60, 18)
    """
    from math import radians, tan

    run = width * tan(radians(lean_degrees))
    if abs(run) >= length:
        raise InputError(
            "lean",
            f"{lean_degrees:g}°",
            f"the end cuts of a board {as_given(length)} long would meet",
        )
    if run >= 0:
        outline = ((0.0, 0.0), (length - run, 0.0), (length, width), (run, width))
    else:
        outline = ((-run, 0.0), (length, 0.0), (length + run, width), (0.0, width))
    return Prism(length, width, thickness, outline)
