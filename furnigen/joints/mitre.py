"""Mitres: frame corners and case corners, plain, with a spline in the joint or a key across the corner.

Boards already sawn to a mitre (`furnigen.parts.forms.prism.mitred`) are joined as they stand. Where b butts
against a at a corner, b grows over a and both are cut on the plane from the inner to the outer corner.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt

from furnigen.core.errors import InputError
from furnigen.core.facts import NO_FACTS, Fact, FastenerKind, Joinery, fastener_kind
from furnigen.core.pose import Pose, Vector, cross, dot
from furnigen.joints.joint import Fastener
from furnigen.joints.meeting import STRAIGHT, Meeting, Span, turn_at_corner
from furnigen.joints.seats import seat_on
from furnigen.joints.sizes import THIRD
from furnigen.joints.spec import Cutting
from furnigen.parts.cuts import SAME_MM, BoxCut
from furnigen.parts.forms.form import Board
from furnigen.parts.forms.outline import Outline

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
class _Corner:
    """A mitre in b's frame.

    Attributes:
        inner: middle of its inner edge (mm).
        along: unit vector from there to the outer edge.
        length: of the mitre between the two edges (mm).
        to_a: unit vector square to it, toward a.
        across: unit vector along the two edges, right-handed with the others.
        width: along the edges (mm).
        reach: how far the corners cut off stand from the mitre (mm).
        flat: whether it is a frame's corner: the edges run through the boards' thickness.
        thin: least size of the two members at the corner (mm).
    """

    inner: Vector
    along: Vector
    length: float
    to_a: Vector
    across: Vector
    width: float
    reach: float
    flat: bool
    thin: float

    def tool(self, t: Span, n: Span, w: Span, name: str, takes: FastenerKind | None = None) -> BoxCut:
        """A box from its extents along the mitre, toward a, and along the edges from their middle."""
        o: list[float] = [
            self.inner[i] + t[0] * self.along[i] + n[0] * self.to_a[i] + w[0] * self.across[i]
            for i in range(3)
        ]
        # along, to_a, across in this order are right-handed
        pose = Pose.columns(self.along, self.to_a, self.across, (o[0], o[1], o[2]))
        return BoxCut(pose, (t[1] - t[0], n[1] - n[0], w[1] - w[0]), name, takes=takes)


def _corner(
    m: Meeting, inner: Vector, outer: Vector, toward_a: Vector, width: float, flat: bool, sizes: Span
) -> _Corner:
    d = (outer[0] - inner[0], outer[1] - inner[1], outer[2] - inner[2])
    length = sqrt(dot(d, d))
    along = (d[0] / length, d[1] / length, d[2] / length)
    return _Corner(
        inner,
        along,
        length,
        toward_a,
        cross(along, toward_a),
        width,
        sizes[0] * sizes[1] / length,
        flat,
        min(sizes),
    )


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
        _boards(m)
        self._slot(m, self._find(m))
        return 0.0 if m.axis < 0 else m.room_in_a

    def keep(self, m: Meeting) -> tuple[Span, Span] | None:
        """All: the mitre cuts the rest."""
        return None

    def _find(self, m: Meeting) -> _Corner:
        return _sawn_corner(m) if m.axis < 0 else _butting_corner(m)

    def _slot(self, m: Meeting, c: _Corner) -> tuple[float, float]:
        """Thickness and depth of the spline or key (mm); zeros for a plain mitre."""
        if not self.reinforce:
            return 0.0, 0.0
        keyed = self.reinforce == "key"
        # a frame's spline or key lies in the boards' thickness; a case's keys stand beside each other
        room = c.width / len(_keys(c)) if c.flat or keyed else c.thin
        usual = min(room, c.thin) * THIRD if keyed and not c.flat else room * THIRD
        thick = self.thickness if self.thickness is not None else usual
        if not SAME_MM < thick <= room / 2 + SAME_MM:
            raise m.refusal(f"thickness of the {self.reinforce}", thick, f"must be at most {room / 2:.1f} mm")
        if keyed:
            depth, most = self.depth if self.depth is not None else c.length * KEY_SHARE, c.length
        else:
            depth = self.depth if self.depth is not None else c.thin * SPLINE_SHARE
            most = c.thin * DEEPEST_SPLINE
        if not SAME_MM < depth < most:
            raise m.refusal(f"depth of the {self.reinforce}", depth, f"must be less than {most:.1f} mm")
        return thick, depth

    def cuts(self, m: Meeting) -> Cutting:
        """The mitre on both, where they are not sawn yet; the slot for a spline or key."""
        c = self._find(m)
        half = c.width / 2 + OVER_MM
        t, w = (-OVER_MM, c.length + OVER_MM), (-half, half)
        a, b = [], []
        if m.axis >= 0:
            a.append(c.tool(t, (-c.reach - OVER_MM, 0.0), w, "mitre"))
            b.append(c.tool(t, (0.0, c.reach + OVER_MM), w, "mitre"))
        thick, depth = self._slot(m, c)
        travel = 2 * depth if self.reinforce == "spline" else 0.0
        hardware: tuple[Fastener, ...] = ()
        if self.reinforce:
            takes = fastener_kind(self.reinforce)
            places = [0.0]
            if self.reinforce == "key":
                far, from_outside = c.reach + OVER_MM, (c.length - depth, c.length + OVER_MM)
                places = _keys(c)
                slots = [
                    c.tool(from_outside, (-far, far), (p - thick / 2, p + thick / 2), "key", takes)
                    for p in places
                ]
                run, at = depth, c.length
            elif c.flat:
                slots = [c.tool(t, (-depth, depth), (-thick / 2, thick / 2), "spline", takes)]
                run, at = c.length, c.length
            else:
                middle = c.length / 2
                slots = [
                    c.tool((middle - thick / 2, middle + thick / 2), (-depth, depth), w, "spline", takes)
                ]
                run, at = c.width, middle
            a += slots
            b += slots
            along = c.flat or self.reinforce == "key"
            inward = m.b.pose.turn((-c.along[0], -c.along[1], -c.along[2]) if along else c.across)
            sites = []
            for p in places:
                point = [c.inner[i] + at * c.along[i] + p * c.across[i] for i in range(3)]
                sites.append((m.b.pose.apply((point[0], point[1], point[2])), inward))
            hardware = (Fastener(takes, thick, run, tuple(sites)),)
        room = m.b.pose.turn
        half_way = [c.inner[i] + c.length / 2 * c.along[i] for i in range(3)]
        centre = m.b.pose.apply((half_way[0], half_way[1], half_way[2]))
        seat = seat_on(centre, room(c.to_a), room(c.along), depth, c.length, c.width)
        return Cutting(tuple(a), tuple(b), hardware, room(c.to_a), travel, seat)


def _boards(m: Meeting) -> tuple[Board, Board]:
    """The two members as boards.

    Raises: InputError where one is none.
    """
    a, b = m.a.form.as_board, m.b.form.as_board
    if a is None or b is None or a.shaped_edge or b.shaped_edge:
        raise InputError("joint", f"{m.kind}, {m.where}", "only boards with square edges can be mitred")
    return a, b


def _keys(c: _Corner) -> list[float]:
    """Where keys stand along the edges, from their middle (mm): one in a frame, some in a case's corner."""
    count = 1 if c.flat else max(1, round(c.width / KEY_EVERY_MM))
    return [c.width * ((i + 0.5) / count - 0.5) for i in range(count)]


