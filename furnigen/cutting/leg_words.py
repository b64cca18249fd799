"""How legs and rods are made, in words: blank, taper, the angles of their ends, tenons, drilling."""

from __future__ import annotations

from math import acos, degrees

from furnigen.core.pose import dot
from furnigen.cutting.features import saw_setting
from furnigen.cutting.joint_words import size_text
from furnigen.parts.cuts import Bore, Turned
from furnigen.parts.forms.square_leg import SquareLeg
from furnigen.parts.part import Part
from furnigen.piece.description import LegNote


def leg_words(part: Part, note: LegNote | None, units: str = "mm") -> tuple[str, ...]:
    """Sentences for a leg or rod; none for a board.

    Args:
        note: bench angles of the leg, where its piece has them.
    """
    leg = part.form.as_leg
    if leg is None:
        return _rod_words(part, units)
    words = []
    long, across, _ = part.form.blank_mm
    sign = "⌀" if part.form.round_axis is not None else ""
    blank = f"{size_text(long, units)} x {size_text(across, units)} square"
    if abs(leg.top - leg.foot) < 0.01:
        shape = f"{sign}{size_text(leg.top, units)} all along"
    else:
        shape = (
            f"tapered from {sign}{size_text(leg.top, units)} at the top to"
            f" {sign}{size_text(leg.foot, units)} at the foot over {size_text(leg.axis_length, units)}"
        )
    words.append(f"blank {blank}, {shape}")
    words += _end_angles(part, leg.lean)
    for cut in part.cuts:
        if isinstance(cut, Turned):
            z = cut.origin[2]
            length = (leg.height - z) / cut.axis[2]
            words.append(f"tenon ⌀{size_text(cut.diameter, units)} x {size_text(length, units)} at the top")
    if note is not None and note.resultant > 0.05:
        words.append(
            f"rake {note.rake:.1f}°, splay {note.splay:.1f}°: resultant {note.resultant:.1f}° along a"
            f" sightline {note.sightline:.1f}° from the front-back line; drill with the guide at"
            f" {note.drill_guide:.1f}°"
        )
    return tuple(words)


def _end_angles(part: Part, lean: float) -> list[str]:
    """Settings for the level cuts at both ends."""
    if lean < 0.05:
        return ["both ends square"]
    if isinstance(part.form, SquareLeg):
        mitre, bevel = saw_setting(_as_saw(part.form.level_in_blank))
        return [
            f"both ends cut level, parallel: gauge {mitre:.1f}° off square, blade tilted {bevel:.1f}°, on one"
            " face of the blank before tapering"
        ]
    return [f"both ends cut level, parallel: {lean:.1f}° off square to the axis"]


def _as_saw(level: tuple[float, float, float]) -> tuple[float, float, float]:
    """A plane of a leg's blank as one of a board: its axis along x."""
    side, face, axis = level
    return (axis, side, face)


def _rod_words(part: Part, units: str) -> tuple[str, ...]:
    """Holes in a rod, and tenons turned on what is no leg."""
    if part.form.as_board is not None:
        return ()
    words = []
    grain = part.form.grain
    for cut in part.cuts:
        if isinstance(cut, Bore):
            at = dot(cut.start, grain)
            off = degrees(acos(min(1.0, abs(dot(cut.direction, grain)))))
            words.append(
                f"{cut.name} ⌀{size_text(cut.diameter, units)} x {size_text(cut.depth, units)} at"
                f" {size_text(at, units)}, {off:.1f}° to its length"
            )
        else:
            words.append(cut.name)
    return tuple(words)
