"""The drafting table: an author places boards and other parts, divides openings, and is handed a piece.

Places are given in the room: X left to right, Y front to back, Z up, millimetres, floor z = 0. `done`
then finds which placements are copies of one part, and which parts are a handed pair.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from itertools import pairwise

from furnigen.catalogue.loads import parse_load
from furnigen.catalogue.stock import Stock
from furnigen.core.errors import InputError
from furnigen.core.facts import NO_FACTS, Fact, Said, Subject, check_facts, read_facts
from furnigen.core.pose import AXES, Box, Pose, Vector, axis_index, axis_vector, board_pose
from furnigen.drafting.division import ROUNDING_MM, Rule
from furnigen.drafting.goods import GOODS, settled_facts
from furnigen.drafting.joining import Join, cut_joints, declare_join, joint_member, mirrored_low
from furnigen.joints.meeting import find_meeting
from furnigen.joints.spec import Spec, StripJoint
from furnigen.parts.cuts import BoxCut
from furnigen.parts.forms.form import Form
from furnigen.parts.forms.prism import rectangle
from furnigen.parts.forms.sizes import SMALLEST_MM
from furnigen.piece.description import SIDES, LegNote, Limit, LoadOn, Opening, Piece, Pitch, Wall
from furnigen.piece.distinct_parts import Item, distinct

FIT_MM = 0.1
"""Usual allowance for each face: a fit that goes home by hand. Common practice, no source."""
LOOSEST_FIT_MM = 2.0
"""A looser fit is a gap, not a joint. Our own limit."""


class Draft:
    """A piece in the making.

    Args:
        name: short name, such as the recipe's.
        title: what a person calls the piece; the name when empty.
        fit_mm: the fit allowance of all joints, mm for each face that does not bear.

    Raises: InputError for an allowance below 0 or above 2 mm, where a joint is no fit any more.
    """

    def __init__(self, name: str, title: str = "", fit_mm: float = FIT_MM) -> None:
        if not 0 <= fit_mm <= LOOSEST_FIT_MM:
            raise InputError("fit allowance", f"{fit_mm:g} mm", f"must be from 0 to {LOOSEST_FIT_MM:g} mm")
        self.name, self.title, self.fit_mm = name, title or name, fit_mm
        self._items: dict[str, Item] = {}
        self._openings: dict[str, Opening] = {}
        self._walls: list[Wall] = []
        self._limits: list[Limit] = []
        self._leg_notes: dict[str, LegNote] = {}
        self._joins: list[Join] = []
        self._loads: list[LoadOn] = []
        self._pitches: list[Pitch] = []

    # -- placing -------------------------------------------------------------------------------

    def place(
        self,
        label: str,
        form: Form,
        stock: Stock,
        pose: Pose,
        *,
        role: str = "",
        path: Iterable[str] = (),
        facts: Said = NO_FACTS,
    ) -> str:
        """Place one copy of any form; returns its label.

        Args:
            role: what people call it; no check goes by it.
            facts: what it does, such as "takes goods" (see `furnigen.core.facts`). Where neither taking goods
                nor the wall is spoken of, `done` judges by how it stands (see `furnigen.drafting.goods`).

        Raises: InputError when the label is taken or can not be seen whole, or for a fact that is unknown or
        excludes another.
        """
        if label in self._items:
            raise InputError("label", label, "is taken by another placement")
        path = tuple(path)
        for what, word in (("label", label), *(("path", name) for name in path), ("role", role or label)):
            if not word.strip() or word != word.strip():
                raise InputError(
                    what, word, "must be a word without blanks at its ends, which no file or list shows"
                )
        said = read_facts(facts, Subject.PLACEMENT, label)
        self._items[label] = Item(label, form, stock, pose, path, role or label.split(".")[0], said)
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
        box = Box(lo, hi)
        for axis, size in zip(AXES, box.size, strict=True):
            if not size >= SMALLEST_MM:
                raise InputError(
                    f"{label} along {axis}",
                    f"{size:.1f} mm",
                    f"there is no room for it: at least {SMALLEST_MM} mm",
                )
        face = self._face(label, stock, box, grain, face)
        across = [a for a in AXES if a != face]
        grain = grain or max(across, key=lambda a: box.size[axis_index(a)])
        width = next(a for a in across if a != grain)
        form = rectangle(box.size[axis_index(grain)], box.size[axis_index(width)], stock.thickness_mm)
        pose = board_pose(box, grain, face)
        return self.place(label, form, stock, pose, role=role, path=path, facts=facts)

    @staticmethod
    def _face(label: str, stock: Stock, box: Box, grain: str | None, wanted: str | None) -> str:
        fits = [
            a
            for a, size in zip(AXES, box.size, strict=True)
            if abs(size - stock.thickness_mm) <= ROUNDING_MM and a != grain
        ]
        if not fits:
            sizes = " x ".join(f"{s:.1f}" for s in box.size)
            raise InputError(
                label,
                f"{sizes} mm",
                f"no side across the grain is {stock.thickness_mm:g} mm, as thick as {stock.name}",
            )
        return min(fits, key=lambda a: (a != wanted, box.size[axis_index(a)]))

    def box(self, label: str) -> Box:
        """Bounds of a placement (mm)."""
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
        joint: Spec | StripJoint,
        *,
        asked: tuple[str, str] | None = None,
        facts: Said = NO_FACTS,
    ) -> None:
        """Join two placements: `b` is let into `a`, or lies against it.

        Place boards so that they butt, each filling its opening; b is made longer by what it enters, and both
        are cut, when the piece is done. Openings, and what `box` answers, stay as placed.

        Args:
            a: label of the placement that receives, such as a side.
            b: label of the placement that enters or lies against it, such as a shelf.
            joint: from `furnigen.joints`, such as housing().
            asked: the recipe's parameter it was chosen by, and its value: what a refusal speaks of.
            facts: whether it carries by its shape, where that is not what its kind usually does.

        Raises: InputError when they do not meet, a size of the joint does not suit them, or for a fact that
            is unknown or excludes another.
        """
        said = read_facts(facts, Subject.JOINT, f"the joint of {b} to {a}")
        if isinstance(joint, StripJoint):
            self._with_strip(a, b, joint, asked)
        else:
            self._joins.append(declare_join(self._item(a), self._item(b), joint, self.fit_mm, asked, said))

    def _with_strip(self, a: str, b: str, joint: StripJoint, asked: tuple[str, str] | None) -> None:
        """Place a strip at b's end, join it to a, and b to it."""
        side, shelf = self._item(a), self._item(b)
        box, grain = joint.strip(find_meeting(joint_member(side), joint_member(shelf), joint.kind))
        number = 1
        while f"{b}.{joint.kind}.{number}" in self._items:
            number += 1
        label = f"{b}.{joint.kind}.{number}"
        self.board(label, joint.stock, box.lo, box.hi, grain=grain, role=joint.kind, path=shelf.path)
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
        made = []
        i = axis_index(axis)
        # reflecting in any axis is reflecting in x seen from a turned frame
        frame = Pose.turned("z", 90.0) if i == 1 else Pose.turned("y", -90.0) if i == 2 else Pose()
        shift = Pose.at(*axis_vector(i, 2 * about))
        labels = list(labels)
        turns: dict[str, Pose] = {}
        for label in labels:
            item = self._item(label)
            image = item.form.mirrored()
            if image is None:
                raise InputError(
                    "mirrored part", label, f"the mirror image of a {item.form.kind} is not known"
                )
            form, turn = image
            seen = frame.inverse() @ item.pose
            # M P f = (M P M)(M f): conjugating a rigid motion by a mirror leaves it rigid
            pose = shift @ frame @ seen.reflected() @ turn
            new = self.place(
                rename(label), form, item.stock, pose, role=item.role, path=item.path, facts=item.facts
            )
            self._items[new].cuts = [c.reflected().moved(turn.inverse()) for c in item.cuts]
            turns[label] = turn
            made.append(new)
        self._copy_joins(dict(zip(labels, made, strict=True)), turns)
        return made

    def repeat(
        self,
        labels: Iterable[str],
        poses: Iterable[Pose],
        rename: Callable[[str, int], str],
        path: Callable[[tuple[str, ...], int], tuple[str, ...]] = lambda p, i: p,
    ) -> list[str]:
        """Moved copies of placements: one set for each pose, numbered from 1; returns the new labels.

        Joints between two of them are copied with them.
        """
        originals = [self._item(label) for label in labels]
        made = []
        for i, pose in enumerate(poses, 1):
            for item in originals:
                new = rename(item.label, i)
                where = path(item.path, i)
                moved = pose @ item.pose
                self.place(new, item.form, item.stock, moved, role=item.role, path=where, facts=item.facts)
                self._items[new].cuts = list(item.cuts)
                made.append(new)
            self._copy_joins(
                dict(zip([o.label for o in originals], made[-len(originals) :], strict=True)), {}
            )
        return made

    def _copy_joins(self, renamed: dict[str, str], turns: dict[str, Pose]) -> None:
        """Copy the joins whose members were both copied; `turns` as `Form.mirrored` gave them."""
        for join in list(self._joins):
            if join.a in renamed and join.b in renamed:
                low = mirrored_low(join.low, turns[join.b]) if turns else join.low
                self._joins.append(replace(join, a=renamed[join.a], b=renamed[join.b], low=low))

    # -- openings ------------------------------------------------------------------------------

    def opening(self, label: str, lo: Vector, hi: Vector, **bounded_by: str) -> Opening:
        """Declare a clear space (mm), with the placement that closes each closed side as keywords.

        Sides are left, right, front, back, bottom, top.

        Raises: InputError when it is empty, its label is taken, or a side or placement is unknown.
        """
        if label in self._openings:
            raise InputError("opening", label, "is taken by another opening")
        for axis, a, b in zip(AXES, lo, hi, strict=True):
            if not b - a >= SMALLEST_MM:
                raise InputError(
                    f"clear size of {label} along {axis}",
                    f"{b - a:.1f} mm",
                    f"must be at least {SMALLEST_MM} mm",
                )
        for side, placement in bounded_by.items():
            if side not in SIDES:
                raise InputError("side of an opening", side, f"must be one of {', '.join(SIDES)}")
            self._item(placement)
        ordered = tuple((s, bounded_by[s]) for s in SIDES if s in bounded_by)
        made = Opening(label, Box(lo, hi), ordered)
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
        i = axis_index(axis)
        lo, hi = opening.box.lo, opening.box.hi
        try:
            division = rule(hi[i] - lo[i], stock.thickness_mm)
        except InputError as error:
            error.add_note(f"in {opening.label}")
            raise
        del self._openings[opening.label]
        stem = label if label is not None else f"{opening.label}.{role}"
        said = read_facts(facts, Subject.PLACEMENT, stem)
        if axis == "z" and not said & GOODS:
            said |= Fact.TAKES_GOODS
        low_side, high_side = SIDES[2 * i], SIDES[2 * i + 1]
        labels = []
        for n, start in enumerate(division.starts, 1):
            a, b = list(lo), list(hi)
            a[i], b[i] = lo[i] + start, lo[i] + start + stock.thickness_mm
            a[1], b[1] = a[1] + (front if i != 1 else 0.0), b[1] - (back if i != 1 else 0.0)
            labels.append(
                self.board(
                    f"{stem}.{n}",
                    stock,
                    (a[0], a[1], a[2]),
                    (b[0], b[1], b[2]),
                    grain=grain,
                    role=role,
                    path=path,
                    facts=said,
                )
            )
        bays = []
        at = lo[i]
        for n, clear in enumerate(division.clear, 1):
            a, b = list(lo), list(hi)
            a[i], b[i] = at, at + clear
            at += clear + stock.thickness_mm
            sides = dict(opening.bounded_by)
            if n > 1:
                sides[low_side] = labels[n - 2]
            if n <= len(labels):
                sides[high_side] = labels[n - 1]
            bays.append(
                self.opening(
                    f"{opening.label}.{n}" if labels else opening.label,
                    (a[0], a[1], a[2]),
                    (b[0], b[1], b[2]),
                    **sides,
                )
            )
        return labels, bays

    # -- what the piece must meet --------------------------------------------------------------

    def wall(self, name: str, point: Vector, normal: Vector) -> None:
        """Declare a wall the piece is fixed to; `normal` points into the room."""
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
        """Tell the step of a row of placements along an axis, for the maker and the report.

        Args:
            what: what they are, such as "shelves".
            labels: one placement of each, in order; a row of one has no step and is not told.

        Raises: InputError when their low faces do not stand at equal steps.
        """
        i = axis_index(axis)
        lows = [self.box(label).lo[i] for label in labels]
        steps = [b - a for a, b in pairwise(lows)]
        if steps and max(steps) - min(steps) > ROUNDING_MM:
            raise InputError(
                f"pitch of {what}",
                f"{min(steps):.1f} to {max(steps):.1f} mm",
                "must be the same from each to the next",
            )
        if steps:
            pitch = (lows[-1] - lows[0]) / len(steps)
            self._pitches.append(Pitch(what, axis, lows[0], pitch, len(lows)))

    def note_legs(self, label: str, note: LegNote) -> None:
        """Remember the bench angles of the leg placed as `label`; `note.part` is filled in by `done`."""
        self._item(label)
        self._leg_notes[label] = note

    # -- done ----------------------------------------------------------------------------------

    def done(self) -> Piece:
        """The finished, frozen piece.

        Raises: InputError when nothing was placed, or joints can not be cut as declared.
        """
        if not self._items:
            raise InputError("piece", self.name, "has no parts")
        items = {label: replace(item, cuts=list(item.cuts)) for label, item in self._items.items()}
        floors = {opening.bound("bottom") for opening in self._openings.values()}
        for label, facts in settled_facts(items, floors, self._walls).items():
            items[label].facts = facts
        joints = cut_joints(items, self._joins, self.fit_mm)
        parts, placements = distinct(list(items.values()))
        at = {p.label: p.part for p in placements}
        notes: dict[int, LegNote] = {}
        for label, note in self._leg_notes.items():
            notes.setdefault(at[label], _of_part(note, at[label], parts[at[label]].form))
        return Piece(
            name=self.name,
            title=self.title,
            parts=parts,
            placements=placements,
            openings=tuple(self._openings.values()),
            walls=tuple(self._walls),
            limits=tuple(self._limits),
            legs=tuple(notes.values()),
            joints=joints,
            loads=tuple(self._loads),
            pitches=tuple(self._pitches),
        )


def _of_part(note: LegNote, part: int, form: Form) -> LegNote:
    """A leg's note with its part's number, and the lengths it has with its tenon."""
    leg = form.as_leg
    if leg is not None:
        return replace(note, part=part, axis_length=leg.axis_length, blank_length=leg.blank_mm[0])
    return replace(note, part=part)
