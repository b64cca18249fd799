"""What holds a back while the piece is pushed sideways: shear along its edges.

A push F at the top of a frame as wide as its backs (B) shears them with F / B along every edge (statics of a
panel in pure shear); a joint along an edge l long takes F l / B in the direction of that edge.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from math import inf

from furnigen.catalogue.joint_values import joint_value
from furnigen.core.pose import Vector, dot
from furnigen.joints.joint import Joint
from furnigen.piece.description import Piece
from furnigen.strength.formulas.load_cases import LoadCase
from furnigen.strength.formulas.tipping import TippingStability
from furnigen.strength.joints.actions import Action, extent
from furnigen.strength.joints.forces import LEAST_ROOM, UP
from furnigen.strength.joints.wood import ALONG
from furnigen.strength.members.shoving import WAYS, pushes_toward
from furnigen.strength.members.sway import Sideways
from furnigen.strength.model.members import Member

A_BACK = "a back"
"""What resists where panels do, by `Sideways.by`."""
LEVEL_WAYS: Mapping[str, Vector] = {"left-right": (1.0, 0.0, 0.0), "front-back": (0.0, 1.0, 0.0)}
Pushes = Iterable[tuple[str, Sideways, float]]
"""Pushes on backs: words, what resists, and N."""


def leans_on_backs(sideways: Iterable[Sideways], weight_n: float) -> Iterator[tuple[str, Sideways, float]]:
    """The lean of 1/200 (EN 1995-1-1 5.4.4(2)) where backs hold it, more the nearer it is to folding."""
    for one in sideways:
        if one.by == A_BACK:
            room = 1 - 1 / one.safety if 0 < one.safety < inf else 1.0
            push = joint_value("leaning") * weight_n / max(room, LEAST_ROOM)
            yield f"load and a lean of 1/200 {one.way}", one, push


def shoves_on_backs(
    cases: Iterable[LoadCase],
    sideways: Iterable[Sideways],
    standing: tuple[TippingStability, TippingStability],
    height: float,
) -> Iterator[tuple[str, Sideways, float]]:
    """The most that each case of shoving pushes where backs hold the piece.

    Args:
        standing: the piece empty, and with all of its load.
        height: of its top, mm.
    """
    backs = [one for one in sideways if one.by == A_BACK]
    for case in cases if backs else ():
        for one in backs:
            whole = standing[1 if case.loaded else 0]
            pushes = [
                shove.push_n
                for side, way in WAYS.items()
                if way == one.way and case.frictions
                for edge in whole.side(side)[:1]
                for shove in pushes_toward(case, whole, edge, height)
            ]
            if pushes:
                yield f"load, {case.name} {one.way}", one, max(pushes)


def sheared_backs(piece: Piece, bodies: Mapping[str, Member], pushes: Pushes) -> dict[int, list[Action]]:
    """What each joint round a back takes of pushes, by the joint's id."""
    found: dict[int, list[Action]] = {}
    for words, one, push in pushes:
        d = LEVEL_WAYS[one.way]
        panels = set(one.panels)
        broad = sum(high - low for low, high in (bodies[label].extent(d) for label in panels))
        for joint in piece.joints:
            if (joint.a in panels) != (joint.b in panels) and joint.seat is not None and broad > 0:
                action = _along_edge(words, joint, push / broad, d)
                if action is not None:
                    found.setdefault(id(joint), []).append(action)
    return found


def _along_edge(words: str, joint: Joint, flow: float, d: Vector) -> Action | None:
    """A shear flow (N/mm) along the longer side of a seat that lies in the plane of a panel."""
    seat = joint.seat
    assert seat is not None
    edges = [e for e in (d, UP) if abs(dot(seat.into, e)) < 1 - ALONG]
    if not edges:
        return None
    edge = max(edges, key=lambda e: extent(seat, e))
    force = flow * extent(seat, edge)
    return Action(words, (force * edge[0], force * edge[1], force * edge[2]), seat.centre)
