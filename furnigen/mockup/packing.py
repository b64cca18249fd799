"""Boxes on as few beds as a packer of rectangles reaches; what is longer than the bed lies slantwise on it.

Slantwise means in a rectangle let into the bed at an angle. All boxes that need it and share an angle are
packed in such rectangles, and shorter ones beside them. Here the bed is what its margin leaves of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from furnigen.mockup.printer import SLACK_MM, Printer

PER_MM = 64
"""Places on a bed to the mm: whole numbers for the packer, and a corner moved by one stays exact."""
ANGLES = np.radians(np.arange(1.0, 90.0, 0.5))


@dataclass(frozen=True, slots=True)
class SlantedRectangle:
    """A rectangle on the bed at an angle, about its middle.

    Attributes:
        degrees: how far it is turned, counter-clockwise.
        long_mm, wide_mm: its sizes.
    """

    degrees: float
    long_mm: float
    wide_mm: float


@dataclass(frozen=True, slots=True)
class BedPlace:
    """Where a box lies.

    Attributes:
        bed: number of its bed, from 0.
        at_mm: its low corner on the bed, or in the slanted rectangle.
        turned: whether it is turned a quarter.
        slant: the rectangle it lies in; None for the bed itself.
    """

    bed: int
    at_mm: tuple[float, float]
    turned: bool
    slant: SlantedRectangle | None


Size = tuple[float, float]
_Found = list[tuple[int, int, int, bool, int, SlantedRectangle | None]]


def fits_straight(size: Size, printer: Printer) -> bool:
    """Whether a box fits the bed along its edges."""
    (a, b), (w, d) = sorted(size), sorted(printer.room_mm[:2])
    return a <= w + SLACK_MM and b <= d + SLACK_MM


def slant_for(size: Size, printer: Printer) -> SlantedRectangle | None:
    """The widest rectangle as long as a box that goes into the bed at an angle; None where the box does not.

    A rectangle l by w at an angle a takes l cos a + w sin a by l sin a + w cos a of the bed.
    """
    long, c, s = float(np.ceil(max(size) * PER_MM)) / PER_MM, np.cos(ANGLES), np.sin(ANGLES)
    bed_w, bed_d = (b - 2.0 / PER_MM for b in printer.room_mm[:2])  # what rounding its place may take
    wide = np.minimum((bed_w - long * c) / s, (bed_d - long * s) / c)
    wide = np.floor(wide * PER_MM) / PER_MM
    best = int(np.argmax(wide))
    if wide[best] < min(size):
        return None
    return SlantedRectangle(float(np.degrees(ANGLES[best])), long, float(wide[best]))


def pack_on_beds(sizes: Sequence[Size], printer: Printer) -> list[BedPlace] | int:
    """A place for each box (mm), the spacing between them; the number of a box that fits no bed if any."""
    rest: list[int] = []
    for k, size in enumerate(sizes):
        if not fits_straight(size, printer):
            if slant_for(size, printer) is None:
                return k
            rest.append(k)
    groups: list[tuple[SlantedRectangle, list[int]]] = []
    while rest:
        longest = max(rest, key=lambda k: (max(sizes[k]), -k))
        slant = slant_for(sizes[longest], printer)
        assert slant is not None
        mine = [k for k in rest if min(sizes[k]) <= slant.wide_mm]
        groups.append((slant, mine))
        rest = [k for k in rest if k not in mine]
    slanted = {k for _, mine in groups for k in mine}
    straight = [k for k in range(len(sizes)) if k not in slanted]
    best: _Found = []
    for slant, mine in groups:
        best += _shifted(_fewest(sizes, mine, [(slant, None)], printer), best)
    alone = _beds(best)
    best += _shifted(_fewest(sizes, straight, [(None, None)], printer), best)
    if groups and straight and _beds(best) > alone:
        # shorter boxes beside the long ones
        bins = [(s, _beds(_fewest(sizes, mine, [(s, None)], printer))) for s, mine in groups]
        together = _fewest(sizes, range(len(sizes)), [*bins, (None, None)], printer)
        if len(together) == len(sizes) and _beds(together) < _beds(best):
            best = together
    places = {k: BedPlace(n, (x / PER_MM, y / PER_MM), turned, s) for n, x, y, turned, k, s in best}
    return [places[k] for k in range(len(sizes))]


def _beds(found: _Found) -> int:
    return 1 + max((row[0] for row in found), default=-1)


def _shifted(found: _Found, after: _Found) -> _Found:
    """Beds numbered on after those of `after`."""
    first = _beds(after)
    return [(n + first, *row) for n, *row in found]  # type: ignore[misc]


def _fewest(
    sizes: Sequence[Size],
    which: Sequence[int],
    bins: Sequence[tuple[SlantedRectangle | None, int | None]],
    printer: Printer,
) -> _Found:
    """The best of several orders and rules of the packer: all boxes, the fewest beds, the last the emptiest.

    Args:
        bins: beds or slanted rectangles and how many there are, None for as many as it takes.
    """
    from rectpack import SORT_AREA, SORT_LSIDE, SORT_SSIDE, MaxRectsBaf, MaxRectsBssf, newPacker

    best: tuple[tuple[int, int, int], _Found] | None = None
    if not which:
        return []
    for rule, order in product((MaxRectsBssf, MaxRectsBaf), (SORT_AREA, SORT_LSIDE, SORT_SSIDE)):
        packer = newPacker(pack_algo=rule, sort_algo=order, rotation=True)
        for k in which:
            packer.add_rect(*_cells(sizes[k], printer), rid=k)
        for number, (slant, count) in enumerate(bins):
            room = printer.room_mm[:2] if slant is None else (slant.long_mm, slant.wide_mm)
            limits = (round((r + printer.spacing_mm) * PER_MM) for r in room)
            packer.add_bin(*limits, count=float("inf") if count is None else count, bid=number)
        packer.pack()
        found: _Found = [
            (n, x, y, w != _cells(sizes[k], printer)[0], k, bins[packer[n].bid][0])
            for n, x, y, w, _, k in packer.rect_list()
        ]
        beds = _beds(found)
        last = sum(int(np.prod(_cells(sizes[k], printer))) for n, *_, k, _ in found if n == beds - 1)
        key = (-len(found), beds, last)
        if best is None or key < best[0]:
            best = (key, found)
    assert best is not None
    return best[1]


def _cells(size: Size, printer: Printer) -> tuple[int, int]:
    """A box and its spacing in places; a box as large as its bed takes all of it."""
    w, h = (int(np.ceil((s - SLACK_MM + printer.spacing_mm) * PER_MM)) for s in size)
    return w, h
