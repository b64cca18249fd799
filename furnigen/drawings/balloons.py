"""Balloons (ISO 6433): numbers in columns beside a picture, each with a leader to a dot on what it names.

Leaders never cross. They are first shared out by height, then, as long as two cross, those two change places:
each exchange makes the leaders shorter together, so it comes to an end (a shortest pairing has no crossing).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import cos, pi, sin

from furnigen.core.errors import InputError
from furnigen.paper.lettering import width_of
from furnigen.paper.page import NARROW, Arc, Area, Item, Point, Polyline, Text

RADIUS, PITCH = 4.0, 9.5
"""Of a balloon, and from one to the next in a column (mm)."""
KNEE = 3.0
"""Length of the level end of a leader (mm), which keeps it clear of its neighbours."""
DOT = 0.65
"""Radius of the dot at the end of a leader (mm)."""
NUMBER_MM, NOTE_MM = 3.0, 2.5
"""Height of the number in a balloon, and of the note beside it."""
LAYER = "balloons"


@dataclass(frozen=True)
class Callout:
    """What a balloon says of a point.

    Attributes:
        text: in the balloon, such as "3" or "H1".
        note: beside it, such as "4 x".
        at: the point on paper that its leader ends on (mm).
    """

    text: str
    note: str
    at: Point


@dataclass(frozen=True)
class Balloon:
    """A callout in its place.

    Attributes:
        callout: what it says.
        centre: of the balloon.
        knee: where its leader turns level.
        outward: 1 where its note stands to the right, -1 to the left.
    """

    callout: Callout
    centre: Point
    knee: Point
    outward: int

    @property
    def leader(self) -> tuple[Point, Point, Point]:
        """From the dot to the edge of the balloon."""
        return self.callout.at, self.knee, (self.centre[0] - self.outward * RADIUS, self.centre[1])

    @property
    def items(self) -> list[Item]:
        """How it is drawn."""
        x, y = self.callout.at
        turns = [2 * pi * k / 16 for k in range(16)]
        dot = tuple((x + DOT * cos(t), y + DOT * sin(t)) for t in turns)
        text = self.callout.text
        tall = NUMBER_MM
        while tall > 1.8 and width_of(text, tall) > 2 * RADIUS - 1.6:
            tall -= 0.2
        items: list[Item] = [
            Polyline(self.leader, pen=NARROW, layer=LAYER),
            Area((dot,), "#000000", LAYER),
            Arc(self.centre, RADIUS, pen=NARROW, layer=LAYER),
            Text(self.centre, text, tall, "middle", "middle", layer=LAYER),
        ]
        if self.callout.note:
            beside = (self.centre[0] + self.outward * (RADIUS + 1.2), self.centre[1])
            align = "left" if self.outward > 0 else "right"
            items.append(
                Text(beside, self.callout.note, NOTE_MM, "left" if align == "left" else "right", "middle")
            )
        return items


def capacity(height: float) -> int:
    """How many balloons stand beside a picture of some height (mm), in a column on each side."""
    return 2 * int((height + PITCH - 2 * RADIUS) // PITCH)


def placed_balloons(callouts: Sequence[Callout], bottom: float, top: float, inner: Point) -> list[Balloon]:
    """Balloons in a column on each side of a picture.

    Args:
        bottom, top: of the columns (mm).
        inner: left and right end of the picture, all points lying between; knees of leaders stand there.

    Raises: InputError for more than fit.
    """
    most = capacity(top - bottom) // 2
    if len(callouts) > 2 * most:
        raise InputError("balloons", len(callouts), f"at most {2 * most} stand beside this picture")
    if not callouts:
        return []
    by_x = sorted(range(len(callouts)), key=lambda k: (callouts[k].at, k))
    middle = (inner[0] + inner[1]) / 2
    left = sum(callouts[k].at[0] < middle for k in by_x)
    left = min(max(left, len(callouts) - most), most)
    places: list[tuple[Point, int]] = []
    order: list[int] = []
    for group, outward in ((by_x[:left], -1), (by_x[left:], 1)):
        group = sorted(group, key=lambda k: (callouts[k].at[1], callouts[k].at[0], k))
        heights = _spread([callouts[k].at[1] for k in group], bottom + RADIUS, top - RADIUS)
        x = inner[0] if outward < 0 else inner[1]
        places += [((x, y), outward) for y in heights]
        order += group
    _uncross(order, callouts, [p for p, _ in places])
    found = []
    for k, ((x, y), outward) in zip(order, places, strict=True):
        centre = (x + outward * (KNEE + RADIUS), y)
        found.append(Balloon(callouts[k], centre, (x, y), outward))
    return sorted(found, key=lambda b: callouts.index(b.callout))


def _spread(heights: list[float], low: float, high: float) -> list[float]:
    """Rising heights, at least PITCH apart, as near to those given as fits."""
    found: list[float] = []
    for k, y in enumerate(heights):
        least = found[-1] + PITCH if found else low
        room = high - PITCH * (len(heights) - 1 - k)
        found.append(min(max(y, least), room))
    return found


def _uncross(order: list[int], callouts: Sequence[Callout], knees: list[Point]) -> None:
    """Exchange the callouts of places until no two leaders cross."""
    for _ in range(len(order) ** 2 + 1):
        changed = False
        for i in range(len(order)):
            for j in range(i):
                a, b = callouts[order[i]].at, callouts[order[j]].at
                if segments_cross(a, knees[i], b, knees[j]):
                    order[i], order[j] = order[j], order[i]
                    changed = True
        if not changed:
            return


def segments_cross(a: Point, b: Point, c: Point, d: Point) -> bool:
    """Whether two stretches cross or touch, other than at a common point at their start."""

    def side(p: Point, q: Point, r: Point) -> float:
        return (q[0] - p[0]) * (r[1] - p[1]) - (q[1] - p[1]) * (r[0] - p[0])

    if a == c:
        return False
    return side(a, b, c) * side(a, b, d) < 0 and side(c, d, a) * side(c, d, b) < 0
