"""Shelf pins: rows of holes in the sides to the 32 mm pattern, and the pins a shelf lies on."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil, floor

from furnigen.core.errors import InputError
from furnigen.core.facts import NO_FACTS, Fact, FastenerKind, Joinery
from furnigen.core.pose import axis_vector
from furnigen.core.wording import as_given, in_words
from furnigen.joints.joint import Fastener, Joint
from furnigen.joints.meeting import Meeting, Span
from furnigen.joints.spec import Cutting
from furnigen.parts.cuts import SAME_MM, Bore

PITCH_MM = 32.0
"""Hole to hole. Source: three independent pages on the 32 mm system agree."""
SETBACK_MM = 37.0
"""Row to the front edge of the panel, and from its rear edge. Source: the same pages."""
HOLE_MM = 5.0
"""Diameter of a system hole. Source: the same pages."""
DEPTH_MM = 12.5
"""Depth of a hole: 12 to 13 mm. Common practice, no source."""
THROUGH_WALL_MM = 2.0
"""Wood left behind a blind hole. Common practice, no source."""
PIN_MM = 16.0
"""Length of a 5 mm pin as sold. Common practice, no source."""
PIN_OUT_MM = 7.0
"""What of a pin stands out and carries the shelf. Source: its row in furnigen/catalogue/data/hardware.csv."""


@dataclass(frozen=True)
class Pins:
    """Rows of holes in a, four pins to a shelf b (see `shelf_pins`)."""

    first: float | None
    around: int
    pitch: float
    setback: float
    diameter: float
    depth: float
    through: bool

    kind = "pins"
    joinery, facts = Joinery.PINS, NO_FACTS
    crossing = False
    glued = False

    def growth(self, m: Meeting) -> float:
        """Nothing enters."""
        m.boards_only(shaped_edges=True)
        m.square_only()
        upright = m.is_upright(m.across[1])
        if m.axis == 2 or m.a_axis != 2 or not upright:
            raise InputError(
                "joint", f"pins, {m.where}", f"{m.b.label} must lie level between the faces of its sides"
            )
        if not self.diameter < self.pitch:
            raise m.refusal(
                "pitch of pin holes",
                self.pitch,
                f"must be more than the {as_given(self.diameter)} holes",
            )
        most = m.room_in_a - THROUGH_WALL_MM
        if not self.through and not SAME_MM < self.depth <= most + SAME_MM:
            raise m.refusal(
                "depth of pin holes", self.depth, f"must be more than 0 and at most {in_words(most)}"
            )
        self._rows(m)
        self._levels(m)
        return 0.0

    def keep(self, m: Meeting) -> tuple[Span, Span] | None:
        """All of the end."""
        return None

    def _rows(self, m: Meeting) -> tuple[float, float]:
        """The two rows, along the shelf's end: from a's front edge and from its rear one."""
        run = m.across[0]
        lo, hi = m.a_box.lo[run] + self.setback, m.a_box.hi[run] - self.setback
        ours = m.end_on(run)
        # a shelf that stays back has its pins under it all the same
        lo, hi = max(lo, ours[0] + self.diameter), min(hi, ours[1] - self.diameter)
        if hi - lo < self.pitch - SAME_MM:
            raise m.refusal(
                "setback of pin rows",
                self.setback,
                f"leaves no two rows {as_given(self.pitch)} apart in {in_words(m.a_box.size[run])}",
            )
        return lo, hi

    def _up(self, m: Meeting) -> int:
        return -m.low[m.across[1]]

    def _levels(self, m: Meeting) -> list[float]:
        """Heights of the holes along the upright axis of b's frame, from below."""
        cheek, up = m.across[1], self._up(m)
        under = m.b_box.lo[cheek] if up > 0 else m.b_box.hi[cheek]
        pin = under - up * self.diameter / 2
        ends = (m.a_box.lo[cheek], m.a_box.hi[cheek])
        low, high = ends if up > 0 else (ends[1], ends[0])
        if self.first is None:
            found = [pin + up * self.pitch * k for k in range(-self.around, self.around + 1)]
            inside = [z for z in found if ends[0] + self.pitch / 2 <= z <= ends[1] - self.pitch / 2]
            return inside if pin in inside else [*inside, pin]
        height, least = (pin - low) * up, self.first
        steps = (height - least) / self.pitch
        if abs(steps - round(steps)) * self.pitch > SAME_MM or steps < -SAME_MM:
            below, above = max(0, floor(steps)), max(0, ceil(steps))
            offer = [self.first + self.pitch * k + self.diameter / 2 for k in (below, above)]
            raise m.refusal(
                "height of a shelf on pins",
                height + self.diameter / 2,
                f"its underside must lie on a hole, every {as_given(self.pitch)}"
                f" from {as_given(self.first)} up",
                f"{in_words(offer[0])} or {in_words(offer[1])} above the foot of {m.a.label} would",
            )
        count = floor(((high - low) * up - 2 * self.first + SAME_MM) / self.pitch) + 1
        # as far up as down, and on to a shelf that lies higher
        count = max(count, round(steps) + 1)
        return [low + up * (self.first + self.pitch * k) for k in range(count)]

    def cuts(self, m: Meeting) -> Cutting:
        """Two rows of holes in a; a pin in each row under b."""
        cheek, up = m.across[1], self._up(m)
        run = m.across[0]
        way = axis_vector(m.axis, float(m.sign))
        depth = m.room_in_a if self.through else self.depth
        holes, sites = [], []
        under = (m.b_box.lo[cheek] if up > 0 else m.b_box.hi[cheek]) - up * self.diameter / 2
        for row in self._rows(m):
            for level in self._levels(m):
                place = {run: row, cheek: level, m.axis: m.plane}
                start = (place[0], place[1], place[2])
                holes.append(
                    Bore(
                        start,
                        way,
                        self.diameter,
                        depth,
                        "pin hole",
                        not self.through,
                        Fact.HARDWARE_HOLE,
                        FastenerKind.SHELF_PIN,
                    )
                )
            sites.append((m.room({run: row, cheek: under, m.axis: m.plane}), m.into))
        length = PIN_MM if self.diameter == HOLE_MM else self.depth + PIN_OUT_MM
        # in a hole bored through, half of the board is for the pin of the other side
        inside = min(length - PIN_OUT_MM, m.room_in_a / 2 if self.through else self.depth)
        pins = Fastener(FastenerKind.SHELF_PIN, self.diameter, length, tuple(sites), sunk_mm=inside - length)
        return Cutting(a=tuple(holes), fasteners=(pins,))


