"""Which placements take goods, and by which a piece hangs on the wall, where their author says neither.

A level board takes goods when an opening is divided with it, when it closes one from below, or when its upper
face is free, as the top of a case's or a plank's is. Free means: room of CLEAR_MM above more than half of it.
One that lies on the floor, and one narrower than NARROW_MM, take none unless they close an opening.

What hangs is carried by the boards that lie flat against its wall and are thick enough to bear the head of a
screw: rails, battens, a stout back.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from math import cos, radians

from furnigen.core.errors import InputError
from furnigen.core.facts import NO_FACTS, Fact
from furnigen.core.pose import LEVEL_DEGREES, Box, Pose, dot
from furnigen.drafting.near_boxes import NearBoxes
from furnigen.parts.forms.form import Form
from furnigen.piece.description import Wall
from furnigen.piece.distinct_parts import Item

CLEAR_MM = 20.0
"""Less room above a board takes nothing. Our own limit: common practice, no source."""
NARROW_MM = 80.0
"""A level strip narrower than this is a rail, not a shelf. Our own limit: common practice, no source."""
BEARS_SCREWS_MM = 10.0
"""A thinner board against the wall is a back: a screw's head pulls through. Common practice, no source."""

TOUCHING_MM = 0.01
"""Faces this near are one, as in `furnigen.mesh.tolerances`."""

GOODS = Fact.TAKES_GOODS | Fact.TAKES_NO_GOODS
WALL = Fact.FIXED_TO_THE_WALL | Fact.FREE_OF_THE_WALL


def lies_level(form: Form, pose: Pose) -> bool:
    """Whether it is a board whose faces lie level."""
    return form.as_board is not None and abs(pose.rotation[2][2]) > cos(radians(LEVEL_DEGREES))


def settled_facts(
    items: Mapping[str, Item], floors: Collection[str], walls: Iterable[Wall]
) -> dict[str, Fact]:
    """The facts of every placement: as said of it, else from how it stands.

    Args:
        floors: labels of what closes an opening from below.

    Raises: InputError for goods said of a board that does not lie level, or a wall that is not declared.
    """
    walls = tuple(walls)
    boxes: NearBoxes | None = None
    found = {}
    for label, item in items.items():
        facts = item.facts
        known = not item.form.needs_kernel
        if Fact.TAKES_GOODS in facts and known and not lies_level(item.form, item.pose):
            raise InputError(f"facts of {label}", "takes goods", "it does not lie level")
        if Fact.FIXED_TO_THE_WALL in facts and not walls:
            raise InputError(
                f"facts of {label}", "fixed to the wall", "the piece declares no wall", "Draft.wall does"
            )
        if not facts & GOODS and lies_level(item.form, item.pose):
            takes = label in floors
            if not takes and not is_narrow(item.form):
                boxes = boxes or NearBoxes({name: one.form.bounds(one.pose) for name, one in items.items()})
                takes = _takes_goods(item, boxes)
            facts |= Fact.TAKES_GOODS if takes else NO_FACTS
        if walls and not facts & WALL and any(flat_against(item, wall) for wall in walls):
            facts |= Fact.FIXED_TO_THE_WALL
        found[label] = facts
    return found


def _takes_goods(item: Item, boxes: NearBoxes) -> bool:
    own = item.form.bounds(item.pose)
    return own.lo[2] > TOUCHING_MM and upper_face_free(item.label, own, boxes)


def is_narrow(form: Form) -> bool:
    """Whether a level board is a strip, too narrow to be taken for a shelf."""
    return min(form.blank_mm[:2]) < NARROW_MM - TOUCHING_MM


def upper_face_free(label: str, own: Box, boxes: NearBoxes) -> bool:
    """Whether there is room above more than half of a level board with these bounds."""
    (x0, y0, _), (x1, y1, top) = own.lo, own.hi
    covered = 0.0
    for other, box in boxes.around(Box((x0, y0, top), (x1, y1, top + CLEAR_MM))):
        if other != label and box.lo[2] < top + CLEAR_MM and box.hi[2] > top + TOUCHING_MM:
            wide = min(x1, box.hi[0]) - max(x0, box.lo[0])
            deep = min(y1, box.hi[1]) - max(y0, box.lo[1])
            covered += max(wide, 0.0) * max(deep, 0.0)
    return covered < (x1 - x0) * (y1 - y0) / 2


def flat_against(item: Item, wall: Wall) -> bool:
    """Whether a board lies with a broad face on a wall, and can hold there."""
    board = item.form.as_board
    if board is None or board.thickness < BEARS_SCREWS_MM:
        return False
    face = item.pose.turn((0.0, 0.0, 1.0))
    flat = abs(dot(face, wall.normal)) > cos(radians(LEVEL_DEGREES))
    off = dot(item.pose.origin, wall.normal) - dot(wall.point, wall.normal)
    thick = board.thickness * dot(face, wall.normal)
    return flat and min(abs(off), abs(off + thick)) < TOUCHING_MM
