"""A length as people read it: millimetres, or feet and inches."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal
from fractions import Fraction

MM_PER_INCH = 25.4
SAME_MM = 1e-6
"""Two lengths closer than this are one length: far below any measure, far above binary rounding noise."""
_INCH = Fraction(127, 5)


def length_text(mm: float, units: str, *, denominator: int = 32, mark_inexact: bool = False) -> str:
    """A finite length in "mm" or "in", as `furnigen.core.quantities.format_length` gives it, unchecked."""
    if units == "in":
        text, value = _inches(abs(float(mm)), denominator)
    else:
        shown = Decimal(repr(round(abs(float(mm)), 6))).quantize(Decimal("0.1"), ROUND_HALF_UP)
        text, value = f"{shown} mm", Fraction(shown)
    rough = "~" if mark_inexact and abs(float(value) - abs(mm)) > SAME_MM else ""
    sign = "-" if mm < 0 and value else ""
    return f"{rough}{sign}{text}"


def _inches(mm: float, denominator: int) -> tuple[str, Fraction]:
    """Feet and inches of a length >= 0, and the exact mm they stand for."""
    # The snap keeps the noise of binary sums from deciding a tie.
    exact = Fraction(repr(round(mm, 6)))
    steps = (exact / _INCH * denominator + Fraction(1, 2)).__floor__()
    feet, rest = divmod(steps, 12 * denominator)
    whole, part = divmod(rest, denominator)
    fraction = f"{Fraction(part, denominator)}" if part else ""
    inches = f"{whole} {fraction}" if whole and part else fraction or f"{whole}"
    if feet and part and not whole:
        inches = f"0 {fraction}"
    return (f"{feet}'-{inches}\"" if feet else f'{inches}"'), Fraction(steps, denominator) * _INCH
