"""Round tenons: a rung or a leg turned down at its end, in a hole bored along its own axis.

A leg that leans goes into its block at the compound angle; its shoulder is level and bears, its tenon is
cut off level, flush with the block's top where it goes through.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sqrt, tan

from furnigen.core.errors import InputError
from furnigen.core.facts import NO_FACTS, Joinery
from furnigen.core.pose import Vector, axis_vector, dot
from furnigen.core.wording import in_words
from furnigen.joints.meeting import Meeting, Span
from furnigen.joints.seats import seat_of
from furnigen.joints.sizes import BLIND_SHARE, HOLE_SPARE_MM, LEAST_WALL_MM
from furnigen.joints.spec import Cutting, check_clearance
from furnigen.parts.cuts import SAME_MM, Bore, Turned

TENON_SHARE = 0.6
"""Diameter of a tenon turned on a leg or rung, of its smallest section. Common practice, no source."""


@dataclass(frozen=True)
class _Geometry:
    """A tenon in b's frame: where its axis crosses a's face, its direction, and the lean from square."""

    at: Vector
    axis: Vector
    normal: Vector
    lean: float
    section: float


def _geometry(m: Meeting) -> _Geometry:
    n = axis_vector(m.axis, float(m.sign))
    leg = m.b.form.as_leg
    if leg is not None:
        low, high = leg.axis_at(0.0), leg.axis_at(m.plane)
        run = tuple(h - a for h, a in zip(high, low, strict=True))
        long = sqrt(dot(run, run))  # type: ignore[arg-type]
        axis = (run[0] / long, run[1] / long, run[2] / long)
        section = 2 * min(leg.half_at(m.plane), leg.half_at(leg.height))
        return _Geometry(high, axis, n, radians(leg.lean), section)
    middle = list((m.placed or m.b_box).centre)
    middle[m.axis] = m.plane
    section = min(m.b_box.size[i] for i in range(3) if i != m.axis)
    return _Geometry((middle[0], middle[1], middle[2]), n, n, 0.0, section)


@dataclass(frozen=True)
class RoundTenon:
    """A round tenon on b in a hole in a (see `round_tenon`)."""

    diameter: float | None
    length: float | None
    through: bool
    glued: bool

    kind = "round tenon"
    joinery, facts = Joinery.TENON, NO_FACTS
    crossing = False

    def growth(self, m: Meeting) -> float:
        """How far the tenon rises square to a's face."""
        form, g = m.b.form, _geometry(m)
        # a leg goes in with its top; its round tenon is turned about its own axis
        leg = form.as_leg is not None and m.axis == 2 and m.sign > 0
        if m.a.form.as_board is None or not (leg or form.section_mm2(m.axis) is not None):
            raise InputError(
                "joint",
                f"round tenon, {m.where}",
                f"needs the end of a rod, board or leg in a board, not a {form.kind} in a {m.a.form.kind}",
            )
        d = self._diameter(m, g)
        check_clearance(m, d / 2, "radius")
        room = m.room_in_a
        if self.through:
            return room
        # the hole's flat bottom must clear the level tip of a leaning tenon, and stay in the wood
        tip = 2 * (d / 2 + m.fit) * tan(g.lean)
        most = room - LEAST_WALL_MM - (0.0 if self._bare(m, d) else HOLE_SPARE_MM) - tip
        length = self.length if self.length is not None else min(room * BLIND_SHARE, most)
        if not SAME_MM < length <= most + SAME_MM:
            raise m.refusal(
                "tenon length",
                length,
                f"must be more than 0 and at most {in_words(max(0.0, most))} in {m.a.label}",
                "or take it through",
            )
        return length

    def _diameter(self, m: Meeting, g: _Geometry) -> float:
        most = g.section
        if self.diameter is None:
            bare = m.b.form.round_diameter is not None and not self.through
            return most if bare else round(most * TENON_SHARE)
        if not SAME_MM < self.diameter <= most + SAME_MM:
            raise m.refusal(
                "tenon diameter",
                self.diameter,
                f"must be more than 0 and at most the {in_words(most)} of {m.b.label}",
            )
        return self.diameter

    @staticmethod
    def _bare(m: Meeting, diameter: float) -> bool:
        """Whether the rod goes in as it is, without a shoulder: then its end bears on the hole's bottom."""
        whole = m.b.form.round_diameter
        return whole is not None and diameter > whole - SAME_MM

    def keep(self, m: Meeting) -> tuple[Span, Span] | None:
        """All: turning takes off the rest."""
        return None

    def cuts(self, m: Meeting) -> Cutting:
        """The shoulder turned on b, the hole bored in a along b's axis."""
        g = _geometry(m)
        d = self._diameter(m, g)
        bare = self._bare(m, d)
        hole = d + 2 * m.fit
        if bare and self.through:
            hole = d  # nothing else would hold it: a driven fit
        back = (hole / 2 + 1.0) * tan(g.lean)  # from outside, so that the whole rim is in air
        rise = m.entered / cos(g.lean)
        if self.through:
            depth = rise + 2 * back
        else:
            depth = rise + back + (0.0 if bare else HOLE_SPARE_MM) + d / 2 * tan(g.lean)
        start = (
            g.at[0] - back * g.axis[0],
            g.at[1] - back * g.axis[1],
            g.at[2] - back * g.axis[2],
        )
        bore = Bore(start, g.axis, hole, depth, "round mortise", not self.through)
        turned = () if bare else (Turned(g.at, g.normal, g.axis, d),)
        middle = {i: (g.at[i] - d / 2, g.at[i] + d / 2) for i in range(3) if i != m.axis}
        seat = seat_of(m, middle, round_one=True)
        return Cutting((bore,), turned, (), m.b.pose.turn(g.axis), rise, seat=seat)


def round_tenon(
    diameter: float | None = None,
    length: float | None = None,
    *,
    through: bool = False,
    glued: bool = True,
) -> RoundTenon:
    """A round tenon: a rod, a rung or a leg into a hole bored along its own axis.

    Args:
        diameter: of the tenon (mm); by default a rod goes in whole, a leg or rung with 0.6 of its section.
        length: into a, square to its face (mm); by default two thirds of a, less where the hole leans.
        through: goes through a and ends flush.
        glued: whether it is glued.

    Raises: InputError, by `Draft.join` or `Draft.done`, for a size that the boards do not allow.

    >>> round_tenon(25, through=True).kind
    'round tenon'
    """
    return RoundTenon(diameter, length, through, glued)
