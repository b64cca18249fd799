"""What one joint must carry: forces and moments by statics, split into pull, press and push sideways."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from math import inf, sqrt
from typing import NamedTuple

from furnigen.core.pose import Vector, dot
from furnigen.joints.joint import Fastener, Joint, Seat
from furnigen.strength.joints.wood import Wood

NOISE_N = 0.5
"""A smaller force does not count."""


class Action(NamedTuple):
    """What a exerts on b at once: a force at a point, and a moment beside it.

    Attributes:
        name: what it comes from.
        force: N, in the room.
        at: where it acts, mm.
        moment: turning b about an axis in the meeting face, N mm.
        lever: unit vector in the meeting face along which that moment presses and pulls.
    """

    name: str
    force: Vector
    at: Vector
    moment: float = 0.0
    lever: Vector = (0.0, 0.0, 1.0)

    def pull(self, seat: Seat) -> float:
        """Force that draws b out of a, N; negative where it presses them together."""
        return dot(self.force, seat.into)

    def sideways(self, seat: Seat) -> Vector:
        """Force in the meeting face, N."""
        n = self.pull(seat)
        return tuple(f - n * i for f, i in zip(self.force, seat.into, strict=True))  # type: ignore[return-value]

    def shear(self, seat: Seat) -> float:
        """Its size, N."""
        return length(self.sideways(seat))

    @property
    def idle(self) -> bool:
        """Whether it comes to nothing."""
        return length(self.force) < NOISE_N and self.moment < NOISE_N


def length(v: Vector) -> float:
    """Length of a vector."""
    return sqrt(dot(v, v))


class LoadedJoint(NamedTuple):
    """One joint, the wood it joins, and all it must carry.

    Attributes:
        joint: as the piece declares it.
        seat: where the two meet.
        a, b: their wood; a is None where it is a wall.
        dead_n, live_n: vertical force that a gives b, upward, with everything full, N.
        bearing_mm2: level contact between the two, mm²; 0 where none is known.
        held_nmm: moment that its stiffness draws to it with the load; it relaxes where the joint gives.
        actions: each thing that may happen.
    """

    joint: Joint
    seat: Seat
    a: Wood | None
    b: Wood
    dead_n: float
    live_n: float
    bearing_mm2: float
    held_nmm: float
    actions: tuple[Action, ...]

    @property
    def woods(self) -> tuple[Wood, ...]:
        """The wood on both sides."""
        return (self.b,) if self.a is None else (self.a, self.b)


class Bears(NamedTuple):
    """One rule applied to one action.

    Attributes:
        what: what may fail.
        value, allowed: in `unit`.
        unit: "N", "N/mm2", "N m" or "" for shares that are added.
        source: the rule, and where its values come from.
        action: name of what loads it.
    """

    what: str
    value: float
    allowed: float
    unit: str
    source: str
    action: str = ""

    @property
    def used(self) -> float:
        """Share of what is allowed; inf where nothing is."""
        return share_used(self.value, self.allowed)


def share_used(value: float, allowed: float) -> float:
    """Share of what is allowed; inf where nothing is."""
    if value <= 0:
        return 0.0
    return value / allowed if allowed > 0 else inf


class Rule:
    """What a joint bears, by the rule that speaks of it.

    Args:
        bears: what it bears of an action, each thing that may fail.
    """

    def __init__(self, bears: Callable[[Action], Iterator[Bears]]) -> None:
        self.bears = bears

    def used(self, action: Action) -> float | None:
        """The largest share used of what it bears of an action; None where nothing of it is to be borne.

        Raises: NotKnownError where no rule speaks of it.
        """
        return max((b.used for b in self.bears(action)), default=None)


class NotKnownError(Exception):
    """A rule that can not be applied; its text says why."""


class FastenerGroup:
    """Some equal fasteners of one joint.

    A force beside their middle turns the joint: each resists by its distance from there (elastic group). A
    moment presses b on a along one edge of the seat and pulls each fastener by its distance from that edge.
    Statics, hand-derived; both balance force and moment.

    Args:
        sites: where they enter, mm.
        seat: of the joint.
    """

    def __init__(self, sites: Sequence[Vector], seat: Seat) -> None:
        # written out by coordinates here and below: asked for some hundred times for each piece
        self._sites, self._seat = sites, seat
        n = len(sites)
        ix, iy, iz = seat.into
        mx, my, mz = (sum(column) / n for column in zip(*sites, strict=True))
        self._middle = mx, my, mz
        self._flat, self._polar = [], 0.0
        for x, y, z in sites:
            x, y, z = x - mx, y - my, z - mz
            off = x * ix + y * iy + z * iz
            x, y, z = x - off * ix, y - off * iy, z - off * iz
            # the arm in the face, and the way in which a turn about `into` pushes it
            self._flat.append((iy * z - iz * y, iz * x - ix * z, ix * y - iy * x))
            self._polar += x * x + y * y + z * z

    def forces(self, action: Action) -> list[tuple[float, float]]:
        """(push sideways, pull) of each, N."""
        n = len(self._sites)
        (ix, iy, iz), (fx, fy, fz) = self._seat.into, action.force
        out = fx * ix + fy * iy + fz * iz
        sx, sy, sz = fx - out * ix, fy - out * iy, fz - out * iz
        (x, y, z), (mx, my, mz) = action.at, self._middle
        x, y, z = x - mx, y - my, z - mz
        # the part of the arm along `into` turns nothing about it
        torque = (y * sz - z * sy) * ix + (z * sx - x * sz) * iy + (x * sy - y * sx) * iz
        share = torque / self._polar if self._polar > 1e-6 else 0.0
        sx, sy, sz = sx / n, sy / n, sz / n
        each = max(0.0, out) / n
        sides = [
            sqrt((sx + share * x) ** 2 + (sy + share * y) ** 2 + (sz + share * z) ** 2)
            for x, y, z in self._flat
        ]
        if action.moment <= 0:
            return [(side, each) for side in sides]
        pulls = _pulls([dot(s, action.lever) for s in self._sites], self._seat, action)
        return [(side, each + extra) for side, extra in zip(sides, pulls, strict=True)]

    def most(self, action: Action) -> tuple[float, float]:
        """The largest push sideways and the largest pull of any, N."""
        sides, pulls = zip(*self.forces(action), strict=True)
        return max(sides), max(pulls)


def group_of(fastener: Fastener, seat: Seat) -> FastenerGroup:
    """The fasteners of one kind in a joint."""
    return FastenerGroup([site for site, _ in fastener.sites], seat)


def _pulls(places: Sequence[float], seat: Seat, action: Action) -> list[float]:
    half = extent(seat, action.lever) / 2
    middle = dot(seat.centre, action.lever)
    # what presses the faces together in their middle turns them back about their edge
    moment = max(0.0, action.moment - max(0.0, -action.pull(seat)) * half)
    worst: list[float] = []
    for edge, way in ((middle - half, 1.0), (middle + half, -1.0)):
        arms = [max(0.0, (p - edge) * way) for p in places]
        second = sum(z * z for z in arms)
        pulls = [moment * z / second if second > 0 else float("inf") for z in arms]
        if not worst or max(pulls) > max(worst):
            worst = pulls
    return worst


def extent(seat: Seat, d: Vector) -> float:
    """Size of a seat along a direction in its face, mm."""
    return seat.wide_mm if abs(dot(seat.along, d)) > abs(dot(seat.across, d)) else seat.thick_mm
