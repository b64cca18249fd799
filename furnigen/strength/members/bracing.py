"""What a back or a diagonal brace would add to a frame that only its joints hold."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise
from math import hypot

from furnigen.core.wording import in_words, worded
from furnigen.strength.model.racking import Rack, push_racks
from furnigen.strength.solver.frame import fastener_slip, panel_shear, sway_safety

BACK_MM, BACK_G, BACK_DENSITY, BACK_SCREW_MM, BACK_PITCH_MM = 6.5, 620.0, 680.0, 3.5, 150.0
"""The back that is added: birch plywood (Handbook of Finnish Plywood, from memory)."""
BRACE_MM = (20.0, 45.0)
BRACE_EA, BRACE_DENSITY, BRACE_SCREW_MM, BRACE_SCREWS = BRACE_MM[0] * BRACE_MM[1] * 11000.0, 420.0, 5.0, 2
"""The same for a brace: softwood C24, E 11000 N/mm² and 420 kg/m³ (EN 338, from memory)."""
BACK_WORDS = worded(
    f"a back of {in_words(BACK_MM, digits=None)} plywood, screwed every {in_words(BACK_PITCH_MM, digits=0)}"
)
BRACE_WORDS = worded(
    f"a diagonal batten {in_words(*BRACE_MM, digits=0)} in each bay, two"
    f" {BRACE_SCREW_MM:g} mm screws at either end"
)


@dataclass(frozen=True, slots=True)
class BracingEffect:
    """What something added would do.

    Attributes:
        what: what is added, in words.
        stiffness: of the frame with it, N per mm at the top.
        safety: as in `Sideways`.
    """

    what: str
    stiffness: float
    safety: float


def bracing_effects(rack: Rack, top_n: float) -> tuple[BracingEffect, ...]:
    """What a back and a brace would make of a rack; nothing where it has no two levels to hold on to.

    Args:
        top_n: its weight and load as they count at its top, N.
    """
    racked = push_racks(_braced(rack))
    return tuple(
        BracingEffect(words, one.stiffness, sway_safety(one.stiffness, top_n, rack.height))
        for words, one in zip((BACK_WORDS, BRACE_WORDS), racked, strict=False)
    )


def _braced(rack: Rack) -> list[Rack]:
    return [with_back(rack), with_brace(rack)] if len(rack.levels) > 1 else []


def try_bracing(racks: Iterable[Rack]) -> None:
    """Find what would brace some racks at once: `bracing_effects` finds it then."""
    push_racks([added for rack in racks for added in _braced(rack)])


def with_back(rack: Rack) -> Rack:
    """The rack with a back over its whole width, from its lowest to its highest level."""
    width = rack.uprights[-1] - rack.uprights[0]
    slip = fastener_slip(BACK_DENSITY, BACK_SCREW_MM, drilled=True)
    high = rack.levels[-1] - rack.levels[0]
    return replace(rack, back=panel_shear(BACK_G, BACK_MM, width, high, BACK_PITCH_MM, slip))


def with_brace(rack: Rack) -> Rack:
    """The rack with a diagonal in every bay, which gives as its screws do."""
    widest = max(b - a for a, b in pairwise(rack.uprights))
    long = hypot(widest, rack.levels[-1] - rack.levels[0])
    ends = BRACE_SCREWS * fastener_slip(BRACE_DENSITY, BRACE_SCREW_MM, drilled=True)
    return replace(rack, brace_ea=1 / (1 / BRACE_EA + 2 / (ends * long)))
