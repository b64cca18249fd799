"""A joint as a piece records it: which placements meet, how, and with what hardware."""

from __future__ import annotations

from dataclasses import dataclass

from furnigen.core.facts import NO_FACTS, Fact, FastenerKind, Joinery, fastener_kind
from furnigen.core.pose import Vector


@dataclass(frozen=True)
class Fastener:
    """Hardware of one kind and size that a joint needs.

    Attributes:
        kind: a screw, dowel, shelf pin, bolt ...; its word will do.
        diameter_mm, length_mm: its size.
        sites: (point where it enters, unit direction it goes in) of each, in the room (mm).
        parts: labels of the placements that they are, in the order of the sites, for what is made of wood:
            splines, keys, wedges; empty for what is bought.
        sunk_mm: where its first end stands, from where it enters along its way (mm): below 0 it stands out.

    Raises: InputError for an unknown kind.
    """

    kind: FastenerKind
    diameter_mm: float
    length_mm: float
    sites: tuple[tuple[Vector, Vector], ...]
    parts: tuple[str, ...] = ()
    sunk_mm: float = 0.0

    def __post_init__(self) -> None:
        if type(self.kind) is not FastenerKind:
            object.__setattr__(self, "kind", fastener_kind(self.kind))


@dataclass(frozen=True)
class Seat:
    """Where b meets a, and what of it goes into a: what the strength of a joint goes by.

    Attributes:
        centre: middle of the meeting face, in the room (mm).
        into: unit vector in the room from b into a, square to the meeting face.
        along: unit vector in the room along the joint; `across` is square to both.
        across: the other unit vector in the meeting face.
        deep_mm: how far b goes into a; 0 where faces only meet.
        wide_mm, thick_mm: size of what meets or goes in, along `along` and `across`.
        round: whether it is a round tenon, `thick_mm` being its diameter.
        parts: how many fingers or tenons share `wide_mm`.
    """

    centre: Vector
    into: Vector
    along: Vector
    across: Vector
    deep_mm: float
    wide_mm: float
    thick_mm: float
    round: bool = False
    parts: int = 1


@dataclass(frozen=True)
class Joint:
    """How two placements meet.

    Attributes:
        kind: what people call it: "butt", "stopped housing", "wedged tenon" ...; no check goes by it.
        a: label of the placement that receives.
        b: label of the placement that enters or lies against it.
        glued: whether the meeting faces are glued.
        fasteners: hardware it needs.
        home: unit vector along which b moves to come home against a; None when any way will do.
        travel_mm: how far b moves from clear of a to home (mm).
        joinery: the family of joints it turns like.
        facts: whether it carries by its shape.
        seat: where the two meet and what goes in; None where that was not stated.
    """

    kind: str
    a: str
    b: str
    glued: bool = False
    fasteners: tuple[Fastener, ...] = ()
    home: Vector | None = None
    travel_mm: float = 0.0
    joinery: Joinery = Joinery.BUTT
    facts: Fact = NO_FACTS
    seat: Seat | None = None

    @property
    def loose(self) -> tuple[tuple[str, Vector], ...]:
        """Labels of the loose parts it is made with, each with the way it goes in."""
        return tuple(
            (label, way)
            for f in self.fasteners
            if f.parts
            for label, (_, way) in zip(f.parts, f.sites, strict=True)
        )
