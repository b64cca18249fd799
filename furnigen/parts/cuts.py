"""What joints take out of a part: boxes, straight cuts of any section, bores, turned tenons, in its frame."""

from __future__ import annotations

from dataclasses import dataclass, fields, replace
from functools import cached_property
from math import pi

from furnigen.core.facts import NO_FACTS, Fact, FastenerKind
from furnigen.core.pose import Box, Pose, Vector, unsigned_zeros
from furnigen.parts.forms.outline import Outline, polygon_area
from furnigen.parts.volume.polytope import HalfSpace, box_half_spaces, prism_half_spaces

CutKey = tuple[object, ...]
SAME_MM = 1e-4
"""Two sizes closer than this are one size: far below any saw, far above rounding of doubles."""
SQUARE_SINE = 1e-8
"""Sine of an angle that is none: over 10 m two sides part by no more than `SAME_MM`."""
_GRID_SHIFT = 0.2360679775
"""Part of a step. Without it, 1/32 in (0.79375 mm) would lie between two steps, and noise would part sizes
that are one; no fraction of an inch or decimal of a millimetre comes near a border of the shifted grid."""


def on_size_grid(v: Vector) -> tuple[int, int, int]:
    """`v` in steps of the grid of sizes that count as the same."""
    x, y, z = v
    return (
        round(x / SAME_MM + _GRID_SHIFT),
        round(y / SAME_MM + _GRID_SHIFT),
        round(z / SAME_MM + _GRID_SHIFT),
    )


def _reflected(pose: Pose, size: Vector) -> Pose:
    """The pose of the mirror image (in x) of a box of `size` standing at `pose`."""
    ex, ey, ez = (tuple(col) for col in zip(*pose.rotation, strict=True))
    ox, oy, oz = pose.origin
    # reflecting makes the axes left-handed; a box is the same with one axis reversed
    start = (-(ox + size[0] * ex[0]), oy + size[0] * ex[1], oz + size[0] * ex[2])
    return Pose.columns((ex[0], -ex[1], -ex[2]), (-ey[0], ey[1], ey[2]), (-ez[0], ez[1], ez[2]), start)


class _Keyed:
    """What a cut is told by, worked out once: copies of a part share cuts, and so do variants."""

    @property
    def _key(self) -> CutKey:
        raise NotImplementedError

    def key(self) -> CutKey:
        """Equal for cuts that take out the same space, however written."""
        return self._key

    def _fields(self) -> tuple[object, ...]:
        """All that it is compared by."""
        return tuple([getattr(self, f.name) for f in fields(self)])  # type: ignore[arg-type]

    def __hash__(self) -> int:
        known = vars(self).get("_hash")
        if known is None:
            known = vars(self)["_hash"] = hash(self._fields())
        return int(known)

    def __getstate__(self) -> dict[str, object]:
        return {name: value for name, value in vars(self).items() if name not in ("_key", "_hash")}


