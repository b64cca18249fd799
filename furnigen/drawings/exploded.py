"""How far parts stand apart in an exploded view: along the directions of the proven order of assembly.

A part leaves those before it the way it comes in, backwards. That way was swept and found free, so however
far it is drawn out it runs through nothing.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from furnigen.construction.assembly_order import Step
from furnigen.core.pose import Box, Vector, dot

GAP_SHARE = 0.06
"""Clear space between parts, as a share of the diagonal of what is drawn."""
MOST_SHARE = 0.16
"""Farthest a part is drawn out of another, likewise: a long shelf may stay partly within its frames."""


def times(v: Vector, by: float) -> Vector:
    """A vector, longer."""
    return (v[0] * by, v[1] * by, v[2] * by)


def moved_box(box: Box, by: Vector) -> Box:
    """A box elsewhere (mm)."""
    (x0, y0, z0), (x1, y1, z1) = box.lo, box.hi
    return Box((x0 + by[0], y0 + by[1], z0 + by[2]), (x1 + by[0], y1 + by[1], z1 + by[2]))


def leading_corners(box: Box, way: Vector) -> list[Vector]:
    """The four corners of a box that go ahead along a way."""
    axis = max(range(3), key=lambda k: abs(way[k]))
    face = box.hi[axis] if way[axis] > 0 else box.lo[axis]
    return [c for c in box.corners() if c[axis] == face][:4]


def middle_of(points: Sequence[Vector]) -> Vector:
    """The mean of some points (mm)."""
    n = len(points)
    return (sum(p[0] for p in points) / n, sum(p[1] for p in points) / n, sum(p[2] for p in points) / n)


def diagonal_of(boxes: Sequence[Box]) -> float:
    """Diagonal of what some boxes fill together (mm)."""
    size = Box.around([b.lo for b in boxes] + [b.hi for b in boxes]).size
    return float(dot(size, size) ** 0.5)


def set_off(step: Step, diagonal: float) -> Vector:
    """How far the parts of one step stand from home in its picture: backwards along their way (mm)."""
    if step.way is None:
        return (0.0, 0.0, 0.0)
    return times(step.way, -(min(step.travel_mm, 2 * MOST_SHARE * diagonal) + 1.3 * GAP_SHARE * diagonal))


def exploded(
    steps: Sequence[Step], boxes: Mapping[str, Box], inside: Mapping[str, Sequence[str]]
) -> dict[str, Vector]:
    """How far each part stands from home in the exploded view of one unit (mm).

    Args:
        steps: that build the unit, in their order.
        boxes: of placements at home, by label.
        inside: labels of the placements in each sub-assembly that comes in as one.
    """
    whole = {name: _box_of(inside.get(name, (name,)), boxes) for s in steps for name in s.brings}
    diagonal = diagonal_of(list(whole.values())) if whole else 0.0
    gap, most = GAP_SHARE * diagonal, MOST_SHARE * diagonal
    found: dict[str, Vector] = {}
    for step in steps:
        if step.way is None:
            found |= dict.fromkeys(step.brings, (0.0, 0.0, 0.0))
            continue
        back = times(step.way, -1.0)
        far = max((_needed(whole[n], back, found, whole, most) for n in step.brings), default=0.0)
        found |= dict.fromkeys(step.brings, times(back, far + gap))
    return {label: by for name, by in found.items() for label in inside.get(name, (name,))}


def _box_of(labels: Sequence[str], boxes: Mapping[str, Box]) -> Box:
    mine = [boxes[label] for label in labels]
    return Box.around([b.lo for b in mine] + [b.hi for b in mine])


def _needed(
    box: Box, back: Vector, there: Mapping[str, Vector], boxes: Mapping[str, Box], most: float
) -> float:
    """How far a box goes along `back` until it is clear of those there, or drawn far enough out of them."""
    far = 0.0
    mine = min(dot(c, back) for c in box.corners())
    for label, offset in there.items():
        other = moved_box(boxes[label], offset)
        clear = max(dot(c, back) for c in other.corners()) - mine
        swept = box.joined(moved_box(box, times(back, max(clear, 0.0))))
        if clear <= 0.0 or not _overlap(swept, other):
            continue
        along = dot(offset, back)
        if dot(offset, offset) - along * along < 1e-6:  # at home, or gone the same way
            clear = min(clear, max(along, 0.0) + most)
        far = max(far, clear)
    return far


def _overlap(a: Box, b: Box) -> bool:
    return all(a.lo[k] < b.hi[k] - 0.5 and b.lo[k] < a.hi[k] - 0.5 for k in range(3))
