"""Strips glued on edge under the front of sagging boards: a piece with them on."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

from furnigen.core.errors import InputError
from furnigen.core.pose import AXES, Box, Vector, board_pose
from furnigen.joints.joint import Joint
from furnigen.parts.forms.prism import rectangle
from furnigen.parts.part import Part
from furnigen.piece.description import Opening, Piece, Placement
from furnigen.strength.members.boards import Board

SHORTEST_STRIP_MM = 50.0
"""No strip is glued between supports nearer than this. Our own choice."""


def stiffened(piece: Piece, boards: list[Board], height: float) -> Piece:
    """The piece with strips glued on edge under the front of each board, and its openings lowered there.

    A board over several supports gets one between each two of them.

    Raises: InputError for a board that runs askew in the room.
    """
    parts, placements, joints = list(piece.parts), list(piece.placements), list(piece.joints)
    known: dict[tuple[float, str], int] = {}
    for board in boards:
        body = board.span.body
        run = max((0, 1), key=lambda i: abs(board.span.along[i]))
        if abs(board.span.along[run]) < 1 - 1e-9:
            raise InputError("edge strip", board.label, "the board runs askew in the room")
        thick = body.part.stock.thickness_mm
        front = 1 if run == 0 else 0
        for n, (left, right) in enumerate(pairwise(board.span.stations), 1):
            low = max(p.hi[run] for p in left.places)
            high = min(p.lo[run] for p in right.places)
            if high - low < SHORTEST_STRIP_MM:
                continue  # both stand on one bearing
            lo, hi = [0.0, 0.0, body.box.lo[2] - height], [0.0, 0.0, body.box.lo[2]]
            lo[run], hi[run] = low, high
            lo[front], hi[front] = body.box.lo[front], body.box.lo[front] + thick
            key = (round(high - low, 3), body.part.stock.name)
            if key not in known:
                known[key] = len(parts)
                form = rectangle(high - low, height, thick)
                parts.append(Part(f"edge strip {len(known)}", form, body.part.stock))
            box = Box(_vector(lo), _vector(hi))
            label = f"{board.label}.strip.{n}"
            pose = board_pose(box, AXES[run], AXES[front])
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


def _vector(v: list[float]) -> Vector:
    return (v[0], v[1], v[2])


def _lower(opening: Opening, by: float) -> Opening:
    lo, hi = opening.box.lo, opening.box.hi
    return replace(opening, box=Box(lo, (hi[0], hi[1], hi[2] - by)))
