"""Mitres: frame corners and case corners, plain, with a spline in the joint or a key across the corner.

Boards already sawn to a mitre (`furnigen.parts.forms.prism.mitred`) are joined as they stand. Where b butts
against a at a corner, b grows over a and both are cut on the plane from the inner to the outer corner.
"""

from __future__ import annotations

from dataclasses import dataclass

from furnigen.core.errors import InputError
from furnigen.core.facts import NO_FACTS, Fact, FastenerKind, Joinery
from furnigen.core.pose import Pose, Vector
from furnigen.core.wording import in_words
from furnigen.joints.joint import Fastener, Seat
from furnigen.joints.loose_parts import LoosePart
from furnigen.joints.meeting import Meeting, Span
from furnigen.joints.mitre_corner import Corner, find_corner, mitred_boards
from furnigen.joints.seats import seat_on
from furnigen.joints.sizes import THIRD
from furnigen.joints.spec import Cutting
from furnigen.parts.cuts import SAME_MM, BoxCut
from furnigen.parts.forms.prism import Prism

REINFORCEMENTS = ("", "spline", "key")
OVER_MM = 1.0
"""How far tools reach beyond the wood on every side: any length does."""
SPLINE_SHARE = 0.25
"""Depth of a spline's groove on each side, as a share of the thinner board at the corner. Common practice."""
DEEPEST_SPLINE = 0.5
"""A groove deeper than this share comes out of a board sawn at 45°. Geometry: it is there at 0.707."""
KEY_SHARE = 0.5
"""Reach of a key along the mitre from the outer corner. Common practice, no source."""
KEY_EVERY_MM = 40.0
"""A case's corner takes a key for about every so much of its width. Common practice, no source."""


@dataclass(frozen=True)
class Mitre:
    """A mitred corner (see `mitre`)."""

    reinforce: str
    thickness: float | None
    depth: float | None
    glued: bool

    crossing = True
    joinery = Joinery.MITRE

    @property
    def facts(self) -> Fact:
        """A spline or key carries; plain mitres as their family does."""
        return Fact.CARRIES_BY_ITS_SHAPE if self.reinforce else NO_FACTS

    @property
    def kind(self) -> str:
        """Word for lists: mitre, splined mitre, keyed mitre."""
        return {"": "mitre", "spline": "splined mitre", "key": "keyed mitre"}[self.reinforce]

    def growth(self, m: Meeting) -> float:
        """All of a's depth, where b only butts against it."""
        mitred_boards(m)
        self._slot(m, find_corner(m))
        return 0.0 if m.axis < 0 else m.room_in_a

    def keep(self, m: Meeting) -> tuple[Span, Span] | None:
        """All: the mitre cuts the rest."""
        return None

    def _slot(self, m: Meeting, c: Corner) -> tuple[float, float]:
        """Thickness and depth of the spline or key (mm); zeros for a plain mitre."""
        if not self.reinforce:
            return 0.0, 0.0
        keyed = self.reinforce == "key"
        # a frame's spline or key lies in the boards' thickness; a case's keys stand beside each other
        room = c.width / len(_keys(c)) if c.flat or keyed else c.thin
        usual = min(room, c.thin) * THIRD if keyed and not c.flat else room * THIRD
        thick = self.thickness if self.thickness is not None else usual
        if not SAME_MM < thick <= room / 2 + SAME_MM:
            raise m.refusal(
                f"thickness of the {self.reinforce}", thick, f"must be at most {in_words(room / 2)}"
            )
        if keyed:
            most = c.deepest_key
            depth = self.depth if self.depth is not None else min(c.length * KEY_SHARE, most / 2)
        else:
            depth = self.depth if self.depth is not None else c.thin * SPLINE_SHARE
            most = c.thin * DEEPEST_SPLINE
        if not SAME_MM < depth < most:
            raise m.refusal(f"depth of the {self.reinforce}", depth, f"must be less than {in_words(most)}")
        return thick, depth

    def cuts(self, m: Meeting) -> Cutting:
        """The mitre on both, where they are not sawn yet; the slot for a spline or key."""
        c = find_corner(m)
        half = c.width / 2 + OVER_MM
        t, w = (-OVER_MM, c.length + OVER_MM), (-half, half)
        a, b = [], []
        if m.axis >= 0:
            a.append(c.tool(t, (-c.reach - OVER_MM, 0.0), w, "mitre"))
            b.append(c.tool(t, (0.0, c.reach + OVER_MM), w, "mitre"))
        thick, depth = self._slot(m, c)
        if not self.reinforce:
            return Cutting(tuple(a), tuple(b), (), m.b.pose.turn(c.to_a), seat=_seat(m, c, depth))
        fitted = _keyed if self.reinforce == "key" else _splined_flat if c.flat else _splined_wide
        slots, loose, run, sites, inward = fitted(c, thick, depth)
        way = m.b.pose.turn(inward)
        kind = loose[0].kind
        fastener = Fastener(kind, thick, run, tuple((m.b.pose.apply(p), way) for p in sites))
        return Cutting(
            (*a, *slots),
            (*b, *slots),
            (fastener,),
            m.b.pose.turn(c.to_a),
            2 * depth if self.reinforce == "spline" else 0.0,
            loose,
            _seat(m, c, depth),
        )


