"""Closed outlines of a part for a router: its outline less what is cut through it, arcs put back as arcs."""

from __future__ import annotations

from collections.abc import Sequence
from math import atan2, hypot, pi, tan

from furnigen.cutting.features import Feature, Pocket, Slanted
from furnigen.parts.forms.form import Board
from furnigen.parts.forms.outline import Outline, Point2

Corner = tuple[float, float, float]
"""x, y, and the bulge of the side to the next corner."""
ON_ARC_MM = 0.005
"""Corners this near a circle lie on it: an outline drawn with chords has them exactly there."""
LEAST_CHORDS = 4
"""Fewer chords than this in a row are straight sides that happen to lie on one circle."""
WIDEST_TURN = 0.6
"""A chord that turns further than this (radians) is a side of a polygon, not part of an arc."""
OVER_MM = 1.0


def through_contours(board: Board, features: Sequence[Feature]) -> list[list[Corner]]:
    """The outlines that are cut right through: the part's own, and of its windows (mm).

    Notches and laps that go through and open an edge become part of the outline.
    """
    taken = [_pocket_outline(f, board) for f in features if isinstance(f, Pocket) and f.through]
    taken += [f.outline for f in features if isinstance(f, Slanted) and f.through]
    if not taken:
        return [with_arcs(board.corners), *(with_arcs(w) for w in board.windows)]
    from manifold3d import CrossSection

    whole = CrossSection([list(board.corners)])
    for window in (*board.windows, *taken):
        whole -= CrossSection([list(window)])
    return [with_arcs(_tidy(ring)) for ring in whole.to_polygons()]


def _pocket_outline(pocket: Pocket, board: Board) -> Outline:
    """The rectangle of a pocket, over the edges it opens: no sliver is left there."""
    x0, y0, x1, y1 = pocket.lo[0], pocket.lo[1], pocket.hi[0], pocket.hi[1]
    x0 -= OVER_MM * ("x-" in pocket.opens)
    x1 += OVER_MM * ("x+" in pocket.opens)
    y0 -= OVER_MM * ("y-" in pocket.opens)
    y1 += OVER_MM * ("y+" in pocket.opens)
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def _tidy(ring: Sequence[Sequence[float]]) -> Outline:
    """A ring from the lowest corner on, noise of its arithmetic taken off."""
    points = [(round(float(x), 6) + 0.0, round(float(y), 6) + 0.0) for x, y in ring]
    first = points.index(min(points))
    return tuple(points[first:] + points[:first])


def with_arcs(outline: Outline) -> list[Corner]:
    """A polygon's corners with bulges: runs of chords of one circle become arcs."""
    n = len(outline)
    if n <= LEAST_CHORDS:
        return [(x, y, 0.0) for x, y in outline]
    runs = _runs(outline)
    corners: list[Corner] = []
    inside: set[int] = set()
    bulge: dict[int, tuple[float, ...]] = {}
    for start, length, centre in runs:
        pieces = _split(outline, start, length, centre)
        for at, b in pieces:
            bulge[at] = (b,)
        inside |= {(start + k) % n for k in range(1, length)} - {at for at, _ in pieces}
    for k, (x, y) in enumerate(outline):
        if k not in inside:
            corners.append((x, y, bulge.get(k, (0.0,))[0]))
    return corners


def _runs(outline: Outline) -> list[tuple[int, int, Point2]]:
    """Runs of sides on one circle: first corner, number of sides, centre."""
    n = len(outline)
    centres = [_centre(outline[k - 1], outline[k], outline[(k + 1) % n]) for k in range(n)]

    def same(k: int) -> bool:
        """Whether the circle through corner k and its neighbours is that of the corner before."""
        a, b = centres[k - 1], centres[k]
        if a is None or b is None:
            return False
        p = outline[k]
        return abs(hypot(p[0] - a[0], p[1] - a[1]) - hypot(p[0] - b[0], p[1] - b[1])) < ON_ARC_MM and (
            hypot(a[0] - b[0], a[1] - b[1]) < max(ON_ARC_MM, 1e-4 * hypot(p[0] - b[0], p[1] - b[1]))
        )

    joined = [same(k) for k in range(n)]
    if all(joined):
        return [(0, n, centres[0])] if centres[0] else []
    begin = next(k for k in range(n) if not joined[k])
    found = []
    k = 0
    while k < n:
        at = (begin + k) % n
        length = 1
        while k + length < n and joined[(at + length) % n]:
            length += 1
        centre = centres[at]
        # corners at .. at+length-1 have this centre: sides from the corner before to the one after
        if centre is not None and length + 1 >= LEAST_CHORDS:
            found.append(((at - 1) % n, length + 1, centre))
        k += length
    return found


def _centre(p: Point2, q: Point2, r: Point2) -> Point2 | None:
    """The centre of the circle through three corners; None where they lie on a line, or turn too far."""
    ax, ay, bx, by = q[0] - p[0], q[1] - p[1], r[0] - q[0], r[1] - q[1]
    cross = ax * by - ay * bx
    turn = abs(atan2(cross, ax * bx + ay * by))
    if turn < 1e-4 or turn > WIDEST_TURN:
        return None
    cx, cy = r[0] - p[0], r[1] - p[1]
    d = 2 * (ax * cy - ay * cx)
    a2, c2 = ax * ax + ay * ay, cx * cx + cy * cy
    return p[0] + (cy * a2 - ay * c2) / d, p[1] + (ax * c2 - cx * a2) / d


def _split(outline: Outline, start: int, length: int, centre: Point2) -> list[tuple[int, float]]:
    """Arcs of at most a half circle that make up a run: where each begins, and its bulge."""
    n = len(outline)
    at, done = start, 0
    found = []
    while done < length:
        swept, sides = 0.0, 0
        while done + sides < length:
            p, q = outline[(at + sides) % n], outline[(at + sides + 1) % n]
            a0, a1 = (atan2(v[1] - centre[1], v[0] - centre[0]) for v in (p, q))
            step = (a1 - a0 + pi) % (2 * pi) - pi
            if sides and abs(swept + step) > pi + 1e-9:
                break
            swept += step
            sides += 1
        found.append((at, tan(swept / 4)))
        at, done = (at + sides) % n, done + sides
    return found
