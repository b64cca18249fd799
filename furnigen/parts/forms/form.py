"""What every form of a part answers about itself; boards and legs answer more.

A new form is one file beside this one: a frozen dataclass that subclasses `Form`, `Board` or `Leg` and
overrides what differs from the answers given here. No other module asks for its class: they ask `as_board`,
`as_leg`, `round_diameter` and the rest. A field must not bear the name of a property below: Python would take
the property for its default value.
"""

from __future__ import annotations

from abc import ABC, abstractmethod
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from math import cos, radians
from typing import TYPE_CHECKING

from furnigen.core.errors import GeometryError
from furnigen.core.pose import Box, Pose, Vector
from furnigen.parts.cuts import CutKey
from furnigen.parts.flat_faces import Polyhedron
from furnigen.parts.forms.column_section import ColumnSection
from furnigen.parts.forms.outline import Outline
from furnigen.parts.solid_recipe import SolidRecipe
from furnigen.parts.volume.polytope import Moments

if TYPE_CHECKING:
    from furnigen.core.array_types import Floats


@dataclass(frozen=True)
class Thickened:
    """A form made thick enough to print (see `Form.thickened`).

    Attributes:
        form: the form to mesh; its own sizes may have grown.
        factor: how its mesh is then stretched along x, y, z.
        notes: (what, size before, size after) of each thing that grew, at the scale (mm).
    """

    form: Form
    factor: Vector = (1.0, 1.0, 1.0)
    notes: tuple[tuple[str, float, float], ...] = ()


