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
from furnigen.drawings.chains import opening_chains
from furnigen.drawings.dimensions import Run, Said, draw_runs, room_for
from furnigen.drawings.figures import direction, figure_of
from furnigen.drawings.sheet import SCALES, Setting, Sheet
from furnigen.drawings.views import LEFT, Placed, View, view_of
from furnigen.kernel.hidden_lines import Flat
from furnigen.kernel.section import beyond_plane
from furnigen.paper.page import FINE, Item, Text, line
from furnigen.piece.description import Piece, Placement

CLOSEST_MM = 0.9
"""Hatch lines on paper stand no closer."""
END_GRAIN_MM, LONG_GRAIN_MM = 1.5, 2.0
_ALONG = 0.7
"""Cosine of the angle to the grain from which a cut shows end grain."""


@dataclass(frozen=True)
class Cut:
    """A part that the plane cuts: its outlines in the view (mm), and how it is hatched on paper."""

    outlines: tuple[tuple[Flat, ...], ...]
    turn: float
    apart: float


def section_plane(piece: Piece, side: View) -> float | None:
    """Where to cut (mm, x of the room): through a wide bay; None where the side view hides nothing."""
    seen = {line.owner for line in side.lines if line.visible}
    if len(seen) == len(piece.placements) or not piece.openings:
        return None
    widest = max(piece.openings, key=lambda o: (round(o.clear_mm[0]), -o.box.lo[0]))
    return widest.box.lo[0] + 0.4 * widest.clear_mm[0]


def section_sheet(piece: Piece, solids: Sequence[Any], x: float, setting: Setting) -> list[Sheet]:
    """The sheet of the section at `x`; none where it fits at no standard scale.

    Args:
        solids: of each part, without holes for hardware.
    """
    standing: list[tuple[str, Any, Pose]] = []
    cuts: list[Cut] = []
    for number, placement in enumerate(piece.placements):
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
            cuts.append(_hatched(piece, placement, flat, number))
    view = view_of(standing, LEFT)
    runs = [Run("below", chain) for chain in opening_chains(piece, view, 1, upright=False)[:1]]
    for scale in SCALES:
        at = _place(view, runs, scale, setting)
        if at is not None:
            on = Placed(view, 1 / scale, at)
            items = on.items(hidden=None)
            for cut in cuts:
                items += hatch(on, cut)
            items += draw_runs(on, runs, setting.units, Said())
            far = figure_of(x - piece.bounds.lo[0], setting.units)
            said = f"Section {far} from the left end, seen from the left"
            items.append(Text((on.box[0], on.box[3] + 4.0), said, 3.5, layer="text"))
            return [Sheet("General arrangement", "section", float(scale), tuple(items))]
    return []


def _hatched(piece: Piece, placement: Placement, outlines: tuple[tuple[Flat, ...], ...], number: int) -> Cut:
    part = piece.part_of(placement)
    grain = placement.pose.turn(part.form.grain)
    if part.stock.kind == "sheet":
        normal = LEFT.point(placement.pose.turn((0.0, 0.0, 1.0)))
        if abs(normal[0]) + abs(normal[1]) > 0.1:
            return Cut(outlines, direction((0.0, 0.0), normal), -part.form.blank_mm[2] / 2)
    if abs(grain[0]) >= _ALONG or part.stock.kind == "sheet":
        return Cut(outlines, 45.0 if number % 2 == 0 else 135.0, END_GRAIN_MM)
    return Cut(outlines, direction((0.0, 0.0), LEFT.point(grain)), LONG_GRAIN_MM)


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


def _place(view: View, runs: Sequence[Run], scale: float, setting: Setting) -> tuple[float, float] | None:
    """The lower left corner of the section on paper, beside the title block or above; None without room."""
    left, low, right, top = setting.inner
    w, h = (v / scale for v in view.size)
    below = room_for(runs, "below", setting.units)
    for floor, end in ((low, setting.block[0]), (setting.block[3], right)):
        room_x, room_y = end - left - 20.0 - max(w, 110.0), top - floor - 12.0 - below - h
        if room_x >= 0 and room_y >= 0:
            return left + 10.0 + room_x / 2, floor + below + room_y / 2
    return None
