"""Joints held by hardware where b lies flat against a: butt with screws, or dowels."""

from __future__ import annotations

from dataclasses import dataclass

from furnigen.catalogue.hardware import check_screw_length, dowel_for, screw_for
from furnigen.core.errors import InputError
from furnigen.core.facts import NO_FACTS, Fact, FastenerKind, Joinery
from furnigen.core.pose import Vector
from furnigen.core.wording import in_words
from furnigen.joints.fastener_places import even_sites, fastener_sites, hardware_bore, way_in
from furnigen.joints.joint import Fastener
from furnigen.joints.meeting import Meeting, Span
from furnigen.joints.sizes import HOLE_SPARE_MM
from furnigen.joints.spec import Cutting
from furnigen.parts.cuts import Bore

PILOT_SHARE = 0.7
"""Pilot hole as a share of a screw's diameter, in wood of middling hardness. Common practice, no source."""


def _thickness(m: Meeting) -> float:
    """Smallest side of b square to the axis: what a hole in its end or edge must stay within."""
    return min(m.b_box.size[i] for i in range(3) if i != m.axis)


def _edge_of_a(m: Meeting) -> float | None:
    """How thick a is beside a hole made in its edge or end; None where b meets its face."""
    board = m.a.form.as_board
    return None if board is None or m.a_axis == 2 else board.thickness


@dataclass(frozen=True)
class Butt:
    """Faces only, with or without screws (see `butt`)."""

    screws: int | None
    diameter: float | None
    length: float | None
    pilot: bool
    glued: bool
    lines: int | None = None
    kind: str = "butt"
    facts: Fact = NO_FACTS
    least: int = 1

    joinery = Joinery.BUTT
    crossing = False

    def growth(self, m: Meeting) -> float:
        """Nothing enters."""
        if self.lines is not None and self.lines < 1:
            raise InputError(f"lines of screws ({m.where})", self.lines, "must be 1 or more")
        if self.screws != 0:
            self._screw(m)
        return 0.0

    def keep(self, m: Meeting) -> tuple[Span, Span] | None:
        """All of the end."""
        return None

    def _head_in_a(self, m: Meeting) -> bool:
        return m.room_in_a <= m.b_box.size[m.axis]

    def _screw(self, m: Meeting) -> tuple[float, float, float, float]:
        """Diameter and length of the screw, wood it goes through, and wood it goes into (mm)."""
        first = self._head_in_a(m)
        a, b = m.room_in_a, m.b_box.size[m.axis]
        through, into = (a, b) if first else (b, a)
        edge = (_thickness(m) if m.axis != 2 else None) if first else _edge_of_a(m)
        if self.length is not None:
            check_screw_length(self.length, through, into, f"screw ({m.where})")
            diameter = self.diameter or 4.0
            return diameter, self.length, through, into
        try:
            screw = screw_for(through, into, edge_mm=edge)
        except InputError as error:
            error.add_note(f"in the butt joint of {m.where}")
            raise
        return self.diameter or screw.diameter_mm, screw.length_mm, through, into

    def cuts(self, m: Meeting) -> Cutting:
        """Screws through the thinner member into the other; holes for them when asked."""
        if self.screws == 0:
            return Cutting(home=m.into)
        diameter, length, through, _ = self._screw(m)
        from_a = self._head_in_a(m)
        heads: list[tuple[Vector, Vector]] = []
        holes_a: list[Bore] = []
        holes_b: list[Bore] = []
        way = -m.sign if from_a else m.sign
        sites = fastener_sites(m, self.screws, self.lines)
        if self.screws is None and len(sites) < self.least:
            sites = fastener_sites(m, self.least, self.lines)
        for site in sites:
            head = dict(site)
            head[m.axis] = m.plane - way * through
            heads.append((m.room(head), m.b.pose.turn(way_in(m, not from_a))))
            if self.pilot:
                screw, thin = FastenerKind.SCREW, diameter * PILOT_SHARE
                clear = hardware_bore(
                    m, site, from_a, diameter, through, "clearance hole", screw, blind=False
                )
                pilot = hardware_bore(m, site, not from_a, thin, length - through, "pilot hole", screw)
                (holes_a if from_a else holes_b).append(clear)
                (holes_b if from_a else holes_a).append(pilot)
        screws = Fastener(FastenerKind.SCREW, diameter, length, tuple(heads))
        return Cutting(tuple(holes_a), tuple(holes_b), (screws,), m.into)


