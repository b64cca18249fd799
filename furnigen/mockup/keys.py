"""Keys: tabs and pegs of one part, and the slots and holes of another that take them, found in sections.

Both are drawn in the plane where the parts meet, the first part below it, the second above. A tab is as thick
as the board it grows from and a quarter as long as the joint or less; a peg is round. The hole is the key
grown by the clearance; where a wall beside it would be too thin to print, the hole is opened to that side.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np
from manifold3d import CrossSection, JoinType, Manifold, OpType

from furnigen.core.array_types import Floats
from furnigen.mockup.printer import SMALLEST_HOLE_MM

TAB_SHARE, LONGEST_TAB_MM = 0.24, 14.0
"""A tab's length as a share of the joint's, at most, and at most in mm. Our own figures."""
LONG_JOINT_WALLS = 12.0
"""Joints longer than this many walls get two tabs."""
PEG_SIDES = 24
SLACK_MM = 1e-3
"""Rounding allowed for before a wall counts as too thin."""
_ASIDE_MM = 0.05
"""A tab keeps off the ends of the joint: its sides would else lie in faces of its own part, or all but."""
_DEEP_MM = 0.05
"""How far inside each part its section is taken."""


@dataclass(frozen=True, eq=False)
class MeetingPlane:
    """A plane where two parts meet.

    Attributes:
        matrix: (3, 4) from the plane (u, v, up; origin) to the room (mm); up points into the second part.
    """

    matrix: Floats

    @staticmethod
    def at(point: Floats, up: Floats, along: Floats) -> MeetingPlane:
        """Through a point, with a direction up and one that u should follow as far as it can."""
        u = along - along @ up * up
        u /= np.linalg.norm(u)
        return MeetingPlane(np.column_stack([u, np.cross(up, u), up, point]))

    def local(self, solid: Manifold) -> Manifold:
        """A solid in the frame of the plane."""
        turn = self.matrix[:, :3].T
        return solid.transform(np.column_stack([turn, -turn @ self.matrix[:, 3]]))

    def raised(self, section: CrossSection, low: float, high: float) -> Manifold:
        """A section extruded between two heights, in the frame of the room."""
        return Manifold.extrude(section, high - low).translate((0.0, 0.0, low)).transform(self.matrix)


@dataclass(frozen=True, eq=False)
class Key:
    """One or more tabs or pegs of a connection.

    Attributes:
        male, female: what is added to the first part and taken from the second, in the room.
        least_mm: the smallest size of a tab or peg across its way (mm).
        count: how many.
        kind: "tab" or "peg".
    """

    male: Manifold
    female: Manifold
    least_mm: float
    count: int
    kind: str


def meeting_section(first: Manifold, second: Manifold) -> CrossSection:
    """Where two parts meet in the plane z = 0, the first below, the second above."""
    return first.slice(-_DEEP_MM) ^ second.slice(_DEEP_MM)


def offset_section(section: CrossSection, by: float) -> CrossSection:
    """A section moved out (or in) by `by`, its corners kept sharp."""
    return section.offset(by, JoinType.Miter, 4.0) if by else section


def opened_section(section: CrossSection, wall: float) -> CrossSection:
    """The parts of a section that are at least `wall` wide everywhere."""
    half = (wall - SLACK_MM) / 2
    return offset_section(offset_section(section, -half), half) ^ section


def tab_layouts(section: CrossSection, wall: float) -> Iterator[list[CrossSection]]:
    """Tabs that a section has room for, the best first: two at its quarters, one in its middle, one aside."""
    pieces = _polygons(section)
    if not pieces:
        return
    turn = _longest_edge(pieces[0])
    flat = pieces[0].rotate(-turn)
    x0, y0, x1, y1 = flat.bounds()
    if x1 - x0 < y1 - y0:
        turn += 90.0
        flat = pieces[0].rotate(-turn)
        x0, y0, x1, y1 = flat.bounds()
    long = x1 - x0
    length = min(max(TAB_SHARE * long, 1.5 * wall), LONGEST_TAB_MM)
    layouts: list[tuple[float, ...]] = [(0.5,), (0.25,), (0.75,)]
    if long >= LONG_JOINT_WALLS * wall:
        layouts = [(0.25, 0.75), (0.125, 0.625), (0.375, 0.875), *layouts]
    for middles in layouts:
        tabs = []
        for share in middles:
            x = x0 + share * long
            a, b = max(x0 + _ASIDE_MM, x - length / 2), min(x1 - _ASIDE_MM, x + length / 2)
            if min(b - a, y1 - y0) < wall - SLACK_MM:
                continue
            tab = CrossSection.square((b - a, y1 - y0)).translate((a, y0))
            if (tab - flat).area() <= SLACK_MM * (b - a):
                tabs.append((tab ^ flat).rotate(turn))
        if len(tabs) == len(middles):
            yield tabs


def peg_layouts(section: CrossSection, wall: float, clearance: float) -> Iterator[list[CrossSection]]:
    """Pegs that a section has room for: two as far apart as they go, then one in the middle."""
    radius = max(wall, SMALLEST_HOLE_MM / 2 - clearance)
    cores = _polygons(offset_section(section, -(radius + clearance + wall)))
    for centre_part in cores[:1]:
        points = np.concatenate([np.asarray(p) for p in centre_part.to_polygons()])
        middle = np.array(points.mean(axis=0))
        far = points[int(np.argmax(np.linalg.norm(points - middle, axis=1).round(6)))]
        other = points[int(np.argmax(np.linalg.norm(points - far, axis=1).round(6)))]
        if np.linalg.norm(other - far) >= 2 * (radius + clearance) + wall:
            yield [_round(far, radius), _round(other, radius)]
        yield [_round(middle, radius)]
    if not cores and not section.is_empty():
        # a slender end, such as the top of a leg: one peg as thick as leaves a shoulder all round
        x0, y0, x1, y1 = section.bounds()
        slim = min(x1 - x0, y1 - y0) / 2 - wall / 2
        if slim >= SMALLEST_HOLE_MM / 2 - clearance and slim >= wall / 2:
            yield [_round(np.array([(x0 + x1) / 2, (y0 + y1) / 2]), slim)]


def make_key(
    plane: MeetingPlane,
    second: Manifold,
    shapes: Sequence[CrossSection],
    depth: float,
    through: bool,
    clearance: float,
    wall: float,
    kind: str,
) -> Key | None:
    """The key of some shapes in the plane; None when the second part can not take it.

    Args:
        second: the part above the plane, as the plane sees it.
        depth: how far the key goes in (mm).
        through: whether its hole runs out on the far side.
    """
    body = second.slice(depth / 2)
    holes = []
    for shape in shapes:
        hole = _hole(body, shape, clearance, wall)
        if hole is None:
            return None
        holes.append(hole)
    males = CrossSection.batch_boolean(list(shapes), OpType.Add)
    females = CrossSection.batch_boolean(holes, OpType.Add)
    beyond = 0.1 if through else clearance
    low = min(depth, _DEEP_MM)
    female = plane.raised(females, -low, depth + beyond)
    rest = second - plane.local(female)
    if len([p for p in rest.decompose() if p.volume() > 1e-3]) != 1:
        return None
    least = min(_least(s) for s in shapes)
    # overlapping the part that bears it a little, so that the two become one solid
    return Key(plane.raised(males, -low, depth), female, least, len(shapes), kind)


def _hole(body: CrossSection, shape: CrossSection, clearance: float, wall: float) -> CrossSection | None:
    hole = offset_section(shape, clearance)
    if (hole ^ body).area() < 0.5 * shape.area():
        return None
    for _ in range(2):
        near = offset_section(hole, 1.5 * wall)
        was = (body - opened_section(body, wall)) ^ near
        rest = body - hole
        thin = ((rest - opened_section(rest, wall)) ^ near) - was
        if thin.area() <= 1e-3 * wall:
            return hole
        hole = hole + offset_section(thin, 0.02)
    return None


def _polygons(section: CrossSection) -> list[CrossSection]:
    """The separate pieces of a section, the largest first."""
    found = [p for p in section.decompose() if p.area() > 1e-9]
    return sorted(found, key=lambda p: (-round(p.area(), 6), p.bounds()))


def _round(middle: Floats, radius: float) -> CrossSection:
    return CrossSection.circle(radius, PEG_SIDES).translate((float(middle[0]), float(middle[1])))


def _least(section: CrossSection) -> float:
    points = np.concatenate([np.asarray(p) for p in section.to_polygons()])
    edges = np.diff(np.vstack([points, points[:1]]), axis=0)
    best = np.inf
    for x, y in edges[np.linalg.norm(edges, axis=1) > 1e-6]:
        across = points @ (np.array([-y, x]) / np.hypot(x, y))
        best = min(best, float(np.ptp(across)))
    return best


def _longest_edge(section: CrossSection) -> float:
    """Direction of the longest edge of a section, degrees, 0 to 180."""
    best, turn = -1.0, 0.0
    for polygon in section.to_polygons():
        points = np.asarray(polygon)
        for x, y in np.diff(np.vstack([points, points[:1]]), axis=0):
            size = round(float(np.hypot(x, y)), 4)
            if size > best:
                best, turn = size, float(np.degrees(np.arctan2(y, x))) % 180.0
    return turn
