"""The smallest box that takes all parts packed flat, in layers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from furnigen.cutting.cut_rows import CutRow

MOST_BASES = 8
"""Sizes of the box's floor that are tried."""
MOST_PARTS = 2000
"""More parts than this are not packed: nobody carries that as one."""


@dataclass(frozen=True)
class FlatPack:
    """A box and what lies in it.

    Attributes:
        length_mm, width_mm, height_mm: inside.
        layers: how many.
        mass_kg: of the parts.
    """

    length_mm: float
    width_mm: float
    height_mm: float
    layers: int
    mass_kg: float


def flat_pack(rows: Sequence[CutRow]) -> FlatPack | None:
    """The smallest box found for the finished parts, each on its broad face; None for none, or too many.

    Parts of one thickness share layers. The floor is as long as the longest part, as wide as the widest or a
    little more; within a layer a rectangle packer places them.
    """
    if not rows or sum(r.quantity for r in rows) > MOST_PARTS:
        return None
    sizes = [_flat(r) for r in rows]
    long = max(a for a, _, _, _ in sizes)
    wide = max(b for _, b, _, _ in sizes)
    found: list[tuple[float, FlatPack]] = []
    mass = sum(r.mass_kg * r.quantity for r in rows)
    floors = sorted({round(wide, 3), *(round(x, 3) for x in (wide * 1.25, wide * 1.5, wide * 2.0))})
    for floor in floors[:MOST_BASES]:
        packed = _layers(sizes, long, floor)
        if packed is None:
            continue
        height, layers = packed
        found.append((long * floor * height, FlatPack(long, floor, height, layers, mass)))
    return min(found, key=lambda f: (f[0], f[1].width_mm))[1] if found else None


def _flat(row: CutRow) -> tuple[float, float, float, int]:
    """Longest side, next, thinnest of a finished part, and how many."""
    c, b, a = sorted((row.finished.length, row.finished.width, row.finished.thickness))
    return a, b, c, row.quantity


def _layers(
    sizes: Sequence[tuple[float, float, float, int]], long: float, wide: float
) -> tuple[float, int] | None:
    """Height and number of layers on one floor (mm)."""
    from rectpack import PackingMode, newPacker

    by_thickness: dict[float, list[tuple[float, float]]] = {}
    for a, b, c, n in sizes:
        by_thickness.setdefault(round(c, 3), []).extend([(a, b)] * n)
    height, layers = 0.0, 0
    for thickness in sorted(by_thickness, reverse=True):
        parts = by_thickness[thickness]
        packer = newPacker(mode=PackingMode.Offline, rotation=True)
        for a, b in parts:
            packer.add_rect(round(a, 3), round(b, 3))
        packer.add_bin(round(long, 3), round(wide, 3), count=len(parts))
        packer.pack()
        if sum(len(bin_) for bin_ in packer) < len(parts):
            return None
        layers += len(packer)
        height += thickness * len(packer)
    return height, layers
