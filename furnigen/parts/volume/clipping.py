"""Plane polygons cut by straight lines, and what is left of them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from furnigen.parts.forms.outline import Outline, Point2

Side = tuple[float, float, float]
"""All (x, y) with a x + b y at most c, as (a, b, c); (a, b) of length one, c in mm."""


def clip(polygon: Outline, side: Side) -> Outline:
    """The part of a polygon on one side of a line (Sutherland and Hodgman, 1974)."""
    a, b, c = side
    off = [a * x + b * y - c for x, y in polygon]
    if not off or max(off) <= 0.0:
        return polygon
    kept: list[Point2] = []
    before, dp = polygon[-1], off[-1]
    for p, dq in zip(polygon, off, strict=True):
        if (dp > 0.0 > dq) or (dp < 0.0 < dq):
            s = dp / (dp - dq)
            kept.append((before[0] + s * (p[0] - before[0]), before[1] + s * (p[1] - before[1])))
        if dq <= 0.0:
            kept.append(p)
        before, dp = p, dq
    return tuple(kept)


def clipped_moments(outlines: Sequence[Outline], sides: Iterable[Side]) -> tuple[float, float, float]:
    """Area (mm²) and its first moments (mm³) of an outline less its windows, within some lines.

    Args:
        outlines: the outline and then its windows, each counter-clockwise.
    """
    sides = tuple(sides)
    area = mx = my = 0.0
    for sign, outline in zip((1.0, *[-1.0] * (len(outlines) - 1)), outlines, strict=True):
        for side in sides:
            outline = clip(outline, side)
        if len(outline) < 3:
            continue
        # measured from a corner: far from the origin no digits are lost
        ox, oy = outline[0]
        a = x = y = 0.0
        px, py = 0.0, 0.0
        for qx, qy in outline[1:]:
            qx, qy = qx - ox, qy - oy
            w = px * qy - qx * py
            a += w
            x += (px + qx) * w
            y += (py + qy) * w
            px, py = qx, qy
        area += sign * a / 2
        mx += sign * (x / 6 + ox * a / 2)
        my += sign * (y / 6 + oy * a / 2)
    return area, mx, my
