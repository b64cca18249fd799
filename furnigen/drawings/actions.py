"""The proven steps of assembly as actions of a booklet: a page each, equal ones told once with how often."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from furnigen.construction.assembly_order import AssemblyOrder, Step
from furnigen.joints.joint import Joint
from furnigen.piece.description import Piece

Signature = tuple[object, ...]
UNIT = "sub-assembly"
"""In the signature of steps that build one."""


@dataclass(frozen=True)
class Action:
    """One page of a booklet.

    Attributes:
        step: the proven step, the first of those it stands for.
        joints: made in that step.
        there: labels already in place before it, in the unit being built.
        twins: the equal steps it stands for besides, in their order, with their joints.
        section: numbers (from 0) of the first and last action of those repeated together with it.
    """

    step: Step
    joints: tuple[Joint, ...]
    there: tuple[str, ...]
    twins: tuple[tuple[Step, tuple[Joint, ...]], ...] = ()
    section: tuple[int, int] = (0, 0)

    @property
    def count(self) -> int:
        """How often it is done."""
        return 1 + len(self.twins)

    @property
    def steps(self) -> tuple[Step, ...]:
        """All steps it stands for."""
        return (self.step, *(s for s, _ in self.twins))

    @property
    def brought(self) -> tuple[str, ...]:
        """Labels of the placements that its picture shows coming in; none to fix the piece."""
        return () if self.is_fixing else tuple(label for s in self.pictured for label in s.parts)

    @property
    def pictured(self) -> tuple[Step, ...]:
        """The steps its picture shows at once: all of the piece itself, the first only of sub-assemblies."""
        return self.steps[:1] if self.step.builds else self.steps

    @property
    def pictured_joints(self) -> tuple[Joint, ...]:
        """The joints of the steps its picture shows."""
        more = () if self.step.builds else self.twins
        return (*self.joints, *(j for _, joints in more for j in joints))

    @property
    def is_fixing(self) -> bool:
        """Whether it fixes what stands there to a wall."""
        return self.step.way is None and bool(self.step.onto)

    @property
    def is_start(self) -> bool:
        """Whether it sets down the first part of a unit."""
        return self.step.way is None and not self.step.onto


def joints_of_steps(piece: Piece, assembly: AssemblyOrder) -> list[tuple[Joint, ...]]:
    """The joints made in each step: those whose second member comes in."""
    waiting = list(range(len(piece.joints)))
    present: dict[str, set[str]] = {}
    found = []
    for step in assembly.steps:
        here = present.setdefault(step.builds, set())
        if step.way is None and step.onto:  # to a wall
            here = set(step.onto) | set(step.parts)
        else:
            here.update(step.parts)
        mine = [k for k in waiting if {piece.joints[k].a, piece.joints[k].b} <= here]
        waiting = [k for k in waiting if k not in set(mine)]
        found.append(tuple(piece.joints[k] for k in mine))
    return found


def actions_of(piece: Piece, assembly: AssemblyOrder) -> tuple[Action, ...]:
    """The pages of a booklet, in the proven order.

    Where a run of steps comes several times over, one after the other (four equal frames; a block and its
    leg at four corners), each of its steps is one action with its twins. Written out again run after run, the
    actions give the proven steps in their order (`written_out`).
    """
    steps, joints = assembly.steps, joints_of_steps(piece, assembly)
    there = _there_before(steps)
    marks = [_signature(piece, steps, k) for k in range(len(steps))]
    found: list[Action] = []
    k = 0
    while k < len(steps):
        long, often = _repeat(marks, k)
        section = (len(found), len(found) + long - 1)
        for at in range(k, k + long):
            twins = tuple((steps[at + n * long], joints[at + n * long]) for n in range(1, often))
            found.append(Action(steps[at], joints[at], there[at], twins, section))
        k += long * often
    return tuple(found)


def written_out(actions: Sequence[Action]) -> tuple[Step, ...]:
    """The steps that actions stand for, in the order they are done."""
    found: list[Step] = []
    k = 0
    while k < len(actions):
        last = actions[k].section[1]
        for turn in range(actions[k].count):
            found += [a.steps[turn] for a in actions[k : last + 1]]
        k = last + 1
    return tuple(found)


def _there_before(steps: Sequence[Step]) -> list[tuple[str, ...]]:
    present: dict[str, list[str]] = {}
    found = []
    for step in steps:
        here = present.setdefault(step.builds, [])
        found.append(tuple(here))
        here += [label for label in step.parts if label not in here]
    return found


def _repeat(marks: Sequence[Signature], k: int) -> tuple[int, int]:
    """How long the run of steps is that repeats from step k on, and how often it comes: (1, 1) for none."""
    best = (1, 1)
    for long in range(1, (len(marks) - k) // 2 + 1):
        often = 1
        while marks[k + often * long : k + (often + 1) * long] == marks[k : k + long]:
            often += 1
        if often > 1 and long * often > best[0] * best[1] and _worth(marks[k], often):
            best = (long, often)
    return best


def _worth(first: Signature, often: int) -> bool:
    """Whether a run is shown once: two alike of the piece itself, such as its sides, are clearer apart."""
    return often > 2 or UNIT in first


def _signature(piece: Piece, steps: Sequence[Step], k: int) -> Signature:
    """What equal steps have in common.

    Of sub-assemblies all is the same but where they stand; of steps of the piece itself what goes in may be
    of the other hand, and come from the other side.
    """
    step = steps[k]
    hardware = tuple((h.kind, h.size, h.quantity) for h in step.hardware)
    shared = (step.joints, step.glued, hardware, len(step.brings), len(step.onto), step.way is None)
    if not step.builds:
        if any(name not in piece.by_label for name in step.brings):
            return (*shared, k)
        names = tuple(_stem(piece, label) for label in step.parts)
        onto = tuple(sorted({_stem(piece, label) for label in step.onto}))
        way = tuple(round(abs(c), 4) for c in step.way or ())
        return (*shared, "piece", names, onto, way)
    first = next(i for i in range(k, -1, -1) if i == 0 or steps[i - 1].builds != step.builds)
    ox, oy, oz = piece.placement(steps[first].parts[0]).pose.origin
    stand = []
    for label in step.parts:
        p = piece.placement(label)
        x, y, z = p.pose.origin
        turned = tuple(round(c, 6) for row in p.pose.rotation for c in row)
        stand.append((p.part, round(x - ox, 2), round(y - oy, 2), round(z - oz, 2), turned))
    way = tuple(round(c, 6) for c in step.way or ())
    return (*shared, UNIT, k - first, tuple(stand), way, round(step.travel_mm, 2))


def _stem(piece: Piece, label: str) -> str:
    """What a placement is called without its hand."""
    if label not in piece.by_label:
        return label
    part = piece.part_of(piece.placement(label))
    return part.name.removesuffix(f" {part.hand}") if part.hand else part.name
