"""What carries what, for strength: the load path from the ground.

On the floor a wall steadies a piece but carries none of it. A piece that stands nowhere hangs on the wall by
what is fixed to it, which is where a maker drives the screws; by all that touches it when nothing is.
In what hangs, a joint nearer the wall holds what another part would bear from below.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from furnigen.construction.load_path import FLOOR, HOLDS, LoadPath, SupportPlace, can_carry, find_load_path
from furnigen.core.facts import Fact
from furnigen.joints.joint import Joint
from furnigen.piece.description import Piece

if TYPE_CHECKING:
    from furnigen.mesh.contacts import Contact
    from furnigen.mesh.support import GroundContact


@dataclass(frozen=True)
class Carriers:
    """The load path of a piece for strength.

    Attributes:
        places: where each placement is carried, by label.
        order: labels from the ground upward.
        hangs: whether the piece hangs on a wall and touches no floor.
        lost: labels that nothing carries.
        joints: the joint of each pair of labels, both ways round.
        joined: what each label is joined to, and how.
    """

    places: Mapping[str, tuple[SupportPlace, ...]]
    order: tuple[str, ...]
    hangs: bool
    lost: tuple[str, ...]
    joints: Mapping[tuple[str, str], Joint]
    joined: Mapping[str, tuple[tuple[str, Joint], ...]]


def find_carriers(
    piece: Piece,
    contacts: Iterable[Contact],
    grounded: Iterable[GroundContact],
    known: LoadPath | None = None,
) -> Carriers:
    """The load path for strength; see the module docstring.

    Args:
        known: the load path of the piece on all it touches, where it was found before.
    """
    every = tuple(grounded)
    floor = [g for g in every if g.ground == FLOOR]
    fixed = [g for g in every if Fact.FIXED_TO_THE_WALL in piece.placement(g.label).facts]
    held = floor or fixed or list(every)
    # a wall is only a wall where the piece hangs on it: else it must not hold what a fastener into it says
    standing = piece if not floor else _without_walls(piece)
    joints: dict[tuple[str, str], Joint] = {}
    for joint in piece.joints:
        for pair in ((joint.a, joint.b), (joint.b, joint.a)):
            joints.setdefault(pair, joint)
    joined: dict[str, list[tuple[str, Joint]]] = {}
    for (a, b), joint in joints.items():
        joined.setdefault(a, []).append((b, joint))
    same = known is not None and standing is piece and len(held) == len(every)
    path = known if known is not None and same else find_load_path(standing, contacts, held)
    hangs = bool(every) and not floor
    places = _hanging(path, joints) if hangs else dict(path.under)
    return Carriers(
        places,
        _upward(path.order, places) if hangs else path.order,
        hangs,
        tuple(label for island in path.islands for label in island),
        joints,
        {label: tuple(found) for label, found in joined.items()},
    )


def _without_walls(piece: Piece) -> Piece:
    return replace(piece, walls=()) if piece.walls else piece


def _hanging(path: LoadPath, joints: Mapping[tuple[str, str], Joint]) -> dict[str, tuple[SupportPlace, ...]]:
    """Where things are carried in what hangs: by what is nearer the wall, wherever a joint can hold."""
    rank = dict(path.rank)
    places: dict[str, list[SupportPlace]] = {label: [] for label in path.under}
    for label, found in path.under.items():
        for place in found:
            joint = joints.get((place.by, label))
            if place.by in rank and rank[place.by] > rank[label] and joint is not None and can_carry(joint):
                x, y, z = place.normal
                hung = replace(place, by=label, kind=HOLDS, joint=joint.kind, normal=(-x, -y, -z))
                places[place.by].append(hung)
            else:
                places[label].append(place)
    return {label: tuple(found) for label, found in places.items()}


def _upward(order: tuple[str, ...], places: Mapping[str, tuple[SupportPlace, ...]]) -> tuple[str, ...]:
    """`order` put right: each label after all that carries it."""
    done: dict[str, None] = {}

    def settle(label: str) -> None:
        if label in places and label not in done:
            for place in places[label]:
                settle(place.by)
            done[label] = None

    for label in order:
        settle(label)
    return tuple(done)