@dataclass(frozen=True)
class BoxCut(_Keyed):
    """A box taken out: `size` along the axes of `pose`, from its origin (mm).

    Attributes:
        name: what people call it, such as "housing"; no check goes by it.
        facts: whether it is a hardware hole, or a groove across its board.
        takes: the hardware that fills it, such as a spline; None for what other wood fills, or nothing.
    """

    pose: Pose
    size: Vector
    name: str = "cut"
    facts: Fact = NO_FACTS
    takes: FastenerKind | None = None

    __hash__ = _Keyed.__hash__  # a dataclass makes one of its own else

    def moved(self, outer: Pose) -> BoxCut:
        """The cut seen from the outer frame of `outer`."""
        return BoxCut(outer @ self.pose, self.size, self.name, self.facts, self.takes)

    @property
    def middle(self) -> Vector:
        """Middle of the box (mm)."""
        sx, sy, sz = self.size
        return self.pose.apply((sx / 2, sy / 2, sz / 2))

    def reflected(self) -> BoxCut:
        """The mirror image in x."""
        return BoxCut(_reflected(self.pose, self.size), self.size, self.name, self.facts, self.takes)

    def corners(self) -> list[Vector]:
        """The eight corners (mm)."""
        # spelled out: parts are turned every way to be compared, cut by cut
        sx, sy, sz = self.size
        (a, b, c), (d, e, f), (g, h, i) = self.pose.rotation
        x, y, z = self.pose.origin
        p, q, r = x + c * sz, y + f * sz, z + i * sz
        across: list[Vector] = [(x, y, z), (p, q, r)]
        u, v, w = b * sy, e * sy, h * sy
        across += [(x + u, y + v, z + w), (p + u, q + v, r + w)]
        u, v, w = a * sx, d * sx, g * sx
        return across + [(x + u, y + v, z + w) for x, y, z in across]

    @property
    def square(self) -> bool:
        """Whether its sides run along the part's own axes."""
        (a, b, c), (d, e, f), (g, h, i) = self.pose.rotation
        most = 1.0 + SQUARE_SINE
        return (
            abs(a) + abs(b) + abs(c) <= most
            and abs(d) + abs(e) + abs(f) <= most
            and abs(g) + abs(h) + abs(i) <= most
        )

    def spans(self) -> Box:
        """Bounds in the part's own frame (mm)."""
        lo, hi = [], []
        sx, sy, sz = self.size
        for (rx, ry, rz), o in zip(self.pose.rotation, self.pose.origin, strict=True):
            x, y, z = rx * sx, ry * sy, rz * sz
            lo.append(o + min(0.0, x) + min(0.0, y) + min(0.0, z))
            hi.append(o + max(0.0, x) + max(0.0, y) + max(0.0, z))
        return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))

    @cached_property
    def _key(self) -> CutKey:
        """Equal for cuts that take out the same space, however written."""
        if self.square:
            box = self.spans()
            return ("box", on_size_grid(box.lo), on_size_grid(box.hi))
        return ("box", *sorted(map(on_size_grid, self.corners())))

    @property
    def volume_mm3(self) -> float:
        """Volume of the tool, whether or not all of it meets wood (mm³)."""
        return self.size[0] * self.size[1] * self.size[2]

    def half_spaces(self) -> tuple[HalfSpace, ...]:
        """Half-spaces whose common part it is."""
        return box_half_spaces(self.pose, self.size)


@dataclass(frozen=True)
class ProfileCut(_Keyed):
    """A straight cut of one section: a convex outline drawn along z of `pose` for `length` (mm).

    Attributes:
        outline: counter-clockwise, in the x-y plane of `pose`.
        name: what people call it, such as "dovetail groove"; no check goes by it.
        facts: whether it is a groove across its board.
        takes: the hardware that fills it; None for what other wood fills, or nothing.
    """

    pose: Pose
    outline: Outline
    length: float
    name: str = "profile"
    facts: Fact = NO_FACTS
    takes: FastenerKind | None = None

    square = False

    def moved(self, outer: Pose) -> ProfileCut:
        """The cut seen from the outer frame of `outer`."""
        return replace(self, pose=outer @ self.pose)

    def corners(self) -> list[Vector]:
        """Its corners (mm)."""
        return [self.pose.apply((x, y, z)) for z in (0.0, self.length) for x, y in self.outline]

    __hash__ = _Keyed.__hash__  # a dataclass makes one of its own else

    @property
    def middle(self) -> Vector:
        """Mean of its corners (mm)."""
        n = len(self.outline)
        x, y = (sum(p[i] for p in self.outline) / n for i in (0, 1))
        return self.pose.apply((x, y, self.length / 2))

    def reflected(self) -> ProfileCut:
        """The mirror image in x: of its frame, and of its outline in that."""
        outline = tuple((-x, y) for x, y in reversed(self.outline))
        return replace(self, pose=self.pose.reflected(), outline=outline)

    def spans(self) -> Box:
        """Bounds in the part's own frame (mm)."""
        return Box.around(self.corners())

    @cached_property
    def _key(self) -> CutKey:
        """Equal for cuts that take out the same space: a convex shape is known by its corners."""
        return ("profile", *sorted(map(on_size_grid, self.corners())))

    def half_spaces(self) -> tuple[HalfSpace, ...]:
        """Half-spaces whose common part it is."""
        return prism_half_spaces(self.pose, self.outline, self.length)

    @property
    def volume_mm3(self) -> float:
        """Volume of the tool, whether or not all of it meets wood (mm³)."""
        return polygon_area(self.outline) * self.length


