"""How a solid lies best on the bed: what needs support, how high it gets, whether it fits.

Bridges are counted as needing support: what a machine bridges differs too much to promise (10 to 60 mm).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from manifold3d import CrossSection, Manifold

from furnigen.core.array_types import Floats, Ints
from furnigen.mockup.packing import fits_straight, slant_for
from furnigen.mockup.print_solids import solid_mesh
from furnigen.mockup.printer import OVERHANG_DEGREES, SLACK_MM, Printer

ON_BED_MM = 0.05
"""Points no higher than this count as on the bed: a quarter of a usual layer."""
FLATS = 14
"""How many of the largest flats of the hull are tried, besides the six sides of the box."""
EQUAL = 0.01
"""Supports closer in volume than this share of the solid's box are as good: the lower pose wins. So are boxes
on the bed that differ less in area."""
EDGE_MM = 0.01
"""Edges of an outline shorter than this are ignored as directions."""
SPINS = np.radians(np.arange(0.0, 180.0, 2.5))
"""Other rotations on the bed that are tried, where the least box does not fit."""


@dataclass(frozen=True, eq=False)
class Orientation:
    """One orientation on the bed.

    Attributes:
        turn: (3, 3) rotation from the room to the bed.
        shift: (3,) then a shift (mm): the lowest point at z = 0, the box at x = y = 0.
        size_mm: (3,) box on the bed; a box longer than the bed lies slantwise.
        support_mm2: area, seen from above, of faces that need support.
        support_mm3: that area times its height above the bed, though some may stand on the solid itself.
        fits: whether it fits the bed, slantwise if need be.
    """

    turn: Floats
    shift: Floats
    size_mm: Floats
    support_mm2: float
    support_mm3: float
    fits: bool

    @property
    def height_mm(self) -> float:
        """How high it stands (mm)."""
        return float(self.size_mm[2])

    @property
    def matrix(self) -> Floats:
        """The (3, 4) placement on the bed."""
        return np.column_stack([self.turn, self.shift])


def down_to(normal: Floats) -> Floats:
    """A rotation that turns a direction straight down, the axes of the room kept where they can be."""
    z = -normal / np.linalg.norm(normal)
    helper = np.array([1.0, 0.0, 0.0]) if abs(z[0]) < 0.9 else np.array([0.0, 1.0, 0.0])
    x = helper - helper @ z * z
    x /= np.linalg.norm(x)
    turn: Floats = np.stack([x, np.cross(z, x), z])
    return turn


def support_needed(corners: Floats, turn: Floats) -> tuple[float, float]:
    """Area (mm²) of triangles (n, 3, 3) that need support once turned, and the volume (mm³) below."""
    placed = corners @ turn.T
    normal = np.cross(placed[:, 1] - placed[:, 0], placed[:, 2] - placed[:, 0])
    area = np.linalg.norm(normal, axis=1)
    steep = normal[:, 2] < -(np.cos(np.radians(OVERHANG_DEGREES)) + 1e-6) * area
    height = placed[:, :, 2] - placed[:, :, 2].min()
    hanging = steep & (height.max(axis=1) > ON_BED_MM)
    seen = -normal[hanging, 2] / 2.0
    return float(seen.sum()), float((seen * height[hanging].mean(axis=1)).sum())


def best_orientation(solid: Manifold, printer: Printer, downs: Floats | None = None) -> Orientation:
    """The best of many ways to lie: one that fits, then the least support, then the lowest.

    Args:
        downs: (n, 3) directions that may be turned down; when None the box's sides and the largest flats.
    """
    v, f = solid_mesh(solid)
    hull_v, hull_f = solid_mesh(solid.hull())
    if downs is None:
        downs = np.concatenate([_BOX, _flats(hull_v, hull_f)])
    corners = v[f]
    orientations = [_stand(hull_v, corners, down, printer) for down in downs]
    step = EQUAL * min(float(s.size_mm.prod()) for s in orientations)

    def rank(s: Orientation) -> tuple[bool, int, float]:
        return (not s.fits, round(s.support_mm3 / step), round(s.height_mm, 3))

    return min(orientations, key=rank)


_BOX = np.array(
    [[0, 0, -1], [0, 1, 0], [0, -1, 0], [-1, 0, 0], [1, 0, 0], [0, 0, 1]], dtype=np.float64
)  # as it stands, on its back, its front, its sides, upside down


def _flats(v: Floats, f: Ints) -> Floats:
    """Normals of the largest flats of a convex mesh, the largest first."""
    normal = np.cross(v[f[:, 1]] - v[f[:, 0]], v[f[:, 2]] - v[f[:, 0]])
    area = np.linalg.norm(normal, axis=1)
    good = area > 1e-9
    unit = np.round(normal[good] / area[good, None], 4) + 0.0
    flats, index = np.unique(unit, axis=0, return_inverse=True)
    total = np.bincount(index.reshape(-1), area[good])
    order = np.lexsort((np.arange(len(flats)), -np.round(total, 6)))[:FLATS]
    largest: Floats = flats[order] / np.linalg.norm(flats[order], axis=1)[:, None]
    return largest


def _stand(hull: Floats, corners: Floats, down: Floats, printer: Printer) -> Orientation:
    turn = down_to(down)
    area, below = support_needed(corners, turn)
    spin, fits = _spin(hull @ turn.T, printer)
    spun = spin @ turn
    flat = hull @ spun.T
    low, size = flat.min(axis=0), np.ptp(flat, axis=0)
    return Orientation(
        spun, -low, size, area, below, fits and float(size[2]) <= printer.room_mm[2] + SLACK_MM
    )


def _spin(points: Floats, printer: Printer) -> tuple[Floats, bool]:
    """A rotation about the vertical that makes the box least, none if that is as good; whether it then fits.

    It fits along the bed's edges or slantwise. Where the least box does not, another rotation may, since
    corners that are not there need no room. A side of the least box of an outline lies along one of its edges
    (Freeman and Shapira, 1975).
    """
    outline = np.asarray(CrossSection.hull_points(points[:, :2]).to_polygons()[0])
    u, v = np.diff(np.vstack([outline, outline[:1]]), axis=0).T
    edges = -np.arctan2(v, u)[np.hypot(u, v) > EDGE_MM]
    wide, deep = _boxes(outline, np.concatenate([[0.0], edges]))
    box = np.round(wide * deep / (wide * deep).min() / EQUAL)
    best = int(np.argmin(box))
    size = (float(wide[best]), float(deep[best]))
    if fits_straight(size, printer) or slant_for(size, printer):
        return about_z(np.concatenate([[0.0], edges])[best]), True
    wide, deep = _boxes(outline, SPINS)
    over = np.maximum(wide - printer.room_mm[0], deep - printer.room_mm[1])
    if over.min() > SLACK_MM:
        return about_z(np.concatenate([[0.0], edges])[best]), False
    return about_z(SPINS[int(np.argmin(np.round(over, 3)))]), True


def _boxes(outline: Floats, angles: Floats) -> tuple[Floats, Floats]:
    """(n,) widths and depths of the box of an outline turned by each of (n,) angles (radians)."""
    cos, sin = np.cos(angles), np.sin(angles)
    wide = np.ptp(np.outer(cos, outline[:, 0]) - np.outer(sin, outline[:, 1]), axis=1)
    deep = np.ptp(np.outer(sin, outline[:, 0]) + np.outer(cos, outline[:, 1]), axis=1)
    return wide, deep


def about_z(angle: float) -> Floats:
    """(3, 3) rotation by an angle (radians) about the vertical."""
    c, s = float(np.cos(angle)), float(np.sin(angle))
    return np.array([[c, -s, 0.0], [s, c, 0.0], [0.0, 0.0, 1.0]])


def turned_on_bed(solid: Manifold, orientation: Orientation, degrees: float) -> tuple[Orientation, Floats]:
    """A stand turned further on the bed, and (2,) how far its box is from the old one, turned."""
    turn = about_z(np.radians(degrees))
    low = np.array(
        solid.transform(np.column_stack([turn @ orientation.turn, turn @ orientation.shift])).bounding_box()
    )
    moved = replace(
        orientation,
        turn=turn @ orientation.turn,
        shift=turn @ orientation.shift - low[:3],
        size_mm=low[3:] - low[:3],
    )
    return moved, low[:2]
