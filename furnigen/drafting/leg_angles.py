"""The angles and lengths a maker sets on the bench for one leg."""

from __future__ import annotations

from dataclasses import dataclass, replace

from furnigen.parts.forms.form import Form, Leg
from furnigen.parts.forms.leg_lean import resultant_degrees, sightline_degrees
from furnigen.piece.description import LegNote


@dataclass(frozen=True)
class LegAngles:
    """What a maker sets on the bench for one leg, degrees and mm."""

    rake: float
    splay: float
    resultant: float
    sightline: float
    drill_guide: float
    axis_length: float
    blank_length: float


def leg_angles(leg: Leg, rake: float, splay: float) -> LegAngles:
    """Bench angles of a leg.

    The drill guide is tilted by the resultant angle, in the plane of the sightline, so its angle from
    the underside is 90° less the resultant.
    """
    r = resultant_degrees(rake, splay)
    return LegAngles(
        rake, splay, r, sightline_degrees(rake, splay), 90.0 - r, leg.axis_length, leg.blank_mm[0]
    )


def note_of_part(note: LegNote, part: int, form: Form) -> LegNote:
    """A leg's note with its part's number, and the lengths it has with its tenon."""
    leg = form.as_leg
    if leg is not None:
        return replace(note, part=part, axis_length=leg.axis_length, blank_length=leg.blank_mm[0])
    return replace(note, part=part)