@dataclass(frozen=True)
class Dowelled:
    """Dowels across the meeting faces, both bored (see `dowelled`)."""

    count: int | None
    diameter: float | None
    length: float | None
    glued: bool

    kind = "dowelled"
    joinery, facts = Joinery.DOWELLED, NO_FACTS
    crossing = False

    def growth(self, m: Meeting) -> float:
        """Nothing enters."""
        m.boards_only(shaped_edges=True)
        self._dowel(m)
        return 0.0

    def keep(self, m: Meeting) -> tuple[Span, Span] | None:
        """All of the end."""
        return None

    def _dowel(self, m: Meeting) -> tuple[float, float, float]:
        """Diameter, length, and how much of it is in a (mm)."""
        edge = min(_thickness(m), _edge_of_a(m) or _thickness(m))
        a, b = m.room_in_a, m.b_box.size[m.axis]
        if self.diameter is None or self.length is None:
            try:
                usual = dowel_for(edge, min(a, b))
            except InputError as error:
                error.add_note(f"in the dowelled joint of {m.where}")
                raise
        diameter = self.diameter or usual.diameter_mm
        length = self.length or usual.length_mm
        if not 0 < diameter <= edge / 2 + 1e-9:
            raise m.refusal(
                "dowel diameter", diameter, f"must be at most {in_words(edge / 2)}, half the edge"
            )
        # the shallower board takes two thirds of itself, the other what is left
        in_thin = min(length / 2, min(a, b) * 2 / 3 - HOLE_SPARE_MM)
        in_a = in_thin if a <= b else length - in_thin
        in_b = length - in_a
        for label, deep, room in ((m.a.label, in_a, a), (m.b.label, in_b, b)):
            if not 0 < deep <= room - 2 * HOLE_SPARE_MM:
                raise m.refusal(
                    "dowel length",
                    length,
                    f"{label} has only {in_words(room)} for it",
                    "choose a shorter one",
                )
        return diameter, length, in_a

    def cuts(self, m: Meeting) -> Cutting:
        """A hole in each member for each dowel, with spare at the bottom."""
        diameter, length, in_a = self._dowel(m)
        sites = even_sites(m, self.count)
        hole = ("dowel hole", FastenerKind.DOWEL)
        a = tuple(hardware_bore(m, s, True, diameter, in_a + HOLE_SPARE_MM, *hole) for s in sites)
        b = tuple(hardware_bore(m, s, False, diameter, length - in_a + HOLE_SPARE_MM, *hole) for s in sites)
        dowels = []
        for s in sites:
            start = dict(s)
            start[m.axis] = m.plane - m.sign * (length - in_a)
            dowels.append((m.room(start), m.into))
        return Cutting(a, b, (Fastener(FastenerKind.DOWEL, diameter, length, tuple(dowels)),), m.into, length)


def butt(
    screws: int | None = None,
    *,
    diameter: float | None = None,
    length: float | None = None,
    lines: int | None = None,
    pilot: bool = False,
    glued: bool = False,
) -> Butt:
    """A butt joint: b lies flat against a, screwed through the thinner of the two.

    Args:
        screws: how many in a line; None for the usual spacing, 0 for none.
        diameter, length: of the screws (mm); chosen from the boards by default.
        lines: lines of screws side by side; by default two where b lies with a wide face on a, else one.
        pilot: bore a clearance hole and a pilot hole for each.
        glued: whether it is glued.

    Raises: InputError, by `Draft.join` or `Draft.done`, for a size that the boards do not allow.

    >>> butt(screws=3, glued=True).kind
    'butt'
    """
    return Butt(screws, diameter, length, pilot, glued, lines)


def dowelled(
    count: int | None = None,
    *,
    diameter: float | None = None,
    length: float | None = None,
    glued: bool = True,
) -> Dowelled:
    """A dowelled butt joint, both members bored.

    Args:
        count: dowels in a line; None for the usual spacing.
        diameter, length: mm; chosen from the boards by default.
        glued: whether it is glued.

    Raises: InputError, by `Draft.join` or `Draft.done`, for a size that the boards do not allow.

    >>> dowelled(count=4, diameter=8).kind
    'dowelled'
    """
    return Dowelled(count, diameter, length, glued)
