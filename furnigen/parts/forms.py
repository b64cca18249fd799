"""Straight forms: boards and other prisms, round rods, and forms measured from a user's own solid.

Each form is a frozen value that knows its volume, centre of mass and extents in closed form; the
kernel turns it into a solid (`furnigen.kernel.solids`) and tests hold the two against each other.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property
from math import pi, sqrt
from typing import Any, Protocol

from furnigen.errors import InputError
from furnigen.pose import Box, Pose, Vector, dot

Point2 = tuple[float, float]
Outline = tuple[Point2, ...]

SMALLEST_MM = 0.1
"""No saw, sheet or printer makes less; guards the kernel from slivers."""


class Form(Protocol):
    """What every form answers, in its own frame."""

    def __hash__(self) -> int:
        """Equal forms hash alike: what is worked out for one is kept for the others."""

    @property
    def kind(self) -> str:
        """Word for the parts list."""

    @property
    def blank_mm(self) -> Vector:
        """Length along the grain, width, thickness of the blank it is cut from (mm)."""

    @property
    def volume_mm3(self) -> float:
        """Volume before joints are cut (mm³)."""

    @property
    def centroid_mm(self) -> Vector:
        """Centre of mass before joints are cut (mm)."""

    @property
    def flat(self) -> bool:
        """Whether all faces are planes."""

    def support(self, direction: Vector) -> float:
        """Largest extent of the form along `direction` (a unit vector), mm."""

    def mirrored(self) -> tuple[Form, Pose] | None:
        """The mirror image in x: a form and the pose of that form; None when it is not known."""


def bounds(form: Form, pose: Pose | None = None) -> Box:
    """Exact bounds of `form` standing at `pose` (its own frame when None), mm."""
    if isinstance(form, Prism) and not form.outline:
        size = form.blank_mm
        return _board_bounds(size, pose) if pose else Box((0.0, 0.0, 0.0), size)
    pose = pose or Pose()
    lo, hi = [], []
    if isinstance(form, Prism):
        return _outline_bounds(form, pose)
    for row, o in zip(pose.rotation, pose.origin, strict=True):
        hi.append(form.support(row) + o)
        lo.append(o - form.support((-row[0], -row[1], -row[2])))
    return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))


def _board_bounds(size: Vector, pose: Pose) -> Box:
    """`bounds` of a plain board: what joints ask for many thousand times a piece."""
    lo, hi = [], []
    for (rx, ry, rz), o in zip(pose.rotation, pose.origin, strict=True):
        x, y, z = rx * size[0], ry * size[1], rz * size[2]
        hi.append(max(0.0, x) + max(0.0, y) + max(0.0, z) + o)
        lo.append(o + (min(0.0, x) + min(0.0, y) + min(0.0, z)))
    return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))


def _outline_bounds(form: Prism, pose: Pose) -> Box:
    """`bounds` of a shaped board: half of each extent comes from its outline, half from its thickness."""
    lo, hi = [], []
    for (rx, ry, rz), o in zip(pose.rotation, pose.origin, strict=True):
        across = [rx * x + ry * y for x, y in form.outline]
        thick = rz * form.thickness
        lo.append(o + min(across) + min(0.0, thick))
        hi.append(o + max(across) + max(0.0, thick))
    return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))


def polygon_area(outline: Outline) -> float:
    """Signed area of a closed polygon (shoelace), positive when counter-clockwise."""
    return (
        sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(outline, outline[1:] + outline[:1], strict=True))
        / 2
    )


def polygon_centroid(outline: Outline) -> Point2:
    """Centroid of a closed simple polygon."""
    a = polygon_area(outline)
    cx = cy = 0.0
    for (x0, y0), (x1, y1) in zip(outline, outline[1:] + outline[:1], strict=True):
        w = x0 * y1 - x1 * y0
        cx += (x0 + x1) * w
        cy += (y0 + y1) * w
    return cx / (6 * a), cy / (6 * a)


def convex(outline: Outline) -> bool:
    """Whether a counter-clockwise outline has no corner that points inward."""
    corners = zip(outline, outline[1:] + outline[:1], outline[2:] + outline[:2], strict=True)
    return all((x1 - x0) * (y2 - y1) >= (y1 - y0) * (x2 - x1) for (x0, y0), (x1, y1), (x2, y2) in corners)


def _checked_size(what: str, value: float) -> None:
    if not value >= SMALLEST_MM:
        raise InputError(what, f"{value:g} mm", f"must be at least {SMALLEST_MM} mm")


@dataclass(frozen=True)
class Prism:
    """A flat outline in the length-width plane, as thick as its board.

    Attributes:
        length, width, thickness: the blank (mm).
        outline: counter-clockwise corners within the blank (mm); empty for the plain rectangle.
        windows: openings cut clean through, each a counter-clockwise polygon inside the outline.
    """

    length: float
    width: float
    thickness: float
    outline: Outline = ()
    windows: tuple[Outline, ...] = ()

    def __post_init__(self) -> None:
        for what in ("length", "width", "thickness"):
            _checked_size(what, getattr(self, what))
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
    def blank_mm(self) -> Vector:
        """Length along the grain, width, thickness (mm)."""
        return (self.length, self.width, self.thickness)

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

    def mirrored(self) -> tuple[Form, Pose]:
        """The same board turned face about: mirrored in the middle of its thickness a prism is itself.

        Mirroring in x equals that, followed by a half turn about y that keeps the board's faces in place.
        """
        return self, Pose.turned("y", 180.0, (0.0, 0.0, self.thickness))

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


@dataclass(frozen=True)
class Rod:
    """A round rod along +X, its axis at y = z = diameter / 2 (mm)."""

    length: float
    diameter: float

    def __post_init__(self) -> None:
        _checked_size("length", self.length)
        _checked_size("diameter", self.diameter)

    @property
    def kind(self) -> str:
        """Word for the parts list."""
        return "rod"

    @property
    def flat(self) -> bool:
        """Never: its side is round."""
        return False

    @property
    def blank_mm(self) -> Vector:
        """Length, diameter, diameter (mm)."""
        return (self.length, self.diameter, self.diameter)

    @property
    def volume_mm3(self) -> float:
        """Pi d² / 4 times the length (mm³)."""
        return pi * self.diameter**2 / 4 * self.length

    @property
    def centroid_mm(self) -> Vector:
        """Middle of the axis (mm)."""
        return (self.length / 2, self.diameter / 2, self.diameter / 2)

    def support(self, direction: Vector) -> float:
        """Largest extent along `direction` (mm)."""
        dx, dy, dz = direction
        r = self.diameter / 2
        return max(0.0, dx * self.length) + r * (dy + dz) + r * sqrt(dy * dy + dz * dz)

    def mirrored(self) -> tuple[Form, Pose]:
        """A rod is its own mirror image, the other way along."""
        return self, Pose.at(-self.length)


@dataclass(frozen=True)
class Custom:
    """A form made by a user's own CadQuery function, with what was measured on its solid.

    Made by `furnigen.custom_form`, which runs the function once.

    Attributes:
        name: the function's name, for the parts list.
        function: called with `arguments` as keywords, returns a CadQuery shape or workplane.
        arguments: (keyword, value) pairs, sorted.
        box: bounds of the solid in its own frame (mm).
        volume_mm3, centroid_mm: measured by the kernel.
        flat: whether the kernel found only planes.
    """

    name: str
    function: Callable[..., Any]
    arguments: tuple[tuple[str, Any], ...]
    box: Box
    volume_mm3: float
    centroid_mm: Vector
    flat: bool

    @property
    def kind(self) -> str:
        """Word for the parts list."""
        return self.name

    @property
    def blank_mm(self) -> Vector:
        """Extents along x, y, z (mm)."""
        return self.box.size

    def support(self, direction: Vector) -> float:
        """Largest extent of the measured box along `direction` (mm)."""
        return max(dot(direction, c) for c in self.box.corners())

    def mirrored(self) -> None:
        """Not known: a function cannot be mirrored without making another."""


def rectangle(length: float, width: float, thickness: float) -> Prism:
    """A plain board (mm)."""
    return Prism(float(length), float(width), float(thickness))


def mitred(length: float, width: float, thickness: float) -> Prism:
    """A board with 45° mitres at both ends; `length` along the outer edge y = 0 (mm).

    Errors: InputError when the inner edge would vanish.
    """
    if length <= 2 * width:
        raise InputError("mitred length", f"{length:g} mm", f"must be more than twice the width {width:g} mm")
    return Prism(
        length, width, thickness, ((0.0, 0.0), (length, 0.0), (length - width, width), (width, width))
    )


def ring(length: float, width: float, thickness: float, member: float) -> Prism:
    """A closed rectangular ring sawn from one sheet: outer `length` x `width`, members `member` wide (mm).

    Errors: InputError when the members leave no window.
    """
    if min(length, width) <= 2 * member:
        raise InputError(
            "member width",
            f"{member:g} mm",
            f"must be less than {min(length, width) / 2:g} mm, half the ring",
        )
    m, a, b = member, length - member, width - member
    return Prism(length, width, thickness, windows=(((m, m), (a, m), (a, b), (m, b)),))


def leaning(length: float, width: float, thickness: float, lean_degrees: float) -> Prism:
    """A board whose two ends are cut level for a lean, measured from upright.

    `length` is the blank, point to point; ends are parallel, the long edge y = 0 starts at x = 0.

    Errors: InputError when the cuts would meet.
    """
    from math import radians, tan

    run = width * tan(radians(lean_degrees))
    if abs(run) >= length:
        raise InputError(
            "lean", f"{lean_degrees:g}°", f"the end cuts of a board {length:g} mm long would meet"
        )
    if run >= 0:
        outline = ((0.0, 0.0), (length - run, 0.0), (length, width), (run, width))
    else:
        outline = ((-run, 0.0), (length, 0.0), (length + run, width), (0.0, width))
    return Prism(length, width, thickness, outline)
