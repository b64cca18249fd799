"""Boards and other prisms: a flat outline as thick as its board.

Each form is a frozen value that knows its volume, centre of mass and extents in closed form; the
kernel turns it into a solid (`furnigen.kernel.solids`) and tests hold the two against each other.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from furnigen.core.errors import InputError
from furnigen.core.pose import Pose, Vector
from furnigen.parts.forms.form import Form, check_form_size
from furnigen.parts.forms.outline import Outline, Point2, polygon_area, polygon_centroid


@dataclass(frozen=True)
class Prism:
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
        raise InputError("mitred length", f"{length:g} mm", f"must be more than twice the width {width:g} mm")
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
            f"{member:g} mm",
            f"must be less than {min(length, width) / 2:g} mm, half the ring",
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
            "lean", f"{lean_degrees:g}°", f"the end cuts of a board {length:g} mm long would meet"
        )
    if run >= 0:
        outline = ((0.0, 0.0), (length - run, 0.0), (length, width), (run, width))
    else:
        outline = ((-run, 0.0), (length, 0.0), (length + run, width), (0.0, width))
    return Prism(length, width, thickness, outline)
