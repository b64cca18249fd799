"""Mortise and tenon, blind or through, plain or wedged."""

from __future__ import annotations

from dataclasses import dataclass

from furnigen.core.errors import InputError
from furnigen.core.facts import NO_FACTS, FastenerKind, Joinery
from furnigen.core.pose import Pose, axis_vector, cross
from furnigen.core.wording import as_given, in_words
from furnigen.joints.joint import Fastener
from furnigen.joints.loose_parts import LoosePart
from furnigen.joints.meeting import Meeting, Span, box_cut, box_of
from furnigen.joints.seats import seat_of
from furnigen.joints.sizes import BLIND_SHARE, LEAST_WALL_MM, THIRD
from furnigen.joints.spec import Cutting, check_clearance, refuse_face
from furnigen.parts.cuts import SAME_MM, ProfileCut
from furnigen.parts.forms.prism import Prism

SHOULDER_SHARE = 1 / 6
"""Shoulder at each edge of a tenon as a share of its board's width. Common practice, no source."""
WIDEST_SHOULDER_MM = 10.0
"""Usual shoulders are no wider than this. Common practice, no source."""
KERF_MM = 2.0
"""Saw cut that takes a wedge. Common practice, no source."""
SPREAD_MM = 1.0
"""How much a wedge opens the saw cut at the tenon's tip, and lets it close at the bottom: the cut is drawn as
it is with the wedge driven home. Our own choice; as much wood goes as the saw takes."""
KERF_SHARE = 2 / 3
"""Depth of the saw cut as a share of the tenon. Common practice, no source."""


