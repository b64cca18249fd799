"""Screws that fix a board to the wall: part of the piece, in its hardware list, and checked as a joint."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from contextlib import nullcontext
from dataclasses import dataclass
from math import floor

from furnigen.catalogue.hardware import LEAST_GRIP_MM, list_hardware
from furnigen.core.asked import asked_as
from furnigen.core.errors import InputError
from furnigen.core.facts import Fact, FastenerKind, Joinery
from furnigen.core.pose import Vector, axis_vector
from furnigen.core.wording import in_words
from furnigen.drafting.goods import flat_against
from furnigen.joints.joint import Fastener, Joint, Seat
from furnigen.parts.cuts import SAME_MM
from furnigen.piece.description import Wall
from furnigen.piece.distinct_parts import Item

KIND = "wall fixing"
SCREW_MM = 6.0
"""Screw for hanging things on a wall. Common practice, no source."""
HEAD_DIAMETERS, ROOM_DIAMETERS = 2.0, 4.0
"""A screw's head, and the length of board each takes with as much beside it. Common practice, no source."""
BEHIND_MM = 12.5 + 6 * SCREW_MM
"""Length behind the board: through plasterboard and six diameters into the stud, where NDS 12.3 counts it
whole.
"""


@dataclass(frozen=True)
class WallFixing:
    """Screws asked for: a board's label, the wall, how many, their diameter and length (mm; None: chosen),
    and the recipe's parameter they come from.
    """

    label: str
    wall: str
    screws: int
    diameter: float
    length: float | None
    asked: str | None = None


def wall_joints(
    fixings: Iterable[WallFixing], items: Mapping[str, Item], walls: Sequence[Wall]
) -> tuple[Joint, ...]:
    """The joints of boards with walls.

    Raises: InputError for a screw that ends in its board, more or wider screws than it has room for, a wall
        that is not declared, or a board that does not lie flat against it.
    """
    joints = []
    for one in fixings:
        with asked_as(one.asked) if one.asked else nullcontext():
            joints.append(_joint(one, items, walls))
    return tuple(joints)


def _joint(one: WallFixing, items: Mapping[str, Item], walls: Sequence[Wall]) -> Joint:
    wall = next((w for w in walls if w.name == one.wall), None)
    what = f"screws of {one.label} into the wall"
    if wall is None:
        names = ", ".join(w.name for w in walls) or "the piece declares none"
        raise InputError(what, one.wall, "is not a wall of the piece", names)
    item = items.get(one.label)
    if item is None:
        raise InputError(what, one.label, "no placement is called so")
    board = item.form.as_board
    if board is None or not flat_against(item, wall):
        raise InputError(what, one.label, f"does not lie flat against {wall.name}", "fix a rail to it")
    thick = board.thickness
    length = one.length if one.length is not None else _usual_mm(thick, one.diameter)
    if length < thick + LEAST_GRIP_MM:
        raise InputError(
            f"{what} length",
            in_words(length),
            f"ends in the board, which is {in_words(thick)} thick",
            f"at least {in_words(thick + LEAST_GRIP_MM)} is needed",
        )
    box = item.form.bounds(item.pose)
    normal = max(range(3), key=lambda i: abs(wall.normal[i]))
    long, short = sorted((i for i in range(3) if i != normal), key=lambda i: -box.size[i])
    room, back = (box.hi, box.lo) if wall.normal[normal] > 0 else (box.lo, box.hi)
    head, each = HEAD_DIAMETERS * one.diameter, ROOM_DIAMETERS * one.diameter
    if box.size[short] < head - SAME_MM:
        raise InputError(
            what,
            one.screws,
            f"have heads {in_words(head)} wide, and {one.label} is {in_words(box.size[short])} wide",
            "make it wider, or the piece with fewer and wider bays",
        )
    if one.screws * each > box.size[long] + SAME_MM:
        most = floor((box.size[long] + SAME_MM) / each)
        raise InputError(
            what,
            one.screws,
            f"need {in_words(each)} each, and {one.label} is {in_words(box.size[long])} long",
            f"at most {most} would fit",
        )
    sites = []
    for n in range(one.screws):
        at = list(box.centre)
        at[long] = box.lo[long] + box.size[long] * (n + 0.5) / one.screws
        at[normal] = room[normal]
        sites.append(((at[0], at[1], at[2]), _inward(wall)))
    centre = list(box.centre)
    centre[normal] = back[normal]
    seat = Seat(
        (centre[0], centre[1], centre[2]),
        _inward(wall),
        axis_vector(long),
        axis_vector(short),
        0.0,
        box.size[long],
        box.size[short],
    )
    fastener = Fastener(FastenerKind.SCREW, one.diameter, length, tuple(sites))
    return Joint(
        KIND,
        wall.name,
        one.label,
        False,
        (fastener,),
        None,
        0.0,
        Joinery.BUTT,
        Fact.CARRIES_NOTHING_BY_ITS_SHAPE,
        seat,
    )


def _inward(wall: Wall) -> Vector:
    x, y, z = wall.normal
    return (0.0 - x, 0.0 - y, 0.0 - z)


def _usual_mm(thick: float, diameter: float) -> float:
    """The shortest screw sold that reaches six diameters into a stud behind plasterboard, mm."""
    need = thick + BEHIND_MM
    sold = [
        s.length_mm
        for s in list_hardware("screw", "mm")
        if abs(s.diameter_mm - diameter) < 0.05 and s.length_mm >= need
    ]
    return min(sold, default=need)
