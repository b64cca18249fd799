"""Volume and centre of mass of a part with its joints cut, in closed form.

Boxes square to a prism's own axes may overlap each other: their union is taken cell by cell. A box turned
about one of them is an outline clipped. Where it meets others, or stands askew any other way, they are taken
together by inclusion and exclusion of convex polyhedra.
Round holes and turned tenons have formulas of their own (`furnigen.parts.volume.round_holes`). What has no
closed form, such as a hole that grazes an edge, is refused with the part's and the cut's name.
"""

from __future__ import annotations

from itertools import pairwise

from furnigen.core.caches import PART_KEYS, kept
from furnigen.core.errors import GeometryError
from furnigen.core.pose import Box, Vector
from furnigen.parts.cuts import SQUARE_SINE, Bore, BoxCut, Cut, FlatCut, Turned
from furnigen.parts.forms.form import Board, Form
from furnigen.parts.forms.outline import Outline, convex, polygon_area
from furnigen.parts.part import Part
from furnigen.parts.volume.bores import bore_span, removed_by_bores
from furnigen.parts.volume.clipping import clipped_moments
from furnigen.parts.volume.polytope import (
    NOTHING,
    ON_MM,
    HalfSpace,
    Moments,
    PolytopeFaces,
    added,
    moments_of,
    overlap,
    prism_faces,
    within,
)
from furnigen.parts.volume.round_holes import GrazesError
from furnigen.parts.volume.turning import beyond_shoulder, removed_by_turning

MOST_TERMS = 4000
"""Most overlaps worked out for one group of askew cuts before giving up; a real joint has a handful."""


def square_box(cut: FlatCut) -> Box | None:
    """The cut as a box square to the part's axes; None when it stands askew."""
    return cut.spans() if cut.square else None


def _removed_leaning(form: Board, cut: BoxCut) -> Moments | None:
    """What a box turned about one axis of a prism takes out of it: a clipped outline times a height.

    Returns: None where the two share no axis along which the prism is alike.
    """
    rotation, origin = cut.pose.rotation, cut.pose.origin
    for axis in (2, 0, 1) if form.rectangular else (2,):
        a, b, c = rotation[axis]
        if abs(a) + abs(b) + abs(c) > 1.0 + SQUARE_SINE:
            continue
        blank, i, j = form.blank_mm, (axis + 1) % 3, (axis + 2) % 3
        low = min(0.0, a * cut.size[0]) + min(0.0, b * cut.size[1]) + min(0.0, c * cut.size[2])
        high = max(0.0, a * cut.size[0]) + max(0.0, b * cut.size[1]) + max(0.0, c * cut.size[2])
        z0, z1 = max(origin[axis] + low, 0.0), min(origin[axis] + high, blank[axis])
        if z1 <= z0:
            return NOTHING
        outlines = (form.corners, *form.windows) if axis == 2 else (_rectangle(blank[i], blank[j]),)
        along = max(range(3), key=lambda k: abs(rotation[axis][k]))
        sides = []
        for k in {0, 1, 2} - {along}:
            x, y = rotation[i][k], rotation[j][k]
            at = x * origin[i] + y * origin[j]
            sides += [(x, y, at + cut.size[k]), (-x, -y, -at)]
        area, mx, my = clipped_moments(outlines, sides)
        first = {i: mx * (z1 - z0), j: my * (z1 - z0), axis: area * (z1 - z0) * (z0 + z1) / 2}
        return area * (z1 - z0), first[0], first[1], first[2]
    return None


def _rectangle(length: float, width: float) -> Outline:
    return ((0.0, 0.0), (length, 0.0), (length, width), (0.0, width))


def _removed_boxes(form: Board, boxes: list[Box]) -> Moments:
    total = NOTHING
    edges = [sorted({v for b in boxes for v in (b.lo[i], b.hi[i])}) for i in range(3)]
    for x0, x1 in zip(edges[0], edges[0][1:], strict=False):
        across = [b for b in boxes if b.lo[0] < x1 and b.hi[0] > x0]
        for y0, y1 in zip(edges[1], edges[1][1:], strict=False):
            column = [b for b in across if b.lo[1] < y1 and b.hi[1] > y0]
            for z0, z1 in zip(edges[2], edges[2][1:], strict=False):
                if any(b.lo[2] < z1 and b.hi[2] > z0 for b in column):
                    total = added(total, form.wood_in_box((x0, y0, z0), (x1, y1, z1)))
    return total


