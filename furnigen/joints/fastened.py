"""Joints held by hardware where b lies flat against a: butt with screws, dowels, bolt and barrel nut."""

from __future__ import annotations

from dataclasses import dataclass

from furnigen.catalogue.hardware import check_screw_length, dowel_for, list_hardware, places_along, screw_for
from furnigen.core.errors import InputError
from furnigen.core.facts import NO_FACTS, Fact, FastenerKind, Joinery
from furnigen.core.pose import Vector, axis_vector
from furnigen.core.wording import in_words
from furnigen.joints.joint import Fastener
from furnigen.joints.meeting import Meeting, Span, along_line, contact_outline
from furnigen.joints.sizes import HOLE_SPARE_MM
from furnigen.joints.spec import Cutting
from furnigen.parts.cuts import Bore

WIDE_FACE_MM = 100.0
"""A meeting face wider than this takes two lines of fasteners. Common practice, no source."""
LINE_SHARE = 0.2
"""The outer of several lines from the edge, as a share of the face. Common practice, no source."""
PILOT_SHARE = 0.7
"""Pilot hole as a share of a screw's diameter, in wood of middling hardness. Common practice, no source."""
BOLT_MM, BOLT_HOLE_MM, BARREL_MM = 6.0, 7.0, 10.0
"""M6 bolt, its clearance hole, and the barrel nut sold for it (from memory)."""
BARREL_IN_MM = 34.0
"""Middle of the barrel nut from the end of its board. Common practice, no source."""
NUT_WALL_MM = 2.0
"""Wood left behind a barrel nut. Common practice, no source."""
TIP_MM = 6.0
"""Bolt beyond the middle of the barrel, and room for it. Common practice, no source."""


def _line_places(m: Meeting, count: int | None, span: Span) -> list[float]:
    """Places along the joint from its front, low or left end: by the usual spacing, or `count` evenly."""
    run = m.across[0]
    length = span[1] - span[0]
    if count is None:
        along = places_along(length)
    elif count == 1:
        along = (length / 2,)
    else:
        first = min(places_along(length)[0], length / (2 * count))
        step = (length - 2 * first) / (count - 1)
        along = tuple(first + i * step for i in range(count))
    return [span[0] + p if m.low[run] < 0 else span[1] - p for p in along]


def _sites(m: Meeting, count: int | None, lines: int | None = None) -> list[dict[int, float]]:
    """Points of the meeting face where fasteners go, in b's frame: `count` in each of some lines."""
    if count is not None and count < 1:
        raise InputError(f"number of fasteners ({m.kind}, {m.where})", count, "must be 1 or more")
    run, cheek = m.across
    one = min(run, cheek)
    outline = contact_outline(m)
    place = 0 if cheek == one else 1
    values = [p[place] for p in outline]
    lo, hi = min(values), max(values)
    lines = lines or (2 if m.axis == 2 and hi - lo > WIDE_FACE_MM else 1)
    margin = (hi - lo) / 2 if lines == 1 else (hi - lo) * LINE_SHARE
    step = (hi - lo - 2 * margin) / max(1, lines - 1)
    found = []
    for at in (lo + margin + i * step for i in range(lines)):
        span = along_line(outline, place, at)
        if span is not None:
            found += [{run: p, cheek: at, m.axis: m.plane} for p in _line_places(m, count, span)]
    return found


def _even_sites(m: Meeting, count: int | None) -> list[dict[int, float]]:
    """The same in one line, evenly from both ends, so that boards bored alike stay alike turned over."""
    if count is None:
        lo, hi = m.shared_on(m.across[0])
        count = len(places_along(hi - lo))
    return _sites(m, count, 1)


def _direction(m: Meeting, into_a: bool) -> Vector:
    return axis_vector(m.axis, float(m.sign if into_a else -m.sign))


def _bore(
    m: Meeting,
    site: dict[int, float],
    into_a: bool,
    diameter: float,
    depth: float,
    name: str,
    takes: FastenerKind,
    blind: bool = True,
) -> Bore:
    start = (site[0], site[1], site[2])
    return Bore(start, _direction(m, into_a), diameter, depth, name, blind, Fact.HARDWARE_HOLE, takes)


def _thickness(m: Meeting) -> float:
    """Smallest side of b square to the axis: what a hole in its end or edge must stay within."""
    return min(m.b_box.size[i] for i in range(3) if i != m.axis)


def _edge_of_a(m: Meeting) -> float | None:
    """How thick a is beside a hole made in its edge or end; None where b meets its face."""
    board = m.a.form.as_board
    return None if board is None or m.a_axis == 2 else board.thickness


