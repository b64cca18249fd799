"""What is measured at a step: where parts stand in the finished unit, and whether it is square."""

from __future__ import annotations

from collections.abc import Sequence
from math import hypot

from furnigen.core.pose import Box
from furnigen.cutting.joint_words import size_text
from furnigen.drawings.actions import Action
from furnigen.drawings.sentences import listed, sentence
from furnigen.piece.description import Piece, Placement

LEVEL_AND_PLUMB = "Level on top both ways; uprights plumb. Pull gently at the top: nothing moves."
NO_TWIST = " Sight along the edges: no twist."
_SEEN_FROM = ("side", "front", "top")
_FROM = ("from the left end", "from the front", "up from the underside")
"""What places are measured from, by axis of the room."""
THIN = 0.5
"""What is thinner than this share of its other sizes has its place told across its thickness alone."""
FLUSH_MM = 0.05


def place_words(piece: Piece, action: Action, unit: Sequence[str], units: str) -> str:
    """Where what comes in stands when all of its unit is together; empty where only its joints say so.

    Args:
        unit: labels of all placements of the unit: of the piece, or of one sub-assembly.

    Measured to the nearer face, from the left end, the front and the underside of the unit.
    """
    if action.is_fixing:
        return ""
    whole = Box.around([c for n in unit for c in piece.bounds_of(piece.placement(n)).corners()])
    found: dict[int, list[str]] = {}
    for name in (n for step in action.pictured for n in step.brings):
        inside = _inside(piece, name)
        box = Box.around([c for p in inside for c in piece.bounds_of(p).corners()])
        spans = [k for k in range(3) if box.size[k] > whole.size[k] - 1.0]
        for axis in (k for k in _told_axes(inside, box, action) if k not in spans):
            off = box.lo[axis] - whole.lo[axis]
            said = size_text(0.0 if abs(off) < FLUSH_MM else round(off, 1), units)
            found.setdefault(axis, []).append(f"{name} {said}")
    if not found:
        return ""
    unit_mark = " mm" if units == "mm" else ""
    parts = [f"{_FROM[axis]}: {listed(said)}{unit_mark}" for axis, said in sorted(found.items())]
    what = action.step.builds or "piece"
    return f"In the finished {what}, {'; '.join(parts)}."


def _inside(piece: Piece, name: str) -> list[Placement]:
    """What comes in under a name: one placement, or those of a sub-assembly."""
    return (
        [piece.by_label[name]] if name in piece.by_label else [p for p in piece.placements if name in p.path]
    )


def _told_axes(inside: Sequence[Placement], box: Box, action: Action) -> list[int]:
    """Axes of the room along which a place is told: across a board, else across the way in."""
    if not all(is_square(p) for p in inside):
        return []
    axis = min(range(3), key=lambda k: box.size[k])
    if box.size[axis] < THIN * min(box.size[k] for k in range(3) if k != axis):
        return [axis]
    way = action.step.way
    return [] if way is None else [k for k in range(3) if abs(way[k]) < 1e-6]


def is_square(placement: Placement) -> bool:
    """Whether a placement stands square to the room."""
    return all(min(abs(c), abs(abs(c) - 1.0)) < 1e-6 for row in placement.pose.rotation for c in row)


def square_check(piece: Piece, action: Action, units: str) -> str:
    """What to measure after a step; empty where nothing is joined."""
    step = action.step
    if action.is_start or not step.parts:
        return ""
    if action.is_fixing:
        return LEVEL_AND_PLUMB
    if len(step.onto) < 2:
        return "With a try square: it stands square to what it meets." if step.joints else ""
    labels = [
        n for n in (*action.there, *(n for s in action.pictured for n in s.parts)) if n in piece.by_label
    ]
    even = "1 mm" if units == "mm" else size_text(25.4 / 32, "in")

    def about(diagonal: float) -> str:
        each = size_text(round(diagonal, 0) if units == "mm" else diagonal, units)
        return f"equal to {even}, each about {each}{' mm' if units == 'mm' else ''}"

    square = [n for n in labels if is_square(piece.placement(n))]
    boxes = [piece.bounds_of(piece.placement(n)) for n in labels]
    # of what leans only the bounds are known: its corners are not those of the frame
    whole = frame_diagonal(boxes) if len(square) == len(labels) else None
    if whole is not None:
        diagonal, plane = whole
        return f"Measure both diagonals over the outside, seen from the {plane}: {about(diagonal)}.{NO_TWIST}"
    closed = closed_opening(piece, square, action)
    if closed is not None:
        across, between = closed
        return f"Measure both diagonals inside, between {between}: {about(across)}.{NO_TWIST}"
    if not step.joints:
        return ""
    if len(square) < len(labels):
        return (
            f"Measure corner to corner of the frame, along its slope, both ways: equal to {even}.{NO_TWIST}"
        )
    return f"With a try square: square at every joint just closed.{sentence(NO_TWIST)}"


def closed_opening(piece: Piece, labels: Sequence[str], action: Action) -> tuple[float, str] | None:
    """An opening that is closed all round: its diagonal from the front (mm), and between what.

    The largest of those that what comes in closes; of all, where it closes none, as a back does.
    """
    new, there = set(action.brought), set(labels)
    found: list[tuple[bool, float, str]] = []
    for opening in piece.openings:
        around = [opening.bound(side) for side in ("left", "right", "bottom", "top")]
        if all(n in there for n in around):
            wide, _, high = opening.clear_mm
            found.append(
                (bool(new & set(around)), round(hypot(wide, high), 2), listed(dict.fromkeys(around)))
            )
    if not found:
        return None
    _, diagonal, between = max(found, key=lambda f: f[:2])
    return diagonal, between


def frame_diagonal(boxes: Sequence[Box]) -> tuple[float, str] | None:
    """The diagonal of the rectangle that parts fill (mm) and where it is seen from; None where their outline
    has no four corners."""
    whole = Box.around([b.lo for b in boxes] + [b.hi for b in boxes])
    size = whole.size
    thin = min(range(3), key=lambda k: size[k])
    a, b = (k for k in range(3) if k != thin)
    for u in (whole.lo[a], whole.hi[a]):
        for v in (whole.lo[b], whole.hi[b]):
            if not any(
                box.lo[a] - 0.5 <= u <= box.hi[a] + 0.5 and box.lo[b] - 0.5 <= v <= box.hi[b] + 0.5
                for box in boxes
            ):
                return None
    return hypot(size[a], size[b]), _SEEN_FROM[thin]
