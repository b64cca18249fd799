"""Volume and centre of mass of a part with its joints cut, in closed form.

Boxes square to a prism's own axes may overlap each other: their union is taken cell by cell. A cut
that is not square to the blank (a bore, a housing at a lean) must lie clear of the others and within
the wood, which the joint rules see to; its whole tool is then taken out.
"""

from __future__ import annotations

from math import pi

from furnigen.errors import GeometryError
from furnigen.parts.cuts import SAME_MM, Bore, BoxCut
from furnigen.parts.forms import Outline, Prism, polygon_area, polygon_centroid
from furnigen.parts.part import Part
from furnigen.pose import Box, Vector

Moments = tuple[float, float, float, float]
"""Volume and its first moments about the three coordinate planes (mm³, mm⁴)."""


def clip(polygon: Outline, axis: int, at: float, keep_above: bool) -> Outline:
    """The part of a polygon on one side of a line x = at or y = at (Sutherland and Hodgman, 1974)."""
    kept: list[tuple[float, float]] = []
    sign = 1.0 if keep_above else -1.0
    for a, b in zip(polygon, polygon[1:] + polygon[:1], strict=True):
        da, db = sign * (a[axis] - at), sign * (b[axis] - at)
        if da >= 0:
            kept.append(a)
        if (da > 0 > db) or (da < 0 < db):
            s = da / (da - db)
            kept.append((a[0] + s * (b[0] - a[0]), a[1] + s * (b[1] - a[1])))
    return tuple(kept)


def _clipped_moments(
    polygon: Outline, x0: float, x1: float, y0: float, y1: float
) -> tuple[float, float, float]:
    for axis, at, above in ((0, x0, True), (0, x1, False), (1, y0, True), (1, y1, False)):
        polygon = clip(polygon, axis, at, above)
        if len(polygon) < 3:
            return 0.0, 0.0, 0.0
    area = polygon_area(polygon)
    if area <= 0.0:
        return 0.0, 0.0, 0.0
    cx, cy = polygon_centroid(polygon)
    return area, area * cx, area * cy


def _wood_in_cell(form: Prism, lo: Vector, hi: Vector) -> Moments:
    """What a box takes out of a prism without cuts."""
    z0, z1 = max(lo[2], 0.0), min(hi[2], form.thickness)
    if z1 <= z0:
        return 0.0, 0.0, 0.0, 0.0
    area, mx, my = _clipped_moments(form.corners, lo[0], hi[0], lo[1], hi[1])
    for window in form.windows:
        a, x, y = _clipped_moments(window, lo[0], hi[0], lo[1], hi[1])
        area, mx, my = area - a, mx - x, my - y
    h = z1 - z0
    return area * h, mx * h, my * h, area * h * (z0 + z1) / 2


def _add(a: Moments, b: Moments) -> Moments:
    return (a[0] + b[0], a[1] + b[1], a[2] + b[2], a[3] + b[3])


def square_box(cut: BoxCut) -> Box | None:
    """The cut as a box square to the part's axes; None when it stands askew."""
    box = Box.around(cut.corners())
    return box if abs(box.volume - cut.volume_mm3) <= SAME_MM * max(box.size) ** 2 else None


def _removed_boxes(form: Prism, boxes: list[Box]) -> Moments:
    total: Moments = (0.0, 0.0, 0.0, 0.0)
    edges = [sorted({v for b in boxes for v in (b.lo[i], b.hi[i])}) for i in range(3)]
    for x0, x1 in zip(edges[0], edges[0][1:], strict=False):
        across = [b for b in boxes if b.lo[0] < x1 and b.hi[0] > x0]
        for y0, y1 in zip(edges[1], edges[1][1:], strict=False):
            column = [b for b in across if b.lo[1] < y1 and b.hi[1] > y0]
            for z0, z1 in zip(edges[2], edges[2][1:], strict=False):
                if any(b.lo[2] < z1 and b.hi[2] > z0 for b in column):
                    total = _add(total, _wood_in_cell(form, (x0, y0, z0), (x1, y1, z1)))
    return total


def _tool(cut: BoxCut | Bore) -> Moments:
    """The whole tool, with its middle."""
    if isinstance(cut, Bore):
        v = pi * cut.diameter**2 / 4 * cut.depth
        middle = tuple((a + b) / 2 for a, b in zip(cut.start, cut.end, strict=True))
    else:
        v = cut.volume_mm3
        sx, sy, sz = cut.size
        middle = cut.pose.apply((sx / 2, sy / 2, sz / 2))
    return (v, v * middle[0], v * middle[1], v * middle[2])


def moments(part: Part) -> Moments:
    """Volume (mm³) and first moments (mm⁴) of a part with its cuts, in the part's frame.

    Errors: GeometryError for a form that can not carry a cut of this kind in closed form.
    """
    v = part.form.volume_mm3
    c = part.form.centroid_mm
    total: Moments = (v, v * c[0], v * c[1], v * c[2])
    removed: Moments = (0.0, 0.0, 0.0, 0.0)
    boxes = []
    for cut in part.cuts:
        box = square_box(cut) if isinstance(cut, BoxCut) else None
        if box is None:
            removed = _add(removed, _tool(cut))
        elif isinstance(part.form, Prism):
            boxes.append(box)
        else:
            raise GeometryError(f"{part.name}: a {cut.name} in a {part.form.kind} has no closed form")
    if boxes:
        assert isinstance(part.form, Prism)
        removed = _add(removed, _removed_boxes(part.form, boxes))
    return _add(total, tuple(-m for m in removed))  # type: ignore[arg-type]


def volume_mm3(part: Part) -> float:
    """Volume of a part with its cuts (mm³)."""
    return moments(part)[0]


def centroid_mm(part: Part) -> Vector:
    """Centre of mass of a part with its cuts, in the part's frame (mm)."""
    v, x, y, z = moments(part)
    return (x / v, y / v, z / v)
