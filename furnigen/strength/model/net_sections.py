"""What cuts leave of a board or rail: its sections where laps, housings, mortises and bores are.

A section that is cut is a set of rectangles. It bends about its own neutral axis, which lies off the middle
of the board where one side is cut deeper than the other:

    A = sum a,   z0 = sum a z / A,   I = sum (b h³/12 + a (z - z0)²),   W = I / farthest fibre

(parallel axes, closed form). A round hole counts as the square around it. What fills a cut is not counted:
a tongue or another board carries no tension across it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from furnigen.core.caches import NET_SECTIONS, kept
from furnigen.core.pose import Box, Vector
from furnigen.parts.cuts import Bore, BoxCut, Cut, ProfileCut
from furnigen.parts.part import Part
from furnigen.strength.model.members import Member

Range = tuple[float, float]
Rectangle = tuple[float, float, float, float]
"""From y, to y, from z, to z."""
Axes = tuple[tuple[int, bool], ...]
"""Axes of a part, and whether each is followed against its direction."""
CutRanges = tuple[Range, Range, Range]
"""From where to where a cut reaches along three directions, mm."""

SLIVER_MM = 0.5
"""A cut that reaches less far than this into a section is left out: it is the room of a joint."""


@dataclass(frozen=True)
class NetSection:
    """The section of a beam over a stretch where it is cut.

    Attributes:
        start, end: along the beam, mm from its low end.
        area: what is left, mm².
        modulus: W about its own level axis, mm³.
        breadth: width of what is left where it is least, mm.
        height: upright size of what is left, from its lowest to its highest, mm.
        full: upright size of the whole board, mm.
        from_below: how much of that is cut away from below, mm.
    """

    start: float
    end: float
    area: float
    modulus: float
    breadth: float
    height: float
    full: float
    from_below: float


def net_rectangles(width: float, height: float, cuts: Sequence[Rectangle]) -> list[Rectangle]:
    """A rectangle with a corner at zero, less some others: as rectangles that do not overlap."""
    ys = sorted({0.0, width, *(min(max(y, 0.0), width) for c in cuts for y in c[:2])})
    zs = sorted({0.0, height, *(min(max(z, 0.0), height) for c in cuts for z in c[2:])})
    found = []
    for y0, y1 in pairwise(ys):
        for z0, z1 in pairwise(zs):
            y, z = (y0 + y1) / 2, (z0 + z1) / 2
            gone = any(c[0] <= y <= c[1] and c[2] <= z <= c[3] for c in cuts)
            if not gone and min(y1 - y0, z1 - z0) > SLIVER_MM:
                found.append((y0, y1, z0, z1))
    return found


def bending_of(rectangles: Sequence[Rectangle]) -> tuple[float, float, float]:
    """Area, I about the level axis through its centroid, and W of a section of rectangles (mm², mm⁴, mm³)."""
    area = sum((y1 - y0) * (z1 - z0) for y0, y1, z0, z1 in rectangles)
    middle = sum((y1 - y0) * (z1 - z0) * (z0 + z1) / 2 for y0, y1, z0, z1 in rectangles) / area
    second = sum(
        (y1 - y0) * (z1 - z0) * ((z1 - z0) ** 2 / 12 + ((z0 + z1) / 2 - middle) ** 2)
        for y0, y1, z0, z1 in rectangles
    )
    far = max(max(abs(z0 - middle), abs(z1 - middle)) for _, _, z0, z1 in rectangles)
    return area, second, second / far


def _bounds(cut: Cut) -> Box | None:
    """What a cut takes out at most, in the part's own frame; None for a turned end."""
    if isinstance(cut, BoxCut | ProfileCut):
        return cut.spans()
    if isinstance(cut, Bore):
        r = cut.diameter / 2
        lo, hi = [], []
        for s, e, d in zip(cut.start, cut.end, cut.direction, strict=True):
            side = r * max(0.0, 1 - d * d) ** 0.5
            lo.append(min(s, e) - side)
            hi.append(max(s, e) + side)
        return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))
    return None


def _axes(body: Member, ways: Sequence[Vector]) -> Axes | None:
    """Which axis of the part each direction of the room runs along, and whether against it; None if askew."""
    found = []
    for x, y, z in ways:
        along = [a * x + b * y + c * z for a, b, c in zip(*body.pose.rotation, strict=True)]
        i = max(range(3), key=lambda k: abs(along[k]))
        if abs(along[i]) < 1 - 1e-6:
            return None
        found.append((i, along[i] < 0))
    return tuple(found)


