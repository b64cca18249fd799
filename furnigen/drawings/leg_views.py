"""A leg as it is made: its axis upright, blank, taper, tenon, the angle of its ends; its drilling guide."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import atan2, degrees
from typing import Any

from furnigen.core.pose import Pose, Vector, dot
from furnigen.drawings.angles import angle_figure, angular, polar
from furnigen.drawings.axes import LEAST_ANGLE
from furnigen.drawings.dimensions import LAYER, Run
from furnigen.drawings.layout import Laid
from furnigen.drawings.legible import CENTRE
from furnigen.drawings.marks import busy_rects, text_boxes
from furnigen.drawings.sheet import Rect, overlap
from furnigen.drawings.views import Placed, Projection, view_of
from furnigen.paper.page import NARROW, WIDE, Arc, Item, Pen, Point, Text, box, line
from furnigen.parts.cuts import Turned
from furnigen.parts.forms.form import Leg
from furnigen.parts.forms.leg_lean import TRIM_ALLOWANCE_MM
from furnigen.parts.part import Part
from furnigen.piece.description import LegNote

FACE = Projection("y-", (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
EDGE = Projection("x-", (0.0, -1.0, 0.0), (0.0, 0.0, 1.0))
BLANK = Pen(0.25, "double chain")
ANGLE_ROOM_MM = 26.0
"""On the right of a view, for the angle of an end (mm on paper)."""
GUIDE_MM = (172.0, 62.0)
"""Room of the figure of the drilling guide."""


@dataclass(frozen=True)
class LegShape:
    """A leg in the frame of its blank: its axis along z, upward from where it meets the floor (mm, degrees).

    Attributes:
        turn: sends the part's own frame there.
        top: where the axis meets the upper end.
        low, high: ends of the blank, with what is trimmed off.
        blank: side of its square section.
        shoulder: where a tenon begins; None without one.
        tenon: its diameter.
        ends: angle of the level ends off square, as each of the two views shows it.
    """

    leg: Leg
    turn: Pose
    top: float
    low: float
    high: float
    blank: float
    shoulder: float | None
    tenon: float
    ends: tuple[float, float]


def leg_shape(part: Part, leg: Leg) -> LegShape:
    """The sizes of a leg along its axis."""
    side, face, axis = leg.blank_axes
    foot = leg.axis_at(0.0)
    origin = (-dot(side, foot), -dot(face, foot), -dot(axis, foot))
    turn = Pose((side, face, axis), origin)
    high = leg.support(axis) + origin[2] + TRIM_ALLOWANCE_MM
    low = origin[2] - leg.support((-axis[0], -axis[1], -axis[2])) - TRIM_ALLOWANCE_MM
    shoulder, tenon = None, 0.0
    for cut in part.cuts:
        if isinstance(cut, Turned):
            shoulder, tenon = turn.apply(cut.origin)[2], cut.diameter
    # what is level in the room, seen from the blank
    level: Vector = (side[2], face[2], axis[2])
    ends = degrees(atan2(level[0], level[2])), degrees(atan2(level[1], level[2]))
    return LegShape(leg, turn, leg.axis_length, low, high, leg.blank_mm[1], shoulder, tenon, ends)


def leg_laid(part: Part, made: Any, shape: LegShape, units: str) -> list[Laid]:
    """The views of a leg: one where it is round, two where it is square and leans both ways."""
    mark = "⌀" if part.form.round_axis is not None else "□"
    both = part.form.round_axis is None and abs(shape.ends[1]) > LEAST_ANGLE
    laid = []
    for number, (key, projection) in enumerate((("y-", FACE), ("x-", EDGE))[: 2 if both else 1]):
        view = view_of([(part.name, made, shape.turn)], projection)
        half = shape.blank / 2
        whole = replace(view, lo=(min(view.lo[0], -half), shape.low), hi=(max(view.hi[0], half), shape.high))
        runs: tuple[Run, ...] = ()
        if number == 0:
            runs = _runs(shape, mark)
        room: Rect = (0.0, 0.0, ANGLE_ROOM_MM if abs(shape.ends[number]) > LEAST_ANGLE else 0.0, 0.0)
        name = "Axis upright" if not both else f"Axis upright, side {number + 1}"
        laid.append(Laid(key, name, whole, runs, more=room, units=units, title=2.5))
    return laid


def _runs(shape: LegShape, mark: str) -> tuple[Run, ...]:
    leg = shape.leg
    straight = abs(leg.top - leg.foot) < 0.01
    lengths = (0.0, shape.top) if shape.shoulder is None else (0.0, shape.shoulder, shape.top)
    runs = [Run("left", lengths)]
    if len(lengths) > 2:
        runs.append(Run("left", (0.0, shape.top)))
    runs.append(Run("left", (shape.low, shape.high)))
    if shape.shoulder is not None:
        runs.append(Run("above", (-shape.tenon / 2, shape.tenon / 2), (shape.top,) * 2, mark="⌀"))
    at = shape.top if shape.shoulder is None else shape.shoulder
    if not straight:
        half = (leg.foot + (leg.top - leg.foot) * at / shape.top) / 2
        runs.append(Run("above", (-half, half), (at, at), mark=mark))
    runs.append(Run("below", (-leg.foot / 2, leg.foot / 2), (0.0, 0.0), mark=mark))
    runs.append(Run("above", (-shape.blank / 2, shape.blank / 2), mark="□"))
    return tuple(runs)


def leg_items(on: Placed, shape: LegShape, number: int, drawn: Sequence[Item] = ()) -> list[Item]:
    """Axis, blank, and the angle of the ends, on a view of a leg.

    Args:
        number: of the view, 0 or 1.
        drawn: what stands on the view and beside it already.
    """
    half = shape.blank / 2
    (x0, y0), (x1, y1) = on.flat((-half, shape.low)), on.flat((half, shape.high))
    foot, top = on.flat((0.0, 0.0)), on.flat((0.0, shape.top))
    items: list[Item] = [
        box(x0, y0, x1 - x0, y1 - y0, BLANK, "blank"),
        line((foot[0], y0 - 3.0), (top[0], y1 + 3.0), CENTRE, "centre"),
    ]
    angle = shape.ends[number] * (1.0 if number == 0 else -1.0)
    if abs(angle) > LEAST_ANGLE:
        items += _end_angle(on, shape, angle, [*items, *drawn])
    return items


def _end_angle(on: Placed, shape: LegShape, angle: float, drawn: Sequence[Item]) -> list[Item]:
    """The angle of the lower end off square, right of the blank, where its figure is clear of all else."""
    foot, right = on.flat((0.0, 0.0)), on.flat((shape.blank / 2, 0.0))[0]
    # the end falls off to the right where the plane's normal leans right
    start, end = sorted((0.0, -angle))
    least = max(right - foot[0] + 6.0, 16.0)
    busy = busy_rects(drawn)
    found = angular(foot, start, end, least, "start" if angle > 0 else "end")
    radius = least
    for more, beyond in product((0.0, 3.0, 6.0, 9.0), ("start", "end") if angle > 0 else ("end", "start")):
        tried = angular(foot, start, end, least + more, beyond)
        if not any(overlap(box, other) for box in text_boxes([tried]) for other in busy):
            found, radius = tried, least + more
            break
    near = polar(foot, shape.leg.foot / 2 * on.scale + 1.0, -angle)
    return [
        line((right + 1.0, foot[1]), (foot[0] + radius + 2.0, foot[1]), NARROW, LAYER),
        line(near, polar(foot, radius + 2.0, -angle), NARROW, LAYER),
        found,
    ]


def guide_items(note: LegNote, at: Point) -> list[Item]:
    """How the hole for a leg is drilled: the sightline on the underside, and the guide seen square to it.

    Args:
        at: lower left corner of the figure (`GUIDE_MM`).
    """
    x, y = at[0] + 26.0, at[1] + 8.0
    items: list[Item] = []

    def said(px: float, py: float, text: str) -> None:
        items.append(Text((px, py), text, 2.5, "middle", layer="text"))

    # the sightline, seen square to the underside: front below
    hole = (x, y + 6.0)
    items += [
        Arc(hole, 2.0, pen=WIDE, layer="visible"),
        line(hole, polar(hole, 32.0, 90.0), CENTRE, "centre"),
        line(hole, polar(hole, 32.0, 90.0 - note.sightline), CENTRE, "centre"),
    ]
    if note.sightline > LEAST_ANGLE:
        items.append(angular(hole, 90.0 - note.sightline, 90.0, 24.0, "start"))
    said(x + 14.0, at[1] + GUIDE_MM[1] - 8.0, "Sightline from the front-back line")
    said(x + 14.0, at[1] + 4.0, "on the underside; mirrored for its opposite")
    # the guide: the underside level, the bit leaning in the plane of the sightline
    root = (at[0] + 122.0, y + 6.0)
    items += [
        line((root[0] - 24.0, root[1]), (root[0] + 34.0, root[1]), WIDE, "visible"),
        line(root, polar(root, 34.0, note.drill_guide), CENTRE, "centre"),
    ]
    items.append(angular(root, 0.0, note.drill_guide, 20.0))
    said(root[0] + 4.0, at[1] + GUIDE_MM[1] - 8.0, "Drilling guide")
    said(root[0] + 4.0, at[1] + 4.0, f"square to the sightline, {angle_figure(note.resultant)} off upright")
    return items


def guide_of(part: int, notes: Sequence[LegNote]) -> LegNote | None:
    """The drilling note of a leg that leans."""
    return next((n for n in notes if n.part == part and n.resultant > LEAST_ANGLE), None)
