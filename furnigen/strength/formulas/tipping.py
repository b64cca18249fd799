"""Standing: whether a piece tips, which way, and what pull an anchor must take.

Plain statics about the lines it can tip over, the edges of the convex hull of its feet. For one line, d is
the level distance of the centre of mass inside it and z its height; weights are masses in kg with
standard gravity. Toward the room is -y, the front.

    resisting = W d,   overturning = P e + F h,   tips when overturning > resisting
    tilt that just tips = atan(d / z),   pull that just tips = W d / h,   load that just tips = W d / e
    anchor at height h_a: T = (overturning - resisting) / h_a

With the rear raised by a slope s, d becomes d cos s - z sin s. Estimates, not certification: anchor tall
pieces, whatever the numbers say; local codes and licensed practice decide.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import asin, atan2, cos, degrees, hypot, inf, sin

from furnigen.catalogue.loads import GRAVITY
from furnigen.core.errors import InputError
from furnigen.core.pose import Vector
from furnigen.core.quantities import SAME_MM
from furnigen.core.wording import in_words, worded

Point2 = tuple[float, float]

ANCHOR_HEIGHT_MM = 686.0
"""27 in: from there 16 CFR 1261 covers clothing storage (looked up); for shelving our own choice."""
ANCHOR_SLENDER = 3.0
"""Height over depth from which to anchor. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Mass:
    """A mass (kg) with its centre in the room (mm)."""

    kg: float
    at: Vector


@dataclass(frozen=True, slots=True)
class Edge:
    """A line the piece can tip over.

    Attributes:
        a, b: its ends on the floor, mm, the feet to its left when walking from a to b.
        side: "front", "right", "back" or "left", whichever its outward direction is nearest.
        outward: unit vector on the floor away from the feet.
        inside: how far the centre of mass lies inside it, mm; negative when outside: it falls.
        tilt_degrees: tilt that just tips it.
        resisting: W d, N mm.
    """

    a: Point2
    b: Point2
    side: str
    outward: Point2
    inside: float
    tilt_degrees: float
    resisting: float

    def beyond(self, at: Vector) -> float:
        """How far a point lies outside the line, mm; negative inside."""
        return (at[0] - self.a[0]) * self.outward[0] + (at[1] - self.a[1]) * self.outward[1]

    def pull_n(self, height: float) -> float:
        """The level pull outward at a height (mm) that just tips the piece, N; inf at the floor."""
        return max(self.resisting, 0.0) / height if height > 0 else inf

    def load_n(self, at: Vector) -> float:
        """The weight at a point that just tips the piece over this line, N; inf for a point within it."""
        reach = self.beyond(at)
        return max(self.resisting, 0.0) / reach if reach > SAME_MM else inf


@dataclass(frozen=True)
class TippingStability:
    """How a piece stands.

    Attributes:
        kg: its whole mass.
        centre: centre of mass in the room, mm.
        footprint: corners of the convex hull of its feet, counter-clockwise, mm.
        edges: the lines it can tip over, in the order of the footprint.
    """

    kg: float
    centre: Vector
    footprint: tuple[Point2, ...]
    edges: tuple[Edge, ...]

    @property
    def weakest(self) -> Edge:
        """The line it tips over first when tilted."""
        return min(self.edges, key=lambda e: e.tilt_degrees)

    def side(self, name: str) -> tuple[Edge, ...]:
        """The lines on one side, the weakest first."""
        return tuple(sorted((e for e in self.edges if e.side == name), key=lambda e: e.tilt_degrees))


def convex_hull(points: Iterable[Point2]) -> tuple[Point2, ...]:
    """Corners of the convex hull, counter-clockwise, from the lowest x (A. M. Andrew's chains, 1979).

    Points are taken to a millionth of a millimetre: feet in one line must not be ordered by rounding noise.
    """
    every = sorted({(round(x, 6), round(y, 6)) for x, y in points})

    def half(walk: Iterable[Point2]) -> list[Point2]:
        chain: list[Point2] = []
        for p in walk:
            while len(chain) > 1:
                (ax, ay), (bx, by) = chain[-2], chain[-1]
                if (bx - ax) * (p[1] - ay) - (by - ay) * (p[0] - ax) > SAME_MM * hypot(bx - ax, by - ay):
                    break
                chain.pop()
            chain.append(p)
        return chain

    lower, upper = half(every), half(reversed(every))
    return tuple(lower[:-1] + upper[:-1])


def centre_of(masses: Sequence[Mass]) -> Mass:
    """All masses as one.

    Raises: InputError for no mass or a negative one.
    """
    whole = sum(m.kg for m in masses)
    if not whole > 0 or min((m.kg for m in masses), default=0) < 0:
        raise InputError("mass", f"{whole:g} kg", "must be more than zero, and no part negative")
    at = tuple(sum(m.kg * m.at[i] for m in masses) / whole for i in range(3))
    return Mass(whole, (at[0], at[1], at[2]))


