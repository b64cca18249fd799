"""How two placements meet, seen in the frame of the one that enters.

All geometry of joints is worked out in b's own frame: x along its length, y its width, z its thickness.
There b is a box square to the axes, and so is every tool that cuts for it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from furnigen.core.errors import InputError
from furnigen.core.facts import NO_FACTS, Fact
from furnigen.core.pose import Box, Pose, Vector, axis_vector
from furnigen.core.wording import in_words
from furnigen.parts.cuts import SAME_MM, BoxCut
from furnigen.parts.forms.form import Form, Leg
from furnigen.parts.volume.polytope import overlap

Span = tuple[float, float]
STRAIGHT = 1 - 1e-9
"""Cosine above which two directions are one: 0.05 mm in a metre."""


@dataclass(frozen=True)
class JointMember:
    """One of the two placements of a joint: its label, form and pose in the room."""

    label: str
    form: Form
    pose: Pose

    @cached_property
    def box(self) -> Box:
        """Bounds in its own frame (mm)."""
        return self.form.bounds()


DISTANCE_DIGITS = 9
"""Decimals of a millimetre to which the distance of two members is rounded: a millionth of a micrometre."""


def _rounded(mm: float) -> float:
    return round(mm, DISTANCE_DIGITS) + 0.0


def at_origin(a: JointMember, b: JointMember) -> tuple[JointMember, JointMember]:
    """Two members, unnamed, as they stand to each other, with b's frame at the origin of the room."""
    (ax, ay, az), (bx, by, bz) = a.pose.origin, b.pose.origin
    apart = Pose(a.pose.rotation, (_rounded(ax - bx), _rounded(ay - by), _rounded(az - bz)))
    return (
        JointMember("a", a.form, apart),
        JointMember("b", b.form, Pose(b.pose.rotation)),
    )


def box_of(spans: dict[int, Span]) -> Box:
    """A box from its extent along each of the three axes."""
    lo, hi = zip(*(spans[i] for i in range(3)), strict=True)
    return Box(tuple(lo), tuple(hi))


def low_ways(pose: Pose) -> tuple[int, int, int]:
    """For each axis of a frame the sign of its low way in the room: down, else forward, else left."""
    found = []
    for axis in range(3):
        v = pose.turn(axis_vector(axis))
        lead = next(c for c in (v[2], v[1], v[0]) if abs(c) > 0.3)
        found.append(-1 if lead > 0 else 1)
    return (found[0], found[1], found[2])