def _pieces(form: Board) -> list[tuple[float, PolytopeFaces]]:
    """The prism as a signed sum of convex prisms: a fan of triangles where its outline is not convex."""
    pieces: list[tuple[float, PolytopeFaces]] = []
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

    def __init__(self, form: Board, tools: list[tuple[HalfSpace, ...]]) -> None:
        self.tools, self.terms = tools, 0
        self.total = NOTHING
        for sign, faces in _pieces(form):
            self._add(faces, 0, sign)

    def _add(self, faces: PolytopeFaces, first: int, sign: float) -> None:
        for i in range(first, len(self.tools)):
            rest = within(faces, self.tools[i])
            if not rest:
                continue
            self.terms += 1
            if self.terms > MOST_TERMS:
                raise GrazesError
            self.total = added(self.total, moments_of(rest), sign)
            self._add(rest, i + 1, -sign)


def _overlapping(boxes: list[Box]) -> list[list[int]]:
    """Boxes gathered with those they overlap, directly or through others."""
    groups: list[list[int]] = []
    for i, box in enumerate(boxes):
        mine = [g for g in groups if any(overlap(box, boxes[j]) for j in g)]
        groups = [g for g in groups if g not in mine] + [[*(j for g in mine for j in g), i]]
    return groups


def _in_shaped_edge(form: Board, spans: list[Box]) -> bool:
    """Whether cuts reach a board's shaped edge, where only square boxes have a closed form."""
    edge = form.shaped_edge
    return edge is not None and any(overlap(edge, span) for span in spans)


def _removed_by_boxes(form: Board, cuts: list[FlatCut]) -> Moments:
    squares = [square_box(c) for c in cuts]
    spans = [s or Box.around(c.corners()) for s, c in zip(squares, cuts, strict=True)]
    total, plain = NOTHING, []
    for group in _overlapping(spans):
        known = [s for s in (squares[i] for i in group) if s is not None]
        if len(known) == len(group):
            plain += known
            continue
        if _in_shaped_edge(form, [spans[i] for i in group]):
            raise GrazesError
        first = cuts[group[0]]
        alone = _removed_leaning(form, first) if len(group) == 1 and isinstance(first, BoxCut) else None
        if alone is None:
            tools = [cuts[i].half_spaces() for i in sorted(group)]
            alone = _Union(form, tools).total
        total = added(total, alone)
    return added(total, _removed_boxes(form, plain)) if plain else total


def moments(part: Part) -> Moments:
    """Volume (mm³) and first moments (mm⁴) of a part with its cuts, in the part's frame.

    Raises: GeometryError naming the part where its cuts have no closed form.
    """
    try:
        return _moments(part.form, part.cuts)
    except GrazesError:
        names = ", ".join(dict.fromkeys(cut.name for cut in part.cuts))
        raise GeometryError(
            f"{part.name}: its cuts ({names}) have no closed form in a {part.form.kind}; a round hole must"
            " stay clear of edges, of housings and of other holes"
        ) from None


@kept(PART_KEYS)
def _moments(form: Form, cuts: tuple[Cut, ...]) -> Moments:
    v, c = form.volume_mm3, form.centroid_mm
    total: Moments = (v, v * c[0], v * c[1], v * c[2])
    boxes = [cut for cut in cuts if isinstance(cut, FlatCut)]
    bores = [cut for cut in cuts if isinstance(cut, Bore)]
    turned = [cut for cut in cuts if isinstance(cut, Turned)]
    if boxes or bores:
        board = form.as_board
        if board is None:
            raise GrazesError
        total = added(total, _removed_by_boxes(board, boxes), -1.0)
        if _in_shaped_edge(board, [bore_span(b) for b in bores]):
            raise GrazesError
        total = added(total, removed_by_bores(board, bores, boxes), -1.0)
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
