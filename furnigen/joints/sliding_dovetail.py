"""Sliding dovetail housings: a groove with sloping sides across a, and a tongue to match on b's end.

b can not be drawn out of a: it slides in along the groove, from an edge of a, and comes out only that way.
The tongue is as thick as b at its tip and narrows toward a's face, so that b keeps two shoulders that bear on
that face and no setting out is needed beyond the depth.

The slope of dovetails: 1 in 6 in softwood and 1 in 8 in hardwood by hand (9.5° and 7.1°), cutters of 7° to
15° by machine. Common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import radians, tan

from furnigen.core.errors import InputError
from furnigen.core.facts import NO_FACTS, Fact, Joinery
from furnigen.core.pose import Pose, Vector, axis_vector
from furnigen.core.wording import in_words
from furnigen.joints.housing import groove_depth, groove_run, kept_within
from furnigen.joints.meeting import Meeting, Span
from furnigen.joints.seats import seat_of
from furnigen.joints.sizes import THIRD
from furnigen.joints.spec import Cutting, refuse_face
from furnigen.parts.cuts import SAME_MM, ProfileCut
from furnigen.parts.forms.outline import Outline, Point2, polygon_area

USUAL_DEGREES = 8.0
"""Slope of a side from square to a's face. Common practice, no source."""
STEEPEST_DEGREES = 20.0
"""A flatter side leaves a feather edge that breaks off. Our own limit."""
LEAST_NECK = 1 / 2
"""Thickness the tongue must keep at a's face, of b's. Our own limit: below it the neck breaks first."""
SIDES = ("front", "back")


@dataclass(frozen=True)
class SlidingDovetail:
    """A dovetail groove across a that takes b's end sideways (see `sliding_dovetail`)."""

    depth: float | None
    degrees: float
    stop: float
    slides_from: str
    glued: bool

    kind = "sliding dovetail"
    joinery, facts = Joinery.SLIDING_DOVETAIL, NO_FACTS
    crossing = False

    def growth(self, m: Meeting) -> float:
        """The depth of the groove."""
        m.boards_only(shaped_edges=True)
        m.square_only()
        refuse_face(m)
        if self.stop < 0:
            raise m.refusal("stop", self.stop, "must be 0 or more")
        depth = groove_depth(m, self.depth, THIRD)
        thick = m.b_box.size[m.across[1]]
        most = thick * (1 - LEAST_NECK) / (2 * tan(radians(self.degrees)))
        if depth > most + SAME_MM:
            raise m.refusal(
                "depth",
                depth,
                f"at {self.degrees:g}° must be at most {in_words(most)}, or the tongue of {m.b.label}"
                " is too thin at its neck",
                "a smaller angle allows more",
            )
        if 2 * m.fit >= 2 * depth * tan(radians(self.degrees)):
            raise m.refusal(
                "fit allowance", m.fit, "must be less than the undercut, or the joint holds nothing"
            )
        run = self._run(m, 0.0)
        shared = m.shared_on(m.across[0])
        if min(run[1], shared[1]) - max(run[0], shared[0]) <= m.fit + SAME_MM:
            raise m.refusal("stop", self.stop, "leaves nothing of the groove")
        m.flat_end_only(run)
        return depth

    def _stops(self) -> Span:
        """Stops at a's front (or low, or left) edge and at the other: the end it slides in from is open."""
        return (self.stop, 0.0) if self.slides_from == "back" else (0.0, self.stop)

    def _run(self, m: Meeting, gap: float) -> Span:
        return groove_run(m, *self._stops(), gap)

    def _open_end(self, m: Meeting) -> int:
        """The sign of the side along the groove from which b comes in."""
        low = m.low[m.across[0]]
        return low if self.slides_from == "front" else -low

    def keep(self, m: Meeting) -> tuple[Span, Span] | None:
        """Stopped, the end is notched to stay clear of the stop by the allowance."""
        return kept_within(m, self._run(m, m.fit)) if self.stop else None

    def cuts(self, m: Meeting) -> Cutting:
        """The groove, eased but on the side b rests on, and a wedge off either face of b's end."""
        run, cheek = m.across
        lo, hi = m.b_box.lo[cheek], m.b_box.hi[cheek]
        under = m.entered * tan(radians(self.degrees))
        low, high = m.with_fit(cheek, (lo, hi))
        # its sides run on at their slope over the allowance left at the bottom
        tip, more = m.entered + m.fit, m.fit * tan(radians(self.degrees))
        section = ((0.0, low + under), (0.0, high - under), (tip, high + more), (tip, low - more))
        groove = self._cut(m, section, self._run(m, 0.0), "dovetail groove", Fact.GROOVE)
        tongue = self._tongue(m)
        wedges = tuple(
            self._cut(m, ((0.0, at), (0.0, at + inward * under), (m.entered, at)), tongue, "dovetail")
            for at, inward in ((lo, 1.0), (hi, -1.0))
        )
        way = -self._open_end(m)
        shared = m.shared_on(run)
        mine = self._run(m, m.fit)
        ends = (max(mine[0], shared[0]), min(mine[1], shared[1]))
        open_edge = m.a_box.lo[run] if way > 0 else m.a_box.hi[run]
        travel = (ends[1] - open_edge) if way > 0 else (open_edge - ends[0])
        seat = seat_of(m, {run: ends, cheek: (lo + under, hi - under)})  # as thick as its neck
        return Cutting((groove,), wedges, (), m.b.pose.turn(axis_vector(run, float(way))), travel, seat=seat)

    def _tongue(self, m: Meeting) -> Span:
        """From where to where b's end is cut to a tongue along the groove."""
        run, board = m.across[0], m.b.form.as_board
        lo, hi = m.end_on(run)
        if self.stop or (board is not None and board.shaped_edge is not None):
            # the rest of the end is notched away
            low, high = self._run(m, m.fit)
            lo, hi = max(lo, low), min(hi, high)
        return lo, hi

    def _cut(
        self, m: Meeting, section: tuple[Point2, ...], span: Span, name: str, facts: Fact = NO_FACTS
    ) -> ProfileCut:
        """A section drawn along the groove; its points are (depth into a, place along the cheek axis), mm."""
        run, cheek = m.across
        start = [0.0, 0.0, 0.0]
        start[m.axis], start[run] = m.plane, span[0]
        into, across = axis_vector(m.axis, float(m.sign)), axis_vector(cheek)
        along: Vector = axis_vector(run)
        outline: Outline = section
        pose = Pose.columns(into, across, along, (start[0], start[1], start[2]))
        if _left_handed(into, across, along):
            # drawn from the other end, the same cut in a right-handed frame
            start[run] = span[1]
            back = axis_vector(run, -1.0)
            pose = Pose.columns(into, across, back, (start[0], start[1], start[2]))
        if polygon_area(outline) < 0:
            outline = outline[::-1]
        return ProfileCut(pose, outline, span[1] - span[0], name, facts)


