"""The printer a mockup is made for: its bed, its nozzle, and what they can make."""

from __future__ import annotations

import re
from dataclasses import dataclass

from furnigen.core.errors import InputError
from furnigen.core.quantities import as_typed, parse_length

LINES = 2
"""Lines of plastic in the thinnest wall (looked-up: four pages)."""
SMALLEST_HOLE_MM = 2.0
"""Holes under 2 mm close up and are to be avoided (looked-up: one page)."""
OVERHANG_DEGREES = 45.0
"""From upright; steeper needs no support (looked-up: five pages)."""
PLASTIC, DENSITY_G_CM3 = "PLA", 1.24
"""The usual filament and its density (from memory)."""
LETTER_DEPTH_MM = 0.4
"""Height of raised text (looked-up: two pages)."""
MARGIN_MM = 7.0
"""Left free round the bed, for the lines a slicer draws round what it prints: a skirt stands about 6 mm off,
and is a line or two wide. Common practice, no source."""
SPACING_MM = 6.0
"""Room between two parts on one bed, as slicers keep when they arrange them. Common practice, no source."""
LAYER_MM = 0.2
"""Usual height of a layer (looked-up: one page)."""
SHELL_NOZZLES = 2.25
"""Thickness of a shell of two lines in nozzles: lines are printed a little wider than the nozzle. Common
practice, no source."""
CLOSED_LAYERS = 4
"""Layers printed solid below and above, where a part is printed hollow. Common practice, no source."""
INFILL = 0.15
"""Share of the inside that is filled, where a part is printed hollow. Common practice, no source."""
SLACK_MM = 1e-3
"""A thing this much larger than the bed fits it: rounding."""

_LEAST_BED, _MOST_BED = 20.0, 3000.0
_LEAST_NOZZLE, _MOST_NOZZLE = 0.1, 2.0
_LOOSEST_MM = 2.0
_WIDEST_SPACING_MM = 100.0
_LEAST_ROOM_MM = 5.0


@dataclass(frozen=True, slots=True)
class Printer:
    """What a mockup is printed with.

    Attributes:
        bed_mm: width, depth and height that can be printed (mm).
        nozzle_mm: its opening, and so the width of a line (mm).
        clearance_mm: gap on each side of a connection (mm): 0.1 to 0.15 presses, 0.2 to 0.3 slides
            (looked-up: one page).
        margin_mm: left free round the bed (mm).
        spacing_mm: least distance of two parts on one bed (mm).
    """

    bed_mm: tuple[float, float, float] = (220.0, 220.0, 250.0)
    nozzle_mm: float = 0.4
    clearance_mm: float = 0.2
    margin_mm: float = MARGIN_MM
    spacing_mm: float = SPACING_MM

    def __post_init__(self) -> None:
        for size in self.bed_mm:
            _within("bed", size, _LEAST_BED, _MOST_BED)
        _within("nozzle", self.nozzle_mm, _LEAST_NOZZLE, _MOST_NOZZLE)
        _within("clearance", self.clearance_mm, 0.0, _LOOSEST_MM)
        _within("spacing", self.spacing_mm, 0.0, _WIDEST_SPACING_MM)
        _within("margin", self.margin_mm, 0.0, (min(self.bed_mm[:2]) - _LEAST_ROOM_MM) / 2)

    @property
    def wall_mm(self) -> float:
        """The thinnest wall: two lines (mm)."""
        return LINES * self.nozzle_mm

    @property
    def room_mm(self) -> tuple[float, float, float]:
        """Width, depth and height that parts may take: the bed without its margin (mm)."""
        width, depth, height = self.bed_mm
        return (width - 2 * self.margin_mm, depth - 2 * self.margin_mm, height)

    @property
    def bed_text(self) -> str:
        """The bed as typed, and its margin."""
        size = " x ".join(f"{s:g}" for s in self.bed_mm) + " mm"
        return f"{size}, less a margin of {self.margin_mm:g} mm" if self.margin_mm else size


def _within(what: str, value: float, least: float, most: float) -> None:
    if not least <= value <= most:
        raise InputError(what, f"{value:g} mm", f"must be from {least:g} mm to {most:g} mm")


def read_bed(text: str) -> tuple[float, float, float]:
    """Width, depth and height of a bed such as `220x220x250`; the height is the shorter side when left out.

    Raises: InputError for anything but two or three lengths with an x between.
    """
    sizes = [parse_length(size, what="bed") for size in re.split(r"[xX×]", text)] if text.strip() else []
    if not 2 <= len(sizes) <= 3:
        raise InputError("bed", as_typed(text), "must be two or three lengths", "write 220x220x250")
    return (sizes[0], sizes[1], sizes[2] if len(sizes) == 3 else min(sizes))
