"""How much room for goods a level board has: the length of the row that fills it, and its surface.

What is counted by the metre, such as books, stands in one row along the board, whichever way it bends. Along
a rectangle that is its long side. A shelf that turns a corner or is bowed takes a row as long as its middle
line: that of a strip of the same surface and the same outline, the longer root of

    x² - (outline / 2) x + surface = 0          (hand-derived; of a rectangle its roots are its sides)

so an L-shape of two arms 900 long and 300 deep takes 1500 mm: goods fill the corner once. A board that is
longer from end to end than that, such as a half-round one, takes a row from end to end.
"""

from __future__ import annotations

from math import dist, sqrt

from furnigen.catalogue.loads import GRAVITY, Load
from furnigen.parts.forms.form import Form
from furnigen.parts.forms.outline import polygon_area


def row_mm(form: Form) -> float:
    """Length of the row that goods by the metre make on a level board, mm."""
    longest = max(form.blank_mm[:2])
    board = form.as_board
    if board is None or board.rectangular:
        return longest
    corners = board.corners
    half = sum(dist(p, q) for p, q in zip(corners, corners[1:] + corners[:1], strict=True)) / 2
    surface = polygon_area(corners)
    middle_line = (half + sqrt(max(half**2 - 4 * surface, 0.0))) / 2
    # the longest is a row round three sides: a saw-toothed edge takes no more goods
    return min(max(longest, middle_line), 3 * longest)


def surface_mm2(form: Form) -> float:
    """Surface of a level board that goods may stand on, mm²."""
    board = form.as_board
    if board is not None:
        return board.volume_mm3 / board.thickness
    return form.blank_mm[0] * form.blank_mm[1]


def even_load_n(load: Load, form: Form) -> float:
    """Weight of the even part of a load on a level board, N."""
    length = max(form.blank_mm[:2])
    return load.newton_per_mm(surface_mm2(form) / length, length, row_mm(form)) * length


def load_n(load: Load, form: Form) -> float:
    """Weight of all that a load puts on a level board, N."""
    return even_load_n(load, form) + sum(one.kg for one in load.single_loads) * GRAVITY
