"""How far a board sags between supports that stay, where others between them sink."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from furnigen.strength.solver.beam import BeamResult, BeamSupport, Segment

STAYS_MM = 0.02
"""A support that sinks less than this stays where it is, for the eye. Our own choice."""


def sag_between_stays(
    supports: Sequence[BeamSupport], sunk: Sequence[tuple[float, float]], length: float, bent: BeamResult
) -> list[Segment]:
    """Sag between the supports that stay, or else the outermost, where others lie between them and sink.

    Args:
        sunk: how far each support sinks under dead and under live load, mm.
        length: of the board, mm.
        bent: the board on its sunk supports.
    """
    order = sorted(range(len(supports)), key=lambda i: supports[i].at)
    stays = [n for n, i in enumerate(order) if sum(map(abs, sunk[i])) <= STAYS_MM]
    if len(stays) < 2:
        stays = [0, len(order) - 1]
    found = []
    for first, last in pairwise(stays):
        if last - first < 2:
            continue
        a, b = (min(max(supports[order[n]].at, 0.0), length) for n in (first, last))
        inside = [(x, y) for x, y in bent.line if a <= x <= b]
        (xa, ya), (xb, yb) = inside[0], inside[-1]
        rel = [(y - ya - (yb - ya) * (x - xa) / (xb - xa), x) for x, y in inside]
        down, down_at = max(rel, key=lambda p: round(p[0], 9))
        up, up_at = min(rel, key=lambda p: round(p[0], 9))
        found.append(Segment("span", a, b, down, down_at, -up, up_at))
    return found