@kept(NET_SECTIONS)
def _boxes_along(part: Part, axes: Axes) -> tuple[CutRanges, ...]:
    """What cuts take out of a board along three axes of it, mm from its low corner.

    A shaped board is taken as the blank it is cut from.
    """
    found = []
    for cut in part.cuts:
        box = _bounds(cut)
        if box is None:
            continue
        spans: list[Range] = []
        for i, against in axes:
            size = part.form.blank_mm[i]
            low, high = max(box.lo[i], 0.0), min(box.hi[i], size)
            spans.append((size - high, size - low) if against else (low, high))
        if all(high - low > SLIVER_MM for low, high in spans):
            found.append((spans[0], spans[1], spans[2]))
    return tuple(found)


def find_net_sections(body: Member, d: Vector, across: Vector) -> tuple[NetSection, ...]:
    """Where a level board or rail is cut along a level direction, and what is left of it there."""
    board = body.form.as_board
    if not body.part.cuts or board is None or not board.rectangular:
        return ()
    axes = _axes(body, (d, across, (0.0, 0.0, 1.0)))
    return () if axes is None else _sections_along(body.part, axes)


@kept(NET_SECTIONS)
def _sections_along(part: Part, axes: Axes) -> tuple[NetSection, ...]:
    """As `find_net_sections`: of a rectangular board along its first axis, the last one standing upright."""
    boxes = _boxes_along(part, axes)
    length, width, full = (part.form.blank_mm[i] for i, _ in axes)
    places = sorted({min(max(x, 0.0), length) for box in boxes for x in box[0]})
    found = []
    for start, end in pairwise(places):
        middle = (start + end) / 2
        here = [(*box[1], *box[2]) for box in boxes if box[0][0] <= middle <= box[0][1]]
        if end - start < SLIVER_MM or not here:
            continue
        left = net_rectangles(width, full, here)
        if not left:
            continue
        area, _, modulus = bending_of(left)
        bottom, top = min(r[2] for r in left), max(r[3] for r in left)
        levels = sorted({z for r in left for z in r[2:]})
        slices = [sum(r[1] - r[0] for r in left if r[2] <= (a + b) / 2 <= r[3]) for a, b in pairwise(levels)]
        breadth = min(one for one in slices if one > 0)
        found.append(NetSection(start, end, area, modulus, breadth, top - bottom, full, bottom))
    return tuple(found)


def left_of_upright(body: Member, low: float, high: float) -> tuple[float, float, float]:
    """What cuts leave of an upright board between two heights of the room (mm), at the worst place of each.

    Returns: shares of its area, of W where it bends across its thickness, and of W where it bends across its
        width.
    """
    if not body.part.cuts or body.form.as_board is None:
        return 1.0, 1.0, 1.0
    side = max((0, 1), key=lambda i: abs(body.direction(i)[2]))
    rises = body.direction(side)[2]
    foot = body.box.lo[2]
    area = thin = wide = 1.0
    for middle, *left in _left_along(body.part, side, rises < 0):
        if low <= foot + middle * abs(rises) <= high:
            area, thin, wide = min(area, left[0]), min(thin, left[1]), min(wide, left[2])
    return area, thin, wide


@kept(NET_SECTIONS)
def _left_along(part: Part, side: int, against: bool) -> tuple[tuple[float, float, float, float], ...]:
    """Each stretch of a board along one of its sides where it is cut: its middle, mm, and the shares left."""
    board = part.form.as_board
    assert board is not None
    boxes = _boxes_along(part, ((side, against), (1 - side, False), (2, False)))
    width, thick = part.form.blank_mm[1 - side], board.thickness
    places = sorted({x for box in boxes for x in box[0]})
    found = []
    for start, end in pairwise(places):
        middle = (start + end) / 2
        here = [(*box[1], *box[2]) for box in boxes if box[0][0] <= middle <= box[0][1]]
        left = net_rectangles(width, thick, here) if end - start >= SLIVER_MM and here else []
        if not left:
            continue
        turned = [(z0, z1, y0, y1) for y0, y1, z0, z1 in left]
        size, _, across_thickness = bending_of(left)
        found.append(
            (
                middle,
                size / (width * thick),
                across_thickness / (width * thick**2 / 6),
                bending_of(turned)[2] / (thick * width**2 / 6),
            )
        )
    return tuple(found)