def _butting_corner(m: Meeting) -> _Corner:
    """The corner where b's end butts against a flush with a's end.

    Raises: InputError when it is no corner, or the boards differ in width.
    """
    c, out = turn_at_corner(m, "mitre")
    b = m.placed or m.b_box
    w = 3 - c - m.axis
    deep, high = m.room_in_a, b.size[c]
    inner, outer, toward = [0.0] * 3, [0.0] * 3, [0.0] * 3
    inner[w] = outer[w] = b.centre[w]
    inner[m.axis], outer[m.axis] = m.plane, m.plane + m.sign * deep
    inner[c], outer[c] = (b.lo[c], b.hi[c]) if out > 0 else (b.hi[c], b.lo[c])
    long = sqrt(deep * deep + high * high)
    toward[m.axis], toward[c] = m.sign * high / long, -out * deep / long
    return _corner(
        m,
        (inner[0], inner[1], inner[2]),
        (outer[0], outer[1], outer[2]),
        (toward[0], toward[1], toward[2]),
        b.size[w],
        w == 2,
        (deep, high),
    )


def _edges(outline: Outline, place: Pose) -> list[tuple[Vector, Vector]]:
    points = [place.apply((x, y, 0.0)) for x, y in outline]
    return list(zip(points, points[1:] + points[:1], strict=True))


def _sawn_corner(m: Meeting) -> _Corner:
    """The common edge of two boards sawn to a mitre, flat in one plane.

    Raises: InputError when they have none.
    """
    a, b = _boards(m)
    flat = abs(m.to_b.rotation[2][2]) > STRAIGHT
    level = abs(m.a_box.lo[2] - m.b_box.lo[2]) < SAME_MM and abs(m.a_box.hi[2] - m.b_box.hi[2]) < SAME_MM
    for p, q in _edges(b.corners, Pose()) if flat and level else []:
        for r, s in _edges(a.corners, m.to_b):
            if (_same(p, r) and _same(q, s)) or (_same(p, s) and _same(q, r)):
                return _from_edge(m, p, q)
    raise InputError(
        "joint",
        f"mitre, {m.where}",
        "they share no sawn edge",
        "butt them at a corner, or saw both to one plane",
    )


def _same(p: Vector, q: Vector) -> bool:
    return abs(p[0] - q[0]) < SAME_MM and abs(p[1] - q[1]) < SAME_MM


def _from_edge(m: Meeting, p: Vector, q: Vector) -> _Corner:
    ca, cb = m.to_b.apply(m.a.form.centroid_mm), m.b.form.centroid_mm
    middle = ((ca[0] + cb[0]) / 2, (ca[1] + cb[1]) / 2)

    def away(v: Vector) -> float:
        return (v[0] - middle[0]) ** 2 + (v[1] - middle[1]) ** 2

    inner, outer = (p, q) if away(p) < away(q) else (q, p)
    z = m.b_box.centre[2]
    length = sqrt((outer[0] - inner[0]) ** 2 + (outer[1] - inner[1]) ** 2)
    n = ((outer[1] - inner[1]) / length, (inner[0] - outer[0]) / length)
    side = 1.0 if n[0] * (ca[0] - p[0]) + n[1] * (ca[1] - p[1]) > 0 else -1.0
    sizes = (abs(outer[0] - inner[0]), abs(outer[1] - inner[1]))
    return _corner(
        m,
        (inner[0], inner[1], z),
        (outer[0], outer[1], z),
        (side * n[0], side * n[1], 0.0),
        m.b_box.size[2],
        True,
        sizes,
    )


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
