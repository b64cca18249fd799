"""Which edges of which copies get a band, and what that makes of their parts.

Copies of one part whose banded edges differ by more than turning them over are rows of their own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from furnigen.core.pose import Pose
from furnigen.cutting.own_stock import Band, Banding, named_in
from furnigen.parts.part import Part
from furnigen.piece.description import Placement

EDGES = ("x-", "x+", "y-", "y+")
"""The ends of the length, and the edges of the width."""
_ROOM = {"left": (0, -1), "right": (0, 1), "front": (1, -1), "back": (1, 1), "bottom": (2, -1), "top": (2, 1)}
LOOKS = 0.7
"""An edge looks to a side of the room when it faces it within 45 degrees."""

Edges = tuple[tuple[str, Band], ...]
"""Banded edges in the order of EDGES, each with its band."""


@dataclass(frozen=True)
class BandedCopies:
    """Copies of a part that are banded alike.

    Attributes:
        placements: the copies.
        edges: which edges get which band, as the first of them stands.
    """

    placements: tuple[Placement, ...]
    edges: Edges


def banded_copies(part: Part, copies: Sequence[Placement], rules: Sequence[Banding]) -> list[BandedCopies]:
    """Copies of one part, in groups that are banded alike."""
    rules = [r for r in rules if any(named_in(r.parts, part.name, p.label, p.role) for p in copies)]
    if not rules or part.form.as_board is None:
        return [BandedCopies(tuple(copies), ())]
    turns = _own_turns(part)
    groups: dict[tuple[tuple[str, str], ...], list[tuple[Placement, Edges]]] = {}
    for placement in copies:
        edges = _edges(part, placement, rules)
        key = min(_turned(edges, turn) for turn in turns)
        groups.setdefault(key, []).append((placement, edges))
    return [BandedCopies(tuple(p for p, _ in g), g[0][1]) for g in groups.values()]


def _edges(part: Part, placement: Placement, rules: Sequence[Banding]) -> Edges:
    found: dict[str, Band] = {}
    for rule in rules:
        if not named_in(rule.parts, part.name, placement.label, placement.role):
            continue
        for word in rule.edges:
            for edge in EDGES:
                if _meant(word, edge, placement.pose):
                    found[edge] = rule.band
    return tuple((e, found[e]) for e in EDGES if e in found)


def _meant(word: str, edge: str, pose: Pose) -> bool:
    if word == "all":
        return True
    if word in ("ends", "sides"):
        return edge[0] == ("x" if word == "ends" else "y")
    axis, sign = "xy".index(edge[0]), 1 if edge[1] == "+" else -1
    room, way = _ROOM[word]
    return pose.rotation[room][axis] * sign * way > LOOKS


def _own_turns(part: Part) -> list[Pose]:
    """The turns of the blank that leave the part as it is."""
    own = (part.form.key(), sorted(c.key() for c in part.cuts))
    found = [Pose()]
    for form, pose in part.form.turns():
        back = pose.inverse()
        if (form.key(), sorted(c.moved(back).key() for c in part.cuts)) == own:
            found.append(pose)
    return found


def _turned(edges: Edges, turn: Pose) -> tuple[tuple[str, str], ...]:
    """Banded edges after a turn of the part, by the names of their bands."""
    moved = []
    for edge, band in edges:
        axis, sign = "xy".index(edge[0]), 1 if edge[1] == "+" else -1
        column = [row[axis] * sign for row in turn.rotation]
        to = max(range(3), key=lambda k: abs(column[k]))
        moved.append((f"{'xyz'[to]}{'+' if column[to] > 0 else '-'}", band.name))
    return tuple(sorted(moved))
