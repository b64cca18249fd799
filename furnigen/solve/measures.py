"""Numbers that a goal or a limit may speak of: named ones, and any number of the report by its path."""

from __future__ import annotations

from dataclasses import dataclass

from furnigen.checks.fit import LIMITS
from furnigen.core.quantities import SAME_MM, format_length
from furnigen.core.wording import length_shown
from furnigen.cutting.costing import money
from furnigen.solve.setup import FIT, LAYOUT, SAG, STAGES, STRENGTH

SAME = 1e-9


@dataclass(frozen=True)
class Measure:
    """One number of a piece.

    Attributes:
        name: what files and answers call it; for a number of the report its path.
        unit: "EUR", "kg", "mm" ...; "" for counts and shares.
        stage: after which it is known.
        words: for people.
        step: by how much a limit on it is relaxed: this much, or this share of the limit if below zero.
    """

    name: str
    unit: str
    stage: str
    words: str
    step: float = -0.05

    @property
    def slack(self) -> float:
        """How far beyond its limit it may be and still be at it."""
        return SAME_MM if self.unit == "mm" else SAME

    def show(self, value: float, units: str = "mm") -> str:
        """A value for people."""
        if self.name == "cost":
            return money(round(value * 100), self.unit)
        if self.name == "utilisation":
            return f"{value:.0%}"
        if self.unit == "mm" and self.name in LIMITS:
            return format_length(value, units, mark_inexact=units == "in")
        if self.unit == "mm" and self.name in NAMED and units == "in":
            return length_shown(value, units, 2)
        return f"{value:.5g}{' ' + self.unit if self.unit else ''}"


NAMED = {
    m.name: m
    for m in (
        Measure("cost", "", LAYOUT, "cost of material, hardware, bands, finish and hours"),
        Measure("mass", "kg", FIT, "mass"),
        Measure("sheets", "", LAYOUT, "sheets bought", 1.0),
        Measure("sag", "mm", SAG, "sag of the board that is nearest its limit"),
        Measure("board_area", "m²", FIT, "net area of sheets and boards"),
        Measure("parts", "", FIT, "number of parts", 1.0),
        Measure("hours", "h", LAYOUT, "hours of work at the stated rates"),
        Measure("utilisation", "", STRENGTH, "largest share of a limit that any check finds used", 0.05),
    )
}
"""Numbers with names of their own."""
OF_LAYOUT = ("cost", "sheets", "hours")


def of_brief(name: str, step: float) -> Measure:
    """A limit of the brief as a number. Args: step: the workshop's (mm)."""
    return Measure(name, "mm", FIT, LIMITS[name], step)


def later(one: str, other: str) -> str:
    """The later of two stages."""
    return max(one, other, key=STAGES.index)