def _side(outward: Point2) -> str:
    x, y = outward
    if abs(y) >= abs(x):  # a corner line counts to the front or back, the way people pull
        return "front" if y < 0 else "back"
    return "left" if x < 0 else "right"


def find_tipping_stability(
    masses: Sequence[Mass], feet: Sequence[Point2], floor: float = 0.0
) -> TippingStability:
    """How a piece of these masses stands on feet that touch the floor at these points.

    Args:
        masses: parts and what lies on them.
        feet: (x, y) of the contacts, mm; corners of each foot.
        floor: height of the floor, mm.

    Raises: InputError for no mass, or feet that do not span an area.
    """
    whole = centre_of(masses)
    corners = convex_hull(feet)
    if len(corners) < 3:
        raise InputError(
            "floor contacts", f"{len(corners)} points apart", "must span an area for the piece to stand"
        )
    weight = whole.kg * GRAVITY
    edges = []
    for a, b in zip(corners, (*corners[1:], corners[0]), strict=True):
        length = hypot(b[0] - a[0], b[1] - a[1])
        outward = ((b[1] - a[1]) / length, (a[0] - b[0]) / length)
        inside = -((whole.at[0] - a[0]) * outward[0] + (whole.at[1] - a[1]) * outward[1])
        tilt = degrees(atan2(inside, whole.at[2] - floor))
        edges.append(Edge(a, b, _side(outward), outward, inside, tilt, weight * inside))
    return TippingStability(whole.kg, whole.at, corners, tuple(edges))


@dataclass(frozen=True, slots=True)
class TipResult:
    """What a test load does over one line.

    Attributes:
        edge: the line.
        resisting, overturning: N mm.
    """

    edge: Edge
    resisting: float
    overturning: float

    @property
    def factor(self) -> float:
        """Resisting over overturning moment; inf where nothing overturns."""
        return self.resisting / self.overturning if self.overturning > 0 else inf

    @property
    def tips(self) -> bool:
        """Whether it tips."""
        return self.overturning > self.resisting

    def anchor_n(self, height: float) -> float:
        """The pull an anchor at this height (mm) must take, N; 0 where it stands by itself.

        Raises: InputError for an anchor at the floor.
        """
        if not height > 0:
            raise InputError("height of the anchor", f"{height:g} mm", "must be more than zero")
        return max(0.0, self.overturning - self.resisting) / height


def rear_slope(standing: TippingStability, edge: Edge, rear_raised: float) -> float:
    """The slope of a piece whose feet farthest from a line are raised (mm), radians.

    Raises: InputError for feet raised further than they are apart.
    """
    far = max(-edge.beyond((x, y, 0.0)) for x, y in standing.footprint)
    if rear_raised >= far:
        raise InputError(
            "rear raised", f"{rear_raised:g} mm", f"must be less than the {far:g} mm to the far feet"
        )
    return asin(rear_raised / far)


def tip_over_line(
    standing: TippingStability,
    edge: Edge,
    *,
    weight_n: float = 0.0,
    weight_at: Vector = (0.0, 0.0, 0.0),
    pull_n: float = 0.0,
    pull_height: float = 0.0,
    rear_raised: float = 0.0,
) -> TipResult:
    """A weight at a point and a level pull outward over one line, the far feet raised or not.

    Args:
        standing: how the piece stands.
        edge: one of its lines.
        weight_n, weight_at: N and mm.
        pull_n, pull_height: N and mm.
        rear_raised: how far the feet farthest from the line are raised, mm.

    Raises: InputError for negative loads, or feet raised further than they are apart.
    """
    for what, value in (("weight", weight_n), ("pull", pull_n), ("rear raised", rear_raised)):
        if not value >= 0:
            raise InputError(what, f"{value:g}", "must be zero or more")
    slope = rear_slope(standing, edge, rear_raised)
    inside = edge.inside * cos(slope) - standing.centre[2] * sin(slope)
    reach = edge.beyond(weight_at) * cos(slope) + weight_at[2] * sin(slope)
    resisting = standing.kg * GRAVITY * inside
    overturning = pull_n * pull_height
    if reach > 0:
        overturning += weight_n * reach
    else:
        resisting -= weight_n * reach
    return TipResult(edge, resisting, overturning)


def should_anchor(height: float, depth: float) -> str:
    """Why a free-standing piece should be anchored to the wall, or "" where no rule asks for it (mm).

    No published rule covers bookcases and open racks; this one is common practice, no source.
    """
    if not depth > 0:
        raise InputError("depth", f"{depth:g} mm", "must be more than zero")
    if height >= ANCHOR_HEIGHT_MM:
        tall, least = in_words(height, digits=0), in_words(ANCHOR_HEIGHT_MM, digits=0)
        return worded(f"it is {tall} tall; what is {least} or taller is fixed to the wall")
    if height / depth > ANCHOR_SLENDER:
        times = f"{height / depth:.1f} times as tall as deep"
        return f"it is {times}; beyond {ANCHOR_SLENDER:g} a piece is fixed to the wall"
    return ""
