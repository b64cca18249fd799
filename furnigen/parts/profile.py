"""Grooves that run right through a board, as one profile: the board is then drawn out along them.

A profile costs the kernel a small part of what a boolean does (`tests/benchmarks/test_bench_cuts.py`).
"""

from __future__ import annotations

from itertools import pairwise

from furnigen.parts.cuts import SAME_MM, BoxCut, Cut, rounded
from furnigen.parts.forms import Outline, Point2, Prism
from furnigen.parts.measure import square_box
from furnigen.parts.polytope import ON_MM
from furnigen.pose import Box, Pose


def _through(box: Box, blank: tuple[float, float, float], axis: int) -> bool:
    return box.lo[axis] <= SAME_MM and box.hi[axis] >= blank[axis] - SAME_MM


def grooved_profile(form: Prism, cuts: tuple[Cut, ...]) -> tuple[int, Outline, tuple[Cut, ...]] | None:
    """The profile of a rectangular board with the grooves that run through it along one axis.

    Returns: the axis (0, 1 or 2), the outline on the two axes that follow it in cyclic order,
    counter-clockwise seen from its high end (mm), and the cuts that are left; None when no cut runs
    through, or what stays is not one loop.
    """
    if not form.rectangular:
        return None
    blank = form.blank_mm
    boxes = [square_box(c) if isinstance(c, BoxCut) else None for c in cuts]
    found = [[b is not None and _through(b, blank, axis) for b in boxes] for axis in range(3)]
    axis = max(range(3), key=lambda i: sum(found[i]))
    one, two = (axis + 1) % 3, (axis + 2) % 3
    rects = [
        ((b.lo[one], b.hi[one]), (b.lo[two], b.hi[two]))
        for b, through in zip(boxes, found[axis], strict=True)
        if b is not None and through
    ]
    if not rects:
        return None
    outline = _loop((blank[one], blank[two]), rects)
    if outline is None:
        return None
    rest = tuple(c for c, through in zip(cuts, found[axis], strict=True) if not through)
    return axis, outline, rest


def run_together(cuts: tuple[Cut, ...]) -> tuple[Cut, ...]:
    """The same cuts with boxes that continue each other as one, as the rabbets of bay after bay do.

    A cut less is what saves most in the kernel.
    """
    rest: list[Cut] = []
    boxes: list[tuple[Box, str]] = []
    for cut in cuts:
        box = square_box(cut) if isinstance(cut, BoxCut) else None
        if box is None:
            rest.append(cut)
        else:
            boxes.append((box, cut.name))
    if len(boxes) < 2:
        return cuts
    for axis in range(3):
        boxes.sort(key=lambda b: (_across(b[0], axis), b[0].lo[axis]))
        kept = boxes[:1]
        for box, name in boxes[1:]:
            last = kept[-1][0]
            if _across(box, axis) == _across(last, axis) and box.lo[axis] <= last.hi[axis] + ON_MM:
                kept[-1] = (last.joined(box), kept[-1][1])
            else:
                kept.append((box, name))
        boxes = kept
    if len(boxes) + len(rest) == len(cuts):
        return cuts
    return (*rest, *(BoxCut(Pose.at(*box.lo), box.size, name) for box, name in boxes))


def _across(box: Box, axis: int) -> tuple[int, ...]:
    """Where a box lies on the two other axes."""
    return tuple(v for i, v in enumerate((*rounded(box.lo), *rounded(box.hi))) if i % 3 != axis)


Rect = tuple[tuple[float, float], tuple[float, float]]


def _steps(values: list[float], most: float) -> list[float]:
    """Rising coordinates within 0 and `most`, those that count as the same kept once."""
    kept = [0.0]
    for v in sorted(values):
        if kept[-1] + SAME_MM < v < most - SAME_MM:
            kept.append(v)
    return [*kept, most]


def _loop(size: Point2, rects: list[Rect]) -> Outline | None:
    """The outline of a rectangle less some others; None when it is not one loop."""
    xs = _steps([v for r in rects for v in r[0]], size[0])
    ys = _steps([v for r in rects for v in r[1]], size[1])

    def wood(i: int, j: int) -> bool:
        if not (0 <= i < len(xs) - 1 and 0 <= j < len(ys) - 1):
            return False
        x, y = (xs[i] + xs[i + 1]) / 2, (ys[j] + ys[j + 1]) / 2
        return not any(r[0][0] < x < r[0][1] and r[1][0] < y < r[1][1] for r in rects)

    following: dict[tuple[int, int], tuple[int, int]] = {}
    for i in range(len(xs) - 1):
        for j in range(len(ys) - 1):
            if not wood(i, j):
                continue
            corners = ((i, j), (i + 1, j), (i + 1, j + 1), (i, j + 1))
            beside = ((i, j - 1), (i + 1, j), (i, j + 1), (i - 1, j))
            for k, neighbour in enumerate(beside):
                if not wood(*neighbour):
                    if corners[k] in following:
                        return None  # two corners of wood touch there
                    following[corners[k]] = corners[(k + 1) % 4]
    if not following:
        return None
    first = min(following)
    walk = [first]
    while following[walk[-1]] != first:
        walk.append(following[walk[-1]])
    if len(walk) != len(following):
        return None
    return tuple(
        (xs[b[0]], ys[b[1]])
        for (a, b), (_, c) in zip(pairwise([walk[-1], *walk]), pairwise([*walk, first]), strict=True)
        if not (a[0] == b[0] == c[0] or a[1] == b[1] == c[1])
    )
