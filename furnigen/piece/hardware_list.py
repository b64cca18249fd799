"""The hardware that a piece's joints need, as rows to buy from."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import inf

from furnigen.catalogue.hardware import hardware_order, sold_as
from furnigen.core.facts import FastenerKind
from furnigen.joints.joint import Joint
from furnigen.piece.description import Piece

SizeKey = tuple[str, float, float]
"""Kind, diameter and length (mm)."""


@dataclass(frozen=True, slots=True)
class HardwareRow:
    """One line of the hardware list.

    Attributes:
        kind: as `Hardware.kind`.
        size: as it is sold, or plain mm where it is not in the table.
        quantity: how many.
        key: its kind and size, as `size_key` gives them.
        where: "4 shelf.1 to side.left" for each joint that needs some.
    """

    kind: str
    size: str
    quantity: int
    where: tuple[str, ...]
    key: SizeKey


def size_key(kind: FastenerKind, diameter_mm: float, length_mm: float) -> SizeKey:
    """What hardware of one size has in common: to a tenth of a millimetre, for two recipes' roundings."""
    return (kind.value, round(diameter_mm, 1), round(length_mm, 1))


def hardware_of(joints: Iterable[Joint]) -> tuple[HardwareRow, ...]:
    """What joints need, one row for each kind and size: in the order of the table, what it has not
    last, then by size.
    """
    found: dict[SizeKey, list[tuple[int, str]]] = {}
    size: dict[SizeKey, str] = {}
    for joint in joints:
        for f in joint.fasteners:
            if f.parts:  # made, not bought
                continue
            key = size_key(f.kind, f.diameter_mm, f.length_mm)
            size.setdefault(key, sold_as(f.kind, f.diameter_mm, f.length_mm))
            if f.sites:
                found.setdefault(key, []).append((len(f.sites), f"{joint.b} to {joint.a}"))
    order = hardware_order()
    rows = []
    for key in sorted(found, key=lambda k: (order.get(k[0], inf), *k)):
        where = tuple(f"{n} {place}" for n, place in found[key])
        rows.append(HardwareRow(key[0], size[key], sum(n for n, _ in found[key]), where, key))
    return tuple(rows)


def hardware_list(piece: Piece) -> tuple[HardwareRow, ...]:
    """All the hardware a piece needs, from its joints."""
    return hardware_of(piece.joints)
