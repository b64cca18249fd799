"""What round holes take out of a board, beside its other cuts, in closed form."""

from __future__ import annotations

from math import sqrt

from furnigen.core.pose import Box, Vector
from furnigen.parts.cuts import Bore, FlatCut
from furnigen.parts.forms.form import Board
from furnigen.parts.forms.outline import Point2, convex
from furnigen.parts.volume.polytope import NOTHING, ON_MM, HalfSpace, Moments, added, overlap
from furnigen.parts.volume.round_holes import GrazesError, axis_gap, bore_moments, shared_by


def _wood(form: Board, bore: Bore) -> tuple[HalfSpace, ...]:
    """Half-spaces whose common part is the wood round a bore."""
    planes = [HalfSpace((0.0, 0.0, 1.0), form.thickness), HalfSpace((0.0, 0.0, -1.0), 0.0)]
    for outline, inside in ((form.corners, convex(form.corners)), *((w, False) for w in form.windows)):
        for a, b in zip(outline, outline[1:] + outline[:1], strict=True):
            n = sqrt((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2)
            out: Vector = ((b[1] - a[1]) / n, (a[0] - b[0]) / n, 0.0)
            if inside:
                planes.append(HalfSpace(out, out[0] * a[0] + out[1] * a[1]))
            elif _near_edge(bore, a, b):
                # an end of an L that it is bored into squarely is a plane of the wood round it
                if outline is not form.corners or not _bored_into(bore, a, out, n):
                    raise GrazesError
                planes.append(HalfSpace(out, out[0] * a[0] + out[1] * a[1]))
    return tuple(planes)


def _bored_into(bore: Bore, a: Point2, out: Vector, length: float) -> bool:
    """Whether a bore goes square through an edge of the outline that begins at `a`, clear of its ends."""
    (x, y, _), (dx, dy, _), r = bore.start, bore.direction, bore.diameter / 2
    along = (x - a[0]) * -out[1] + (y - a[1]) * out[0]
    return abs(abs(dx * out[0] + dy * out[1]) - 1.0) < ON_MM and r <= along <= length - r


def _near_edge(bore: Bore, a: Point2, b: Point2) -> bool:
    """Whether a bore, seen square to the board, comes within its radius of an edge of the outline."""
    run = (b[0] - a[0], b[1] - a[1])
    n = sqrt(run[0] ** 2 + run[1] ** 2)
    flat = Bore((a[0], a[1], 0.0), (run[0] / n, run[1] / n, 0.0), 0.0, n)
    s, e = bore.start, bore.end
    reach = sqrt((e[0] - s[0]) ** 2 + (e[1] - s[1]) ** 2)
    seen = (
        Bore((s[0], s[1], 0.0), ((e[0] - s[0]) / reach, (e[1] - s[1]) / reach, 0.0), 0.0, reach)
        if reach > ON_MM
        else Bore((s[0], s[1], 0.0), (0.0, 0.0, 1.0), 0.0, 0.0)
    )
    return axis_gap(seen, flat) < bore.diameter / 2 - ON_MM


def bore_span(bore: Bore) -> Box:
    """Bounds of a bore (mm)."""
    r = bore.diameter / 2
    reach = [r * sqrt(max(0.0, 1 - c * c)) for c in bore.direction]
    ends = [bore.start, bore.end]
    lo = [min(e[i] for e in ends) - reach[i] for i in range(3)]
    hi = [max(e[i] for e in ends) + reach[i] for i in range(3)]
    return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))


def removed_by_bores(form: Board, bores: list[Bore], boxes: list[FlatCut]) -> Moments:
    """What bores take out that boxes have left."""
    total = NOTHING
    spans = [Box.around(c.corners()) for c in boxes]
    reaches = [bore_span(b) for b in bores]
    for bore, mine in zip(bores, reaches, strict=True):
        wood = _wood(form, bore)
        near = [c.half_spaces() for c, s in zip(boxes, spans, strict=True) if overlap(mine, s)]
        total = added(total, bore_moments(bore, wood))
        total = added(total, _bored_again(bore, wood, near, 0), -1.0)
    touched: list[tuple[Bore, Box]] = []
    for i, one in enumerate(bores):
        for j in range(i + 1, len(bores)):
            if not overlap(reaches[i], reaches[j]):
                continue
            two = bores[j]
            common = shared_by(one, two)
            if common == NOTHING:
                continue
            heart = _common_span(one, two)
            # what three cuts have in common is not known in closed form
            if any(overlap(heart, s) for s in spans) or any(
                overlap(heart, h) for b, h in touched if b in (one, two)
            ):
                raise GrazesError
            touched += [(one, heart), (two, heart)]
            total = added(total, common, -1.0)
    return total


def _common_span(one: Bore, two: Bore) -> Box:
    a, b = bore_span(one), bore_span(two)
    lo = [max(a.lo[i], b.lo[i]) for i in range(3)]
    hi = [min(a.hi[i], b.hi[i]) for i in range(3)]
    return Box((lo[0], lo[1], lo[2]), (hi[0], hi[1], hi[2]))


def _bored_again(
    bore: Bore, wood: tuple[HalfSpace, ...], boxes: list[tuple[HalfSpace, ...]], first: int
) -> Moments:
    """What a bore shares with the union of some boxes, within the wood."""
    total = NOTHING
    for i in range(first, len(boxes)):
        common = (*wood, *boxes[i])
        part = bore_moments(bore, common)
        if part != NOTHING:
            total = added(total, part)
            total = added(total, _bored_again(bore, common, boxes, i + 1), -1.0)
    return total
