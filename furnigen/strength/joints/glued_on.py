"""The glue between a board and the strips along it: it passes on the shear flow between both.

A strip of stiffness E A whose middle lies e above the neutral line of the whole takes q = V E A e / EI along
each millimetre (theory of beams). The whole is taken as one beam, strips and board over their full width: the
strip takes most so. V is the largest reaction of the board, and q its largest along all of the strip: both
are upper bounds (hand-derived).
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from furnigen.core.pose import dot
from furnigen.joints.joint import Joint
from furnigen.piece.description import Piece
from furnigen.strength.joints.actions import Action, extent
from furnigen.strength.members.boards import Board
from furnigen.strength.model.members import Member

FLOW = "the shear flow of what is glued along it"
"""Name of the action."""


def shear_flows(
    piece: Piece, boards: Sequence[Board], bodies: Mapping[str, Member]
) -> dict[int, list[Action]]:
    """What the joint of each strip with its board takes along them, by the joint's id."""
    joints: dict[frozenset[str], list[Joint]] = {}
    for joint in piece.joints:
        joints.setdefault(frozenset((joint.a, joint.b)), []).append(joint)
    found: dict[int, list[Action]] = {}
    for board in boards:
        if not board.span.others or board.result is None:
            continue
        flows = _flows(board, bodies)
        for label, flow in flows.items():
            for joint in joints.get(frozenset((board.label, label)), ()):
                if joint.seat is None:
                    continue
                d = board.span.along
                force = flow * extent(joint.seat, d)
                action = Action(FLOW, (force * d[0], force * d[1], force * d[2]), joint.seat.centre)
                found.setdefault(id(joint), []).append(action)
    return found


def _flows(board: Board, bodies: Mapping[str, Member]) -> dict[str, float]:
    """Largest shear flow between a board and each strip along it, N/mm."""
    span, result = board.span, board.result
    assert result is not None
    shear = max(map(abs, (*result.most, *result.least)))
    d = span.along
    lines: dict[tuple[float, ...], str] = {}
    for label in span.others:  # pieces of a strip in one line are one
        box = bodies[label].box
        lines.setdefault(
            (*(round(dot(c, span.across), 1) for c in (box.lo, box.hi)), round(box.lo[2], 1)), label
        )
    parts = {label: bodies[label] for label in (board.label, *lines.values())}
    stiff = {label: one.modulus(d) * _area(one, span.across) for label, one in parts.items()}
    middle = sum(stiff[label] * one.box.centre[2] for label, one in parts.items()) / sum(stiff.values())
    whole = sum(
        stiff[label] * (one.box.size[2] ** 2 / 12 + (one.box.centre[2] - middle) ** 2)
        for label, one in parts.items()
    )
    return {
        label: shear
        * bodies[label].modulus(d)
        * _area(bodies[label], span.across)
        * abs(bodies[label].box.centre[2] - middle)
        / whole
        for label in span.others
    }


def _area(body: Member, across: tuple[float, float, float]) -> float:
    low, high = body.extent(across)
    return (high - low) * body.box.size[2]
