"""Whether what is drawn is cut: every cut takes some wood, and what is joined still meets.

Hardware without its hole is told by `furnigen.checks.hardware`; a loose part whose slot is missing overlaps.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from furnigen.checks.solids import SolidChecks
from furnigen.core.finding import FAIL, PASS, Finding, name_labels
from furnigen.core.quantities import SAME_MM
from furnigen.parts.cuts import Bore, Cut, Turned
from furnigen.parts.part import Part
from furnigen.parts.volume.bores import bore_span
from furnigen.parts.volume.moments import volume_mm3
from furnigen.piece.description import Piece

SOURCE = "what is drawn is cut"
LEAST_MM3 = 1e-3
"""A cut that takes less takes nothing: a cube of 0.1 mm. Our own limit."""


def check_as_drawn(piece: Piece, solid: SolidChecks) -> list[Finding]:
    """Cuts that take nothing, and joints whose members do not meet; nothing for a piece without either."""
    return [*_cuts(piece), *_joints(piece, solid)]


def _cuts(piece: Piece) -> Iterator[Finding]:
    seen, bad = 0, False
    for index, part in enumerate(piece.parts):
        idle = [cut.name for cut in part.cuts if not _takes_wood(part, cut)]
        seen += len(part.cuts)
        if idle:
            bad = True
            labels = [p.label for p in piece.placements if p.part == index]
            yield Finding(
                "cut-as-drawn",
                FAIL,
                len(idle),
                0,
                "cuts",
                f"{', '.join(dict.fromkeys(idle))} in {name_labels(labels)}",
                SOURCE,
                "it lies beside the wood and takes none: move it into the part, or leave it out",
            )
    if seen and not bad:
        yield Finding("cut-as-drawn", PASS, seen, None, "cuts", "", SOURCE)


def _takes_wood(part: Part, cut: Cut) -> bool:
    if isinstance(cut, Turned) or part.form.needs_kernel:
        return True
    tool = bore_span(cut) if isinstance(cut, Bore) else cut.spans()
    blank = part.form.bounds()
    shared = [min(tool.hi[i], blank.hi[i]) - max(tool.lo[i], blank.lo[i]) for i in range(3)]
    if min(shared) < SAME_MM:
        return False
    board = part.form.as_board
    # in a plain board bounds that meet are enough for what is cut square to it, as most is
    if board is not None and board.rectangular and (isinstance(cut, Bore) or cut.square):
        return True
    return part.form.volume_mm3 - volume_mm3(replace(part, cuts=(cut,))) > LEAST_MM3


def _joints(piece: Piece, solid: SolidChecks) -> Iterator[Finding]:
    meet = {frozenset((c.a, c.b)) for c in solid.contacts}
    meet |= {frozenset((f.a, f.b)) for f in solid.interference.curved_fits}
    # what overlaps is told as that
    meet |= {frozenset((o.a, o.b)) for o in solid.interference.overlaps}
    joints = [j for j in piece.joints if j.a in piece.by_label and j.b in piece.by_label]
    apart = [j for j in joints if frozenset((j.a, j.b)) not in meet]
    for joint in apart:
        yield Finding(
            "joint-as-drawn",
            FAIL,
            1,
            0,
            "joints",
            f"{joint.kind} of {joint.b} to {joint.a}",
            SOURCE,
            "no faces of the two meet any more: another cut took the wood away between them",
        )
    if joints and not apart:
        yield Finding("joint-as-drawn", PASS, len(joints), None, "joints", "", SOURCE)