def _nut_for(thick: float) -> float:
    """Length of the barrel nut for a board (mm): the longest sold that stays in it, else the shortest."""
    sold = sorted(n.length_mm for n in list_hardware("barrel nut", "mm") if n.diameter_mm == BARREL_MM)
    return max((n for n in sold if (thick + n) / 2 <= thick - NUT_WALL_MM), default=sold[0])


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
        sites = _sites(m, self.screws, self.lines)
        if self.screws is None and len(sites) < self.least:
            sites = _sites(m, self.least, self.lines)
        for site in sites:
            head = dict(site)
            head[m.axis] = m.plane - way * through
            heads.append((m.room(head), m.b.pose.turn(_direction(m, not from_a))))
            if self.pilot:
                screw, thin = FastenerKind.SCREW, diameter * PILOT_SHARE
                clear = _bore(m, site, from_a, diameter, through, "clearance hole", screw, blind=False)
                pilot = _bore(m, site, not from_a, thin, length - through, "pilot hole", screw)
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
        sites = _even_sites(m, self.count)
        hole = ("dowel hole", FastenerKind.DOWEL)
        a = tuple(_bore(m, s, True, diameter, in_a + HOLE_SPARE_MM, *hole) for s in sites)
        b = tuple(_bore(m, s, False, diameter, length - in_a + HOLE_SPARE_MM, *hole) for s in sites)
        dowels = []
        for s in sites:
            start = dict(s)
            start[m.axis] = m.plane - m.sign * (length - in_a)
            dowels.append((m.room(start), m.into))
        return Cutting(a, b, (Fastener(FastenerKind.DOWEL, diameter, length, tuple(dowels)),), m.into, length)


@dataclass(frozen=True)
class CrossBolt:
    """Bolts through a into barrel nuts in b (see `cross_bolt`)."""

    count: int | None
    barrel_in: float

    kind = "cross bolt"
    joinery, facts = Joinery.BOLTED, NO_FACTS
    crossing = False
    glued = False

    def growth(self, m: Meeting) -> float:
        """Nothing enters."""
        m.boards_only(shaped_edges=True)
        self._bolt(m)
        return 0.0

    def keep(self, m: Meeting) -> tuple[Span, Span] | None:
        """All of the end."""
        return None

    def _bolt(self, m: Meeting) -> float:
        """Length of the bolt (mm)."""
        thick = m.b_box.size[m.across[1]]
        least = BARREL_MM + 2 * HOLE_SPARE_MM
        if m.axis == 2 or thick < least:
            raise InputError(
                "joint",
                f"cross bolt, {m.where}",
                f"the barrel nuts need an end or edge of {m.b.label} at least {in_words(least)} thick",
                f"it has {in_words(thick)}" if m.axis != 2 else "it meets with its face",
            )
        if not BARREL_MM <= self.barrel_in <= m.b_box.size[m.axis] / 2:
            raise m.refusal(
                "distance of the barrel nut",
                self.barrel_in,
                f"must be from {BARREL_MM:g} mm to {in_words(m.b_box.size[m.axis] / 2)}",
            )
        need = m.room_in_a + self.barrel_in
        for bolt in list_hardware("bolt", "mm"):
            if bolt.diameter_mm == BOLT_MM and need + BOLT_MM / 2 <= bolt.length_mm:
                return bolt.length_mm
        raise m.refusal("bolt", need, "is longer than any M6 bolt sold", "let the barrel nut in less deep")

    def cuts(self, m: Meeting) -> Cutting:
        """A clearance hole through a, a bolt hole in b's end, and the barrel's hole from b's low face."""
        length = self._bolt(m)
        cheek = m.across[1]
        reach = max(length - m.room_in_a, self.barrel_in + BARREL_MM / 2) + TIP_MM - BOLT_MM / 2
        a, b, bolts, nuts = [], [], [], []
        lo, hi = m.b_box.lo[cheek], m.b_box.hi[cheek]
        face, inward = (lo, 1.0) if m.low[cheek] < 0 else (hi, -1.0)
        way = axis_vector(cheek, inward)
        nut = _nut_for(hi - lo)
        # its own hole, in its middle, lies on the bolt
        deep = (hi - lo + nut) / 2
        for site in _even_sites(m, self.count):
            hole = ("bolt hole", FastenerKind.BOLT)
            a.append(_bore(m, site, True, BOLT_HOLE_MM, m.room_in_a, *hole, blind=False))
            b.append(_bore(m, site, False, BOLT_HOLE_MM, reach, *hole))
            barrel = dict(site)
            barrel[m.axis] = m.plane - m.sign * self.barrel_in
            barrel[cheek] = face
            b.append(
                Bore(
                    (barrel[0], barrel[1], barrel[2]),
                    way,
                    BARREL_MM,
                    deep,
                    "barrel hole",
                    True,
                    Fact.HARDWARE_HOLE,
                    FastenerKind.BARREL_NUT,
                )
            )
            head = dict(site)
            head[m.axis] = m.plane + m.sign * m.room_in_a
            bolts.append((m.room(head), m.b.pose.turn(_direction(m, False))))
            nuts.append((m.room(barrel), m.b.pose.turn(way)))
        hardware = (
            Fastener(FastenerKind.BOLT, BOLT_MM, length, tuple(bolts)),
            Fastener(FastenerKind.BARREL_NUT, BARREL_MM, nut, tuple(nuts), sunk_mm=deep - nut),
        )
        return Cutting(tuple(a), tuple(b), hardware, m.into)


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


def cross_bolt(count: int | None = None, *, barrel_in: float = BARREL_IN_MM) -> CrossBolt:
    """A knock-down joint: M6 bolts through a into barrel nuts let into b's low face.

    Args:
        count: bolts in a line; None for the usual spacing.
        barrel_in: middle of the barrel nut from b's end (mm).

    Raises: InputError, by `Draft.join` or `Draft.done`, for a size that the boards do not allow.

    >>> cross_bolt(count=2).kind
    'cross bolt'
    """
    return CrossBolt(count, barrel_in)
