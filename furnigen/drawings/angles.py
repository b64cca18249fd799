"""Angular dimensions, and sizes along a slanted line (ISO 129-1)."""

from __future__ import annotations

from math import atan2, cos, degrees, hypot, pi, radians, sin

from furnigen.drawings.dimensions import LAYER
from furnigen.drawings.figures import ARROW_MM, HEIGHT_MM, arrowhead, figure_items, figure_of, figure_width
from furnigen.paper.lettering import width_of
from furnigen.paper.page import NARROW, Arc, Dimension, Item, Point, Text, line


def angle_figure(angle: float) -> str:
    """An angle as it is written.

    >>> angle_figure(5.0), angle_figure(5.823)
    ('5°', '5.8°')
    """
    return f"{round(angle, 1):.10g}°"


def polar(centre: Point, radius: float, turn: float) -> Point:
    """A point by its direction (degrees) and distance (mm)."""
    return centre[0] + radius * cos(radians(turn)), centre[1] + radius * sin(turn * pi / 180)


def angular(vertex: Point, start: float, end: float, radius: float, beyond: str = "end") -> Dimension:
    """The angle from one direction to another, counter-clockwise (degrees), its arc at a radius (mm).

    A narrow angle has its arrowheads outside, and its figure beyond one of them.

    Args:
        beyond: "start" or "end": on which side the figure of a narrow angle stands.
    """
    swept = (end - start) % 360.0
    figure = angle_figure(swept)
    long, arc = width_of(figure, HEIGHT_MM), radians(swept) * radius
    head = degrees(ARROW_MM / radius)
    drawn: list[Arc | Text | object] = []
    ends = polar(vertex, radius, start), polar(vertex, radius, start + swept)
    if arc >= 2 * ARROW_MM + 1.0 and arc >= long + 1.0 + 2 * ARROW_MM:
        drawn.append(Arc(vertex, radius, start, start + swept, NARROW, LAYER))
        drawn += [
            arrowhead(ends[0], polar(vertex, radius, start + head)),
            arrowhead(ends[1], polar(vertex, radius, start + swept - head)),
        ]
        at = polar(vertex, radius + 1.2 + HEIGHT_MM / 2 + long / 4, start + swept / 2)
        drawn.append(Text(at, figure, HEIGHT_MM, "middle", "middle", layer=LAYER))
    else:
        more = degrees((ARROW_MM + 2.5) / radius)
        drawn.append(Arc(vertex, radius, start - more, start + swept + more, NARROW, LAYER))
        drawn += [
            arrowhead(ends[0], polar(vertex, radius, start - head)),
            arrowhead(ends[1], polar(vertex, radius, start + swept + head)),
        ]
        turn = start + swept + more if beyond == "end" else start - more
        x, y = polar(vertex, radius, turn)
        # the figure stands beyond the end of the arc, on the side it runs out to
        tangent = radians(turn + (90.0 if beyond == "end" else -90.0))
        dx, dy = cos(tangent), sin(tangent)
        if abs(dx) > 0.35:
            at, align = (x + (0.8 if dx > 0 else -0.8), y + 1.2 * dy), "left" if dx > 0 else "right"
        else:
            at, align = (x, y + (1.0 + HEIGHT_MM / 2) * (1 if dy > 0 else -1)), "middle"
        drawn.append(Text(at, figure, HEIGHT_MM, align, "middle", layer=LAYER))  # type: ignore[arg-type]
    return Dimension(tuple(drawn), ends[0], ends[1], vertex, 0.0, 1.0, figure, kind="angular")  # type: ignore[arg-type]


def aligned(
    first: Point, second: Point, away: float, factor: float, units: str, mark: str = ""
) -> list[Item]:
    """The distance of two points along their own line, its dimension line `away` mm to the left of it.

    Args:
        factor: real over paper.
        mark: before the figure, such as a diameter sign.
    """
    dx, dy = second[0] - first[0], second[1] - first[1]
    long = hypot(dx, dy)
    ux, uy = dx / long, dy / long
    nx, ny = -uy, ux
    sign = 1.0 if away >= 0 else -1.0

    def off(p: Point, by: float) -> Point:
        return p[0] + nx * by, p[1] + ny * by

    a, b = off(first, away), off(second, away)
    figure = figure_of(long * factor, units)
    turn = degrees(atan2(dy, dx))
    if turn > 90.0 + 1e-6:
        turn -= 180.0
    elif turn <= -90.0 + 1e-6:
        turn += 180.0
    items: list[Item] = []
    if abs(away) > 1.5:
        items += [line(off(p, sign * 1.0), off(p, away + sign * 1.5), NARROW, LAYER) for p in (first, second)]
    up = radians(turn + 90.0)
    rise = 1.7 if units == "in" else 0.9
    text = f"{mark}{figure}"
    wide = figure_width(text)
    drawn: list[Item]
    if wide + 1.0 <= long or long >= 2 * ARROW_MM + 1.0:
        drawn = [line(a, b, NARROW, LAYER), arrowhead(a, b), arrowhead(b, a)]
    else:  # arrowheads from outside
        p, q = (a[0] - ux * 5.0, a[1] - uy * 5.0), (b[0] + ux * 5.0, b[1] + uy * 5.0)
        drawn = [line(p, q, NARROW, LAYER), arrowhead(a, p), arrowhead(b, q)]
    middle = ((a[0] + b[0]) / 2, (a[1] + b[1]) / 2)
    if wide + 1.0 > long:  # beyond the second point
        reach = long / 2 + (5.6 if long < 2 * ARROW_MM + 1.0 else 1.5) + wide / 2
        middle = (middle[0] + ux * reach, middle[1] + uy * reach)
        rise = -HEIGHT_MM / 2
    drawn += figure_items((middle[0] + cos(up) * rise, middle[1] + sin(up) * rise), text, turn=turn)
    return [
        *items,
        Dimension(tuple(drawn), first, second, a, degrees(atan2(dy, dx)) % 180.0, factor, text),  # type: ignore[arg-type]
    ]
