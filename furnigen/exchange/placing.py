"""Placements of a STEP file that give no position: the kernel would turn or move them, and say nothing."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

from furnigen.core.errors import InputError
from furnigen.core.pose import cross, dot
from furnigen.exchange.contents import Contents
from furnigen.exchange.part21 import ExchangeFile
from furnigen.exchange.shapes import Extent

_OPERATORS = ("CARTESIAN_TRANSFORMATION_OPERATOR_3D", "CARTESIAN_TRANSFORMATION_OPERATOR")
_PLACEMENT = "AXIS2_PLACEMENT_3D"
_MOVED = "REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION"
_BY_ITEMS = "ITEM_DEFINED_TRANSFORMATION"
FARTHEST_MM = 1e7
"""Ten kilometres: nothing built by a furniture maker reaches as far, and beyond it millionths of a millimetre
are lost in the numbers themselves."""
_SAME_SCALE = 1e-9
"""Rounding of the numbers in a file, which have twelve digits."""
_PARALLEL = 1e-6
"""The sine of the least angle between two axes that surely tell a direction, in numbers of twelve digits."""


def refuse_placements(path: object, held: Contents) -> None:
    """Refuse a file with a placement that mirrors, scales, or gives no position.

    Args:
        path: of the file, for the message.

    Raises: InputError naming the placement.
    """
    for fault in _faults(held):
        raise InputError("STEP file", path, fault)


def _faults(held: Contents) -> Iterator[str]:
    file = held.file
    if any(_mirrors(file, number) for number in file.of(_OPERATORS[0])):
        yield "mirrors or scales a copy of a part; save it with that copy as a part of its own"
    names = {usage.number: usage.name for usage in held.usages}
    for usage, relations in held.shapes.relations.items():
        for relation in relations:
            fault = _of_relation(file, relation)
            if fault:
                yield f"the placement of {names.get(usage) or f'#{usage}'} {fault}"
    for number in file.of("MAPPED_ITEM"):
        source = file.reference(number, "MAPPED_ITEM", 1)
        target = file.reference(number, "MAPPED_ITEM", 2)
        origin = file.reference(source, "REPRESENTATION_MAP", 0) if source is not None else None
        for axes in (origin, target):
            fault = _of_axes(file, axes)
            if fault:
                yield f"the placement #{number} of a mapped item {fault}"


def _of_relation(file: ExchangeFile, relation: int) -> str:
    operator = file.reference(relation, _MOVED, 0)
    if operator is None:
        return "" if _MOVED not in file.values(relation) else "names a transformation that is not there"
    if _BY_ITEMS in file.values(operator):
        found = (_of_axes(file, file.reference(operator, _BY_ITEMS, at)) for at in (2, 3))
        return next((fault for fault in found if fault), "")
    if _OPERATORS[0] in file.values(operator):
        return ""
    return f"is a {file.kind(operator) or 'row that can not be read'}, which is no transformation"


def _of_axes(file: ExchangeFile, axes: int | None) -> str:
    """What is wrong with one position and its axes; "" when nothing is."""
    if axes is None:
        return "names a position that is not there"
    if _PLACEMENT not in file.values(axes):
        return "" if _OPERATORS[0] in file.values(axes) else f"names #{axes}, which is no position in space"
    place, z, x = (file.value(axes, _PLACEMENT, at) for at in (1, 2, 3))
    location = _numbers(file, place, "CARTESIAN_POINT")
    if location is None or max(map(abs, location)) > FARTHEST_MM:
        return "has no origin within 10 km" if location else "has no origin that can be read"
    directions = [None if d is None else _numbers(file, d, "DIRECTION") for d in (z, x)]
    for given, direction in zip((z, x), directions, strict=True):
        if given is not None and (direction is None or not math.hypot(*direction)):
            return "has an axis without a direction"
    up, along = directions[0] or (0.0, 0.0, 1.0), directions[1]
    if along and math.hypot(*cross(up, along)) <= _PARALLEL * math.hypot(*up) * math.hypot(*along):
        return "has parallel axes, so no one can say which way it is turned"
    return ""


def _numbers(file: ExchangeFile, number: Any, kind: str) -> tuple[float, float, float] | None:
    values = file.value(number, kind, 1) if isinstance(number, int) else None
    if not isinstance(values, list) or len(values) != 3 or not all(isinstance(v, float) for v in values):
        return None
    x, y, z = values
    return (x, y, z) if math.isfinite(x) and math.isfinite(y) and math.isfinite(z) else None


def _mirrors(file: ExchangeFile, number: int) -> bool:
    """Whether an operator mirrors or scales: the kernel would turn the copy instead, and say nothing."""
    values = [v for kind in _OPERATORS for v in file.values(number).get(kind, [])]
    scale = next((v for v in values if isinstance(v, float)), 1.0)
    if abs(scale - 1.0) > _SAME_SCALE:
        return True
    directions = [
        _numbers(file, v, "DIRECTION") for v in values if isinstance(v, int) and "DIRECTION" in file.values(v)
    ]
    if len(directions) != 3 or None in directions:
        return False
    x, y, z = directions
    return x is not None and y is not None and z is not None and dot(cross(x, y), z) < 0


def out_of_reach(extent: Extent) -> bool:
    """Whether a solid has a corner farther out than anything that is built."""
    return not extent.farthest_mm <= FARTHEST_MM