@dataclass(frozen=True)
class Tenon:
    """A square tenon on b's end in a mortise in a (see `tenon` and `wedged_tenon`)."""

    kind: str
    length: float | None
    thickness: float | None
    width: float | None
    through: bool
    wedges: int
    glued: bool

    joinery, facts = Joinery.TENON, NO_FACTS
    crossing = False

    def growth(self, m: Meeting) -> float:
        """The tenon's length."""
        m.boards_only(shaped_edges=True)
        m.square_only()
        refuse_face(m)
        section = self._section(m)
        m.flat_end_only(section[m.across[0]])
        for axis, span in section.items():
            size = span[1] - span[0]
            check_clearance(m, size / 2, "half tenon")
            a = (m.a_box.lo[axis], m.a_box.hi[axis])
            if span[0] < a[0] + SAME_MM or span[1] > a[1] - SAME_MM:
                raise m.refusal(
                    "tenon",
                    size,
                    f"its mortise would break out of {m.a.label}, {in_words(a[1] - a[0])} there",
                )
        return self._length(m)

    def _length(self, m: Meeting) -> float:
        room = m.room_in_a
        if self.through:
            return room
        most = room - LEAST_WALL_MM - m.fit
        length = self.length if self.length is not None else min(room * BLIND_SHARE, most)
        if not SAME_MM < length <= most + SAME_MM:
            raise m.refusal(
                "tenon length",
                length,
                f"must be more than 0 and at most {in_words(max(0.0, most))} in {m.a.label}",
                "or make it a through tenon",
            )
        check_clearance(m, length, "tenon")
        return length

    def _section(self, m: Meeting) -> dict[int, Span]:
        """The tenon's extent on the two axes across, in the middle of b's end as placed."""
        run, cheek = m.across
        box = m.placed or m.b_box
        low, high = m.placed_on(run)
        b_thick, b_wide = m.b_box.size[cheek], high - low
        a_thin = min(m.a_box.size[i] for i in range(3) if i != m.axis)
        thick = self.thickness if self.thickness is not None else min(b_thick, a_thin) * THIRD
        wide = self.width
        if wide is None:
            wide = b_wide - 2 * min(WIDEST_SHOULDER_MM, b_wide * SHOULDER_SHARE)
        for what, size, most in (("tenon thickness", thick, b_thick), ("tenon width", wide, b_wide)):
            if not SAME_MM < size <= most + SAME_MM:
                raise m.refusal(
                    what, size, f"must be more than 0 and at most the {in_words(most)} of {m.b.label}"
                )
        middle = box.centre[cheek]
        return {
            cheek: (middle - thick / 2, middle + thick / 2),
            run: ((low + high - wide) / 2, (low + high + wide) / 2),
        }

    def keep(self, m: Meeting) -> tuple[Span, Span] | None:
        """The tenon."""
        section = self._section(m)
        one, two = sorted(section)
        return section[one], section[two]

    def cuts(self, m: Meeting) -> Cutting:
        """The mortise, tight where the tenon rests in it; kerfs for wedges."""
        section = self._section(m)
        gap = 0.0 if self.through else m.fit
        spans = {m.axis: m.slab(m.entered + gap)}
        spans |= {i: m.with_fit(i, s) for i, s in section.items()}
        kerfs, wedges, loose = self._wedged(m, section)
        mortise = (box_cut(box_of(spans), "mortise"),)
        return Cutting(mortise, kerfs, wedges, m.into, m.entered, loose, seat_of(m, section))

    def _wedged(
        self, m: Meeting, section: dict[int, Span]
    ) -> tuple[tuple[ProfileCut, ...], tuple[Fastener, ...], tuple[LoosePart, ...]]:
        """Saw cuts across the tenon's width from its tip, and the wedges that go in."""
        if not self.wedges:
            return (), (), ()
        run, cheek = m.across
        lo, hi = section[run]
        thick = section[cheek][1] - section[cheek][0]
        depth = m.entered * KERF_SHARE
        tip = m.plane + m.sign * m.entered
        wide, narrow = KERF_MM + SPREAD_MM, KERF_MM - SPREAD_MM
        if wide * self.wedges >= hi - lo:
            least = f"must be more than {as_given(wide * self.wedges)} for its wedges"
            raise m.refusal("tenon width", hi - lo, least)
        outline = ((0.0, 0.0), (depth, SPREAD_MM), (depth, SPREAD_MM + narrow), (0.0, wide))
        inward, side = axis_vector(m.axis, float(-m.sign)), axis_vector(run)
        through = cross(inward, side)
        near = section[cheek][0] if through[cheek] > 0 else section[cheek][1]
        kerfs, sites, loose = [], [], []
        for i in range(self.wedges):
            at = lo + (hi - lo) * (i + 1) / (self.wedges + 1)
            place = {m.axis: tip, run: at - wide / 2, cheek: near}
            pose = Pose.columns(inward, side, through, (place[0], place[1], place[2]))
            kerfs.append(ProfileCut(pose, outline, thick, "kerf", takes=FastenerKind.WEDGE))
            loose.append(LoosePart(FastenerKind.WEDGE, Prism(depth, wide, thick, outline), pose))
            middle = {m.axis: tip, run: at, cheek: (section[cheek][0] + section[cheek][1]) / 2}
            sites.append((m.room(middle), m.b.pose.turn(inward)))
        return tuple(kerfs), (Fastener(FastenerKind.WEDGE, thick, depth, tuple(sites)),), tuple(loose)


def tenon(
    length: float | None = None,
    *,
    thickness: float | None = None,
    width: float | None = None,
    through: bool = False,
    glued: bool = True,
) -> Tenon:
    """A mortise and tenon; its shoulders bear against a.

    Args:
        length: into a (mm); by default two thirds of it. A through tenon ends flush.
        thickness: mm; by default a third of the thinner board.
        width: mm; by default b's width less a shoulder of a sixth (at most 10 mm) at each edge.
        through: goes through a.
        glued: whether it is glued.

    Raises: InputError, by `Draft.join` or `Draft.done`, for a size that the boards do not allow.

    >>> tenon(40, through=False).kind
    'tenon'
    """
    return Tenon("tenon", length, thickness, width, through, 0, glued)


def wedged_tenon(
    wedges: int = 2, *, thickness: float | None = None, width: float | None = None, glued: bool = True
) -> Tenon:
    """A through tenon, sawn from its tip and spread by wedges.

    Args:
        wedges: how many, across the tenon's width.
        thickness, width: as `tenon` (mm).
        glued: whether it is glued.

    Raises: InputError for no wedges.

    >>> wedged_tenon(wedges=1).kind
    'wedged tenon'
    """
    if wedges < 1:
        raise InputError("number of wedges", wedges, "must be 1 or more")
    return Tenon("wedged tenon", None, thickness, width, True, wedges, glued)
