"""What every kind of joint answers, and what it gives to `furnigen.drafting.joining`."""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass
from typing import ClassVar, Protocol

from furnigen.catalogue.stock import Stock
from furnigen.core.errors import InputError
from furnigen.core.facts import Fact, Joinery
from furnigen.core.pose import Box, Vector
from furnigen.core.wording import in_words
from furnigen.joints.joint import Fastener, Seat
from furnigen.joints.loose_parts import LoosePart
from furnigen.joints.meeting import Meeting, Span
from furnigen.parts.cuts import Cut


@dataclass(frozen=True)
class Cutting:
    """What a joint takes out, its hardware, and how b comes home.

    Attributes:
        a: cuts in the member that receives, in b's frame.
        b: cuts in the member that enters, in its own frame.
        fasteners: hardware, in the room.
        home: unit vector in the room along which b comes home; None when any way will do.
        travel_mm: how far b moves from clear of a to home (mm).
        loose: the parts that fasteners of wood are, each kind's in the order of its sites.
        seat: where they meet, where that is not b's whole end on a's face.
    """

    a: tuple[Cut, ...] = ()
    b: tuple[Cut, ...] = ()
    fasteners: tuple[Fastener, ...] = ()
    home: Vector | None = None
    travel_mm: float = 0.0
    loose: tuple[LoosePart, ...] = ()
    seat: Seat | None = None


class Spec(Protocol):
    """A kind of joint with its sizes."""

    @property
    def kind(self) -> str:
        """Word for lists and messages; no check goes by it."""

    @property
    def joinery(self) -> Joinery:
        """The family of joints it turns like."""

    @property
    def facts(self) -> Fact:
        """What it does by its shape, where that is not what its family does."""

    @property
    def glued(self) -> bool:
        """Whether the meeting faces are glued."""

    @property
    def crossing(self) -> bool:
        """Whether boards that run through each other can be joined so."""

    def growth(self, m: Meeting) -> float:
        """How far b must enter a (mm), from the boards as placed.

        Raises: InputError for a size the boards do not allow.
        """

    def keep(self, m: Meeting) -> tuple[Span, Span] | None:
        """What stays of b's end inside a, on the two axes across in rising order; None for all of it."""

    def cuts(self, m: Meeting) -> Cutting:
        """The cuts, from the boards as they are when every b has grown.

        Raises: InputError for a size the boards do not allow.
        """


class StripJoint(ABC):
    """A joint made by a strip of its own that lies against both members (see `furnigen.joints.cleats`).

    Attributes:
        kind: what the strip is called in labels and lists.
        stock: what it is cut from.
        to_a, to_b: how it is joined to a, and b to it.
    """

    kind: ClassVar[str]
    stock: Stock
    to_a: Spec
    to_b: Spec

    @abstractmethod
    def strip(self, m: Meeting) -> tuple[Box, str]:
        """Where the strip goes in the room (mm), and the axis of its grain.

        Raises: InputError where it does not suit the boards.
        """


def refuse_face(m: Meeting, allowed: str = "an end or edge") -> None:
    """Refuse b lying against a with its face, where only its end or edge can be let in.

    Raises: InputError.
    """
    if m.axis == 2:
        raise InputError(
            "joint", f"{m.kind}, {m.where}", f"{m.b.label} meets it with its face, not {allowed}"
        )


def check_clearance(m: Meeting, depth: float, what: str) -> None:
    """Refuse an allowance that leaves nothing of the joint.

    Raises: InputError.
    """
    if m.fit >= depth:
        raise m.refusal(
            "fit allowance",
            m.fit,
            f"must be less than the {what} of {in_words(depth)}, or the joint holds nothing",
        )
