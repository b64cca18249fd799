"""Where each screw, dowel, pin, bolt and nut of a piece goes, and the piece with them as parts.

Their shapes are simple and true to size; what the table of hardware does not say of a head is common practice
or from memory, said where it stands.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from furnigen.catalogue.hardware import BOLT_HEAD, BOLT_HEAD_HIGH, sold_as
from furnigen.catalogue.stock import Stock
from furnigen.core.facts import Fact, FastenerKind
from furnigen.core.pose import Pose, Vector, cross, unit
from furnigen.joints.joint import Joint
from furnigen.parts.forms.outline import Outline
from furnigen.parts.forms.revolved import Revolved
from furnigen.parts.part import Part
from furnigen.piece.description import Piece, Placement, free_name, require_piece
from furnigen.piece.hardware_list import SizeKey, size_key

BRANCH = "hardware"
"""The branch of the assembly that hardware stands in."""
COUNTERSUNK_HEAD, HEAD_ANGLE_HALF = 2.0, 1.0
"""Head of a countersunk wood screw in shank diameters, and the rise of its cone: 90 degrees. DIN 7997, from
memory."""
NAIL_HEAD, NAIL_HEAD_HIGH = 2.0, 0.5
"""Head of a panel pin in its diameters. Common practice, no source."""
POINT = 0.05
"""Radius of a point, in diameters: a body that ends in nothing is hard to mesh. Our own choice."""


@dataclass(frozen=True)
class HardwarePlace:
    """One screw, dowel, pin, bolt or nut, where it stands.

    Attributes:
        label: unique in the piece: that of the member that enters, its kind and a number.
        kind: what it is.
        diameter_mm, length_mm: its size.
        point: where it enters the wood, on its axis, in the room (mm).
        way: unit vector along which it goes in.
        sunk_mm: its first end from the point, along the way (mm).
        joint: the joint it is of.

    >>> from furnigen import find_recipe, hardware_places
    >>> screw = hardware_places(find_recipe("crate_wall")())[0]
    >>> screw.kind.value, screw.diameter_mm, screw.length_mm
    ('screw', 4.0, 40.0)
    """

    label: str
    kind: FastenerKind
    diameter_mm: float
    length_mm: float
    point: Vector
    way: Vector
    sunk_mm: float
    joint: Joint

    def at(self, mm: float) -> Vector:
        """A point of its axis, from its first end (mm)."""
        by = self.sunk_mm + mm
        (x, y, z), (dx, dy, dz) = self.point, self.way
        return (x + by * dx, y + by * dy, z + by * dz)


def hardware_places(piece: Piece) -> tuple[HardwarePlace, ...]:
    """All the hardware a piece needs, each where it stands (mm), in the order of the joints.

    Raises: InputError for what is no piece.

    >>> from furnigen import find_recipe
    >>> len(hardware_places(find_recipe("crate_wall")()))
    20
    """
    require_piece(piece)
    return tuple(_places(piece))


def _places(piece: Piece) -> Iterator[HardwarePlace]:
    taken = set(piece.by_label)
    last: dict[str, int] = {}
    for joint in piece.joints:
        for f in joint.fasteners:
            if f.parts:  # made of wood: a placement of its own
                continue
            stem = f"{joint.b}.{f.kind.replace(' ', '-')}"
            for point, way in f.sites:
                number = last.get(stem, 0) + 1
                while f"{stem}.{number}" in taken:
                    number += 1
                last[stem] = number
                yield HardwarePlace(
                    f"{stem}.{number}", f.kind, f.diameter_mm, f.length_mm, point, way, f.sunk_mm, joint
                )


def _profile(kind: FastenerKind, d: float, length: float) -> tuple[Outline, float]:
    """The sections of a piece of hardware, and how much of it stands before its first end (mm)."""
    if kind is FastenerKind.SCREW:
        head = (COUNTERSUNK_HEAD - 1) * d / 2 * HEAD_ANGLE_HALF
        point = min(d, (length - head) / 2)
        return (
            (0.0, COUNTERSUNK_HEAD * d / 2),
            (head, d / 2),
            (length - point, d / 2),
            (length, POINT * d),
        ), 0.0
    if kind in (FastenerKind.BOLT, FastenerKind.NAIL):
        bolt = kind is FastenerKind.BOLT
        wide, high = (BOLT_HEAD, BOLT_HEAD_HIGH) if bolt else (NAIL_HEAD, NAIL_HEAD_HIGH)
        head = high * d
        return ((0.0, wide * d / 2), (head, wide * d / 2), (head, d / 2), (head + length, d / 2)), head
    return ((0.0, d / 2), (length, d / 2)), 0.0


def _stock(kind: FastenerKind, size: str, d: float, length: float) -> Stock:
    """What hardware is of: beech for dowels, steel for all else."""
    material = "beech-european" if kind is FastenerKind.DOWEL else "steel"
    return Stock(
        name=f"{kind} {size}",
        title=f"{kind} {size}",
        kind="bar",
        section="round",
        material=material,
        nominal=size,
        thickness_mm=d,
        width_mm=d,
        length_mm=length,
        grain=False,
        source="bought, not cut",
        provenance="common practice, no source",
    )


def with_hardware(piece: Piece) -> Piece:
    """The piece with its screws, dowels, pins and bolts as parts, in a branch of the assembly of their own.

    For files and pictures: what is made, bought and strong is of the piece without them. Sizes are mm.

    Raises: InputError for what is no piece.

    >>> from furnigen import find_recipe
    >>> piece = find_recipe("crate_wall")()
    >>> with_hardware(piece).placements[-1].path
    ('hardware',)
    """
    places = hardware_places(piece)
    if not places:
        return piece
    branch = free_name(BRANCH, {step for p in piece.placements for step in p.path[:1]} | set(piece.by_label))
    parts, number = list(piece.parts), dict[SizeKey, int]()
    taken = {part.name for part in parts}
    lead: dict[int, float] = {}
    placed = []
    for one in places:
        key = size_key(one.kind, one.diameter_mm, one.length_mm)
        if key not in number:
            size = sold_as(one.kind, one.diameter_mm, one.length_mm)
            profile, ahead = _profile(one.kind, one.diameter_mm, one.length_mm)
            name = free_name(f"{one.kind} {size}", taken)
            taken.add(name)
            number[key] = len(parts)
            lead[len(parts)] = ahead
            stock = _stock(one.kind, size, one.diameter_mm, one.length_mm)
            parts.append(Part(name, Revolved(profile), stock))
        part = number[key]
        facts = Fact.TAKES_NO_GOODS | Fact.FREE_OF_THE_WALL
        placed.append(
            Placement(one.label, part, _pose(one, parts[part], lead[part]), (branch,), one.kind.value, facts)
        )
    return replace(piece, parts=tuple(parts), placements=(*piece.placements, *placed))


def _pose(one: HardwarePlace, part: Part, lead: float) -> Pose:
    helper: Vector = (0.0, 0.0, 1.0) if abs(one.way[2]) < 0.9 else (0.0, 1.0, 0.0)
    y = unit(cross(helper, one.way))
    z = cross(one.way, y)
    r = part.form.blank_mm[1] / 2
    start = one.at(-lead)
    origin = (
        start[0] - r * (y[0] + z[0]),
        start[1] - r * (y[1] + z[1]),
        start[2] - r * (y[2] + z[2]),
    )
    return Pose.columns(one.way, y, z, origin)
