"""A view: the lines of some solids seen from one direction, each once, with the part it belongs to.

Everything in it is in millimetres of the real thing, in the plane of the view: `right` and `up`. `Placed`
sets a view on paper at a scale; its items are those of `furnigen.paper.page`.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import atan2, cos, hypot, pi, sin
from typing import Any

from furnigen.core.pose import Pose, Vector, dot
from furnigen.kernel.hidden_lines import Flat, RawLine, hidden_lines
from furnigen.paper.page import Arc, Item, Pen, Point, Polyline
from furnigen.piece.description import Piece

VISIBLE, HIDDEN = Pen(0.5), Pen(0.25, "dashed")
"""Line group 0.5 of ISO 128: visible edges wide, hidden ones narrow and dashed."""
SAME_MM = 0.02
"""Two lines nearer than this lie on one another."""


@dataclass(frozen=True)
class Projection:
    """From where a view is seen.

    Attributes:
        name: such as "front".
        right, up: unit vectors in the plane of the view, square to each other; it is seen against
            `right` x `up`.
    """

    name: str
    right: Vector
    up: Vector

    def point(self, p: Vector) -> Flat:
        """Where a point of the room is seen (mm)."""
        return dot(p, self.right), dot(p, self.up)


_D, _R, _S, _T = 0.7071067811865476, 0.408248290463863, 0.816496580927726, 0.5773502691896258
FRONT = Projection("front", (1.0, 0.0, 0.0), (0.0, 0.0, 1.0))
PLAN = Projection("plan", (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
LEFT = Projection("left side", (0.0, -1.0, 0.0), (0.0, 0.0, 1.0))
ISOMETRIC = Projection("isometric", (_D, _D, 0.0), (-_R, _R, _S))
"""From the front, the right and above: all three axes equally foreshortened (ISO 5456-3)."""


@dataclass(frozen=True)
class ViewLine:
    """One line of a view.

    Attributes:
        owner: label of the placement it belongs to.
        visible: whether it is seen.
        points: its ends, or chords of a curve (mm, plane of the view).
        arc: centre, radius, start, end (degrees, counter-clockwise) where it is part of a circle.
    """

    owner: str
    visible: bool
    points: tuple[Flat, ...]
    arc: tuple[Flat, float, float, float] | None = None


@dataclass(frozen=True)
class View:
    """What is seen from one direction.

    Attributes:
        projection: from where.
        lines: each once; no hidden line lies on a visible one.
        lo, hi: its corners (mm, plane of the view).
    """

    projection: Projection
    lines: tuple[ViewLine, ...]
    lo: Flat
    hi: Flat

    @property
    def size(self) -> Flat:
        """Width and height (mm)."""
        return self.hi[0] - self.lo[0], self.hi[1] - self.lo[1]


@dataclass(frozen=True)
class Placed:
    """A view on paper.

    Attributes:
        view: what is drawn.
        scale: paper over real, such as 0.1 for 1:10.
        at: where its lower left corner lies on the paper (mm).
    """

    view: View
    scale: float
    at: Point

    def flat(self, p: Flat) -> Point:
        """A point in the plane of the view, on paper (mm)."""
        (x0, y0), s = self.view.lo, self.scale
        return self.at[0] + (p[0] - x0) * s, self.at[1] + (p[1] - y0) * s

    def point(self, p: Vector) -> Point:
        """A point of the room (mm), on paper."""
        return self.flat(self.view.projection.point(p))

    @property
    def box(self) -> tuple[float, float, float, float]:
        """Left, bottom, right, top on paper (mm)."""
        w, h = self.view.size
        return self.at[0], self.at[1], self.at[0] + w * self.scale, self.at[1] + h * self.scale

    def items(
        self, visible: Pen | None = VISIBLE, hidden: Pen | None = HIDDEN, owners: Iterable[str] | None = None
    ) -> list[Item]:
        """Its lines as items of a page, hidden ones first; layers "visible" and "hidden".

        Args:
            visible, hidden: pens; None leaves those lines out.
            owners: labels of the placements whose lines are wanted; None for all.
        """
        wanted = None if owners is None else set(owners)
        items: list[Item] = []
        for pen, seen, layer in ((hidden, False, "hidden"), (visible, True, "visible")):
            if pen is None:
                continue
            for line in self.view.lines:
                if line.visible is seen and (wanted is None or line.owner in wanted):
                    items.append(self._item(line, pen, layer))
        return items

    def _item(self, line: ViewLine, pen: Pen, layer: str) -> Item:
        if line.arc is not None:
            centre, radius, start, end = line.arc
            return Arc(self.flat(centre), radius * self.scale, start, end, pen, layer)
        return Polyline(tuple(map(self.flat, line.points)), False, pen, layer)


def piece_view(
    piece: Piece, solids: Sequence[Any], projection: Projection, labels: Iterable[str] | None = None
) -> View:
    """A piece, or some of its placements, seen from one direction.

    Args:
        solids: the kernel's solid of each part, in the order of `piece.parts` (`Built.solids`).
        labels: of the placements wanted; None for all.
    """
    wanted = None if labels is None else set(labels)
    chosen = [p for p in piece.placements if wanted is None or p.label in wanted]
    return view_of([(p.label, solids[p.part], p.pose) for p in chosen], projection)


def view_of(placed: Sequence[tuple[str, Any, Pose]], projection: Projection) -> View:
    """Some solids, each with a label and where it stands, seen from one direction.

    Poses are free: parts set off along their way in are drawn just so.
    """
    raw = hidden_lines([(solid, pose) for _, solid, pose in placed], projection.right, projection.up)
    labels = [label for label, _, _ in placed]
    lines = tuple(
        ViewLine(labels[r.owner], r.visible, r.points, r.arc) for r in (*_straight(raw), *_curved(raw))
    )
    xs, ys = zip(*(p for line in lines for p in _reach(line)), strict=True) if lines else ((0.0,), (0.0,))
    return View(projection, lines, (min(xs), min(ys)), (max(xs), max(ys)))


def _reach(line: ViewLine) -> list[Flat]:
    """Points that hold the bounds of a line."""
    if line.arc is None:
        return list(line.points)
    (x, y), r, start, end = line.arc
    found = list(line.points)
    for quarter in range(-4, 9):
        if start <= quarter * 90 <= end:
            t = quarter * pi / 2
            found.append((x + r * cos(t), y + r * sin(t)))
    return found


Span = tuple[float, float, int]


def _straight(raw: Sequence[RawLine]) -> list[RawLine]:
    """Straight lines: those on one another joined, and hidden ones only where no visible one lies."""
    on: dict[tuple[int, int], list[tuple[tuple[float, float, float], RawLine]]] = defaultdict(list)
    for line in raw:
        if line.arc is None and len(line.points) == 2:
            (x0, y0), (x1, y1) = line.points
            turn = atan2(y1 - y0, x1 - x0) % pi
            if pi - turn < 1e-7:
                turn = 0.0
            off = -x0 * sin(turn) + y0 * cos(turn)
            key = (round(turn * 1e5), round(off / SAME_MM))
            near = [
                (key[0] + i, key[1] + j)
                for i in (0, -1, 1)
                for j in (0, -1, 1)
                if (key[0] + i, key[1] + j) in on
            ]
            on[near[0] if near else key].append(((turn, off, 0.0), line))
    found: list[RawLine] = []
    for group in on.values():
        turn, off, _ = group[0][0]
        c, s = cos(turn), sin(turn)
        spans: dict[bool, list[Span]] = {True: [], False: []}
        for _, line in group:
            a, b = sorted(x * c + y * s for x, y in line.points)
            spans[line.visible].append((a, b, line.owner))
        seen = _joined(spans[True])
        unseen = _joined(_without(spans[False], seen))
        for visible, those in ((True, seen), (False, unseen)):
            for a, b, owner in those:
                ends = tuple((t * c - off * s, t * s + off * c) for t in (a, b))
                found.append(RawLine(owner, visible, ends))
    return found


def _joined(spans: Iterable[Span]) -> list[Span]:
    """Spans of one owner that touch become one; of two owners none covers the other."""
    result: list[Span] = []
    for a, b, owner in sorted(spans):
        if result:
            p, q, last = result[-1]
            if owner == last and a <= q + SAME_MM:
                result[-1] = (p, max(q, b), last)
                continue
            a = max(a, q)
        if b - a > SAME_MM:
            result.append((a, b, owner))
    return result


def _without(spans: Iterable[Span], covered: Sequence[Span]) -> list[Span]:
    result: list[Span] = []
    for a, b, owner in spans:
        at = a
        for p, q, _ in covered:
            if q <= at or p >= b:
                continue
            if p > at + SAME_MM:
                result.append((at, p, owner))
            at = max(at, q)
        if b > at + SAME_MM:
            result.append((at, b, owner))
    return result


def _curved(raw: Sequence[RawLine]) -> list[RawLine]:
    """Arcs and chords, each once, the visible ones first."""
    known: set[tuple[int, ...]] = set()
    found = []
    for line in sorted(raw, key=lambda r: not r.visible):
        if line.arc is None and len(line.points) == 2:
            continue
        if line.arc is not None:
            (x, y), r, start, end = line.arc
            key = tuple(
                round(v / SAME_MM)
                for v in (x, y, r, (start % 360) if end - start < 359.9 else 0, end - start)
            )
        else:
            ends = sorted((line.points[0], line.points[-1]))
            middle = line.points[len(line.points) // 2]
            key = tuple(round(v / (5 * SAME_MM)) for p in (*ends, middle) for v in p)
        if key not in known:
            known.add(key)
            found.append(line)
    return found


def length_of(line: ViewLine) -> float:
    """How long a line is in the view (mm)."""
    if line.arc is not None:
        return abs(line.arc[3] - line.arc[2]) * pi / 180 * line.arc[1]
    return sum(hypot(q[0] - p[0], q[1] - p[1]) for p, q in zip(line.points, line.points[1:], strict=False))