def _left_handed(x: Vector, y: Vector, z: Vector) -> bool:
    return (
        (x[1] * y[2] - x[2] * y[1]) * z[0]
        + (x[2] * y[0] - x[0] * y[2]) * z[1]
        + (x[0] * y[1] - x[1] * y[0]) * z[2]
    ) < 0


def sliding_dovetail(
    depth: float | None = None,
    *,
    degrees: float = USUAL_DEGREES,
    stop: float = 0.0,
    slides_from: str = "back",
    glued: bool = True,
) -> SlidingDovetail:
    """A sliding dovetail housing: b's end slid into a groove across a with sloping sides, which holds it in.

    The tongue is as thick as b at its tip. The allowance eases the groove at its bottom and on the side
    b does not rest on, or on both.
    Cutting it by machine needs the usual care: the full depth is taken in one pass, so rout a straight groove
    first, and hold the board upright against a tall fence.

    Args:
        depth: into a (mm); by default a third of it, to the half millimetre below.
        degrees: slope of the sides, from square to a's face; 8 by default.
        stop: how far the groove stays back from the edge of a at which b arrives (mm); b's corner is notched.
        slides_from: the edge of a at which b goes in, "back" or "front" (or high and low, right and left).
        glued: whether it is glued.

    Raises: InputError for a side that is not known, or a slope of 20° or more.

    >>> sliding_dovetail(6.0, stop=12.0).kind
    'sliding dovetail'
    """
    if slides_from not in SIDES:
        raise InputError("side a dovetail slides in from", slides_from, f"must be one of {', '.join(SIDES)}")
    if not 0 < degrees < STEEPEST_DEGREES:
        raise InputError(
            "angle of a dovetail",
            f"{degrees:g}°",
            f"must be more than 0° and less than {STEEPEST_DEGREES:g}°",
        )
    return SlidingDovetail(depth, degrees, stop, slides_from, glued)
