"""The order of assembly, found by taking the piece apart and reversing the order.

What can leave along a straight way without running into what remains can come in that way. Every step's way
is an exact sweep of its meshes, free of all that is there before it. The floor and the walls are left out: a
piece may lie on its side while it is put together.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import TYPE_CHECKING

from furnigen.construction.disassembly import Disassembly, MovedUnit, Removal, bits_of
from furnigen.construction.load_path import LoadPath
from furnigen.core.pose import Box, Vector, dot
from furnigen.joints.joint import Joint
from furnigen.piece.description import Piece
from furnigen.piece.hardware_list import HardwareRow, hardware_of

if TYPE_CHECKING:
    from furnigen.core.array_types import Floats
    from furnigen.mesh.contacts import Contact
    from furnigen.mesh.scene import Scene


@dataclass(frozen=True)
class Step:
    """One step of putting a piece together.

    Attributes:
        builds: the sub-assembly being built, "" for the piece itself.
        brings: what comes in: labels of placements, or names of sub-assemblies built before.
        parts: labels of all placements that come in.
        onto: labels already there that they meet.
        way: unit vector they move along as they come home; None for the first, which is only set down,
            and for fixing to a wall.
        travel_mm: length of the straight way, from clear of all that is there; proven free.
        joints: kinds of the joints made.
        glued: whether glue is spread on some of them.
        hardware: what is fitted.
    """

    builds: str
    brings: tuple[str, ...]
    parts: tuple[str, ...]
    onto: tuple[str, ...]
    way: Vector | None
    travel_mm: float
    joints: tuple[str, ...]
    glued: bool
    hardware: tuple[HardwareRow, ...]


@dataclass(frozen=True)
class AssemblyOrder:
    """How a piece goes together.

    Attributes:
        steps: from the first part to the last.
        locked: sets of labels that lock each other; empty when the steps are the whole piece.
    """

    steps: tuple[Step, ...]
    locked: tuple[tuple[str, ...], ...] = ()


def find_assembly_order(
    piece: Piece, scene: Scene, contacts: Sequence[Contact], path: LoadPath, deflection_mm: float = 0.0
) -> AssemblyOrder:
    """The order of assembly of a piece, each step with a straight path that was swept and found free.

    Args:
        scene: the placed meshes, from `furnigen.mesh.light_mesh` or the kernel's.
        contacts: which placements touch.
        path: the load path: what is nearer the ground comes first where there is a choice.
        deflection_mm: how far facets of curved faces may lie from the true face.
    """
    from furnigen.mesh.sweep import Sweeper

    down = Disassembly(piece, contacts, path, Sweeper(scene, deflection_mm))
    steps = _Builder(piece, down).build(MovedUnit("", (1 << len(piece.placements)) - 1, down.units()))
    if not down.locked:
        steps += _fixed_to_walls(piece)
    return AssemblyOrder(tuple(steps), tuple(down.locked))


class _Builder:
    """Turns the order of disassembly into steps of assembly."""

    def __init__(self, piece: Piece, down: Disassembly) -> None:
        self.piece, self.down = piece, down
        number = down.number
        # joints still to be made, each with the two it joins as bits
        self.waiting = dict(enumerate((1 << number[j.a] | 1 << number[j.b], j) for j in down.joints))
        self.joints_of: dict[int, list[int]] = {}
        for at, j in enumerate(down.joints):
            for label in (j.a, j.b):
                self.joints_of.setdefault(number[label], []).append(at)
        self.spans: dict[Vector, tuple[Floats, Floats]] = {}

    def build(self, whole: MovedUnit) -> list[Step]:
        """Steps that build one unit from what it is made of, its sub-assemblies first."""
        first, taken = self.down.take_apart(list(whole.inner))
        steps: list[Step] = []
        for unit in (first, *(t.unit for t in reversed(taken))):
            if unit.inner:
                steps += self.build(unit)
        steps.append(self._step(whole.name, [first], None, 0))
        run: list[Removal] = []
        for item in self._gathered(taken[::-1]):
            if run and not self._joins_in(run, item):
                steps.append(self._together(whole.name, run))
                run = []
            run.append(item)
        if run:
            steps.append(self._together(whole.name, run))
        return steps

    def _gathered(self, order: list[Removal]) -> list[Removal]:
        """Loose parts that go in one after another, like ones together: first all splines, then all keys.

        Args:
            order: what comes in, from the first on.
        """
        found: list[Removal] = []
        for loose, group in groupby(order, key=self._is_loose):
            mine = list(group)
            if loose and not self._in_each_others_way(mine):
                there = mine[0].rest
                by_kind: dict[tuple[int, Vector], list[Removal]] = {}
                for item in mine:
                    placed = self.piece.placements[item.unit.mask.bit_length() - 1]
                    by_kind.setdefault((placed.part, item.way), []).append(item)
                mine = []
                for item in (x for like in by_kind.values() for x in like):
                    mine.append(Removal(item.unit, item.way, there))
                    there |= item.unit.mask
            found += mine
        return found

    def _is_loose(self, item: Removal) -> bool:
        return not item.unit.inner and item.unit.name in self.piece.loose

    def _in_each_others_way(self, items: list[Removal]) -> bool:
        whole = sum(item.unit.mask for item in items)
        return any(self.down.blocked[item.way][item.unit.mask.bit_length() - 1] & whole for item in items)

    def _joins_in(self, run: list[Removal], item: Removal) -> bool:
        """Whether a unit comes in as one step with those before: a like part, the same way, touching none."""
        if item.unit.inner or any(t.unit.inner or t.way != item.way for t in run):
            return False
        first, new = (t.unit.mask.bit_length() - 1 for t in (run[0], item))
        a, b = self.piece.placements[first], self.piece.placements[new]
        return (a.part, a.facts) == (b.part, b.facts) and not self.down.near[new] & sum(
            t.unit.mask for t in run
        )

    def _together(self, builds: str, run: list[Removal]) -> Step:
        return self._step(builds, [t.unit for t in run], run[0].way, run[0].rest)

    def _step(self, builds: str, units: list[MovedUnit], leaves: Vector | None, there: int) -> Step:
        mask = sum(u.mask for u in units)
        present = mask | there
        mine: list[Joint] = []
        for at in sorted({at for k in bits_of(mask) for at in self.joints_of.get(k, ())}):
            ends, joint = self.waiting.get(at, (~present, None))
            if joint is not None and not ends & ~present:
                mine.append(joint)
                del self.waiting[at]
        met = 0
        for k in bits_of(mask):
            met |= self.down.near[k]
        return Step(
            builds=builds,
            brings=tuple(u.name for u in units),
            parts=tuple(self.down.labels[k] for k in bits_of(mask)),
            onto=tuple(self.down.labels[k] for k in bits_of(met & there)),
            way=None if leaves is None else (0.0 - leaves[0], 0.0 - leaves[1], 0.0 - leaves[2]),
            travel_mm=0.0 if leaves is None else self._travel(mask, there, leaves),
            joints=tuple(dict.fromkeys(j.kind for j in mine)),
            glued=any(j.glued for j in mine),
            hardware=hardware_of(mine),
        )

    def _travel(self, mask: int, there: int, way: Vector) -> float:
        """How far the parts of `mask` go along `way` until their bounds are past those of `there` (mm)."""
        # numerical libraries are loaded with the first order that is asked for
        import numpy as np

        from furnigen.mesh.flat_arrays import bits_set

        if way not in self.spans:
            rears, fronts = zip(*(_span(box, way) for box in self.down.boxes), strict=True)
            self.spans[way] = np.array(rears), np.array(fronts)
        rear, front = self.spans[way]
        size = len(self.down.boxes)
        return max(0.0, float(front[bits_set(there, size)].max() - rear[bits_set(mask, size)].min()))


def _span(box: Box, way: Vector) -> tuple[float, float]:
    """Where a box begins and ends along a way (mm)."""
    (x0, y0, z0), (x1, y1, z1) = box.lo, box.hi
    if way[0] < 0.0:
        x0, x1 = x1, x0
    if way[1] < 0.0:
        y0, y1 = y1, y0
    if way[2] < 0.0:
        z0, z1 = z1, z0
    return dot(way, (x0, y0, z0)), dot(way, (x1, y1, z1))


def _fixed_to_walls(piece: Piece) -> list[Step]:
    """A last step for each wall that something is fastened to."""
    steps = []
    for wall in piece.walls:
        mine = [j for j in piece.joints if wall.name in (j.a, j.b)]
        if mine:
            parts = tuple(dict.fromkeys(j.b if j.a == wall.name else j.a for j in mine))
            kinds = tuple(dict.fromkeys(j.kind for j in mine))
            steps.append(
                Step(
                    "",
                    (),
                    parts,
                    (wall.name,),
                    None,
                    0.0,
                    kinds,
                    any(j.glued for j in mine),
                    hardware_of(mine),
                )
            )
    return steps