class Form(ABC):
    """What every form answers, in its own frame."""

    @property
    @abstractmethod
    def kind(self) -> str:
        """Word for the parts list."""

    @property
    @abstractmethod
    def blank_mm(self) -> Vector:
        """Length along the grain, width, thickness of the blank it is cut from (mm)."""

    @property
    @abstractmethod
    def volume_mm3(self) -> float:
        """Volume before joints are cut (mm³)."""

    @property
    @abstractmethod
    def centroid_mm(self) -> Vector:
        """Centre of mass before joints are cut (mm)."""

    @property
    @abstractmethod
    def flat(self) -> bool:
        """Whether all faces are planes."""

    @abstractmethod
    def support(self, direction: Vector) -> float:
        """Largest extent of the form along `direction` (a unit vector), mm."""

    def bounds(self, pose: Pose | None = None) -> Box:
        """Exact bounds of the form standing at `pose` (its own frame when None), mm."""
        pose = pose or Pose()
        lo, hi = [], []
        for row, o in zip(pose.rotation, pose.origin, strict=True):
            hi.append(self.support(row) + o)
            lo.append(o - self.support((-row[0], -row[1], -row[2])))
        return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))

    @property
    def thinnest_mm(self) -> float:
        """Its smallest thickness, as far as its sizes say (mm)."""
        return min(self.blank_mm)

    @property
    def like_its_box(self) -> bool:
        """Whether its bounds tell a picture near enough where it stands, to shade what is beside it."""
        return True

    @property
    def grain(self) -> Vector:
        """Unit vector the grain runs along, in its own frame."""
        return (1.0, 0.0, 0.0)

    @property
    def as_board(self) -> Board | None:
        """Itself where it is a board: broad faces square to its z."""
        return None

    @property
    def as_leg(self) -> Leg | None:
        """Itself where it is a leg: it stands on its foot at z = 0 and is level at `height`."""
        return None

    @property
    def round_diameter(self) -> float | None:
        """Diameter where it is a round bar along its x, equally thick all along (mm)."""
        return None

    @property
    def round_axis(self) -> int | None:
        """Which of its own axes a round form is round about, near enough to be printed standing on it."""
        return None

    @property
    def needs_kernel(self) -> bool:
        """Whether only the CAD kernel can mesh it, having no description of its faces."""
        return False

    @abstractmethod
    def key(self) -> CutKey:
        """Equal for forms that are the same as they stand, sizes taken on the grid of `cuts.on_size_grid`."""

    @property
    def same_when_turned(self) -> bool:
        """Whether every one of its `turns` gives the form itself."""
        return True

    def turns(self) -> Iterator[tuple[Form, Pose]]:
        """Other (form, pose) pairs with pose(form) equal to this form, pose a proper rotation."""
        return iter(())

    def unsigned(self) -> Form:
        """The form without negative zeros: equal to it, and so is all that is made of it to the last byte."""
        return self

    @abstractmethod
    def mirrored(self) -> tuple[Form, Pose] | None:
        """The mirror image in x: a form and the pose of that form; None when it is not known."""

    @property
    def own_mirror_image(self) -> bool:
        """Whether without cuts it is surely its own mirror image: spares working that out."""
        return False

    def polyhedron(self) -> Polyhedron | None:
        """Its corners and faces where all of them are flat and known."""
        return None

    @property
    def block_openings(self) -> tuple[Box, ...] | None:
        """Where it is its blank less boxes square to it: those boxes. None where it is not."""
        return None

    @property
    def always_sound(self) -> bool:
        """Whether its polyhedron is sound at any sizes, so the kernel need not check it."""
        return False

    def solid_recipe(self) -> SolidRecipe:
        """How its solid is made; asked only where it has no polyhedron.

        Raises: GeometryError where no solid is known.
        """
        raise GeometryError(f"no solid is known for a form of type {type(self).__name__}")

    def rings(self, sides: Callable[[float], int]) -> tuple[Floats, ...] | None:
        """The corners of its two ends, equally many, where it is all that lies between two convex ends.

        Of several such pieces in a row, those of the ends of each. Each is counter-clockwise seen from the
        last; corners of the same number lie on one straight line of its side. None where it is not made so.

        Args:
            sides: how many chords a whole circle of a radius (mm) takes; a multiple of four.
        """
        return None

    @property
    def convex(self) -> bool:
        """Whether it has no hollow; True only where that is known."""
        return False

    def square_end(self, axis: int, sign: int) -> bool:
        """Whether its end at the low (-1) or high (1) side of one of its axes can be let into a groove.

        An axis below 0 asks for a plain block, which may cross another board.
        """
        return False

    def lengthened(self, axis: int, sign: int, by: float) -> tuple[Form, Vector]:
        """The form made longer at one end (mm), and how far its frame moves in its own terms.

        Raises: GeometryError for a form that can not grow so.
        """
        raise GeometryError(f"a {self.kind} can not be let into another part")

    def section_mm2(self, axis: int) -> float | None:
        """Area of its section square to one of its axes where that is the same all along (mm²)."""
        return None

    def flat_side(self, axis: int, at_high_end: bool) -> tuple[tuple[Vector, ...], ...] | None:
        """The flat side square to an axis of its frame: its corners, then those of each opening in it (mm).

        Empty where it has no flat side there; None where the whole side of its bounds is meant.
        """
        return None

    def column_section(self, z: float, up: Vector) -> ColumnSection | None:
        """Its section as an upright; None where there is no wood or no rule.

        Args:
            z: height above the origin of its frame (mm).
            up: unit vector that points up, in its frame.
        """
        return None

    def thickened(self, scale: float, wall: float, least: float) -> Thickened:
        """The form with what is thinner than `wall` (mm) at a scale (model over real) made `least` (mm)."""
        return Thickened(self)


class Board(Form):
    """A board: length, width and thickness along x, y, z, its broad faces at z = 0 and at its thickness.

    Attributes:
        length, width, thickness: along x, y, z (mm).
        windows: openings cut clean through, each counter-clockwise.
    """

    length: float
    width: float
    thickness: float
    windows: tuple[Outline, ...]

    @property
    @abstractmethod
    def corners(self) -> Outline:
        """Its outline seen square to its faces, counter-clockwise (mm)."""

    @property
    def as_board(self) -> Board:
        """Itself."""
        return self

    @property
    def blank_mm(self) -> Vector:
        """Length along the grain, width, thickness (mm)."""
        return (self.length, self.width, self.thickness)

    @property
    def rectangular(self) -> bool:
        """Whether it is a plain rectangular block."""
        return False

    @property
    def shaped_edge(self) -> Box | None:
        """Where it is not alike through its thickness (mm); None for a board sawn square to its faces."""
        return None

    @property
    def own_mirror_image(self) -> bool:
        """Alike on both sides of the middle of its thickness, it is."""
        return True

    def mirrored(self) -> tuple[Form, Pose]:
        """The same board turned face about: mirroring in x is that, its middle being a plane of mirror."""
        return self, Pose.turned("y", 180.0, (0.0, 0.0, self.thickness))

    @abstractmethod
    def wood_in_box(self, lo: Vector, hi: Vector) -> Moments:
        """Volume and first moments of what a box square to it takes out of it, uncut (mm³, mm⁴)."""

    def bending_share(self, along: int) -> float:
        """Width of the rectangle, as thick as the board, that bends as it does, over its own width.

        Args:
            along: the side it bends along, 0 (length) or 1 (width).
        """
        return 1.0

    def thickened(self, scale: float, wall: float, least: float) -> Thickened:
        """Its thickness grows; a plain board grows in length and width too."""
        factor, found = [1.0, 1.0, 1.0], list[tuple[str, float, float]]()
        names = ("length", "width", "thickness")
        for k in (0, 1, 2) if self.rectangular else (2,):
            size = self.blank_mm[k]
            if size * scale < wall:
                factor[k] = least / size
                found.append((names[k], size * scale, wall))
        return Thickened(self, (factor[0], factor[1], factor[2]), tuple(found))


