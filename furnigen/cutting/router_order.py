"""The order in which a router cuts a nested sheet: what would lose its hold goes first.

Parts in a window go before that window, the windows of a part before its outline, small parts before large
ones while the sheet is whole, then windows, then outlines (common practice, no source). Of what may be cut
next the nearest is taken, so that the way between is short; it need not be the shortest.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import dist

from furnigen.cutting.layout import SheetLayout
from furnigen.cutting.plan import Done, LaidOut
from furnigen.cutting.problem import NestProblem
from furnigen.cutting.true_outline import UmPoint, in_material, placed_outline, windows_on_sheet

SMALL_UM2 = 300_000.0**2
"""A part of less area counts as small: 300 x 300 mm. Common practice, no source."""
SMALL_SHARE = 0.25
"""So does one of less than this share of the largest part of its sheet. Common practice, no source."""


@dataclass(frozen=True)
class Pass:
    """One closed way of the cutter.

    Attributes:
        number: 1 for the first of the sheet.
        placed: index of the part in the layout.
        window: it is a window of the part; otherwise its outline.
        corners: on the sheet (micrometres), from where the cutter goes in.
    """

    number: int
    placed: int
    window: bool
    corners: tuple[UmPoint, ...]

    @property
    def length_um(self) -> float:
        """Length of the outline; the cutter's middle runs half its diameter beside it."""
        return sum(
            dist(a, b) for a, b in zip(self.corners, (*self.corners[1:], self.corners[0]), strict=True)
        )


def router_passes(done: Done, laid: LaidOut) -> tuple[Pass, ...]:
    """The passes of one sheet in order; none where it is sawn."""
    layout = laid.layout
    if not isinstance(layout, SheetLayout) or not isinstance(done.job.problem, NestProblem):
        return ()
    rings: list[tuple[int, bool, list[UmPoint]]] = []
    for k, (placed, row) in enumerate(zip(layout.placed, laid.rows, strict=True)):
        rings += [(k, True, w) for w in windows_on_sheet(placed, row)]
        rings.append((k, False, placed_outline(placed, row)))
    before = [_before(n, rings) for n in range(len(rings))]
    small = small_parts(layout)
    ranks = [0 if small[k] else 1 if window else 2 for k, window, _ in rings]
    at: UmPoint = (0.0, 0.0)
    found: dict[int, Pass] = {}
    while len(found) < len(rings):
        ready = [n for n in range(len(rings)) if n not in found and before[n] <= found.keys()]
        _, _, n, corner = min((ranks[n], dist(at, c), n, j) for n in ready for j, c in enumerate(rings[n][2]))
        k, window, ring = rings[n]
        found[n] = Pass(len(found) + 1, k, window, (*ring[corner:], *ring[:corner]))
        at = ring[corner]
    return tuple(found.values())


def small_parts(layout: SheetLayout) -> list[bool]:
    """Of each part placed, whether it is cut before the large ones."""
    areas = [p.length_um * p.width_um for p in layout.placed]
    limit = max(SMALL_UM2, SMALL_SHARE * max(areas))
    return [area < limit for area in areas]


def _before(n: int, rings: list[tuple[int, bool, list[UmPoint]]]) -> set[int]:
    """What has to be cut before a ring: the windows of an outline, the outlines within a window."""
    k, window, ring = rings[n]
    if not window:
        return {m for m, (j, inner, _) in enumerate(rings) if j == k and inner}
    return {m for m, (j, inner, r) in enumerate(rings) if j != k and not inner and in_material(*r[0], [ring])}
