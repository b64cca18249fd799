"""Housings (dados), through or stopped, and rabbets: b's whole end let into a groove in a."""

from __future__ import annotations

from dataclasses import dataclass

from furnigen.core.errors import InputError
from furnigen.core.facts import NO_FACTS, Fact, Joinery
from furnigen.core.pose import axis_vector
from furnigen.core.wording import in_words
from furnigen.joints.meeting import Meeting, Span, box_cut, box_of
from furnigen.joints.seats import seat_of
from furnigen.joints.sizes import THIRD
from furnigen.joints.spec import Cutting, check_clearance, refuse_face
from furnigen.parts.cuts import SAME_MM

DEEPEST_SHARE = 1 / 2
"""A groove deeper than half its board is refused. Common practice, no source."""
BARELY_MM = 3.0
"""A board that stays back less from an edge has its groove run out there: so thin a rim would break off.

Common practice, no source."""
STEP_MM = 0.5
"""Depths that are worked out go down to the next half millimetre, which a cutter can be set to."""


def groove_depth(m: Meeting, depth: float | None, share: float) -> float:
    """The depth of a groove in a (mm); by default a share of a, to the half millimetre below.

    Raises: InputError for one that a does not allow, or that the fit allowance leaves nothing of.
    """
    most = m.room_in_a * DEEPEST_SHARE
    if depth is None:
        depth = max(STEP_MM, m.room_in_a * share // STEP_MM * STEP_MM)
    if not SAME_MM < depth <= most + SAME_MM:
        raise m.refusal(
            "depth", depth, f"must be more than 0 and at most {in_words(most)}, half of {m.a.label}"
        )
    check_clearance(m, depth, "depth")
    return depth


def _bottom_gap(m: Meeting) -> float:
    """Room left at the groove's bottom: none where b stands on it."""
    return 0.0 if m.upright else m.fit


def groove_run(m: Meeting, stop: float, stop_far: float, gap: float) -> Span:
    """From where to where a groove runs along the joint (mm).

    Args:
        stop, stop_far: how far it stays back from a's low (front, or left) edge and from the other.
        gap: how far stops are moved inward.
    """
    run = m.across[0]
    near, far = (stop, stop_far) if m.low[run] < 0 else (stop_far, stop)
    lo, hi = m.a_box.lo[run], m.a_box.hi[run]
    return (lo + near + (gap if near else 0.0), hi - far - (gap if far else 0.0))


def kept_within(m: Meeting, span: Span) -> tuple[Span, Span]:
    """What stays of b's end: a span along the joint, over its whole thickness (see `Spec.keep`)."""
    run, cheek = m.across
    spans = {run: span, cheek: (m.b_box.lo[cheek], m.b_box.hi[cheek])}
    one, two = sorted((run, cheek))
    return spans[one], spans[two]


@dataclass(frozen=True)
class Housing:
    """A groove across a that takes b's whole end (see `housing`)."""

    depth: float | None
    stop: float | None
    stop_far: float | None
    glued: bool

    kind = "housing"
    joinery, facts = Joinery.HOUSING, NO_FACTS
    crossing = False

    def growth(self, m: Meeting) -> float:
        """The depth of the groove."""
        m.boards_only(shaped_edges=True)
        refuse_face(m, "an edge")
        for what, stop in (("stop", self.stop), ("far stop", self.stop_far)):
            if stop is not None and (stop < 0 or (stop > 0 and not m.square)):
                raise m.refusal(what, stop, "must be 0 or more, and 0 for boards askew to each other")
        depth = groove_depth(m, self.depth, THIRD)
        lo, hi = self._run(m, 0.0)
        b = m.shared_on(m.across[0])
        engaged = min(hi, b[1]) - max(lo, b[0])
        if engaged <= m.fit + SAME_MM:
            raise m.refusal("stop", (self.stop or 0) + (self.stop_far or 0), "leaves nothing of the groove")
        m.flat_end_only((lo, hi))
        return depth

    def _run(self, m: Meeting, gap: float) -> Span:
        """The groove's extent along it, stops moved inward by `gap`."""
        run = groove_run(m, self.stop or 0.0, self.stop_far or 0.0, gap)
        if not m.square:
            return run
        axis = m.across[0]
        b = m.placed_on(axis)
        # b's end stops the groove by itself, where it lies that far back in a
        by_itself = [b[0] - m.fit, b[1] + m.fit]
        ends = [
            run[k] if stop is not None or abs(b[k] - run[k]) <= BARELY_MM else by_itself[k]
            for k, stop in enumerate(self._in_order(m))
        ]
        return max(run[0], ends[0]), min(run[1], ends[1])

    def _in_order(self, m: Meeting) -> tuple[float | None, float | None]:
        """Its stops at the low and the high end along the groove, in b's frame."""
        return (self.stop, self.stop_far) if m.low[m.across[0]] < 0 else (self.stop_far, self.stop)

    def keep(self, m: Meeting) -> tuple[Span, Span] | None:
        """Stopped, the end is notched to stay clear of the stop by the allowance."""
        if not (self.stop or self.stop_far):
            return None
        return kept_within(m, self._run(m, m.fit))

    def cuts(self, m: Meeting) -> Cutting:
        """One groove in a, tight at its bottom where b stands on it, else on its low cheek."""
        run, cheek = m.across
        spans = {
            m.axis: m.slab(m.entered + _bottom_gap(m)),
            # b that stands on the bottom needs no tight cheek
            cheek: m.with_fit(cheek, (m.b_box.lo[cheek], m.b_box.hi[cheek]), not m.upright),
            run: self._run(m, 0.0),
        }
        lo, hi = self._run(m, m.fit)
        ours = m.shared_on(run)
        seat = seat_of(m, {run: (max(lo, ours[0]), min(hi, ours[1])), cheek: m.shared_on(cheek)})
        groove = (box_cut(box_of(spans), "housing", Fact.GROOVE),)
        return Cutting(a=groove, home=m.into, travel_mm=m.entered, seat=seat)


@dataclass(frozen=True)
class Rabbet:
    """A step along a's edge that takes b's end or edge (see `rabbet`)."""

    depth: float | None
    through: bool
    glued: bool

    kind = "rabbet"
    joinery, facts = Joinery.RABBET, NO_FACTS
    crossing = False

    def growth(self, m: Meeting) -> float:
        """How far b goes into the step."""
        m.boards_only(shaped_edges=True)
        m.square_only()
        refuse_face(m, "an edge")
        self._refuse_nosing(m, self._open_side(m))
        depth = groove_depth(m, self.depth, DEEPEST_SHARE)
        m.flat_end_only(self._ends(m))
        return depth

    def _ends(self, m: Meeting) -> Span:
        """From where to where the step runs (mm)."""
        run = m.across[0]
        if self.through:
            return m.a_box.lo[run], m.a_box.hi[run]
        lo, hi = m.shared_on(run)
        return lo - m.fit, hi + m.fit

    @staticmethod
    def _refuse_nosing(m: Meeting, out: int) -> None:
        """Refuse a step along a nosing.

        Raises: InputError.
        """
        board = m.a.form.as_board
        way = m.to_b.inverse().turn(axis_vector(m.across[1], float(out)))
        axis = max(range(3), key=lambda i: abs(way[i]))
        if board is None or board.shaped_edge is None:
            return
        if not board.square_end(axis, 1 if way[axis] > 0 else -1):
            raise InputError(
                "joint",
                f"rabbet, {m.where}",
                f"that edge of {m.a.label} is shaped and has no room for a step",
                "a housing behind it, or another edge",
            )

    def _open_side(self, m: Meeting) -> int:
        """The sign of the cheek axis toward a's edge that b is flush with.

        Raises: InputError when b is flush with neither.
        """
        cheek = m.across[1]
        if m.b_box.hi[cheek] >= m.a_box.hi[cheek] - SAME_MM:
            return 1
        if m.b_box.lo[cheek] <= m.a_box.lo[cheek] + SAME_MM:
            return -1
        raise InputError(
            "joint",
            f"rabbet, {m.where}",
            f"{m.b.label} must be flush with an edge of {m.a.label}",
            "inside the board it is a housing",
        )

    def keep(self, m: Meeting) -> tuple[Span, Span] | None:
        """All of the end."""
        return None

    def cuts(self, m: Meeting) -> Cutting:
        """One step in a, tight against its shoulder, open to the edge."""
        run, cheek = m.across
        out = self._open_side(m)
        edge = m.a_box.hi[cheek] if out > 0 else m.a_box.lo[cheek]
        shoulder = m.b_box.lo[cheek] if out > 0 else m.b_box.hi[cheek]
        spans = {
            m.axis: m.slab(m.entered + _bottom_gap(m)),
            cheek: (min(edge, shoulder), max(edge, shoulder)),
            run: self._ends(m),
        }
        home = m.b.pose.turn(axis_vector(cheek, -float(out)))
        travel = abs(edge - shoulder)
        return Cutting(a=(box_cut(box_of(spans), "rabbet"),), home=home, travel_mm=travel)


def housing(
    depth: float | None = None,
    *,
    stop: float | None = None,
    stop_far: float | None = None,
    glued: bool = True,
) -> Housing:
    """A housing (dado): b's end let into a groove across a, tight on its low cheek (or
    on its bottom, where b stands on a or under it).

    Args:
        depth: into a (mm); by default a third of it, to the half millimetre below.
        stop: how far the groove stays back from a's front (or low, or left) edge (mm); b's corner is
            notched, so its front stays where it is. 0 runs through. By default it runs as far as b does, so
            it stops where b does.
        stop_far: the same at the other edge.
        glued: whether it is glued.

    Raises: InputError, by `Draft.join` or `Draft.done`, for a size that the boards do not allow.

    >>> housing(depth=6, stop=20)
    Housing(depth=6, stop=20, stop_far=None, glued=True)
    """
    return Housing(depth, stop, stop_far, glued)


def rabbet(depth: float | None = None, *, through: bool = False, glued: bool = True) -> Rabbet:
    """A rabbet: b let into a step along a's edge, as a back into the sides; b must be flush with that edge.

    Args:
        depth: how far b enters a (mm); by default half of it (3/8 in in 3/4 stock: common practice, no
            source), to the half millimetre below.
        through: the step runs the whole of a, not only where b is.
        glued: whether it is glued.

    Raises: InputError, by `Draft.join` or `Draft.done`, for a size that the boards do not allow.

    >>> rabbet(through=True).kind
    'rabbet'
    """
    return Rabbet(depth, through, glued)
