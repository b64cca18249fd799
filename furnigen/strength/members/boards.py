"""The level boards of a piece: from what carries them and what lies on them to sag, stress and reactions."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from furnigen.catalogue.loads import EMPTY
from furnigen.catalogue.materials import Material
from furnigen.catalogue.sag_limits import SagLimit
from furnigen.core.finding import without_noise
from furnigen.strength.formulas.shear import find_shear
from furnigen.strength.members.board_stack import BoardStack, RestingBoard
from furnigen.strength.members.shelf import Shelf, ShelfResult, shelves_in_steps
from furnigen.strength.model.demands import BoardLoad, Demands
from furnigen.strength.model.goods_room import row_mm, surface_mm2
from furnigen.strength.model.members import Member
from furnigen.strength.model.spanning import Spanning
from furnigen.strength.model.strips import lies_flat
from furnigen.strength.solver.beam import BeamSupport, PointLoad
from furnigen.strength.solver.together import Steps

NOISE_N = 1e-6
"""A load smaller than this is the rounding of a sum that comes to nothing."""


@dataclass(frozen=True)
class Board:
    """One level board or rail under load.

    Attributes:
        label: its label.
        resting: how it rests among the others.
        carried: what lies on it; None where nothing is put on it.
        result: sag, stress and reactions; None where its supports cannot hold it.
    """

    label: str
    resting: RestingBoard
    carried: BoardLoad | None
    result: ShelfResult | None

    @property
    def span(self) -> Spanning:
        """The board as a beam."""
        return self.resting.span


def _points(loads: Iterable[tuple[float, float]]) -> tuple[PointLoad, ...]:
    """Loads at places along a board without those that are but the rounding of a sum."""
    return tuple(
        PointLoad(without_noise(at), without_noise(newton)) for at, newton in loads if abs(newton) > NOISE_N
    )


def _shelf(
    label: str,
    r: RestingBoard,
    bodies: Mapping[str, Member],
    carried: BoardLoad | None,
    limit: SagLimit,
    climate: int,
    ends: tuple[float, float],
) -> Shelf:
    """A board at rest, to be checked.

    Args:
        ends: light and heavy end of what lies on the boards of the piece, for one that only carries others.
    """
    span = r.span
    if carried is not None and carried.load.text != EMPTY.text:
        ends = (carried.load.least, carried.load.most)
    glued = (span.body, *span.strips)
    materials: tuple[Material, ...] = tuple(b.material for b in glued)
    sunk = tuple([(without_noise(dead), without_noise(live)) for dead, live in r.sunk.tolist()])
    mass = sum(b.kg for b in (span.body, *(bodies[other] for other in span.others)))
    return Shelf(
        label=label,
        length=span.length,
        depth=without_noise(surface_mm2(span.body.form) / span.length),
        section=span.section,
        materials=materials,
        supports=tuple(BeamSupport(s.at, s.turning, s.holds_down, 0.0, s.neck) for s in span.stations),
        across=tuple(b.modulus(span.along) / b.material.moe_mpa for b in glued),
        plate=span.plate,
        over_supports=span.over_supports,
        cuts=span.cuts,
        load=carried.load if carried else EMPTY,
        own_kg_m=without_noise(mass / span.length * 1000),
        limit=limit,
        climate=climate,
        dead=_points((at, dead) for at, dead, _ in r.carried),
        live=_points((at, live) for at, _, live in r.carried),
        shear=find_shear(span.body.material, flat=lies_flat(span.body)),
        sunk=sunk,
        row=row_mm(span.body.form),
        ends=ends,
    )


class LoadedPiece(NamedTuple):
    """A piece at rest under its loads, its boards not checked yet.

    Attributes:
        stack: how its boards carry each other.
        bodies: its parts, by label, in the order of the piece.
        carried: what lies on each level board.
        demands: what it is held to.
    """

    stack: BoardStack
    bodies: Mapping[str, Member]
    carried: Mapping[str, BoardLoad]
    demands: Demands

    @property
    def labels(self) -> list[str]:
        """Of its boards."""
        return [label for label in self.bodies if label in self.stack.boards]

    def shelves(self) -> list[Shelf]:
        """Its boards, to be checked."""
        bodies, asked = self.bodies, (self.demands.limit, self.demands.climate)
        every = [on.load for on in self.carried.values()] or [EMPTY]
        ends = (min(load.least for load in every), max(load.most for load in every))
        boards, carried = self.stack.boards, self.carried
        return [
            _shelf(label, boards[label], bodies, carried.get(label), *asked, ends) for label in self.labels
        ]


def boards_in_steps(piece: LoadedPiece) -> Steps[tuple[Board, ...]]:
    """Every board of a piece at rest, in its order.

    Raises: InputError for a load beyond a board's end, or a climate its material can not stand in.
    """
    results = yield from shelves_in_steps(piece.shelves())
    return tuple(
        Board(label, piece.stack.boards[label], piece.carried.get(label), result)
        for label, result in zip(piece.labels, results, strict=True)
    )
