"""Cleats: a strip screwed to the side, on which the shelf lies."""

from __future__ import annotations

from dataclasses import dataclass

from furnigen.catalogue.stock import Stock
from furnigen.core.errors import InputError
from furnigen.core.facts import Fact
from furnigen.core.pose import AXES, Box
from furnigen.core.wording import as_given, in_words
from furnigen.joints.fastened import Butt
from furnigen.joints.meeting import Meeting
from furnigen.joints.spec import StripJoint

SETBACK_MM = 10.0
"""A cleat stays back from the shelf's front edge, out of sight. Common practice, no source."""
LEAST_SCREWS = 2
"""On one screw a cleat turns. Common practice, no source."""
LEAST_MM = 40.0
"""A shorter cleat takes no two screws. Common practice, no source."""


@dataclass(frozen=True)
class Cleat(StripJoint):
    """A strip under b's end, screwed to a (see `cleat`)."""

    stock: Stock
    height: float
    setback: float
    to_a: Butt
    to_b: Butt

    kind = "cleat"

    def strip(self, m: Meeting) -> tuple[Box, str]:
        """Where the strip goes in the room (mm), and the axis of its grain.

        Raises: InputError when b does not lie level against a, or the strip would be too short.
        """
        m.boards_only(shaped_edges=True)
        m.square_only()
        run, cheek = m.across
        if m.axis == 2 or not m.is_upright(cheek):
            raise InputError("joint", f"cleat, {m.where}", f"{m.b.label} must lie level against {m.a.label}")
        lo, hi = m.shared_on(run)
        lo, hi = (lo + self.setback, hi) if m.low[run] < 0 else (lo, hi - self.setback)
        if hi - lo < LEAST_MM:
            raise InputError(
                "setback of a cleat",
                in_words(self.setback),
                f"leaves less than {in_words(LEAST_MM)} under {m.b.label}",
            )
        under = m.b_box.lo[cheek] if m.low[cheek] < 0 else m.b_box.hi[cheek]
        corners = []
        for s in (lo, hi):
            for out, down in ((0.0, 0.0), (self.stock.thickness_mm, self.height)):
                place = {
                    run: s,
                    m.axis: m.plane - m.sign * out,
                    cheek: under + m.low[cheek] * down,
                }
                corners.append(m.room(place))
        along = m.b.pose.rotation
        grain = AXES[max(range(3), key=lambda i: abs(along[i][run]))]
        return Box.around(corners), grain


def cleat(
    stock: Stock,
    *,
    height: float | None = None,
    setback: float = SETBACK_MM,
    screws: int | None = None,
    screwed_shelf: bool = False,
) -> Cleat:
    """A strip under b's end, screwed to a; the shelf b lies on it.

    Args:
        stock: of the strip; its thickness stands out from a.
        height: of the strip (mm); by default the stock's width for a bar, else twice its thickness.
        setback: from b's front edge (mm).
        screws: into a; None for the usual spacing, two at least.
        screwed_shelf: the shelf is screwed down to it too.

    Raises: InputError for a height or setback that is no size.

    >>> from furnigen import find_stock
    >>> cleat(find_stock("birch-ply-18"), height=40).height
    40
    """
    if height is None:
        height = stock.width_mm if stock.kind == "bar" else 2 * stock.thickness_mm
    if not height > 0 or setback < 0:
        raise InputError(
            "cleat",
            f"{as_given(height)} high, {as_given(setback)} back",
            "sizes must be above 0",
        )
    to_a = Butt(screws, None, None, False, False, 1, "cleat", Fact.CARRIES_BY_ITS_SHAPE, LEAST_SCREWS)
    to_b = Butt(None if screwed_shelf else 0, None, None, False, False, 1, "cleat", Fact.CARRIES_BY_ITS_SHAPE)
    return Cleat(stock, height, setback, to_a, to_b)