@dataclass(frozen=True)
class Meeting:
    """Two placements that meet, in the frame of `b`.

    Attributes:
        a: the one that receives.
        b: the one that enters or lies against it.
        kind: of the joint, for messages.
        axis: along which b comes in; -1 where they cross each other.
        sign: +1 where b comes in with its high end.
        low: for each axis, the sign of its low way: the cheek that bears.
        entered: how far b's end reaches into a (mm).
        fit: allowance (mm per face).
        placed: b as it was placed, before it grew, in its frame now; None before that.
        behind: stretches along the joint where boards stand against a's far face, in the way of heads (mm).
    """

    a: JointMember
    b: JointMember
    kind: str
    axis: int
    sign: int
    low: tuple[int, int, int]
    entered: float = 0.0
    fit: float = 0.0
    placed: Box | None = None
    behind: tuple[Span, ...] = ()

    def __hash__(self) -> int:
        """Found once: a joint is looked up by how its members meet several times over."""
        known = vars(self).get("_hash")
        if known is None:
            ways = (self.axis, self.sign, self.low, self.entered, self.fit, self.placed, self.behind)
            known = vars(self)["_hash"] = hash((self.a, self.b, self.kind, ways))
        return int(known)

    def changed(self, **changes: Any) -> Meeting:
        """The same members meeting otherwise; how they stand to each other is not worked out again."""
        new = replace(self, **changes)
        for name in ("to_b", "a_box"):
            if name in vars(self):
                vars(new)[name] = vars(self)[name]
        return new

    @cached_property
    def at_origin(self) -> Meeting:
        """The same members, unnamed, with b's frame at the origin of the room, at a rounded distance."""
        a, b = at_origin(self.a, self.b)
        behind = tuple([(_rounded(low), _rounded(high)) for low, high in self.behind])
        return Meeting(
            a, b, self.kind, self.axis, self.sign, self.low, self.entered, self.fit, self.placed, behind
        )

    @cached_property
    def to_b(self) -> Pose:
        """Sends a's frame into b's."""
        return self.b.pose.inverse() @ self.a.pose

    @cached_property
    def a_box(self) -> Box:
        """Bounds of a in b's frame (mm)."""
        return self.a.form.bounds(self.to_b)

    @property
    def b_box(self) -> Box:
        """Bounds of b in its own frame (mm)."""
        return self.b.box

    @cached_property
    def square(self) -> bool:
        """Whether the axes of both run the same ways."""
        return all(max(abs(c) for c in row) > STRAIGHT for row in self.to_b.rotation)

    @property
    def plane(self) -> float:
        """Where the face of a lies along the axis (mm)."""
        end = self.b_box.hi if self.sign > 0 else self.b_box.lo
        return end[self.axis] - self.sign * self.entered

    @property
    def room_in_a(self) -> float:
        """How deep a is from the face b meets (mm)."""
        return self.a_box.size[self.axis]

    @property
    def across(self) -> tuple[int, int]:
        """The two axes of the meeting face: along the joint, and the one whose cheeks bear."""
        if self.axis == 2:
            one, two = self.shared
            return (0, 1) if one[1] - one[0] >= two[1] - two[0] else (1, 0)
        return (1 - self.axis, 2)

    @property
    def shared(self) -> tuple[Span, ...]:
        """Extents that both have, on the two axes across in rising order (mm)."""
        return tuple(self.shared_on(i) for i in range(3) if i != self.axis)

    def shared_on(self, axis: int) -> Span:
        """The extent both have along one axis (mm)."""
        lo, hi = self.end_on(axis)
        return (max(self.a_box.lo[axis], lo), min(self.a_box.hi[axis], hi))

    def end_on(self, axis: int) -> Span:
        """From where to where the end that b comes in with is straight, along an axis across (mm).

        A shelf with a curved front is wider than its ends.
        """
        if self._straight_end is not None and axis == 1 - self.axis:
            return self._straight_end
        if self._level_end is not None and axis != self.axis:
            return self._level_end[axis]
        return (self.b_box.lo[axis], self.b_box.hi[axis])

    def placed_on(self, axis: int) -> Span:
        """The same of b as it was placed, before another joint made it grow that way (mm)."""
        lo, hi = self.end_on(axis)
        box = self.placed or self.b_box
        return (max(lo, box.lo[axis]), min(hi, box.hi[axis]))

    @property
    def end_box(self) -> Box:
        """b's bounds as it was placed, drawn in to its straight end on the axes across (mm)."""
        box = self.placed or self.b_box
        along = {self.axis: (box.lo[self.axis], box.hi[self.axis])}
        return box_of(along | {i: self.placed_on(i) for i in range(3) if i != self.axis})

    @cached_property
    def _level_end(self) -> tuple[Span, Span] | None:
        """The end of a leg along x and y: leaned, its bounds reach from its top out to its foot."""
        if self.axis != 2 or not isinstance(self.b.form, Leg):
            return None
        end = self.b_box.hi if self.sign > 0 else self.b_box.lo
        return self.b.form.level_bounds(end[2], Pose())

    @cached_property
    def _straight_end(self) -> Span | None:
        """The straight side of b's end; None where the whole side of its bounds is meant."""
        board = self.b.form.as_board
        if board is None or board.shaped_edge is not None or self.axis not in (0, 1):
            return None
        side = board.flat_side(self.axis, self.sign > 0)
        if not side:
            return None
        across = [p[1 - self.axis] for p in side[0]]
        return min(across), max(across)

    def slab(self, depth: float) -> Span:
        """From the face of a to `depth` inside it, along the axis (mm)."""
        far = self.plane + self.sign * depth
        return (min(self.plane, far), max(self.plane, far))

    def is_upright(self, axis: int) -> bool:
        """Whether an axis of b's frame stands nearer upright than level in the room."""
        return abs(self.b.pose.rotation[2][axis]) > 0.7

    def with_fit(self, axis: int, span: Span, tight: bool | None = None) -> Span:
        """`span` widened by the allowance: on the high side only where the low cheek is `tight`.

        By default it is where the axis is upright, so that b rests on it; elsewhere both sides are eased
        alike, and boards cut alike stay alike turned over.
        """
        if not (self.is_upright(axis) if tight is None else tight):
            return (span[0] - self.fit, span[1] + self.fit)
        return (span[0], span[1] + self.fit) if self.low[axis] < 0 else (span[0] - self.fit, span[1])

    @cached_property
    def into(self) -> Vector:
        """Unit direction in the room along which b enters a."""
        return self.b.pose.turn(axis_vector(self.axis, self.sign))

    @property
    def upright(self) -> bool:
        """Whether b comes in from above or below, so that its end bears."""
        return self.is_upright(self.axis)

    @cached_property
    def a_axis(self) -> int:
        """Which of a's own axes runs along the axis; 2 when b meets its face."""
        inward = self.to_b.rotation[self.axis]
        return max(range(3), key=lambda i: abs(inward[i]))

    @cached_property
    def side_met(self) -> tuple[tuple[Vector, ...], ...] | None:
        """The flat side of a that b meets, in a's frame (see `Form.flat_side`)."""
        # b enters along +axis or -axis of a's frame: it meets the side at the other end
        comes_down = self.to_b.rotation[self.axis][self.a_axis] * self.sign < 0
        return self.a.form.flat_side(self.a_axis, comes_down)

    def room(self, place: dict[int, float]) -> Vector:
        """A point of b's frame, in the room (mm)."""
        return self.b.pose.apply((place[0], place[1], place[2]))

    @property
    def where(self) -> str:
        """The two labels, for messages."""
        return f"{self.b.label} to {self.a.label}"

    def refusal(self, what: str, mm: float, allowed: str, fits: str = "") -> InputError:
        """The error for a size that this joint can not have."""
        return InputError(f"{what} ({self.kind}, {self.where})", in_words(mm), allowed, fits)

    def boards_only(self, *, shaped_edges: bool = False) -> None:
        """Refuse members that can not be cut square: a must be a board, b one with a straight end.

        Boards that run through each other must be plain rectangles.

        Args:
            shaped_edges: whether an edge of either may be nosed where this joint does not reach it.

        Raises: InputError.
        """
        a, b = self.a.form.as_board, self.b.form.as_board
        what = f"{self.kind}, {self.where}"
        if a is None:
            raise InputError("joint", what, f"{self.a.label} is a {self.a.form.kind}, not a board")
        for one, label in () if shaped_edges else ((a, self.a.label), (b, self.b.label)):
            if one is not None and one.shaped_edge is not None:
                raise InputError(
                    "joint", what, f"{label} is a {one.kind}; only boards with square edges go together so"
                )
        if b is None or not (b.rectangular or (self.axis >= 0 and b.square_end(self.axis, self.sign))):
            only = (
                "only a board with a straight end can be cut so"
                if self.axis >= 0
                else "boards that run through each other must be rectangles"
            )
            raise InputError("joint", what, f"{self.b.label} is a {self.b.form.kind}; {only}")

    def flat_end_only(self, taken: Span) -> None:
        """Refuse what takes b's end, over a span along the joint, where b's edge is shaped.

        Raises: InputError saying how far back from a's edge it would have to stay.
        """
        board, run = self.b.form.as_board, self.across[0]
        edge = board.shaped_edge if board is not None else None
        if edge is None:
            return
        end = self.b_box.hi[self.axis] if self.sign > 0 else self.b_box.lo[self.axis]
        reach = {i: (self.b_box.lo[i], self.b_box.hi[i]) for i in range(3)}
        reach[self.axis] = (end - SAME_MM, end + SAME_MM)
        within = (max(taken[0], self.a_box.lo[run]), min(taken[1], self.a_box.hi[run]))
        reach[run] = (max(within[0], reach[run][0]), min(within[1], reach[run][1]))
        if reach[run][0] >= reach[run][1] or not overlap(box_of(reach), edge):
            return
        low = edge.hi[run] - self.a_box.lo[run]
        high = self.a_box.hi[run] - edge.lo[run]
        raise InputError(
            f"{self.kind} ({self.where})",
            f"the shaped edge of {self.b.label}",
            "would leave a gap beside it",
            f"keep it {in_words(min(low, high))} or more back from that edge of {self.a.label},"
            " or let the shaped edge stand out in front",
        )

    def square_only(self) -> None:
        """Refuse boards askew to each other.

        Raises: InputError.
        """
        if not self.square:
            raise InputError(
                "joint", f"{self.kind}, {self.where}", "the boards must stand square to each other"
            )


def box_cut(box: Box, name: str, facts: Fact = NO_FACTS) -> BoxCut:
    """A box of b's frame as a cut."""
    return BoxCut(Pose.at(*box.lo), box.size, name, facts)
