"""Boards with strips glued along them, or with an edge held by a back: what they do as plates.

A strip carries the board near it. Its far edge follows only as far as the board bends across and twists, so
front, middle and rear sag each by their own amount (`furnigen.strength.formulas.finite_strips`). The beam
that stands for the board has the board's own EI over the share of the sag that is left where it sags most.

The plate is worked out on two ends that it rests on. For other spans it is as long as from one place without
moment to the next: 0.7 of the span for each end that runs on over a support, where even loads on two equal
spans leave 0.75 (hand-derived) and three-dimensional elements ask for a little less (tests). An end that was
clamped would leave 0.75 too; one that its joint holds takes off as much of a quarter as it holds of the
moment of a clamped end. An overhang counts as half a span. Over a support between two spans stresses are also
looked at on 0.15 of both (EN 1992-1-1 5.3.2.1, from memory). The shorter the plate, the less a strip helps,
but the sag falls much faster: what the longest span leaves is taken for the whole board. Strips above the
board are taken as below it, which is never stiffer.

How much a board contracts across when it is stretched is known as a range: each share is the larger of those
of both ends of the range.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

from furnigen.catalogue.materials import row_for_material
from furnigen.core.pose import Vector
from furnigen.strength.formulas.finite_strips import PlateSag, Rib, Sheet, plate_sag
from furnigen.strength.formulas.section import Section
from furnigen.strength.formulas.shear import panel_shear_modulus
from furnigen.strength.model.members import Member
from furnigen.strength.model.stations import Station, longest_mm
from furnigen.strength.model.strips import across_of

RUNS_ON_SHARE = 0.7
"""What is left of a span before the place without moment, for each end that runs on; see above."""
CLAMPED_SHARE = 0.75
"""The same for an end that is clamped (closed form of a beam under an even load)."""
HOGGING_SHARE = 0.15
"""What of two neighbouring spans together hogs over the support between them: EN 1992-1-1 5.3.2.1, from
memory."""
SPAN_STEP_MM = 1.0
"""Plates are as long as whole steps, so that spans alike but for rounding are one plate."""


@dataclass(frozen=True)
class PlateShares:
    """What a board does with what is glued along it or holds its edge, over what it does alone as a beam.

    Attributes:
        front, middle, rear: sag at its low edge across the span, at the middle of its depth and at its high
            edge.
        most: the largest of its sag across the depth.
        board: stress along the span in the board.
        strips: stress along the span in each strip over that in the board alone.
    """

    front: float = 1.0
    middle: float = 1.0
    rear: float = 1.0
    most: float = 1.0
    board: float = 1.0
    strips: tuple[float, ...] = ()

    @property
    def plain(self) -> bool:
        """Whether it is a board alone, bending as a beam."""
        return self == BOARD_ALONE


BOARD_ALONE = PlateShares()


def sheet_of(body: Member, d: Vector, thickness: float, contraction: float) -> Sheet:
    """A body as a sheet that bends along a level direction.

    Args:
        thickness: mm.
        contraction: across its grain for a stretch along it.
    """
    along, grain = body.modulus(d), body.material.moe_mpa
    return Sheet(
        thickness,
        along,
        body.modulus(across_of(d)),
        panel_shear_modulus(body.material),
        contraction * min(1.0, along / grain),
    )


def _poisson(body: Member, end: str) -> float:
    return float(row_for_material(body.material, "strengths")[f"poisson_{end}"])


def _rib(strip: Member, body: Member, d: Vector, end: str) -> Rib:
    across = across_of(d)
    front, rear = body.extent(across)
    low, high = strip.extent(across)
    at = min(max((low + high) / 2 - front, 0.0), rear - front)
    sheet = sheet_of(strip, d, round(high - low, 6), _poisson(strip, end))
    return Rib(round(at, 6), round(strip.box.size[2], 6), sheet)


def _shares(plate: PlateSag, span: float, sheet: Sheet) -> PlateShares:
    """A plate's sag and stress over those of its board as a beam, 5 q L⁴ / 384 EI and q L² / 8 W."""
    beam = 5 * span**4 / (384 * sheet.along * sheet.thickness**3 / 12)
    stress = span**2 / 8 / (sheet.thickness**2 / 6)
    return PlateShares(
        plate.front / beam,
        plate.middle / beam,
        plate.rear / beam,
        plate.most / beam,
        plate.board_stress / stress,
        tuple([one / stress for one in plate.rib_stress]),
    )


def _largest(some: Sequence[PlateShares]) -> PlateShares:
    """The larger share of each kind."""
    return PlateShares(
        max(one.front for one in some),
        max(one.middle for one in some),
        max(one.rear for one in some),
        max(one.most for one in some),
        max(one.board for one in some),
        tuple([max(each) for each in zip(*(one.strips for one in some), strict=True)]),
    )


def between_zero_moments(stations: Sequence[Station], length: float, bending: float) -> float:
    """How long the longest span is between the places without moment, mm (see the module docstring).

    Args:
        length: of the board, mm.
        bending: EI of the board alone, N mm²: the softer, the more a joint holds of a clamped end.
    """
    found = []
    last = len(stations) - 1
    for n, (a, b) in enumerate(pairwise(stations)):
        span = b.at - a.at
        left = 1.0
        for station, runs_on in ((a, n > 0), (b, n + 1 < last)):
            if runs_on:
                left *= RUNS_ON_SHARE
            elif station.turning > 0:
                left *= 1 - (1 - CLAMPED_SHARE) / (1 + 2 * bending / (station.turning * span))
        found.append((span, span * left))
    for overhang in (stations[0].at, length - stations[-1].at):
        found.append((2 * overhang, 2 * overhang))
    longest = longest_mm(stations, length)
    return min(zero for span, zero in found if span > longest - SPAN_STEP_MM)


def find_plate(
    body: Member,
    d: Vector,
    strips: Sequence[Member],
    held: tuple[float, ...],
    stations: Sequence[Station],
    length: float,
    section: Section,
) -> PlateShares:
    """What strips glued along a level board and lines of it that are held leave of its sag and stress.

    Args:
        d: level unit vector that it bends along.
        strips: glued along it, from end to end of each span.
        held: places across its depth that a back holds, mm from its low edge.
        stations: where it is carried.
        length: mm.
        section: of the board alone.

    Raises: InputError for a strip wider than the board.
    """
    if not strips and not held:
        return BOARD_ALONE
    low, high = body.extent(across_of(d))
    depth, thickness = round(high - low, 6), round(body.box.size[2], 6)
    places = [between_zero_moments(stations, length, section.bending)]
    if len(stations) > 2 and strips:  # over an inner support the board hogs on a shorter stretch
        neighbours = [b.at - a.at for a, b in zip(stations, stations[2:], strict=False)]
        places.append(HOGGING_SHARE * max(neighbours))
    found = []
    for end in ("low", "high"):
        sheet = sheet_of(body, d, thickness, _poisson(body, end))
        ribs = tuple([_rib(strip, body, d, end) for strip in strips])
        for place in places:
            span = max(SPAN_STEP_MM, round(place / SPAN_STEP_MM) * SPAN_STEP_MM)
            found.append(_shares(plate_sag(span, depth, sheet, ribs, held), span, sheet))
    spanning, over_support = found[:: len(places)], found[1::2] if len(places) > 1 else []
    sag, stress = _largest(spanning), _largest([*spanning, *over_support])
    return PlateShares(sag.front, sag.middle, sag.rear, sag.most, stress.board, stress.strips)
