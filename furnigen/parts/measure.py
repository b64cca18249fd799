"""Volume and centre of mass of a part with its joints cut, in closed form.

Boxes square to a prism's own axes may overlap each other: their union is taken cell by cell. Where a
box stands askew, it and the boxes it meets are taken by inclusion and exclusion of convex polyhedra.
Round holes and turned tenons have formulas of their own (`furnigen.parts.rounds`). What has no closed
form, such as a hole that grazes an edge, is refused with the part's and the cut's name.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise

from furnigen.errors import GeometryError
from furnigen.parts.bored import removed_by_bores
from furnigen.parts.cuts import SAME_MM, Bore, BoxCut, Cut, Turned
from furnigen.parts.forms import Form, Outline, Prism, convex, polygon_area, polygon_centroid
from furnigen.parts.part import MOST_KEPT, Part
from furnigen.parts.polytope import (
    NOTHING,
    ON_MM,
    Faces,
    HalfSpace,
    Moments,
    added,
    box_half_spaces,
    moments_of,
    overlap,
    prism_faces,
    within,
)
from furnigen.parts.rounds import GrazesError
from furnigen.parts.turning import beyond_shoulder, removed_by_turning
from furnigen.pose import Box, Vector

MOST_TERMS = 4000
"""Overlaps counted in one heap of askew cuts before it is given up; a real joint has a handful."""


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
        return NOTHING
    area, mx, my = _clipped_moments(form.corners, lo[0], hi[0], lo[1], hi[1])
    for window in form.windows:
        a, x, y = _clipped_moments(window, lo[0], hi[0], lo[1], hi[1])
        area, mx, my = area - a, mx - x, my - y
    h = z1 - z0
    return area * h, mx * h, my * h, area * h * (z0 + z1) / 2


def square_box(cut: BoxCut) -> Box | None:
    """The cut as a box square to the part's axes; None when it stands askew."""
    box = Box.around(cut.corners())
    return box if abs(box.volume - cut.volume_mm3) <= SAME_MM * max(box.size) ** 2 else None


def _removed_boxes(form: Prism, boxes: list[Box]) -> Moments:
    total = NOTHING
    edges = [sorted({v for b in boxes for v in (b.lo[i], b.hi[i])}) for i in range(3)]
    for x0, x1 in zip(edges[0], edges[0][1:], strict=False):
        across = [b for b in boxes if b.lo[0] < x1 and b.hi[0] > x0]
        for y0, y1 in zip(edges[1], edges[1][1:], strict=False):
            column = [b for b in across if b.lo[1] < y1 and b.hi[1] > y0]
            for z0, z1 in zip(edges[2], edges[2][1:], strict=False):
                if any(b.lo[2] < z1 and b.hi[2] > z0 for b in column):
                    total = added(total, _wood_in_cell(form, (x0, y0, z0), (x1, y1, z1)))
    return total


def _pieces(form: Prism) -> list[tuple[float, Faces]]:
    """The prism as a signed sum of convex prisms: a fan of triangles where its outline is not convex."""
    pieces: list[tuple[float, Faces]] = []
    for sign, outline in ((1.0, form.corners), *((-1.0, w) for w in form.windows)):
        fan = [outline] if convex(outline) else [(outline[0], p, q) for p, q in pairwise(outline[1:])]
        for part in fan:
            area = polygon_area(part)
            if abs(area) > ON_MM:
                turned = part if area > 0 else part[::-1]
                pieces.append((sign if area > 0 else -sign, prism_faces(turned, 0.0, form.thickness)))
    return pieces


class _Union:
    """Moments of what convex tools take out of a prism together, by inclusion and exclusion."""

    def __init__(self, form: Prism, tools: list[tuple[HalfSpace, ...]]) -> None:
        self.tools, self.terms = tools, 0
        self.total = NOTHING
        for sign, faces in _pieces(form):
            self._add(faces, 0, sign)

    def _add(self, faces: Faces, first: int, sign: float) -> None:
        for i in range(first, len(self.tools)):
            rest = within(faces, self.tools[i])
            if not rest:
                continue
            self.terms += 1
            if self.terms > MOST_TERMS:
                raise GrazesError
            self.total = added(self.total, moments_of(rest), sign)
            self._add(rest, i + 1, -sign)


def _heaps(boxes: list[Box]) -> list[list[int]]:
    """Boxes gathered with those they overlap, directly or through others."""
    heaps: list[list[int]] = []
    for i, box in enumerate(boxes):
        mine = [h for h in heaps if any(overlap(box, boxes[j]) for j in h)]
        heaps = [h for h in heaps if h not in mine] + [[*(j for h in mine for j in h), i]]
    return heaps


def _removed_by_boxes(form: Prism, cuts: list[BoxCut]) -> Moments:
    squares = [square_box(c) for c in cuts]
    spans = [s or Box.around(c.corners()) for s, c in zip(squares, cuts, strict=True)]
    total, plain = NOTHING, []
    for heap in _heaps(spans):
        known = [s for s in (squares[i] for i in heap) if s is not None]
        if len(known) == len(heap):
            plain += known
        else:
            tools = [box_half_spaces(cuts[i].pose, cuts[i].size) for i in sorted(heap)]
            total = added(total, _Union(form, tools).total)
    return added(total, _removed_boxes(form, plain)) if plain else total


def moments(part: Part) -> Moments:
    """Volume (mm³) and first moments (mm⁴) of a part with its cuts, in the part's frame.

    Errors: GeometryError naming the part where its cuts have no closed form.
    """
    try:
        return _moments(part.form, part.cuts)
    except GrazesError:
        names = ", ".join(dict.fromkeys(cut.name for cut in part.cuts))
        raise GeometryError(
            f"{part.name}: its cuts ({names}) have no closed form in a {part.form.kind}; a round hole must"
            " stay clear of edges, of housings and of other holes"
        ) from None


@lru_cache(MOST_KEPT)
def _moments(form: Form, cuts: tuple[Cut, ...]) -> Moments:
    v, c = form.volume_mm3, form.centroid_mm
    total: Moments = (v, v * c[0], v * c[1], v * c[2])
    boxes = [cut for cut in cuts if isinstance(cut, BoxCut)]
    bores = [cut for cut in cuts if isinstance(cut, Bore)]
    turned = [cut for cut in cuts if isinstance(cut, Turned)]
    if boxes or bores:
        if not isinstance(form, Prism):
            raise GrazesError
        total = added(total, _removed_by_boxes(form, boxes), -1.0)
        total = added(total, removed_by_bores(form, bores, boxes), -1.0)
    for cut in turned:
        if any(beyond_shoulder(cut, other) for other in cuts if other is not cut):
            raise GrazesError
        total = added(total, removed_by_turning(form, cut), -1.0)
    return total


def volume_mm3(part: Part) -> float:
    """Volume of a part with its cuts (mm³)."""
    return moments(part)[0]


def centroid_mm(part: Part) -> Vector:
    """Centre of mass of a part with its cuts, in the part's frame (mm)."""
    v, x, y, z = moments(part)
    return (x / v, y / v, z / v)
