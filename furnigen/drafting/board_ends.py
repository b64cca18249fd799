"""The end of a board inside another: cut away where nothing takes it, notched where a groove stops.

A shelf wider than the post it is let into keeps its clear length beside the post.
"""

from __future__ import annotations

from collections.abc import Sequence

from furnigen.core.errors import InputError
from furnigen.core.pose import Pose, dot
from furnigen.joints.meeting import STRAIGHT, Meeting, Span, box_cut, box_of
from furnigen.parts.cuts import SAME_MM, BoxCut

Rect = tuple[Span, Span]

TongueEnd = Sequence[tuple[Meeting, Rect | None]]
"""The meetings of one end, each with what it keeps of it."""


def outside(whole: Rect, keeps: Sequence[Rect]) -> list[Rect]:
    """The rectangle `whole` less some others, as few rectangles in strips along the first axis."""
    edges = []
    for axis in (0, 1):
        lo, hi = whole[axis]
        inner = {v for k in keeps for v in k[axis] if lo + SAME_MM < v < hi - SAME_MM}
        edges.append([lo, *sorted(inner), hi])
    strips: list[tuple[Span, list[Span]]] = []
    for a, b in zip(edges[0], edges[0][1:], strict=False):
        gaps: list[Span] = []
        for c, d in zip(edges[1], edges[1][1:], strict=False):
            x, y = (a + b) / 2, (c + d) / 2
            if any(k[0][0] < x < k[0][1] and k[1][0] < y < k[1][1] for k in keeps):
                continue
            if gaps and gaps[-1][1] == c:
                gaps[-1] = (gaps[-1][0], d)
            else:
                gaps.append((c, d))
        if strips and strips[-1][1] == gaps and strips[-1][0][1] == a:
            strips[-1] = ((strips[-1][0][0], b), gaps)
        else:
            strips.append(((a, b), gaps))
    return [(span, gap) for span, gaps in strips for gap in gaps]


def tongue_cuts(end: TongueEnd) -> list[BoxCut]:
    """Cuts that leave of one end only what its joints keep, in the board's own frame.

    Raises: InputError when boards of several leans take one end.
    """
    m = end[0][0]
    one, two = (i for i in range(3) if i != m.axis)
    if all(other.square for other, _ in end):
        whole = tuple(m.end_on(i) for i in (one, two))
        keeps = [_square_keep(other, keep, one, two) for other, keep in end]
        return [
            box_cut(box_of({m.axis: m.slab(m.entered), one: p, two: q}), "shoulder")
            for p, q in outside((whole[0], whole[1]), keeps)
        ]
    return _askew_cuts(end)


def _square_keep(m: Meeting, keep: Rect | None, one: int, two: int) -> Rect:
    """What one board takes of an end. Where it takes all that was placed, what grew beside goes with it."""
    rect = []
    placed = m.placed or m.b_box
    for place, i in enumerate((one, two)):
        lo = m.b_box.lo[i] if m.a_box.lo[i] < placed.lo[i] + SAME_MM else m.a_box.lo[i]
        hi = m.b_box.hi[i] if m.a_box.hi[i] > placed.hi[i] - SAME_MM else m.a_box.hi[i]
        if keep is not None:
            lo, hi = max(lo, keep[place][0]), min(hi, keep[place][1])
        rect.append((lo, hi))
    return rect[0], rect[1]


def _askew_cuts(end: TongueEnd) -> list[BoxCut]:
    """The same where the boards that take the end all lean alike, in the frame of the first."""
    m = end[0][0]
    frame = Pose(m.to_b.rotation)  # a's axes, seen from b
    back = frame.inverse()
    for other, _ in end:
        pairs = zip(zip(*frame.rotation, strict=True), zip(*other.to_b.rotation, strict=True), strict=True)
        if min(abs(dot(u, v)) for u, v in pairs) < STRAIGHT:
            raise InputError("joint", f"{m.kind}, {m.where}", "the boards that take one end must lean alike")
    spans = {m.axis: m.slab(m.entered)}
    for i in range(3):
        if i != m.axis:
            placed = m.placed or m.b_box
            spans[i] = (placed.lo[i], placed.hi[i])
    whole = box_of(spans).moved(back)
    axis = m.a_axis
    one, two = (i for i in range(3) if i != axis)
    keeps = []
    for other, _ in end:
        taken = other.a.form.bounds(back @ other.to_b)
        keeps.append(((taken.lo[one], taken.hi[one]), (taken.lo[two], taken.hi[two])))
    rects = outside(
        ((whole.lo[one], whole.hi[one]), (whole.lo[two], whole.hi[two])),
        keeps,
    )
    cuts = []
    for p, q in rects:
        box = box_of({axis: (whole.lo[axis], whole.hi[axis]), one: p, two: q})
        cuts.append(BoxCut(frame @ Pose.at(*box.lo), box.size, "shoulder"))
    return cuts
