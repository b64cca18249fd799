"""A section where something hides: cut through a bay, seen from the left, hatched as wood is.

Hatching (trade pages after DIN 919-1): end grain at 45 degrees, neighbours in opposite directions; long grain
along the part; panels square to their faces.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, radians, sin
from typing import Any

from furnigen.core.pose import Pose
from furnigen.drawings.figures import arrowhead, direction
from furnigen.drawings.views import LEFT, Placed, View, view_of
from furnigen.kernel.hidden_lines import Flat
from furnigen.kernel.section import beyond_plane
from furnigen.paper.page import FINE, Item, Pen, Text, line
from furnigen.piece.description import Piece, Placement

CLOSEST_MM = 0.9
"""Hatch lines on paper stand no closer."""
END_GRAIN_MM, LONG_GRAIN_MM = 1.5, 2.0
_ALONG = 0.7
"""Cosine of the angle to the grain from which a cut shows end grain."""
TURNS = (45.0, 135.0, 60.0, 120.0)
"""Of hatch lines of end grain; parts that touch have different ones (degrees)."""
TOUCH_MM = 0.2
PLANE_MM = 11.0
"""Room the ends of a cutting plane with arrow and letter take beside a view (mm on paper)."""


@dataclass(frozen=True)
class Cut:
    """A part that the plane cuts: its outlines in the view (mm), and how it is hatched on paper."""

    outlines: tuple[tuple[Flat, ...], ...]
    turn: float
    apart: float


@dataclass(frozen=True)
class Section:
    """A section: where it is cut (mm, x of the room), what is seen, what is hatched."""

    x: float
    view: View
    cuts: tuple[Cut, ...]


def section_plane(piece: Piece, side: View) -> float | None:
    """Where to cut (mm, x of the room): through a wide bay; None where the side view hides nothing."""
    seen = {line.owner for line in side.lines if line.visible}
    if len(seen) == len(piece.placements) or not piece.openings:
        return None
    widest = max(piece.openings, key=lambda o: (round(o.clear_mm[0]), -o.box.lo[0]))
    return widest.box.lo[0] + 0.4 * widest.clear_mm[0]


def section_at(piece: Piece, solids: Sequence[Any], x: float) -> Section:
    """The section at `x`.

    Args:
        solids: of each part, without holes for hardware.
    """
    standing: list[tuple[str, Any, Pose]] = []
    cuts: list[Cut] = []
    for placement in piece.placements:
        box = piece.bounds_of(placement)
        if box.hi[0] <= x:
            continue
        if box.lo[0] >= x:
            standing.append((placement.label, solids[placement.part], placement.pose))
            continue
        kept, outlines = beyond_plane(solids[placement.part], placement.pose, x)
        standing += [(placement.label, solid, Pose()) for solid in kept]
        if outlines:
            flat = tuple(tuple(LEFT.point(p) for p in loop) for loop in outlines)
            cuts.append(_hatched(piece, placement, flat, cuts))
    return Section(x, view_of(standing, LEFT), tuple(cuts))


def _hatched(
    piece: Piece, placement: Placement, outlines: tuple[tuple[Flat, ...], ...], others: Sequence[Cut]
) -> Cut:
    """How a cut is hatched: end grain otherwise than what it touches."""
    part = piece.part_of(placement)
    grain = placement.pose.turn(part.form.grain)
    if part.stock.kind == "sheet":
        normal = LEFT.point(placement.pose.turn((0.0, 0.0, 1.0)))
        if abs(normal[0]) + abs(normal[1]) > 0.1:
            return Cut(outlines, direction((0.0, 0.0), normal), -part.form.blank_mm[2] / 2)
    if abs(grain[0]) >= _ALONG or part.stock.kind == "sheet":
        taken = {other.turn for other in others if _touch(outlines, other.outlines)}
        return Cut(outlines, next((t for t in TURNS if t not in taken), TURNS[0]), END_GRAIN_MM)
    return Cut(outlines, direction((0.0, 0.0), LEFT.point(grain)), LONG_GRAIN_MM)


def _touch(one: Sequence[Sequence[Flat]], other: Sequence[Sequence[Flat]]) -> bool:
    """Whether the bounds of two cuts meet."""

    def bounds(outlines: Sequence[Sequence[Flat]]) -> tuple[float, float, float, float]:
        xs, ys = zip(*(p for outline in outlines for p in outline), strict=True)
        return min(xs), min(ys), max(xs), max(ys)

    a, b = bounds(one), bounds(other)
    return (
        a[0] < b[2] + TOUCH_MM
        and b[0] < a[2] + TOUCH_MM
        and a[1] < b[3] + TOUCH_MM
        and b[1] < a[3] + TOUCH_MM
    )


def hatch(on: Placed, cut: Cut) -> list[Item]:
    """Hatch lines of a cut on paper, within its outlines; a negative distance is one of the real thing."""
    apart = max(CLOSEST_MM, -cut.apart * on.scale) if cut.apart < 0 else cut.apart
    c, s = cos(radians(cut.turn)), sin(radians(cut.turn))
    loops = [
        [(x * c + y * s, -x * s + y * c) for x, y in (on.flat(p) for p in outline)]
        for outline in cut.outlines
    ]
    offs = [v for loop in loops for _, v in loop]
    items: list[Item] = []
    first, last = int(min(offs) // apart), int(max(offs) // apart)
    for k in range(first, last + 1):
        v = (k + 0.5) * apart
        at = []
        for loop in loops:
            for (u0, v0), (u1, v1) in zip(loop, [*loop[1:], loop[0]], strict=True):
                if (v0 <= v) != (v1 <= v):
                    at.append(u0 + (v - v0) / (v1 - v0) * (u1 - u0))
        at.sort()
        for a, b in zip(at[::2], at[1::2], strict=False):
            if b - a > 0.2:
                ends = [(u * c - v * s, u * s + v * c) for u in (a, b)]
                items.append(line(ends[0], ends[1], FINE, "hatch"))
    return items


def plane_items(on: Placed, x: float, letter: str = "A") -> list[Item]:
    """The cutting plane on a view from the front or above: wide ends outside it, arrows, letters (ISO 128-3).

    It is seen from the left, so the arrows point right.
    """
    at, (_, low, _, high) = on.point((x, 0.0, 0.0))[0], on.box
    wide, narrow = Pen(0.5), Pen(0.25, "chain")
    items: list[Item] = [line((at, low - 1.0), (at, high + 1.0), narrow, "centre")]
    for edge, out in ((low, -1.0), (high, 1.0)):
        outer = edge + out * 6.0
        items.append(line((at, edge + out * 1.0), (at, outer), wide, "section"))
        tail, tip = (at - 6.5, outer - out * 1.5), (at - 0.4, outer - out * 1.5)
        items.append(line(tail, (tip[0] - 2.5, tip[1]), wide, "section"))
        items.append(arrowhead(tip, tail, 3.0, "section"))
        items.append(Text((at - 8.5, outer - out * 1.5), letter, 3.5, "right", "middle", layer="section"))
    return items