class Leg(Form):
    """A tapered leg from its foot at z = 0 to a level cut at `height`, where its axis meets x = y = 0.

    Attributes:
        height: floor to underside (mm).
        top, foot: size square to the axis at either end (mm).
    """

    height: float
    top: float
    foot: float

    @property
    def as_leg(self) -> Leg:
        """Itself."""
        return self

    @property
    def grain(self) -> Vector:
        """Upward: a leg's blank stands."""
        return (0.0, 0.0, 1.0)

    @property
    def thinnest_mm(self) -> float:
        """The smaller of its ends (mm)."""
        return min(self.top, self.foot)

    @property
    def convex(self) -> bool:
        """Always."""
        return True

    @property
    @abstractmethod
    def lean(self) -> float:
        """Resultant angle of its axis from upright (degrees)."""

    @property
    @abstractmethod
    def blank_axes(self) -> tuple[Vector, Vector, Vector]:
        """Unit vectors of its blank: along two of its sides, and its axis upward."""

    @property
    def axis_length(self) -> float:
        """Along the axis, floor to top (mm)."""
        return self.height / cos(radians(self.lean))

    @property
    def _slope(self) -> float:
        """Growth of half its size along the axis."""
        return (self.top - self.foot) / 2 / self.axis_length

    @property
    @abstractmethod
    def size_word(self) -> str:
        """What its size is called: diameter, width."""

    def half_at(self, z: float) -> float:
        """Half its size square to the axis where the axis crosses height z (mm)."""
        return (self.foot + (self.top - self.foot) * z / self.height) / 2

    @abstractmethod
    def axis_run(self, down: float) -> tuple[float, float]:
        """How far along x and y its axis has run outward `down` below its top (mm)."""

    def axis_at(self, z: float) -> Vector:
        """Where its axis crosses height z (mm)."""
        return (*self.axis_run(self.height - z), z)

    @abstractmethod
    def resized(self, height: float, top: float, foot: float) -> Leg:
        """A leg of other sizes (mm) that leans alike."""

    @abstractmethod
    def modulus_at(self, z: float) -> float:
        """Section modulus at height z, about an axis through its sides, mm³."""

    @abstractmethod
    def level_bounds(self, z: float, pose: Pose) -> tuple[tuple[float, float], tuple[float, float]]:
        """From where to where its level section at height z reaches along x and y of the room (mm)."""

    def below(self, z: float) -> Leg:
        """The leg as it would be if it were cut off level at height z."""
        return self.resized(z, 2 * self.half_at(z), self.foot)

    def lengthened(self, axis: int, sign: int, by: float) -> tuple[Form, Vector]:
        """The same taper and lean, cut off `by` higher; its frame follows its top."""
        if axis != 2 or sign < 0:
            return super().lengthened(axis, sign, by)
        height = self.height + by
        taller = self.resized(height, self.foot + (self.top - self.foot) * height / self.height, self.foot)
        return taller, (-self.axis_run(by)[0], -self.axis_run(by)[1], 0.0)

    def thickened(self, scale: float, wall: float, least: float) -> Thickened:
        """Each end that is too thin grows by itself."""
        top, foot = (size if size * scale >= wall else least for size in (self.top, self.foot))
        notes = tuple(
            (f"{self.size_word} at its {end}", old * scale, new * scale)
            for end, old, new in (("top", self.top, top), ("foot", self.foot, foot))
            if new > old
        )
        return Thickened(self.resized(self.height, top, foot), notes=notes)
