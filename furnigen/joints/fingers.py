"""Finger joints: the ends of two boards at a corner cut into fingers that fill each other's gaps."""

from __future__ import annotations

from dataclasses import dataclass

from furnigen.core.errors import InputError
from furnigen.core.facts import NO_FACTS, Joinery
from furnigen.core.wording import in_words
from furnigen.joints.corner import turn_at_corner
from furnigen.joints.meeting import Meeting, Span, box_cut, box_of
from furnigen.joints.seats import seat_of
from furnigen.joints.spec import Cutting, check_clearance, refuse_face
from furnigen.parts.cuts import SAME_MM, BoxCut

LEAST_FINGERS = 3
"""Two on one board, one between them on the other: fewer do not interlock."""
THINNEST_MM = 3.0
"""A thinner finger breaks, and no common cutter makes its gap. Common practice, no source."""


@dataclass(frozen=True)
class Fingers:
    """Interlocking fingers at a corner (see `finger_joint`)."""

    count: int | None
    glued: bool

    kind = "finger joint"
    crossing = False
    # dry fingers slide apart the way they went in
    joinery, facts = Joinery.FINGER, NO_FACTS

    def growth(self, m: Meeting) -> float:
        """All of a's thickness: the fingers end flush with its outer face."""
        refuse_face(m, "an end")
        self._edges(m, turn_at_corner(m)[0])
        return m.room_in_a

    def keep(self, m: Meeting) -> tuple[Span, Span] | None:
        """All: the fingers are cut in it."""
        return None

    def _edges(self, m: Meeting, cheek: int) -> list[float]:
        """Where the fingers begin and end across the boards' width, in b's frame (mm).

        Args:
            cheek: the axis along which b is flush with a's end.
        """
        box = m.end_box
        run = 3 - cheek - m.axis
        wide = box.size[run]
        most = int((wide + SAME_MM) / THINNEST_MM)
        count = self.count
        if count is None:
            # as wide as the board is thick, an odd number so that boards may be turned over
            count = max(LEAST_FINGERS, 2 * round((wide / box.size[cheek] - 1) / 2) + 1)
            count = max(LEAST_FINGERS, min(count, most - (most + 1) % 2))
        if count % 2 == 0 or not LEAST_FINGERS <= count <= most:
            raise InputError(
                f"number of fingers ({m.where})",
                count,
                f"must be odd, at least {LEAST_FINGERS}, each at least {in_words(THINNEST_MM)} wide",
                f"{in_words(wide)} takes at most {most - (most + 1) % 2}"
                if most >= LEAST_FINGERS
                else f"boards at least {in_words(LEAST_FINGERS * THINNEST_MM)} wide would fit",
            )
        check_clearance(m, wide / count / 4, "quarter of a finger's width")
        return [box.lo[run] + wide * i / count for i in range(count + 1)]

    def cuts(self, m: Meeting) -> Cutting:
        """Gaps in both ends; those of a eased by the fit on either side, all tight at their bottoms."""
        cheek, _ = turn_at_corner(m)
        edges = self._edges(m, cheek)
        box = m.end_box
        run = 3 - cheek - m.axis
        deep = {m.axis: m.slab(m.entered), cheek: (box.lo[cheek], box.hi[cheek])}

        def gap(i: int, ease: float) -> BoxCut:
            return box_cut(box_of(deep | {run: (edges[i] - ease, edges[i + 1] + ease)}), "finger")

        count = len(edges) - 1
        return Cutting(
            a=tuple(gap(i, m.fit) for i in range(1, count, 2)),
            b=tuple(gap(i, 0.0) for i in range(0, count, 2)),
            home=m.into,
            travel_mm=m.entered,
            seat=seat_of(m, parts=count),
        )


def finger_joint(count: int | None = None, *, glued: bool = True) -> Fingers:
    """A finger joint: b's end butts against a's face flush with a's end, both are equally wide.

    Args:
        count: of fingers on both boards together, an odd number: a keeps the outer ones. By default they
            are about as wide as b is thick (common practice, no source).
        glued: whether it is glued.

    Raises: InputError, by `Draft.join` or `Draft.done`, for a size that the boards do not allow.

    >>> finger_joint(count=9).kind
    'finger joint'
    """
    return Fingers(count, glued)
