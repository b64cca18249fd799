"""What is glued to sagging boards to carry them: strips on edge under them, and the back behind them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import pairwise

from furnigen.core.errors import InputError
from furnigen.core.pose import AXES, Box, Vector, board_pose
from furnigen.core.wording import as_given
from furnigen.joints.joint import Joint
from furnigen.parts.forms.prism import rectangle
from furnigen.parts.part import Part
from furnigen.piece.description import Opening, Piece, Placement
from furnigen.strength.members.boards import Board

FRONT, REAR = "front", "rear"
HELD = 1e-6
"""An edge with less of its sag left than this is held by a back."""
TOUCHING_MM = 0.2
"""A panel this near to a board's edge can be glued to it. Our own choice."""
SHORTEST_STRIP_MM = 50.0
"""No strip is glued between supports nearer than this. Our own choice."""


def stiffened(
    piece: Piece, boards: Sequence[Board], height: float, edges: Sequence[str] = (FRONT, REAR)
) -> Piece:
    """The piece with strips glued on edge under edges of each board, and its openings lowered there.

    A board over several supports gets one between each two of them. An edge that a back holds gets none.

    Args:
        height: of the strips, mm.
        edges: FRONT, REAR or both.

    Raises: InputError for a board that runs askew in the room, or strips thicker than a board is deep.
    """
    parts, placements, joints = list(piece.parts), list(piece.placements), list(piece.joints)
    known: dict[tuple[float, str], int] = {}
    for board in boards:
        body = board.span.body
        run = max((0, 1), key=lambda i: abs(board.span.along[i]))
        if abs(board.span.along[run]) < 1 - 1e-9:
            raise InputError("edge strip", board.label, "the board runs askew in the room")
        thick = body.part.stock.thickness_mm
        side = 1 if run == 0 else 0
        if thick * len(edges) > body.box.size[side]:
            raise InputError(
                f"edge strips under {board.label}",
                f"{len(edges)} of {as_given(thick)}",
                f"must be no wider together than the board, {as_given(body.box.size[side])}",
            )
        count = 0
        held = {
            e for e, sag in ((FRONT, board.span.plate.front), (REAR, board.span.plate.rear)) if sag < HELD
        }
        for left, right in pairwise(board.span.stations):
            low = max(p.hi[run] for p in left.places)
            high = min(p.lo[run] for p in right.places)
            if high - low < SHORTEST_STRIP_MM:
                continue  # both stand on one bearing
            for edge in (e for e in edges if e not in held):
                count += 1
                lo, hi = [0.0, 0.0, body.box.lo[2] - height], [0.0, 0.0, body.box.lo[2]]
                lo[run], hi[run] = low, high
                if edge == FRONT:
                    lo[side], hi[side] = body.box.lo[side], body.box.lo[side] + thick
                else:
                    lo[side], hi[side] = body.box.hi[side] - thick, body.box.hi[side]
                key = (round(high - low, 3), body.part.stock.name)
                if key not in known:
                    known[key] = len(parts)
                    form = rectangle(high - low, height, thick)
                    parts.append(Part(f"edge strip {len(known)}", form, body.part.stock))
                label = f"{board.label}.strip.{count}"
                pose = board_pose(Box(_vector(lo), _vector(hi)), AXES[run], AXES[side])
                path = piece.placement(board.label).path
                placements.append(Placement(label, known[key], pose, path, "edge strip"))
                joints.append(Joint("butt", board.label, label, glued=True))
    lowered = {b.label for b in boards}
    return replace(
        piece,
        parts=tuple(parts),
        placements=tuple(placements),
        joints=tuple(joints),
        openings=tuple(_lower(o, height) if o.bound("top") in lowered else o for o in piece.openings),
    )


def backs_behind(piece: Piece, boards: Sequence[Board]) -> dict[str, tuple[str, ...]]:
    """Upright panels that touch the rear edge of each board and are not joined to it, by label of the board.

    Boards with none are left out.
    """
    joined = {frozenset((j.a, j.b)) for j in piece.joints}
    found: dict[str, tuple[str, ...]] = {}
    for board in boards:
        box = board.span.body.box
        run = max((0, 1), key=lambda i: abs(board.span.along[i]))
        side = 1 - run
        behind = []
        for one in piece.placements:
            other = piece.bounds_of(one)
            board_like = piece.part_of(one).form.as_board is not None
            thin = other.size[side] == min(other.size) and board_like
            touches = abs(other.lo[side] - box.hi[side]) < TOUCHING_MM
            beside = min(other.hi[run], box.hi[run]) - max(other.lo[run], box.lo[run]) > SHORTEST_STRIP_MM
            past = other.lo[2] < box.lo[2] and other.hi[2] > box.hi[2]
            if thin and touches and beside and past and frozenset((one.label, board.label)) not in joined:
                behind.append(one.label)
        if behind:
            found[board.label] = tuple(behind)
    return found


def with_backs_glued(piece: Piece, behind: Mapping[str, Sequence[str]]) -> Piece:
    """The piece with boards glued along their rear edges to the panels behind them."""
    joints = [Joint("butt", back, label, glued=True) for label, backs in behind.items() for back in backs]
    return replace(piece, joints=(*piece.joints, *joints))


def on_backs(piece: Piece, boards: Sequence[Board]) -> Piece | None:
    """Boards glued to the backs behind them; None where one has none, or all are held by one already."""
    loose = [b for b in boards if not b.span.backed]
    behind = backs_behind(piece, loose)
    return with_backs_glued(piece, behind) if loose and len(behind) == len(loose) else None


def _vector(v: list[float]) -> Vector:
    return (v[0], v[1], v[2])


def _lower(opening: Opening, by: float) -> Opening:
    lo, hi = opening.box.lo, opening.box.hi
    return replace(opening, box=Box(lo, (hi[0], hi[1], hi[2] - by)))