_Fitted = tuple[list[BoxCut], tuple[LoosePart, ...], float, list[Vector], Vector]
"""Slots, what fills them, its length along its way in, where each goes in, and the way, in b's frame."""


def _inward(c: Corner) -> Vector:
    return (-c.along[0], -c.along[1], -c.along[2])


def _keyed(c: Corner, thick: float, depth: float) -> _Fitted:
    """Keys across the corner: triangles, trimmed flush with the outer faces."""
    wide_a, wide_b = (slope * depth for slope in c.slopes)
    base, key = c.length - depth, FastenerKind.KEY
    reach = (-wide_b - OVER_MM, wide_a + OVER_MM)
    form = Prism(wide_a + wide_b, depth, thick, ((0.0, 0.0), (wide_a + wide_b, 0.0), (wide_b, depth)))
    across = (-c.across[0], -c.across[1], -c.across[2])
    places = _keys(c)
    slots = [
        c.tool((base, c.length + OVER_MM), reach, (p - thick / 2, p + thick / 2), "key", key) for p in places
    ]
    poses = [Pose.columns(c.to_a, c.along, across, c.place(base, -wide_b, p + thick / 2)) for p in places]
    loose = tuple(LoosePart(key, form, pose) for pose in poses)
    return slots, loose, depth, [c.place(c.length, 0.0, p) for p in places], _inward(c)


def _seat(m: Meeting, c: Corner, depth: float) -> Seat:
    """The plane of the mitre; `depth` is how far the spline or key goes in."""
    room = m.b.pose.turn
    centre = m.b.pose.apply(c.place(c.length / 2, 0.0, 0.0))
    return seat_on(centre, room(c.to_a), room(c.along), depth, c.length, c.width)


def _splined_flat(c: Corner, thick: float, depth: float) -> _Fitted:
    """A spline along the mitre of a frame, from its inner edge on, trimmed flush with the outer faces."""
    out_a, out_b = (c.length - depth / slope for slope in c.slopes)
    spline, half = FastenerKind.SPLINE, thick / 2
    outline = ((0.0, 0.0), (2 * depth, 0.0), (2 * depth, out_a), (depth, c.length), (0.0, out_b))
    across = (-c.across[0], -c.across[1], -c.across[2])
    pose = Pose.columns(c.to_a, c.along, across, c.place(0.0, -depth, half))
    # stopped at the inner edge: it is not seen in the frame's window
    slot = c.tool((0.0, c.length + OVER_MM), (-depth, depth), (-half, half), "spline", spline)
    loose = LoosePart(spline, Prism(2 * depth, c.length, thick, outline), pose)
    return [slot], (loose,), c.length, [c.place(c.length, 0.0, 0.0)], _inward(c)


def _splined_wide(c: Corner, thick: float, depth: float) -> _Fitted:
    """A spline along the width of a case's corner."""
    low, w, spline = (c.length - thick) / 2, c.width / 2, FastenerKind.SPLINE
    slot = c.tool((low, low + thick), (-depth, depth), (-w - OVER_MM, w + OVER_MM), "spline", spline)
    pose = Pose.columns(c.to_a, c.across, c.along, c.place(low, -depth, -w))
    loose = LoosePart(spline, Prism(2 * depth, c.width, thick), pose)
    return [slot], (loose,), c.width, [c.place(c.length / 2, 0.0, -w)], c.across


def _keys(c: Corner) -> list[float]:
    """Where keys stand along the edges, from their middle (mm): one in a frame, some in a case's corner."""
    count = 1 if c.flat else max(1, round(c.width / KEY_EVERY_MM))
    return [c.width * ((i + 0.5) / count - 0.5) for i in range(count)]


def mitre(
    reinforce: str = "",
    *,
    thickness: float | None = None,
    depth: float | None = None,
    glued: bool = True,
) -> Mitre:
    """A mitred corner of a frame or a case.

    Args:
        reinforce: "" for a plain mitre, "spline" (a loose tongue in the joint) or "key" (across the corner;
            a case's corner takes several).
        thickness: of the spline or key (mm); by default a third of the board.
        depth: of the spline's groove in each board, or of the key along the mitre (mm).
        glued: whether it is glued.

    Raises: InputError for another word.

    >>> mitre("spline", thickness=4).kind
    'splined mitre'
    """
    if reinforce not in REINFORCEMENTS:
        raise InputError("reinforcement of a mitre", reinforce, 'must be "", "spline" or "key"')
    return Mitre(reinforce, thickness, depth, glued)
