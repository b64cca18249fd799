"""The mockup as one joined solid, cut into the fewest pieces that fit the bed."""

from __future__ import annotations

import numpy as np

from furnigen.core.array_types import Floats
from furnigen.core.errors import InputError
from furnigen.core.finding import FAIL, PASS, WARN, Finding
from furnigen.core.pose import AXES
from furnigen.formats.report import Json
from furnigen.mockup.beds import UnplacedPrint, packed
from furnigen.mockup.joined_solid import JoinedSolid, join_bodies
from furnigen.mockup.orientation import Orientation, best_orientation
from furnigen.mockup.pictures import APART, standing
from furnigen.mockup.print_plan import PrintPlan, check_pieces, piece_rows
from furnigen.mockup.print_solids import COARSE_MM
from furnigen.mockup.printer import Printer
from furnigen.mockup.scale import Scale, one_to, would_fit
from furnigen.mockup.scaled_bodies import FACET_MM, OUTWARD, ScaledPiece, finest_scale, scaled_bodies
from furnigen.mockup.splitting import SplitMockup, furthest_apart, split_for_bed
from furnigen.parts.volume.moments import volume_mm3
from furnigen.piece.description import Piece

LOOK = (0.72, 0.70, 0.66)
"""Colour of the plastic in pictures: light and warm, so that shadows show. Taste."""
NEAR = 0.03
"""Share of the volume that fit allowances, filled holes and facets of curves may explain."""
LIES = {
    (0.0, 0.0, -1.0): "as it stands",
    (0.0, 0.0, 1.0): "upside down",
    (0.0, 1.0, 0.0): "on its back",
    (0.0, -1.0, 0.0): "on its front",
    (-1.0, 0.0, 0.0): "on its left side",
    (1.0, 0.0, 0.0): "on its right side",
}


def print_whole(piece: Piece, scaled: ScaledPiece, printer: Printer, scale: Scale) -> PrintPlan:
    """The mockup in one solid, or in the fewest pieces that fit the bed.

    Raises: InputError when it can not be cut so that it fits, naming the scale that would do.
    """
    whole = join_bodies(piece, scaled, printer)
    orientation = best_orientation(whole.solid, printer)
    if orientation.fits:
        parted = SplitMockup((whole.solid,), (), 0, 0)
    else:
        apart = furthest_apart(whole, scaled.bodies, printer)
        if apart is not None:
            raise _refusal(piece, scaled, printer, scale, *apart)
        parted = split_for_bed(whole, scaled.bodies, printer)
    orientations = (
        [orientation] if orientation.fits else [best_orientation(p, printer) for p in parted.pieces]
    )
    names = ["mockup"] if len(orientations) == 1 else [f"mockup.{n}" for n in range(1, len(orientations) + 1)]
    things = [
        UnplacedPrint(name, solid, s, LOOK)
        for name, solid, s in zip(names, parted.pieces, orientations, strict=True)
    ]
    pieces, beds = packed(things, printer)
    box = np.array(whole.solid.bounding_box())
    size = box[3:] - box[:3]
    findings = [
        *check_pieces("whole", pieces, printer, scale),
        _size_finding(size, scaled),
        _volume_finding(whole, piece, scaled, scale),
        Finding("whole-support", PASS, sum(s.support_mm2 for s in orientations), None, "mm2", "", "", ""),
    ]
    if parted.unpegged:
        findings.append(
            Finding(
                "whole-pegs",
                WARN,
                parted.unpegged,
                0,
                "seams",
                "",
                "pieces that meet at a cut are placed by pegs",
                "no wall at the cut is wide enough for a peg: line these pieces up by eye",
            )
        )
    details: Json = {
        "size_mm": size.tolist(),
        "lies": [_lies(s) for s in orientations],
        "cuts": [{"axis": AXES[c.axis], "at_mm": c.at, "face_of": c.board} for c in parted.cuts],
        "pegs": parted.pegs,
        "joined_by": [
            {"where": m.where, "gap_mm": m.gap_mm, "at_mm": list(m.at)} for m in whole.added_plastic
        ],
        "hollows_filled": whole.hollows,
        "pieces": piece_rows(beds, printer),
    }
    drawn_apart = standing(piece.name, pieces, APART) if len(pieces) > 1 else None
    return PrintPlan(
        "whole", pieces, beds, standing(piece.name, pieces), drawn_apart, details, tuple(findings)
    )


def _refusal(
    piece: Piece, scaled: ScaledPiece, printer: Printer, scale: Scale, gap_mm: float, axis: int
) -> InputError:
    """Where no cut between boards will do, and the scale that fits: tried, since thickening varies."""
    fits, finest = None, int(finest_scale(piece, printer))
    for n in range(int(scale.denominator) + 1, finest + 1):
        try:
            smaller = scaled_bodies(piece, one_to(n), printer, scaled.made)
            whole = join_bodies(piece, smaller, printer)
        except InputError:
            continue
        if (
            best_orientation(whole.solid, printer).fits
            or furthest_apart(whole, smaller.bodies, printer) is None
        ):
            fits = n
            break
    return InputError(
        "scale",
        scale.text,
        f"the mockup is too large for the bed of {printer.bed_text}, and can not be cut at shelves and"
        f" uprights into pieces that fit, pegs included: they stand up to {gap_mm:.0f} mm apart along"
        f" {AXES[axis]}",
        would_fit(fits),
    )


def _lies(orientation: Orientation) -> str:
    down: Floats = orientation.turn.T @ np.array([0.0, 0.0, -1.0])
    for way, words in LIES.items():
        if np.allclose(down, way, atol=1e-6):
            return words
    return "on the flat that faces ({:.2f}, {:.2f}, {:.2f})".format(*(down + 0.0))


def _size_finding(size: Floats, scaled: ScaledPiece) -> Finding:
    off = float(np.abs(size - np.array(scaled.size_mm)).max())
    # the grid moves both ends, and a round foot reaches its true extent only at a corner of its facets
    most = 2 * COARSE_MM + (2 * FACET_MM if any(b.kind == "round" for b in scaled.bodies) else 0.0)
    outward = sorted({c.label for c in scaled.changes if c.how == OUTWARD})
    status = PASS if off <= most else WARN if outward else FAIL
    return Finding(
        "whole-size",
        status,
        off,
        most,
        "mm",
        ", ".join(outward) if status != PASS else "",
        "the mockup is as large as the scaled piece, to the grid of its corners",
        "boards that face outward on both sides were thickened outward" if status != PASS else "",
    )


def _volume_finding(whole: JoinedSolid, piece: Piece, scaled: ScaledPiece, scale: Scale) -> Finding:
    """Whether the mockup holds as much as the piece, scaled, and what thickening added at most."""
    made = sum(volume_mm3(piece.part_of(p)) for p in piece.placements) * scale.ratio**3
    grown = sum(b.solid.volume() for b in scaled.bodies)
    least, most = made * (1 - NEAR), max(made, grown) * (1 + NEAR)
    found = whole.solid.volume()
    good = least <= found <= most
    return Finding(
        "whole-volume",
        PASS if good else FAIL,
        found,
        least if found < least else most,
        "mm3",
        "",
        "the volumes of all parts, scaled; more where parts were thickened or gaps were bridged",
        "" if good else f"it should be from {least:.0f} to {most:.0f} mm³",
        least=found < least,
    )
