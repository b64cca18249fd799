"""What a general arrangement states: chains of clear openings and boards, and overall sizes, once each."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import pairwise

from furnigen.drawings.dimensions import Run, Side
from furnigen.drawings.views import View
from furnigen.piece.description import Opening, Piece

MOST_CHAINS = 3
"""Chains on one side of a view; what is left goes into the table of openings."""
SAME_MM = 0.05
NEAR_MM = 0.3
"""An edge this near a stop is no size of its own."""
LONGEST_SHARE = 0.6
"""What is longer than this share of the piece runs through it: its ends are no places along it."""
MOST_UNCHAINED = 16
"""More edges than this would be a tower of figures: part sheets have them."""
THIN_MM = 80.0
"""A board thicker than this along a chain does not bound an opening by both its faces."""
_SIDES = (("left", "right"), ("front", "back"), ("bottom", "top"))


def seen_stops(view: View, stops: Iterable[float], upright: bool) -> tuple[float, ...]:
    """The stops at which a visible line of the view lies or ends: none goes to a hidden one."""
    axis = 1 if upright else 0
    ends = sorted(p[axis] for line in view.lines if line.visible for p in line.points)
    kept: list[float] = []
    for stop in sorted(stops):
        if any(abs(stop - e) < SAME_MM for e in ends) and (not kept or stop - kept[-1] > SAME_MM):
            kept.append(stop)
    return tuple(kept)


def opening_chains(piece: Piece, view: View, axis: int, upright: bool) -> list[tuple[float, ...]]:
    """Stops of the chains through openings in a row along one axis of the room, each chain once.

    A chain runs from one end of the piece to the other: clear openings, and the boards between them.

    Args:
        axis: 0 x, 1 y, 2 z of the room; the view sees it along its right (against it for y) or upward.
    """
    lo, hi = piece.bounds.lo[axis], piece.bounds.hi[axis]
    sign = -1.0 if view.projection.right[axis] < -0.5 else 1.0
    rows: dict[tuple[float, ...], list[Opening]] = {}
    others = [k for k in range(3) if k != axis]
    for opening in piece.openings:
        key = tuple(round(v[k], 1) for v in (opening.box.lo, opening.box.hi) for k in others)
        rows.setdefault(key, []).append(opening)
    merged: list[list[Opening]] = []
    for row in sorted(rows.values(), key=len, reverse=True):
        home = next((m for m in merged if _agree(m, row, axis)), None)
        if home is None:
            merged.append(list(row))
        else:
            home += row
    found: list[tuple[float, ...]] = []
    for row in merged:
        stops = {lo, hi}
        for opening in row:
            stops |= {opening.box.lo[axis], opening.box.hi[axis]}
            for side in _SIDES[axis]:
                label = opening.bound(side)
                if label in piece.by_label:
                    box = piece.bounds_of(piece.by_label[label])
                    if box.hi[axis] - box.lo[axis] < THIN_MM:
                        stops |= {box.lo[axis], box.hi[axis]}
        chain = seen_stops(view, (sign * s for s in stops), upright)
        if len(chain) > 2 and not any(_same(chain, other) for other in found):
            found.append(chain)
    return sorted(found, key=lambda c: (-len(c), c))


def unchained_stops(
    piece: Piece, view: View, axis: int, known: Iterable[float], *, upright: bool
) -> tuple[float, ...]:
    """Edges, seen in a view, of what bounds no opening and stands on no chain: rails, rungs, plinths, blocks.

    Args:
        axis: of the room.
        known: stops that are on a chain already (mm, in the view).

    Returns: in order (mm, plane of the view).
    """
    bounding = {label for o in piece.openings for _, label in o.bounded_by}
    seen = {line.owner for line in view.lines if line.visible}
    sign = -1.0 if view.projection.right[axis] < -0.5 else 1.0
    long = piece.bounds.size[axis]
    stops: set[float] = set()
    for placement in piece.placements:
        box = piece.bounds_of(placement)
        leg = piece.part_of(placement).form.as_leg is not None
        if placement.label in bounding or placement.label not in seen or leg:
            continue
        if box.hi[axis] - box.lo[axis] < LONGEST_SHARE * long:
            stops |= {round(sign * box.lo[axis], 3), round(sign * box.hi[axis], 3)}
    stated = [*known, view.lo[upright], view.hi[upright]]
    fresh = (s for s in stops if all(abs(s - k) > NEAR_MM for k in stated))
    return seen_stops(view, fresh, upright)


def _agree(one: Iterable[Opening], other: Sequence[Opening], axis: int) -> bool:
    """Whether two rows can share one chain: openings that overlap are alike."""
    for a in one:
        for b in other:
            (p, q), (r, s) = ((o.box.lo[axis], o.box.hi[axis]) for o in (a, b))
            alike = abs(p - r) < SAME_MM and abs(q - s) < SAME_MM
            if not alike and p < s - SAME_MM and r < q - SAME_MM:
                return False
    return True


def _same(a: Sequence[float], b: Sequence[float]) -> bool:
    """Whether every size on one chain is on the other: it says nothing more."""

    def on(p: float, q: float) -> bool:
        return any(abs(p - r) < SAME_MM and abs(q - s) < SAME_MM for r, s in pairwise(b))

    return all(on(p, q) for p, q in pairwise(a))


def view_runs(
    piece: Piece,
    view: View,
    axes: tuple[int, int],
    sides: tuple[tuple[Side, ...], tuple[Side, ...]],
    *,
    overall: tuple[bool, bool] = (True, True),
    chained: tuple[bool, bool] = (True, True),
) -> list[Run]:
    """The runs of one view: chains nearest, overall sizes outermost.

    Args:
        axes: of the room, seen rightward and upward.
        sides: where runs across, and upright ones, may stand; the overall size on the first.
        overall, chained: whether to give the overall size, and the chains, across and upright.
    """
    runs: list[Run] = []
    for k in (0, 1):
        upright = k == 1
        chains = opening_chains(piece, view, axes[k], upright) if chained[k] else []
        for number, chain in enumerate(chains[: MOST_CHAINS * len(sides[k])]):
            runs.append(Run(sides[k][number % len(sides[k])], chain))
        if overall[k]:
            runs.append(Run(sides[k][0], (view.lo[k], view.hi[k])))
    return runs


def unsaid_openings(piece: Piece, runs: Iterable[tuple[int, float, Run]]) -> list[Opening]:
    """Openings whose width or height is on no run.

    Args:
        runs: axis of the room, its sign in the view, and the run.
    """
    spans: list[tuple[int, float, float]] = []
    for axis, sign, run in runs:
        for a, b in pairwise(run.stops):
            low, high = sorted((sign * a, sign * b))
            spans.append((axis, low, high))

    def said(opening: Opening, axis: int) -> bool:
        low, high = opening.box.lo[axis], opening.box.hi[axis]
        return any(k == axis and abs(a - low) < SAME_MM and abs(b - high) < SAME_MM for k, a, b in spans)

    return [o for o in piece.openings if not (said(o, 0) and said(o, 2))]
