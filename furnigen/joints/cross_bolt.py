"""The knock-down joint: bolts through one board into barrel nuts in the other."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from furnigen.catalogue.hardware import BOLT_HEAD, BOLT_HEAD_HIGH, list_hardware
from furnigen.core.errors import InputError
from furnigen.core.facts import NO_FACTS, Fact, FastenerKind, Joinery
from furnigen.core.pose import axis_vector
from furnigen.core.wording import as_given, in_words
from furnigen.joints.fastener_places import even_sites, hardware_bore, way_in
from furnigen.joints.joint import Fastener
from furnigen.joints.meeting import Meeting, Span
from furnigen.joints.sizes import HOLE_SPARE_MM
from furnigen.joints.spec import Cutting
from furnigen.parts.cuts import Bore

BOLT_MM, BOLT_HOLE_MM, BARREL_MM = 6.0, 7.0, 10.0
"""M6 bolt, its clearance hole, and the barrel nut sold for it (from memory)."""
BARREL_IN_MM = 34.0
"""Middle of the barrel nut from the end of its board. Common practice, no source."""
NUT_WALL_MM = 2.0
"""Wood left behind a barrel nut. Common practice, no source."""
HEAD_MM, HEAD_HIGH_MM = BOLT_HEAD * BOLT_MM, BOLT_HEAD_HIGH * BOLT_MM
"""Width and height of the bolt's head."""
CLEAR_MM = 1.0
"""Air between a bolt's head and what it was moved away from. Our own choice."""
TIP_MM = 6.0
"""Bolt beyond the middle of the barrel, and room for it. Common practice, no source."""


def _nut_for(thick: float) -> float:
    """Length of the barrel nut for a board (mm): the longest sold that stays in it, else the shortest."""
    sold = sorted(n.length_mm for n in list_hardware("barrel nut", "mm") if n.diameter_mm == BARREL_MM)
    return max((n for n in sold if (thick + n) / 2 <= thick - NUT_WALL_MM), default=sold[0])


def _clear_of(behind: Sequence[Span], sites: list[dict[int, float]], m: Meeting) -> list[dict[int, float]]:
    """The places of bolts with their heads set off from what stands behind a, as far as there is room."""
    run = m.across[0]
    lo, hi = m.shared_on(run)
    reach, edge = HEAD_MM / 2 + CLEAR_MM, BARREL_MM
    ways = [(start - reach, end + reach) for start, end in behind]

    def free(at: float) -> bool:
        return lo + edge <= at <= hi - edge and not any(start < at < end for start, end in ways)

    moved = []
    for site in sites:
        at = site[run]
        places = sorted((p for way in ways for p in way if free(p)), key=lambda p: (abs(p - at), p))
        stays = not places or not any(start < at < end for start, end in ways)
        moved.append(site if stays else site | {run: places[0]})
    return moved


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
                f"must be from {as_given(BARREL_MM)} to {in_words(m.b_box.size[m.axis] / 2)}",
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
        for site in _clear_of(m.behind, even_sites(m, self.count), m):
            hole = ("bolt hole", FastenerKind.BOLT)
            a.append(hardware_bore(m, site, True, BOLT_HOLE_MM, m.room_in_a, *hole, blind=False))
            b.append(hardware_bore(m, site, False, BOLT_HOLE_MM, reach, *hole))
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
            bolts.append((m.room(head), m.b.pose.turn(way_in(m, False))))
            nuts.append((m.room(barrel), m.b.pose.turn(way)))
        hardware = (
            Fastener(FastenerKind.BOLT, BOLT_MM, length, tuple(bolts)),
            Fastener(FastenerKind.BARREL_NUT, BARREL_MM, nut, tuple(nuts), sunk_mm=deep - nut),
        )
        return Cutting(tuple(a), tuple(b), hardware, m.into)


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
