"""A piece: the whole item of furniture as plain, frozen, serialisable values.

Nothing here touches a kernel or a mesh: solids, meshes, lists and checks are all derived from a
piece, so they can not disagree. Build one with `furnigen.drafting.draft.Draft`.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields, replace
from functools import cached_property

from furnigen.core.errors import InputError, kind_of
from furnigen.core.facts import NO_FACTS, Fact
from furnigen.core.pose import Box, Pose, Vector
from furnigen.joints.joint import Joint
from furnigen.parts.part import Part
from furnigen.piece.part_bounds import part_bounds

SIDES = ("left", "right", "front", "back", "bottom", "top")
"""The six sides of an opening, in the order low x, high x, low y, high y, low z, high z."""


@dataclass(frozen=True)
class Placement:
    """One copy of a part, standing somewhere.

    Attributes:
        label: unique in the piece, such as "shelf.2".
        part: index into `Piece.parts`.
        pose: sends the part's frame to the room: X left to right, Y front to back, Z up, floor z = 0.
        path: the sub-assembly it belongs to, outermost first, such as ("frame.1",).
        role: what people call it: "shelf", "side", "leg" ...; no check goes by it.
        facts: what it does: takes goods, is fixed to the wall.

    >>> from furnigen import find_recipe
    >>> find_recipe("crate_wall")().placements[0].label
    'side.left'
    """

    label: str
    part: int
    pose: Pose
    path: tuple[str, ...] = ()
    role: str = ""
    facts: Fact = NO_FACTS


@dataclass(frozen=True)
class Opening:
    """A clear space bounded by parts (a bay).

    Attributes:
        label: unique in the piece, such as "bay.2.1".
        box: the clear space (mm).
        bounded_by: (side, label of the placement there) for the closed sides, in the order of SIDES.

    >>> Opening("bay.1", Box((0, 0, 0), (400, 300, 350))).clear_mm
    (400, 300, 350)
    """

    label: str
    box: Box
    bounded_by: tuple[tuple[str, str], ...] = ()

    @property
    def clear_mm(self) -> Vector:
        """Clear width, depth, height (mm)."""
        return self.box.size

    def bound(self, side: str) -> str:
        """Label of the placement that closes `side`; "" when the side is open."""
        return dict(self.bounded_by).get(side, "")


@dataclass(frozen=True)
class Wall:
    """A wall the piece is fixed to: a plane, its normal pointing into the room.

    Attributes:
        name: such as "back wall".
        point: any point of the plane (mm).
        normal: unit vector out of the wall.
    """

    name: str
    point: Vector
    normal: Vector


@dataclass(frozen=True)
class Limit:
    """A limit that a brief states.

    Attributes:
        name: one of `furnigen.checks.fit.LIMITS`, such as "max_width".
        value_mm: the limit (mm).
    """

    name: str
    value_mm: float


@dataclass(frozen=True)
class LoadOn:
    """What some level boards are to carry.

    Attributes:
        target: a label, a role such as "shelf", or "all" (see `furnigen.drafting.draft.Draft.load`).
        text: the load in words, such as "books" or "40 kg/m" (see `furnigen.catalogue.loads`).
    """

    target: str
    text: str


@dataclass(frozen=True)
class Pitch:
    """A row of like boards or frames at equal steps, for the report.

    Attributes:
        what: what they are, such as "shelves".
        axis: the axis of the room they follow each other along: "x", "y" or "z".
        first_mm: low face of the first.
        step_mm: from each low face to the next.
        count: how many there are, two or more.
    """

    what: str
    axis: str
    first_mm: float
    step_mm: float
    count: int


@dataclass(frozen=True)
class LegNote:
    """Bench angles of one kind of leg, for the report (degrees, mm)."""

    part: int
    rake: float
    splay: float
    resultant: float
    sightline: float
    drill_guide: float
    axis_length: float
    blank_length: float


@dataclass(frozen=True)
class Piece:
    """A whole item of furniture.

    Attributes:
        name: the recipe's name, or the author's.
        title: what a person calls it.
        parts: distinct things to make.
        placements: every copy, in the order the author placed them.
        openings: clear spaces.
        parameters: (name, value) pairs it was made from, lengths in mm.
        walls: planes it is fixed to; empty for a piece that stands on the floor.
        limits: what the brief demands.
        legs: bench angles of the legs.
        joints: how placements meet.
        loads: what its level boards are to carry; of several for one board the last holds.
        pitches: rows of shelves or frames at equal steps.
        origin: the recipe and parameters it was made from, where this process made it from one: remedies try
            other parameters. Neither compared nor pickled, for a recipe is code.

    >>> from furnigen import find_recipe
    >>> piece = find_recipe("crate_wall")()
    >>> [(part.name, n) for part, n in zip(piece.parts, piece.quantities)][:2]
    [('side', 2), ('bottom/top', 2)]
    """

    name: str
    title: str
    parts: tuple[Part, ...]
    placements: tuple[Placement, ...]
    openings: tuple[Opening, ...] = ()
    parameters: tuple[tuple[str, object], ...] = ()
    walls: tuple[Wall, ...] = ()
    limits: tuple[Limit, ...] = ()
    legs: tuple[LegNote, ...] = ()
    joints: tuple[Joint, ...] = ()
    loads: tuple[LoadOn, ...] = ()
    pitches: tuple[Pitch, ...] = ()
    origin: object = field(default=None, compare=False, repr=False)

    def __getstate__(self) -> dict[str, object]:
        return {f.name: getattr(self, f.name) for f in fields(self) if f.name != "origin"}

    def part_of(self, placement: Placement) -> Part:
        """The part that `placement` is a copy of."""
        return self.parts[placement.part]

    @cached_property
    def by_label(self) -> dict[str, Placement]:
        """Placements by label."""
        return {p.label: p for p in self.placements}

    def placement(self, label: str) -> Placement:
        """The placement called `label`.

        Raises: InputError when there is none.
        """
        try:
            return self.by_label[label]
        except KeyError:
            raise InputError("label", label, f"no placement of {self.name} is called so") from None

    @cached_property
    def quantities(self) -> tuple[int, ...]:
        """How many copies of each part."""
        counts = [0] * len(self.parts)
        for p in self.placements:
            counts[p.part] += 1
        return tuple(counts)

    @cached_property
    def loose(self) -> frozenset[str]:
        """Labels of the loose parts that its joints are made with: splines, keys, wedges."""
        labels = (label for joint in self.joints for label, _ in joint.loose)
        return frozenset(label for label in labels if label in self.by_label)

    @cached_property
    def without_loose(self) -> Piece:
        """The piece without its loose parts, its joints as they are: what strength and mockup are of.

        The parts that are left keep their numbers: `Draft.done` places loose parts after all others.
        """
        if not self.loose:
            return self
        kept = tuple(p for p in self.placements if p.label not in self.loose)
        return replace(self, placements=kept, parts=self.parts[: 1 + max(p.part for p in kept)])

    @property
    def has_custom_forms(self) -> bool:
        """Whether some part is of a form that only the kernel can make."""
        return any(part.form.needs_kernel for part in self.parts)

    def bounds_of(self, placement: Placement) -> Box:
        """Exact bounds of one copy in the room (mm)."""
        return self._boxes[placement.label]

    @cached_property
    def _boxes(self) -> dict[str, Box]:
        """Bounds by label: checks ask for each many times over."""
        return {p.label: part_bounds(self.part_of(p), p.pose) for p in self.placements}

    @cached_property
    def bounds(self) -> Box:
        """Bounds of the whole piece (mm)."""
        boxes = list(self._boxes.values())
        return Box.around([b.lo for b in boxes] + [b.hi for b in boxes])


def free_name(name: str, taken: set[str]) -> str:
    """A name that is not taken yet: the name itself, or "NAME (2)" and so on.

    >>> free_name("frame", {"frame", "frame (2)"})
    'frame (3)'
    """
    number, free = 1, name
    while free in taken:
        number += 1
        free = f"{name} ({number})"
    return free


def require_piece(value: object) -> None:
    """Refuse what is no piece, saying what came.

    Raises: InputError.
    """
    if not isinstance(value, Piece):
        called = " that is not called yet: add ()" if callable(value) else ""
        got = repr(value) if isinstance(value, str) else kind_of(value) + called
        raise InputError("piece", got, "must be a Piece, as a recipe or Draft.done returns it")
