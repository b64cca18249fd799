"""Half-laps and cross-laps: each board is notched for the other over part of one direction.

Two boards flat in one plane (rails over posts, the corners of a frame) halve their thickness. Boards that
cross on edge (crate grids, a shelf through a divider) are slotted along the direction both have in common.
"""

from __future__ import annotations

from dataclasses import dataclass

from furnigen.core.errors import InputError
from furnigen.core.facts import NO_FACTS, Joinery
from furnigen.core.pose import axis_vector
from furnigen.joints.meeting import Meeting, Span, box_cut, box_of
from furnigen.joints.spec import Cutting, check_clearance
from furnigen.parts.cuts import SAME_MM

B_SIDES = ("", "low", "high")


@dataclass(frozen=True)
class Lap:
    """A half-lap or cross-lap (see `half_lap` and `cross_lap`)."""

    kind: str
    share: float
    b_side: str
    glued: bool

    joinery, facts = Joinery.LAP, NO_FACTS
    crossing = True

    def __post_init__(self) -> None:
        if not 0 < self.share < 1:
            raise InputError("share of a lap", f"{self.share:g}", "must be between 0 and 1")
        if self.b_side not in B_SIDES:
            raise InputError("side of b in a lap", self.b_side, 'must be "low", "high" or ""')

    def growth(self, m: Meeting) -> float:
        """All of a's width, where b only butts against it."""
        m.boards_only()
        m.square_only()
        check_clearance(m, min(m.a_box.size) / 2, "half thickness")
        if m.axis >= 0:
            if self._split(m) == m.axis:
                raise InputError(
                    "joint", f"{self.kind}, {m.where}", "boards that lie face to face have nothing to lap"
                )
            return m.room_in_a
        through = [i for i in range(3) if i != self._split(m)]
        if all(m.b_box.size[i] <= m.a_box.size[i] + SAME_MM for i in through) and self._inside(m, through):
            raise InputError("joint", f"{self.kind}, {m.where}", f"{m.b.label} lies within {m.a.label}")
        return 0.0

    @staticmethod
    def _inside(m: Meeting, axes: list[int]) -> bool:
        return all(
            m.a_box.lo[i] < m.b_box.lo[i] - SAME_MM and m.b_box.hi[i] < m.a_box.hi[i] - SAME_MM for i in axes
        )

    @staticmethod
    def _split(m: Meeting) -> int:
        """The axis along which both are notched."""
        row = m.to_b.rotation
        thick = max(range(3), key=lambda i: abs(row[i][2]))  # a's thickness, seen in b's frame
        return 2 if thick == 2 else 3 - thick - 2

    def _b_way(self, m: Meeting, split: int) -> int:
        """The sign of the split axis toward the side that b keeps."""
        upright = m.is_upright(split)
        side = self.b_side or ("high" if upright else "low")
        return m.low[split] if side == "low" else -m.low[split]

    def keep(self, m: Meeting) -> tuple[Span, Span] | None:
        """All of the end."""
        return None

    def cuts(self, m: Meeting) -> Cutting:
        """A notch in each, open to its own side; both bottoms meet."""
        split = self._split(m)
        way = self._b_way(m, split)
        lo, hi = m.shared_on(split)
        # a keeps `share` of what they have in common, on the side away from b
        mid = lo + (hi - lo) * (self.share if way > 0 else 1 - self.share)
        edge_a = m.a_box.hi[split] if way > 0 else m.a_box.lo[split]
        edge_b = m.b_box.lo[split] if way > 0 else m.b_box.hi[split]
        spans_a: dict[int, Span] = {split: (min(mid, edge_a), max(mid, edge_a))}
        spans_b: dict[int, Span] = {split: (min(mid, edge_b), max(mid, edge_b))}
        for i in range(3):
            if i != split:
                b_span = m.end_on(i) if m.axis >= 0 and i != m.axis else (m.b_box.lo[i], m.b_box.hi[i])
                spans_a[i] = m.with_fit(i, b_span)
                spans_b[i] = m.with_fit(i, (m.a_box.lo[i], m.a_box.hi[i]))
        travel = abs(edge_a - mid)
        return Cutting(
            a=(box_cut(box_of(spans_a), "lap"),),
            b=(box_cut(box_of(spans_b), "lap"),),
            home=m.b.pose.turn(axis_vector(split, -float(way))),
            travel_mm=travel,
        )


def half_lap(*, share: float = 0.5, b_side: str = "", glued: bool = True) -> Lap:
    """A half-lap: frame corners and tees (b placed butting on a's edge), rails over posts (placed crossing).

    Args:
        share: what a keeps of its thickness where they lap.
        b_side: where b lies, "high" or "low" along the lap; by default above, in front or to the left.
        glued: whether it is glued.

    Raises: InputError, by `Draft.join` or `Draft.done`, for a size that the boards do not allow.

    >>> half_lap(share=0.5).kind
    'half-lap'
    """
    return Lap("half-lap", share, b_side, glued)


def cross_lap(*, share: float = 0.5, b_side: str = "", glued: bool = False) -> Lap:
    """A cross-lap: boards on edge slotted into each other, placed running through each other.

    Args:
        share: what a keeps of the direction they have in common.
        b_side: the side b comes from, "high" or "low"; by default from above, or from the front.
        glued: whether it is glued.

    Raises: InputError, by `Draft.join` or `Draft.done`, for a size that the boards do not allow.

    >>> cross_lap(b_side="high").glued
    False
    """
    return Lap("cross-lap", share, b_side, glued)
