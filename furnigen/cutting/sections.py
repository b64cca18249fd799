"""What cuts leave of a section, such as the tenon between its shoulders."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from furnigen.cutting.features import TOUCH_MM

Rect = tuple[float, float, float, float]
"""A part of a section: from, to across; from, to through (mm)."""


def left_over(taken: list[tuple[Sequence[float], Sequence[float]]], width: float, thick: float) -> list[Rect]:
    """What rectangles taken out of a section leave, as rectangles (from, to across; from, to through)."""
    ys = sorted({0.0, width, *(v for lo, hi in taken for v in (lo[0], hi[0]))})
    zs = sorted({0.0, thick, *(v for lo, hi in taken for v in (lo[1], hi[1]))})

    def free(y: float, z: float) -> bool:
        return not any(lo[0] < y < hi[0] and lo[1] < z < hi[1] for lo, hi in taken)

    columns: list[list[float]] = []
    for y0, y1 in pairwise(ys):
        if y1 - y0 < TOUCH_MM:
            continue
        heights = [
            (z0, z1) for z0, z1 in pairwise(zs) if z1 - z0 >= TOUCH_MM and free((y0 + y1) / 2, (z0 + z1) / 2)
        ]
        if not heights:
            continue
        low, high = heights[0][0], heights[-1][1]
        if columns and abs(columns[-1][1] - y0) < TOUCH_MM and columns[-1][2:] == [low, high]:
            columns[-1][1] = y1
        else:
            columns.append([y0, y1, low, high])
    return [(a, b, c, d) for a, b, c, d in columns]
