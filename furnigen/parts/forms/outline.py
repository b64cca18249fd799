"""Plane outlines: area, centroid, convexity."""

from __future__ import annotations

Point2 = tuple[float, float]
Outline = tuple[Point2, ...]


def polygon_area(outline: Outline) -> float:
    """Signed area of a closed polygon (shoelace), positive when counter-clockwise."""
    return (
        sum(x0 * y1 - x1 * y0 for (x0, y0), (x1, y1) in zip(outline, outline[1:] + outline[:1], strict=True))
        / 2
    )


def polygon_centroid(outline: Outline) -> Point2:
    """Centroid of a closed simple polygon."""
    a = polygon_area(outline)
    cx = cy = 0.0
    for (x0, y0), (x1, y1) in zip(outline, outline[1:] + outline[:1], strict=True):
        w = x0 * y1 - x1 * y0
        cx += (x0 + x1) * w
        cy += (y0 + y1) * w
    return cx / (6 * a), cy / (6 * a)


def convex(outline: Outline) -> bool:
    """Whether a counter-clockwise outline has no corner that points inward."""
    corners = zip(outline, outline[1:] + outline[:1], outline[2:] + outline[:2], strict=True)
    return all((x1 - x0) * (y2 - y1) >= (y1 - y0) * (x2 - x1) for (x0, y0), (x1, y1), (x2, y2) in corners)


def wood_on_line(
    outline: Outline, windows: tuple[Outline, ...], along: int, at: float
) -> tuple[tuple[float, float], ...]:
    """Where a line square to one axis runs inside an outline and outside its windows, along the other axis.

    Args:
        along: the axis `at` is measured on, 0 or 1.
        at: where the line crosses it.
    """
    spans = _crossings(outline, along, at)
    for low, high in [s for window in windows for s in _crossings(window, along, at)]:
        spans = [
            part
            for a, b in spans
            for part in ((a, min(b, low)), (max(a, high), b))
            if part[1] - part[0] > 1e-9
        ]
    return tuple(spans)


def _crossings(outline: Outline, along: int, at: float) -> list[tuple[float, float]]:
    cuts = []
    for p, q in zip(outline, outline[1:] + outline[:1], strict=True):
        if (p[along] <= at) != (q[along] <= at):
            share = (at - p[along]) / (q[along] - p[along])
            cuts.append(p[1 - along] + share * (q[1 - along] - p[1 - along]))
    cuts.sort()
    return list(zip(cuts[::2], cuts[1::2], strict=False))
