"""Which cuts of a part are printed: those large enough at the scale that nothing fills anyway.

A housing is filled by the shelf that stands in it, and a dowel hole of 8 mm is a pinhole at 1:12: both are
left out, the first without a trace, the second for want of a nozzle. What is left is what a maker would see:
a notch, a hand hole, a slot that stays open.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from manifold3d import Manifold

from furnigen.core.facts import FastenerKind
from furnigen.core.pose import Box
from furnigen.mesh.light_mesh import light_mesh
from furnigen.mesh.model import PartMesh
from furnigen.mockup.print_solids import solid_of, union
from furnigen.mockup.printer import SMALLEST_HOLE_MM, Printer
from furnigen.parts.cuts import Bore, Cut, FlatCut, Turned
from furnigen.parts.part import Part
from furnigen.piece.description import Piece, Placement

TOO_SMALL, FILLED = "too small to print", "filled by what enters it"
UNFILLED = 0.3
"""A cut of which others leave no more than this is a joint: the rest is the spare depth of a mortise."""


@dataclass(frozen=True, slots=True)
class LeftOut:
    """Joinery that the mockup does not show.

    Attributes:
        label: the placement.
        cut: what was cut, such as "housing".
        count: how many.
        why: "too small to print" or "filled by what enters it".
    """

    label: str
    cut: str
    count: int
    why: str


def kept_cuts(
    piece: Piece, s: float, printer: Printer, made: Mapping[str, PartMesh]
) -> tuple[dict[str, tuple[Cut, ...]], tuple[LeftOut, ...]]:
    """The cuts of each placement that are printed, by label, and those that are not.

    Args:
        s: model size over real size.
        made: meshes of forms that only the CAD kernel can make; their cuts stay as they are.
    """
    large = [tuple(c for c in part.cuts if _printable(part, c, s, printer)) for part in piece.parts]
    room = _Room(piece, made)
    kept: dict[str, tuple[Cut, ...]] = {}
    left_out: list[LeftOut] = []
    for placement in piece.placements:
        part = piece.part_of(placement)
        if part.form.needs_kernel:
            kept[placement.label] = part.cuts
            continue
        mine, tally = [], Counter[tuple[str, str]]()
        for cut in part.cuts:
            if cut not in large[placement.part]:
                tally[cut.name, TOO_SMALL] += 1
            elif _takes_hardware(cut) or room.fills(placement, cut, printer.nozzle_mm / s):
                tally[cut.name, FILLED] += 1
            else:
                mine.append(cut)
        kept[placement.label] = tuple(mine)
        left_out += [LeftOut(placement.label, name, n, why) for (name, why), n in tally.items()]
    return kept, tuple(left_out)


def _takes_hardware(cut: Cut) -> bool:
    """Whether something fills it which is no placement: a screw, a dowel, a loose tongue.

    Most holes of a row for shelf pins stay open.
    """
    return not isinstance(cut, Turned) and cut.takes not in (None, FastenerKind.SHELF_PIN)


def _printable(part: Part, cut: Cut, s: float, printer: Printer) -> bool:
    """Whether a nozzle can show a cut."""
    if isinstance(cut, Bore):
        return cut.diameter * s >= SMALLEST_HOLE_MM and cut.depth * s >= printer.nozzle_mm
    if not isinstance(cut, FlatCut):
        return True
    tool, blank = Box.around(cut.corners()), part.form.bounds()
    size = [min(tool.hi[k], blank.hi[k]) - max(tool.lo[k], blank.lo[k]) for k in range(3)]
    return min(size) * s >= printer.wall_mm


class _Room:
    """The uncut parts in place, full size, to see what a cut is filled by."""

    def __init__(self, piece: Piece, made: Mapping[str, PartMesh]) -> None:
        self._piece, self._made = piece, made
        self._whole: dict[int, Manifold] = {}
        self._cut: dict[tuple[int, Cut], Manifold] = {}

    def fills(self, placement: Placement, cut: Cut, gap: float) -> bool:
        """Whether others fill what a cut takes out of one placement, but for thin gaps and a small rest."""
        key = (placement.part, cut)
        if key not in self._cut:
            part = self._piece.part_of(placement)
            self._cut[key] = self._solid(placement.part) - _drawn(replace(part, cuts=(cut,)))
        void = self._cut[key].transform(np.array(placement.pose.matrix())[:3])
        if void.is_empty():
            return True
        taken = void.volume()
        box = np.array(void.bounding_box())
        near = [
            self._solid(p.part).transform(np.array(p.pose.matrix())[:3])
            for p in self._piece.placements
            if p is not placement and self._meets(p, box)
        ]
        if near:
            void = void - union(near)
        left = void.volume()
        return bool(left <= 0.5 * gap * void.surface_area() or left <= UNFILLED * taken)

    def _meets(self, placement: Placement, box: np.ndarray[tuple[int, ...], np.dtype[np.float64]]) -> bool:
        b = self._piece.bounds_of(placement)
        return all(b.lo[k] < box[3 + k] and b.hi[k] > box[k] for k in range(3))

    def _solid(self, part: int) -> Manifold:
        if part not in self._whole:
            mine = self._piece.parts[part]
            if mine.form.needs_kernel:
                mesh = self._made[mine.name]
                self._whole[part] = solid_of(mesh.vertices, mesh.faces, mine.name)
            else:
                self._whole[part] = _drawn(replace(mine, cuts=()))
        return self._whole[part]


def _drawn(part: Part) -> Manifold:
    mesh = light_mesh(part)
    return solid_of(mesh.vertices, mesh.faces, part.name)
