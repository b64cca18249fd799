"""The drafting table: an author places boards and other parts, divides openings, and gets a piece.

Places are given in the room: X left to right, Y front to back, Z up, millimetres, floor z = 0. `done`
then finds which placements are copies of one part, and which parts are a handed pair.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from furnigen.catalogue.loads import parse_load
from furnigen.catalogue.stock import Stock, require_stock
from furnigen.core.asked import value_of
from furnigen.core.errors import InputError
from furnigen.core.facts import NO_FACTS, Fact, Said, Subject, check_facts, read_facts
from furnigen.core.pose import Box, Pose, Vector, axis_index
from furnigen.drafting.copying import copied_joins, mirrored_items
from furnigen.drafting.dividing import clear_space, divided, row_pitch, sides_between
from furnigen.drafting.division import Rule
from furnigen.drafting.finishing import finished
from furnigen.drafting.fixing import WallFixing, wall_joints
from furnigen.drafting.given import FIT_MM, check_head, placeable, require_joint, require_points
from furnigen.drafting.goods import GOODS
from furnigen.drafting.joining import Join, declare_join, joint_strip
from furnigen.drafting.placing import board_in, check_words
from furnigen.joints.chosen import Joining, settled_joint
from furnigen.joints.spec import StripJoint
from furnigen.parts.cuts import BoxCut
from furnigen.parts.forms.form import Form
from furnigen.piece.description import LegNote, LoadOn, Opening, Piece, Pitch, Wall
from furnigen.piece.distinct_parts import Item, first_word

if TYPE_CHECKING:
    from cadquery import Shape, Workplane


class Draft:
    """A piece in the making.

    Args:
        name: short name, such as the recipe's.
        title: what a person calls the piece; the name when empty.
        fit_mm: the fit allowance of all joints, mm for each face that does not bear.

    Raises: InputError for an allowance below 0 or above 2 mm, where a joint is no fit any more.

    >>> from furnigen import Draft, equal_clear, find_stock, housing, join_ends
    >>> board, draft = find_stock("birch-ply-18"), Draft("shelves", "Two shelves between sides")
    >>> left = draft.board("left", board, (0, 0, 0), (17.6, 250, 600))
    >>> right = draft.board("right", board, (782.4, 0, 0), (800, 250, 600))
    >>> room = draft.opening("room", (17.6, 0, 0), (782.4, 250, 600), left=left, right=right)
    >>> shelves, bays = draft.divide(room, "z", equal_clear(2), board, role="shelf", grain="x")
    >>> join_ends(draft, room, shelves, housing(depth=6))
    >>> draft.load("shelf", "books")
    >>> piece = draft.done()
    >>> [(part.name, part.form.blank_mm[0]) for part in piece.parts]
    [('left/right', 600.0), ('shelf', 776.8)]
    """

    def __init__(self, name: str, title: str = "", fit_mm: float = FIT_MM) -> None:
        check_head(name, title, fit_mm)
        self.name, self.title, self.fit_mm = name, title or name, fit_mm
        self._items: dict[str, Item] = {}
        self._openings: dict[str, Opening] = {}
        self._walls: list[Wall] = []
        self._leg_notes: dict[str, LegNote] = {}
        self._joins: list[Join] = []
        self._loads: list[LoadOn] = []
        self._pitches: list[Pitch] = []
        self.fixings: list[WallFixing] = []

    # -- placing -------------------------------------------------------------------------------

    def place(
        self,
        label: str,
        form: Form | Workplane | Shape,
        stock: Stock,
        pose: Pose,
        *,
        role: str = "",
        path: Iterable[str] = (),
        facts: Said = NO_FACTS,
    ) -> str:
        """Place one copy of any form, or of a CadQuery shape; returns its label.

        Args:
            form: a form of furnigen's, or a CadQuery Workplane or Shape that holds one solid, mm. A shape is
                taken where it stands: its own axes are the part's length, width and thickness. Shapes of
                equal geometry are one part.
            stock: what it is cut from.
            pose: where its frame goes in the room.
            role: what people call it; no check goes by it.
            facts: what it does, such as "takes goods" (see `furnigen.core.facts`). Where neither taking goods
                nor the wall is spoken of, `done` judges by how it stands (see `furnigen.drafting.goods`).

        Raises: InputError when the label is taken or can not be seen whole, what came is no one solid, no
        stock or no pose, or for a fact that is unknown or excludes another.
        """
        path = tuple(path)
        check_words(label, path, role or label)
        if label in self._items:
            raise InputError("label", label, "is taken by another placement")
        form = placeable(label, form, stock, pose)
        said = read_facts(facts, Subject.PLACEMENT, label)
        self._items[label] = Item(label, form, stock, pose, path, role or first_word(label), said)
        return label

    def say(self, label: str, facts: Said) -> None:
        """Say what a placement does, such as "takes no goods", besides what was said of it before.

        Raises: InputError for an unknown label or fact, or one that excludes another.
        """
        item = self._item(label)
        item.facts |= read_facts(facts, Subject.PLACEMENT, label)
        check_facts(item.facts, label)

    def board(
        self,
        label: str,
        stock: Stock,
        lo: Vector,
        hi: Vector,
        *,
        grain: str | None = None,
        face: str | None = None,
        role: str = "",
        path: Iterable[str] = (),
        facts: Said = NO_FACTS,
    ) -> str:
        """Place a rectangular board that fills the box from `lo` to `hi` (mm).

        Its thickness is the side of the box that equals the stock's, along `face` where more than one does;
        its length (the grain) runs along `grain`, by default the longest of the other two. `role` and `facts`
        are as in `place`.

        Raises: InputError when no side of the box is as thick as the stock, or the box is empty; as `place`.
        """
        require_stock(f"stock of {label}", stock)
        require_points(label, lo, hi)
        form, pose = board_in(Box(lo, hi), stock, label, grain, face)
        return self.place(label, form, stock, pose, role=role, path=path, facts=facts)

    def box(self, label: str) -> Box:
        """Bounds of a placement (mm). Raises: InputError when nothing is called so."""
        item = self._item(label)
        return item.form.bounds(item.pose)

    def _item(self, label: str) -> Item:
        try:
            return self._items[label]
        except KeyError:
            raise InputError("label", label, "no placement is called so") from None

    def cut(self, label: str, box: Box, name: str, *, facts: Said = NO_FACTS) -> None:
        """Take the room's box `box` out of a placement (mm).

        Args:
            facts: what the cut is, such as "groove" (see `furnigen.core.facts`).

        Raises: InputError for an unknown label or fact, or facts that exclude each other.
        """
        item = self._item(label)
        said = read_facts(facts, Subject.CUT, f"{name} in {label}")
        tool = BoxCut(Pose.at(*box.lo), box.size, name, said)
        item.cuts.append(tool.moved(item.pose.inverse()))

    # -- joining -------------------------------------------------------------------------------

    def join(
        self,
        a: str,
        b: str,
        joint: Joining,
        *,
        asked: str | tuple[str, str] | None = None,
        facts: Said = NO_FACTS,
    ) -> None:
        """Join two placements: `b` is let into `a`, or lies against it.

        Place boards so that they butt, each filling its opening; b is made longer by what it enters, and both
        are cut, when the piece is done. Openings, and what `box` answers, stay as placed.

        Args:
            a: label of the placement that receives, such as a side.
            b: label of the placement that enters or lies against it, such as a shelf.
            joint: from `furnigen.joints`, such as housing(), or the value of a parameter declared with
                `furnigen.joint_choice`, whose refusals name that parameter.
            asked: the recipe's parameter to name in a refusal: its name, or its name and value.
            facts: whether it carries by its shape, where that is not what its kind usually does.

        Raises: InputError when they do not meet, a size of the joint does not suit them, or for a fact that
            is unknown or excludes another.
        """
        require_joint(f"joint of {b} to {a}", joint)
        said = read_facts(facts, Subject.JOINT, f"the joint of {b} to {a}")
        named = (asked, value_of(asked)) if isinstance(asked, str) else asked
        spec, named = settled_joint(joint, named)
        if isinstance(spec, StripJoint):
            self._with_strip(a, b, spec, named)
        else:
            self._joins.append(declare_join(self._item(a), self._item(b), spec, self.fit_mm, named, said))

    def _with_strip(self, a: str, b: str, joint: StripJoint, asked: tuple[str, str] | None) -> None:
        """Place a strip at b's end, join it to a, and b to it."""
        label, box, grain = joint_strip(self._item(a), self._item(b), joint, self._items)
        path = self._item(b).path
        self.board(label, joint.stock, box.lo, box.hi, grain=grain, role=joint.kind, path=path)
        self.join(a, label, joint.to_a, asked=asked)
        self.join(label, b, joint.to_b, asked=asked)

    # -- copies --------------------------------------------------------------------------------

    def mirror(
        self, labels: Iterable[str], axis: str, about: float, rename: Callable[[str], str]
    ) -> list[str]:
        """Mirrored copies of placements in the plane `axis` = `about` (mm); returns the new labels.

        Joints between two of them are copied with them.

        Raises: InputError for a form whose mirror image is not known.
        """
        originals = [self._item(label) for label in labels]
        renamed: dict[str, str] = {}
        turns: dict[str, Pose] = {}
        for image, turn in mirrored_items(originals, axis, about):
            renamed[image.label] = self._copy(image, rename(image.label))
            turns[image.label] = turn
        self._joins += copied_joins(self._joins, renamed, turns)
        return list(renamed.values())

    def repeat(
        self,
        labels: Iterable[str],
        poses: Iterable[Pose],
        rename: Callable[[str, int], str],
        path: Callable[[tuple[str, ...], int], tuple[str, ...]] = lambda p, i: p,
    ) -> list[str]:
        """Moved copies of placements: one set for each pose, numbered from 1; returns the new labels.

        Joints between two of them are copied with them. Raises: as `place`.
        """
        originals = [self._item(label) for label in labels]
        made: list[str] = []
        for i, pose in enumerate(poses, 1):
            renamed = {}
            for item in originals:
                moved = replace(item, pose=pose @ item.pose, path=path(item.path, i), cuts=list(item.cuts))
                renamed[item.label] = self._copy(moved, rename(item.label, i))
            made += renamed.values()
            self._joins += copied_joins(self._joins, renamed)
        return made

    def _copy(self, item: Item, label: str) -> str:
        """Place an item under another label, with its cuts."""
        self.place(label, item.form, item.stock, item.pose, role=item.role, path=item.path, facts=item.facts)
        self._items[label].cuts = item.cuts
        return label

    # -- openings ------------------------------------------------------------------------------

    def opening(self, label: str, lo: Vector, hi: Vector, **bounded_by: str) -> Opening:
        """Declare a clear space (mm), with the placement that closes each closed side as keywords.

        Sides are left, right, front, back, bottom, top.

        Raises: InputError when it is empty, its label is taken, or a side or placement is unknown.
        """
        require_points(label, lo, hi)
        if label in self._openings:
            raise InputError("opening", label, "is taken by another opening")
        made = clear_space(label, Box(lo, hi), bounded_by)
        for placement in bounded_by.values():
            self._item(placement)
        self._openings[label] = made
        return made

    def drop_opening(self, opening: Opening) -> None:
        """Forget an opening that others take the place of.

        Raises: InputError when it is not one of this draft's.
        """
        if self._openings.pop(opening.label, None) is None:
            raise InputError("opening", opening.label, "is no opening of this piece, or was divided before")

    def divide(
        self,
        opening: Opening,
        axis: str,
        rule: Rule,
        stock: Stock,
        *,
        role: str,
        label: str | None = None,
        grain: str | None = None,
        front: float = 0.0,
        back: float = 0.0,
        path: Iterable[str] = (),
        facts: Said = NO_FACTS,
    ) -> tuple[list[str], list[Opening]]:
        """Divide an opening with boards square to `axis`; it is replaced by the openings between.

        Boards square to z take goods, unless `facts` says otherwise.

        Args:
            rule: from `furnigen.drafting.division`, such as equal_clear(3).
            role: what people call the boards: "shelf", "divider".
            label: boards are called label.1, label.2 ...; the opening's label and role when None.
            front, back: how far the boards stay back from the opening's front and back (mm).
            facts: what they do, as in `place`.

        Returns: labels of the boards and the new openings, both from the low end.

        Raises: InputError naming the opening when the division is impossible.
        """
        require_stock(f"stock of {role}", stock)
        boxes, clears = divided(opening, axis, rule, stock.thickness_mm, front, back)
        del self._openings[opening.label]
        stem = label if label is not None else f"{opening.label}.{role}"
        said = read_facts(facts, Subject.PLACEMENT, stem)
        if axis == "z" and not said & GOODS:
            said |= Fact.TAKES_GOODS
        labels = [
            self.board(f"{stem}.{n}", stock, box.lo, box.hi, grain=grain, role=role, path=path, facts=said)
            for n, box in enumerate(boxes, 1)
        ]
        bays = [
            self.opening(f"{opening.label}.{n}" if labels else opening.label, box.lo, box.hi, **sides)
            for n, (box, sides) in enumerate(
                zip(clears, sides_between(opening, axis, labels), strict=True), 1
            )
        ]
        return labels, bays

    # -- what the piece must meet --------------------------------------------------------------

    def wall(self, name: str, point: Vector, normal: Vector) -> None:
        """Declare a wall the piece is fixed to: a point of it (mm), and a `normal` into the room."""
        self._walls.append(Wall(name, point, normal))

    def load(self, target: str, load: str) -> None:
        """Say what level boards are to carry.

        Args:
            target: a label; a role such as "shelf", for every level board that people call so; or "all", for
                every board that takes goods.
            load: a use such as "books", or a weight: "40 kg/m", "150 kg/m2", "20 kg at 300 mm".

        Raises: InputError for an unknown use, a wrong or missing unit, a negative load.
        """
        parse_load(load, what=f"load on {target}")
        self._loads.append(LoadOn(target, load))

    def note_pitch(self, what: str, labels: Sequence[str], axis: str) -> None:
        """Note the step of a row of placements along an axis, for the maker and the report.

        Args:
            what: what they are, such as "shelves".
            labels: one placement of each, in order; a row of one has no step and is not noted.

        Raises: InputError when their low faces do not stand at equal steps.
        """
        i = axis_index(axis)
        lows = [self.box(label).lo[i] for label in labels]
        pitch = row_pitch(what, axis, lows)
        if pitch:
            self._pitches.append(pitch)

    def note_legs(self, label: str, note: LegNote) -> None:
        """Remember the bench angles of a leg; `done` fills in its part. Raises: as `box`."""
        self._item(label)
        self._leg_notes[label] = note

    # -- done ----------------------------------------------------------------------------------

    def done(self) -> Piece:
        """The finished, frozen piece.

        Raises: InputError when nothing was placed, or joints can not be cut as declared.
        """
        if not self._items:
            raise InputError("piece", self.name, "has no parts")
        made = finished(
            self._items, self._joins, self._openings.values(), self._walls, self._leg_notes, self.fit_mm
        )
        return Piece(
            name=self.name,
            title=self.title,
            parts=made.parts,
            placements=made.placements,
            openings=tuple(self._openings.values()),
            walls=tuple(self._walls),
            legs=made.legs,
            joints=made.joints + wall_joints(self.fixings, self._items, self._walls),
            loads=tuple(self._loads),
            pitches=tuple(self._pitches),
        )