@dataclass(frozen=True)
class Bore(_Keyed):
    """A flat-bottomed hole: from `start`, along the unit vector `direction`, `depth` deep (mm).

    Attributes:
        name: what people call it; no check goes by it.
        blind: whether it must end inside the wood.
        facts: whether it is a hardware hole.
        takes: the hardware that goes into it; None for what wood fills, as a round mortise.
    """

    start: Vector
    direction: Vector
    diameter: float
    depth: float
    name: str = "bore"
    blind: bool = False
    facts: Fact = NO_FACTS
    takes: FastenerKind | None = None

    __hash__ = _Keyed.__hash__  # a dataclass makes one of its own else

    @property
    def end(self) -> Vector:
        """Middle of the hole's bottom (mm)."""
        s, d, h = self.start, self.direction, self.depth
        return (s[0] + d[0] * h, s[1] + d[1] * h, s[2] + d[2] * h)

    @property
    def middle(self) -> Vector:
        """Middle of the hole (mm)."""
        s, d, h = self.start, self.direction, self.depth / 2
        return (s[0] + d[0] * h, s[1] + d[1] * h, s[2] + d[2] * h)

    def moved(self, outer: Pose) -> Bore:
        """The bore seen from the outer frame of `outer`."""
        start, way = outer.apply(self.start), outer.turn(self.direction)
        return Bore(start, way, self.diameter, self.depth, self.name, self.blind, self.facts, self.takes)

    def reflected(self) -> Bore:
        """The mirror image in x."""
        s, d = self.start, self.direction
        return replace(self, start=(-s[0], s[1], s[2]), direction=(-d[0], d[1], d[2]))

    @cached_property
    def _key(self) -> CutKey:
        """Equal for bores that take out the same space, from whichever end they are drilled."""
        return (
            "bore",
            *sorted((on_size_grid(self.start), on_size_grid(self.end))),
            round(self.diameter / SAME_MM),
        )

    @property
    def volume_mm3(self) -> float:
        """Volume of the tool (mm³)."""
        return pi * self.diameter**2 / 4 * self.depth


@dataclass(frozen=True)
class Turned(_Keyed):
    """The end of a part turned down to a round tenon: all wood beyond a plane goes, but for a cylinder.

    Attributes:
        origin: where the tenon's axis crosses the shoulder plane (mm).
        normal: unit vector square to the shoulder, toward the tenon's tip.
        axis: unit vector along the tenon, toward its tip.
        diameter: of the tenon (mm).
    """

    origin: Vector
    normal: Vector
    axis: Vector
    diameter: float
    name: str = "tenon"

    __hash__ = _Keyed.__hash__  # a dataclass makes one of its own else

    @property
    def middle(self) -> Vector:
        """Where the tenon's axis leaves its shoulder (mm)."""
        return self.origin

    def moved(self, outer: Pose) -> Turned:
        """The cut seen from the outer frame of `outer`."""
        return Turned(
            outer.apply(self.origin),
            outer.turn(self.normal),
            outer.turn(self.axis),
            self.diameter,
            self.name,
        )

    def reflected(self) -> Turned:
        """The mirror image in x."""
        o, n, a = ((-v[0], v[1], v[2]) for v in (self.origin, self.normal, self.axis))
        return Turned(o, n, a, self.diameter, self.name)

    @cached_property
    def _key(self) -> CutKey:
        """Equal for the same tenon."""
        return (
            "turned",
            on_size_grid(self.origin),
            on_size_grid(self.normal),
            on_size_grid(self.axis),
            round(self.diameter / SAME_MM),
        )


FlatCut = BoxCut | ProfileCut
"""A cut with flat sides only."""
Cut = FlatCut | Bore | Turned


def unsigned(cut: Cut) -> Cut:
    """The cut without negative zeros: equal to it, and so is all that is made of it to the last byte."""
    if isinstance(cut, BoxCut):
        return replace(cut, pose=cut.pose.unsigned())
    if isinstance(cut, ProfileCut):
        outline = tuple((x + 0.0, y + 0.0) for x, y in cut.outline)
        return replace(cut, pose=cut.pose.unsigned(), outline=outline)
    if isinstance(cut, Bore):
        return replace(cut, start=unsigned_zeros(cut.start), direction=unsigned_zeros(cut.direction))
    o, n, a = (unsigned_zeros(v) for v in (cut.origin, cut.normal, cut.axis))
    return replace(cut, origin=o, normal=n, axis=a)
