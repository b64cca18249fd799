"""Raised letters for parts of a kit: a stroke font of our own, every stroke as wide as the thinnest wall.

Glyphs are lines between points of a grid, three across and five up, drawn as bars with square ends.
"""

from __future__ import annotations

from itertools import pairwise
from math import atan2, degrees, hypot

from manifold3d import CrossSection, OpType

STEP_WALLS = 1.3
"""Grid step in strokes: the counter of an O stays 1.6 strokes wide, open to a nozzle."""
SPACE_STEPS = 1.0
"""Gap between letters in grid steps, besides a stroke."""

# points as column and row, the next stroke after a bar
_GLYPHS = {
    "A": "00 04 24 20|02 22", "B": "00 04 14 13 12 02|12 22 20 00", "C": "24 04 00 20",
    "D": "00 04 14 23 21 10 00", "E": "24 04 00 20|02 22", "F": "24 04 00|02 22", "G": "24 04 00 20 22 12",
    "H": "00 04|20 24|02 22", "I": "10 14", "J": "24 20 00 01", "K": "00 04|24 02 20", "L": "04 00 20",
    "M": "00 04 12 24 20", "N": "00 04 20 24", "O": "00 04 24 20 00", "P": "00 04 24 22 02",
    "Q": "00 04 24 20 00|12 20", "R": "00 04 24 22 02|12 20", "S": "24 04 03 21 20 00", "T": "04 24|14 10",
    "U": "04 00 20 24", "V": "04 10 24", "W": "04 00 12 20 24", "X": "00 24|04 20", "Y": "04 12 24|12 10",
    "Z": "04 24 00 20", "0": "10 01 03 14 23 21 10", "1": "03 14 10", "2": "04 24 22 02 00 20",
    "3": "04 24 20 00|02 22", "4": "04 02 22|24 20", "5": "24 04 02 22 20 00", "6": "04 00 20 22 02",
    "7": "04 24 10", "8": "00 04 24 20 00|02 22", "9": "22 02 04 24 20 00", "-": "02 22", "+": "02 22|11 13",
    "/": "00 24", "_": "00 20",
}  # fmt: skip
_DOT = "."


def text_section(text: str, stroke: float) -> CrossSection:
    """Letters standing on y = 0 from x = 0, as one section (mm); what the font lacks becomes a dash.

    Args:
        stroke: width of every stroke (mm).
    """
    step = STEP_WALLS * stroke
    bars, x = [], stroke / 2
    for char in text.upper():
        if char == _DOT:
            bars.append(CrossSection.square((1.5 * stroke, 1.5 * stroke)).translate((x - stroke / 2, 0.0)))
            x += 1.5 * stroke + SPACE_STEPS * step
            continue
        if char != " ":
            for a, b in _lines(_GLYPHS.get(char, _GLYPHS["-"])):
                bars.append(_bar(a, b, step, stroke).translate((x, stroke / 2)))
        x += 2 * step + stroke + SPACE_STEPS * step
    return CrossSection.batch_boolean(bars, OpType.Add) if bars else CrossSection()


def _lines(glyph: str) -> list[tuple[tuple[int, int], tuple[int, int]]]:
    runs = [[(int(p[0]), int(p[1])) for p in run.split(" ")] for run in glyph.split("|")]
    return [line for run in runs for line in pairwise(run)]


def _bar(a: tuple[int, int], b: tuple[int, int], step: float, stroke: float) -> CrossSection:
    dx, dy = (b[0] - a[0]) * step, (b[1] - a[1]) * step
    long, turn = hypot(dx, dy), degrees(atan2(dy, dx))
    bar = CrossSection.square((long + stroke, stroke)).translate((-stroke / 2, -stroke / 2))
    return bar.rotate(turn).translate((a[0] * step, a[1] * step))
