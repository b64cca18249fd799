"""What one joint must carry: forces and moments by statics, split into pull, press and push sideways."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field
from math import sqrt

from furnigen.core.pose import Vector, cross, dot
from furnigen.joints.joint import Joint, Seat
from furnigen.strength.joints.wood import Wood

NOISE_N = 0.5
"""A smaller force does not count."""


@dataclass(frozen=True)
class Action:
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


@dataclass(frozen=True)
class LoadedJoint:
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


@dataclass(frozen=True)
class Bears:
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
    action: str = field(default="")

    @property
    def used(self) -> float:
        """Share of what is allowed; inf where nothing is."""
        if self.value <= 0:
            return 0.0
        return self.value / self.allowed if self.allowed > 0 else float("inf")


class NotKnownError(Exception):
    """A rule that can not be applied; its text says why."""


def fastener_forces(sites: Sequence[Vector], seat: Seat, action: Action) -> tuple[tuple[float, float], ...]:
    """(push sideways, pull) of each of some equal fasteners, N.

    A force beside their middle turns the joint: each resists by its distance from there (elastic group). A
    moment presses b on a along one edge of the seat and pulls each fastener by its distance from that edge.
    Statics, hand-derived; both balance force and moment.
    """
    n = len(sites)
    middle: Vector = tuple(sum(s[i] for s in sites) / n for i in range(3))  # type: ignore[assignment]
    flat = [_in_face(tuple(a - b for a, b in zip(s, middle, strict=True)), seat) for s in sites]  # type: ignore[arg-type]
    side = action.sideways(seat)
    off = _in_face(tuple(a - b for a, b in zip(action.at, middle, strict=True)), seat)  # type: ignore[arg-type]
    torque = dot(cross(off, side), seat.into)
    polar = sum(dot(p, p) for p in flat)
    pulls = _pulls([dot(s, action.lever) for s in sites], seat, action)
    each = max(0.0, action.pull(seat)) / n
    found = []
    for p, extra in zip(flat, pulls, strict=True):
        turn = cross(seat.into, p)
        share = torque / polar if polar > 1e-6 else 0.0
        shear = [side[i] / n + share * turn[i] for i in range(3)]
        found.append((sqrt(sum(c * c for c in shear)), each + extra))
    return tuple(found)


def _in_face(v: Vector, seat: Seat) -> Vector:
    n = dot(v, seat.into)
    return tuple(c - n * i for c, i in zip(v, seat.into, strict=True))  # type: ignore[return-value]


def _pulls(places: Sequence[float], seat: Seat, action: Action) -> list[float]:
    if action.moment <= 0:
        return [0.0] * len(places)
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