def shelf_pins(
    first: float | None = None,
    *,
    around: int = 2,
    pitch: float = PITCH_MM,
    setback: float = SETBACK_MM,
    diameter: float = HOLE_MM,
    depth: float = DEPTH_MM,
    through: bool = False,
) -> Pins:
    """Shelf b lies on pins in side a: two rows of holes to the 32 mm pattern, or a chosen one.

    Args:
        first: height of the lowest hole above a's lower end (mm): full rows, and every shelf must lie on a
            hole (divide with `on_pin_rows`). None: only holes round each shelf.
        around: holes above and below each shelf where `first` is None.
        pitch: hole to hole (mm).
        setback: rows from a's front and rear edges (mm).
        diameter, depth: of the holes (mm).
        through: bore right through, for a divider with shelves on both sides.

    Raises: InputError for a number of holes or a size below nothing.

    >>> shelf_pins(around=3).kind
    'pins'
    """
    if around < 0:
        raise InputError("holes round a shelf", around, "must be 0 or more")
    for what, value in (("pitch", pitch), ("setback", setback), ("diameter", diameter), ("depth", depth)):
        if not value > 0:
            raise InputError(f"{what} of pin holes", as_given(value), "must be more than 0")
    return Pins(first, around, pitch, setback, diameter, depth, through)


def laid_on_pins(joints: Iterable[Joint]) -> set[str]:
    """Labels of what nothing but shelf pins holds: it is laid in when all else stands."""
    laid: set[str] = set()
    held: set[str] = set()
    for joint in joints:
        kinds = {f.kind for f in joint.fasteners}
        (laid if kinds == {FastenerKind.SHELF_PIN} and not joint.glued else held).add(joint.b)
        held.add(joint.a)
    return laid - held
